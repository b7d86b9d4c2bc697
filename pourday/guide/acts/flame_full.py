"""A full flame: turned low or out once the wax is hot enough, or as hot as it may get."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pourday.guide.acts.act import Act, Urgency
from pourday.guide.acts.durations import HOLD_LOW, REACTS
from pourday.guide.acts.flame_effect import (
    bath_may_reach,
    holds,
    low_is_weak,
    runs_over,
    too_cold_on_low,
)
from pourday.guide.acts.flame_knob import knob_for
from pourday.guide.acts.flame_turns import (
    NOTHING_MORE,
    OUT_FOR_JUGS,
    first_need,
    held_for,
    read_first,
    turn_low,
    turn_off,
)
from pourday.guide.acts.heat_plan import PourNeed
from pourday.guide.acts.jug_acts import jug_due
from pourday.guide.acts.pour_heat import NEAR_CEILING, SHORT_OF_CEILING
from pourday.guide.acts.stove_reads import READ_SOONEST, WARM_ENOUGH, heat_to, unread_since_lit
from pourday.guide.outlook.blend_parts import still_out
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.outlook.pot import carries_to, peak
from pourday.language import tr
from pourday.session.state import State
from pourday.times import MINUTE, clock

BATH_ABOVE = 5.0
"""K above what a jug is to have that its bath is brought to by a full flame: it comes after within minutes. An estimate of
ours."""
BURNS_FOR = 3 * MINUTE
"""So long a flame that was turned up is left burning, if nothing grows too hot. An estimate of ours."""


def full_flame_acts(
    state: State, outlook: Outlook, wanted: Sequence[PourNeed], now: float, free: float
) -> list[Act]:
    """What is to be done while a full flame burns: turn it low or out once the wax is hot enough, or before it may be too
    hot; a reading goes first where the forecast is no more than a guess."""
    down = _down(state, outlook, wanted, now, free)
    if down is not None and down.due <= now and runs_over(outlook, wanted, now):
        # A flame that is turned down in vain costs a few minutes; one that burns on, the wax.
        down = replace(down, urgency=Urgency.FIRST)
    if down is None or down.urgency is Urgency.FIRST or down.due > now:
        return [down] if down else []
    return read_first(state, outlook, wanted, down, now)


def _down(state: State, outlook: Outlook, wanted: Sequence[PourNeed], now: float, free: float) -> Act | None:
    """The turn of a full flame that comes next, and why; None where it is still wanted."""
    need = first_need(wanted)
    if need is None:
        return turn_off(NOTHING_MORE, now)
    if free <= now and jug_due(state, outlook, wanted, now):
        return turn_off(OUT_FOR_JUGS, now)
    hot = _hot_from(outlook, need, now)
    # A turn of the knob: before what takes both hands for minutes, or the wax runs on past where it is wanted; at its
    # ceiling before everything.
    urgency = Urgency.FIRST if outlook.warmer_than(outlook.ceiling_c - NEAR_CEILING, now) else Urgency.QUICK
    target = heat_to(outlook, wanted, now)
    # What a low flame cannot hold is left on the full one, as long as nothing grows too hot.
    enough = None if low_is_weak(outlook, need, now) else _enough_from(state, outlook, target, now)
    if hot is None and enough is None:
        return None
    due = min(t for t in (hot, enough) if t is not None)
    knob = knob_for(state, outlook, need, now)
    if need.drawn and holds(outlook, need, due, knob):
        return turn_low(state, need, held_for(outlook, need, now), due, urgency, knob)
    if need.at - max(now, due) > HOLD_LOW:
        return turn_off(
            tr(
                "Nothing is poured before {pour}; when it is lit again the agenda says.",
                pour=clock(need.at),
            ),
            due,
            urgency,
        )
    if enough is not None and (hot is None or enough <= hot):
        return turn_off(
            tr("The bath carries the wax on to {degrees} by itself.", degrees=outlook.degrees(target)),
            due,
            urgency,
        )
    ceiling = outlook.degrees(outlook.ceiling_c)
    return turn_off(
        tr("This wax must not get hotter than {ceiling}; a full bath holds the heat.", ceiling=ceiling),
        due,
        urgency,
    )


def _hot_from(outlook: Outlook, need: PourNeed, now: float) -> float | None:
    """When the flame has to go down so that no wax passes its ceiling; None where that is not in sight.

    For a jug the bath is what counts: a jug holds so little wax that it is as hot as its bath within minutes.
    """
    if (
        need.drawn
        and outlook.pot is not None
        and bath_may_reach(outlook.pot, now + REACTS) >= _bath_most(outlook, need, now)
        and not too_cold_on_low(outlook, need, now)
    ):
        return now
    if (
        not need.drawn
        and outlook.pot is not None
        and peak(outlook.pot, now + REACTS)[1] >= outlook.ceiling_c - SHORT_OF_CEILING
    ):
        return now
    return outlook.hot_at(outlook.ceiling_c - NEAR_CEILING, now)


def _bath_most(outlook: Outlook, need: PourNeed, now: float) -> float:
    """°C that the bath may come to under a jug. At the most just below the ceiling; once the flame has burned for `BURNS_FOR`
    no more than `BATH_ABOVE` over what the jug is to have, so that it is not turned to and fro."""
    most = outlook.ceiling_c - SHORT_OF_CEILING
    burns_on = now - outlook.state.burner_since < BURNS_FOR or low_is_weak(outlook, need, now)
    return most if burns_on else min(need.celsius + BATH_ABOVE, most)


def _enough_from(state: State, outlook: Outlook, target: float, now: float) -> float | None:
    """When the bath is hot enough to carry the wax to its target by itself; None where it does not get there."""
    if still_out(state, outlook.sheet):
        # While some of the wax is still to be put in, the heat is not there to pour by.
        return None
    if outlook.pot is not None and carries_to(outlook.pot, target - WARM_ENOUGH, now + REACTS):
        enough: float | None = now
    else:
        enough = outlook.hot_at(target - WARM_ENOUGH, now)
    if enough is not None and unread_since_lit(state, outlook):
        # Where it began is not known: one reading first.
        return max(enough, state.burner_since + READ_SOONEST + MINUTE)
    return enough
