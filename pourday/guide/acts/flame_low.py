"""A low flame: left burning as long as something is poured from what it holds, turned up where that grows too cold, put out
before the wax is at its ceiling."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pourday.guide.acts.act import Act, Urgency
from pourday.guide.acts.durations import HOLD_LOW
from pourday.guide.acts.flame_effect import LOW_NEAR, bath_is_hot, gets_there, warmed_on_to
from pourday.guide.acts.flame_turns import NOTHING_MORE, OUT_FOR_JUGS, first_need, read_first, turn_off
from pourday.guide.acts.flame_up import heat_on
from pourday.guide.acts.heat_plan import PourNeed, lead
from pourday.guide.acts.jug_acts import jug_due
from pourday.guide.acts.stove_reads import READ_SOONEST, heat_to, last_wax_reading
from pourday.guide.acts.wording import heat_up_says
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.outlook.pot import warm_up
from pourday.language import tr
from pourday.session.state import State
from pourday.times import MINUTE, clock

BACK_WITHIN = 2 * MINUTE
"""s within which whoever is at a mould is back at the knob of a low flame. An estimate of ours."""
LOW_STAYS = 20 * MINUTE
"""By so much longer a low flame that burns is left burning than one is lit for: it is not turned to and fro. An estimate
of ours."""
LOW_TRIED = 10 * MINUTE
"""So long a low flame is left to show what it does before it is turned up, unless a reading shows it sooner. An estimate of
ours."""
WARMED_AFTER = 6 * MINUTE
"""A jug that a full flame warms within this is warmed once its mould was found ready. An estimate of ours."""
STEPS_AHEAD = 6
"""Minutes ahead that the turn of a flame is looked for which runs over. An estimate of ours."""


def low_flame_acts(
    state: State, outlook: Outlook, wanted: Sequence[PourNeed], now: float, free: float
) -> list[Act]:
    """Left burning as long as something is to be poured from what it holds; up where that grows too cold."""
    need = first_need(wanted)
    if need is None:
        return [turn_off(NOTHING_MORE, now)]
    hot = _over_from(state, outlook, now)
    if hot is not None:
        why = tr(
            "Even a low flame takes it to the hottest it may get, {degrees}.",
            degrees=outlook.degrees(outlook.ceiling_c),
        )
        off = turn_off(why, hot, Urgency.FIRST)
        return [off] if hot > now else read_first(state, outlook, wanted, off, now)
    if need.at - now > HOLD_LOW + LOW_STAYS:
        back = need.at - lead(outlook, need, now)
        return [
            turn_off(
                tr(
                    "Nothing is poured before {clock}; light it again about {clock2}.",
                    clock=clock(need.at),
                    clock2=clock(back),
                ),
                now,
            )
        ]
    if free <= now and jug_due(state, outlook, wanted, now):
        return read_first(state, outlook, wanted, turn_off(OUT_FOR_JUGS, now), now)
    up = heat_on(state, outlook, wanted, now)
    if up is None or (need.drawn and up.due <= now and bath_is_hot(outlook, need, now)):
        return []
    if need.drawn and (gets_there(outlook, need, now) or _can_wait_for_its_look(outlook, need, now)):
        return []
    up = replace(
        up,
        says=heat_up_says(outlook, heat_to(outlook, wanted, now)),
        due=max(up.due, _tried_until(state)),
        urgency=Urgency.QUICK,
    )
    return read_first(state, outlook, wanted, up, now) if up.due <= now else [up]


def _over_from(state: State, outlook: Outlook, now: float) -> float | None:
    """When a low flame has to go out, or the heat that is under way by then may take wax past its ceiling; None where it does
    not come to that soon.

    A reading decides before any forecast. A bath that is hotter than its wax warms it on for minutes after the flame is out.
    """
    read, pot = last_wax_reading(state), outlook.pot
    near = outlook.ceiling_c - LOW_NEAR
    if outlook.warmer_than(near, now):
        return now
    if read is not None and read.t > state.burner_since and read.celsius >= near:
        return now
    if pot is None or outlook.pot_reaches(near).early == float("inf"):
        return None

    def over(minute: int) -> bool:
        return warmed_on_to(pot, now + minute * MINUTE + BACK_WITHIN) >= outlook.ceiling_c - 1.0

    # Three of the minutes are looked at, and those before only where it comes to it: a look is a pot forecast of its own.
    met = next((minute for minute in (0, STEPS_AHEAD // 2, STEPS_AHEAD - 1) if over(minute)), None)
    if met is None:
        return None
    return next(now + minute * MINUTE for minute in range(met + 1) if minute == met or over(minute))


def _tried_until(state: State) -> float:
    """Until when a low flame is left to show what it does: a knob is not turned to and fro by a forecast alone."""
    read = last_wax_reading(state)
    shown = read is not None and read.t >= state.burner_since + READ_SOONEST
    return state.burner_since if shown else state.burner_since + LOW_TRIED


def _can_wait_for_its_look(outlook: Outlook, need: PourNeed, now: float) -> bool:
    """Whether a mould that nobody has found ready yet is looked at first: a full flame warms its jug within minutes then, and
    would be turned to and fro for as long as the mould is not ready."""
    if outlook.pot is None or need.hurry or need.soonest == float("inf"):
        return False
    return warm_up(outlook.pot, need.least, now, now) <= WARMED_AFTER
