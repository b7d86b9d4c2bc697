"""Cautions where the act is. Whose word outranks ours is said with the first act of its kind on a day, so that it is read;
with scent, leaks, burns and fire it is said each time."""

from __future__ import annotations

from pourday.language import tr
from pourday.session.events import Part
from pourday.session.state import State
from pourday.times import local

POURING = tr("Hot wax burns: gloves, steady hands, flame well away.")
HEATING = tr("Stay in the room while the burner is on; lid and extinguisher at hand.")
DEFERS = tr("Your supplier's sheet and your local rules outrank this.")
BURNING = f"{tr('On a plate that does not burn, and never left alone.')} {DEFERS}"
"""A burn test: said each time, for days lie between."""
HOT_WAX, HEAT = f"{POURING} {DEFERS}", f"{HEATING} {DEFERS}"
"""Pouring, and a lit burner, as they are said for the first time on a day."""


def hot_wax(state: State, part: Part) -> str:
    """What to mind while a part of this kind is poured."""
    poured = (pour.t for mould in state.moulds.values() for pour in mould.pours if pour.part == part)
    return POURING if any(_same_day(t, state) for t in poured) else HOT_WAX


def heat(state: State) -> str:
    """What to mind with a lit burner."""
    return HEATING if any(_same_day(lit.start, state) for lit in state.burner_spans) else HEAT


def _same_day(t: float, state: State) -> bool:
    """Whether a time, seconds since the epoch, is on the day that the state has come to."""
    return local(t).date() == local(state.last_t).date()
