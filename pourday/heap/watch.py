"""What needs a hand at once while wax that nobody knows is hot."""

from __future__ import annotations

from pourday.heap.lot import HEAP_MOST_C
from pourday.language import tr
from pourday.plan.water import boiling_c
from pourday.session.state import LIT, State
from pourday.times import span
from pourday.units import show_temperature

FRESH = 15 * 60.0
"""s for which a reading of the pot speaks for the wax: estimate."""
ABOVE_BOILING = 2.0
"""K above local boiling from which the water is gone, or the thermometer lies: a bath cannot do that. Estimate of what a
thermometer may be off by."""


def nobody_heard(state: State, now: float, watch_every: float) -> bool:
    """Whether the burner is lit, and no key was pressed for `watch_every` s."""
    return state.burner in LIT and now - state.heard_at > watch_every


def alarms_of(state: State, now: float, watch_every: float) -> tuple[str, ...]:
    """Whole sentences, the most urgent first; `watch_every` s without a key is too long beside a lit burner."""
    says = []
    read = state.last_reading("pot")
    if read is not None and now - read.t < FRESH:
        shown = show_temperature(read.celsius, state.plan.units)
        if read.celsius > boiling_c(state.plan.altitude) + ABOVE_BOILING:
            says.append(
                tr(
                    "{shown}: hotter than boiling water. Burner off; the water is gone, or the thermometer is wrong.",
                    shown=shown,
                )
            )
        elif read.celsius > HEAP_MOST_C:
            most = show_temperature(HEAP_MOST_C, state.plan.units)
            says.append(
                tr(
                    "{shown}: above {most}. Flame down; nobody knows what is in this wax, nor where it takes fire.",
                    shown=shown,
                    most=most,
                )
            )
    if nobody_heard(state, now, watch_every):
        says.append(
            tr(
                "Is somebody at the stove? Nobody was heard for {span}. Any key answers.",
                span=span(now - state.heard_at),
            )
        )
    return tuple(says)
