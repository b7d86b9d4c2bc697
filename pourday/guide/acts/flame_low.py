"""A low flame: left burning as long as something is poured from what it holds, turned up where that grows too cold, put out
before the wax is at its ceiling."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pourday.guide.acts.act import Act, Urgency
from pourday.guide.acts.durations import HOLD_LOW
from pourday.guide.acts.flame_effect import LOW_NEAR, bath_is_hot, full_runs_over, gets_there, warmed_on_to
from pourday.guide.acts.flame_knob import knob_for, low_is_known, low_was_read
from pourday.guide.acts.flame_turns import (
    NOTHING_MORE,
    OUT_FOR_JUGS,
    first_need,
    held_for,
    read_first,
    turn_low,
    turn_off,
)
from pourday.guide.acts.flame_up import heat_on
from pourday.guide.acts.heat_plan import POUR_KEEPS, PourNeed
from pourday.guide.acts.jug_acts import jug_due
from pourday.guide.acts.pour_heat import NEAR_CEILING, READS_TO, SHORT_OF_CEILING, WARMER_BATH
from pourday.guide.acts.stove_reads import READ_SOONEST, heat_to, last_wax_reading
from pourday.guide.acts.wording import heat_up_says
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.outlook.pot import warm_up, warm_up_low
from pourday.language import tr
from pourday.session.state import State
from pourday.times import MINUTE, clock

BACK_WITHIN = 2 * MINUTE
"""s within which whoever is at a mould is back at the knob of a low flame (estimate);"""
BACK_FROM_POURING = 4 * MINUTE
"""and of one that nobody knows yet, whatever they do meanwhile. Estimates of ours."""
LOW_STAYS = 20 * MINUTE
"""By so much longer a low flame that burns is left burning than one is lit for: it is not turned to and fro. An estimate
of ours."""
LOW_TRIED = 10 * MINUTE
"""So long a low flame is left to show what it does before it is turned up, unless a reading shows it sooner. An estimate of
ours."""
NEARLY = WARMER_BATH + READS_TO
"""K below the least a bath should have for its jug at which the jug itself is still just warm enough to pour."""
WARMED_AFTER = 6 * MINUTE
"""A jug that a full flame warms within this is warmed once its mould was found ready. An estimate of ours."""
STEPS_AHEAD = 6
"""Minutes ahead that the turn of a flame is looked for which runs over. An estimate of ours."""


def low_flame_acts(
    state: State, outlook: Outlook, wanted: Sequence[PourNeed], now: float, free: float
) -> list[Act]:
    """What is to be done while a low flame burns: leave it as long as wax it holds is still to be poured; turn it up where
    that grows too cold, lower or out before it is too hot."""
    need = first_need(wanted)
    if need is None:
        return [turn_off(NOTHING_MORE, now)]
    hot, knob = _over_from(state, outlook, now), knob_for(state, outlook, need, now)
    far = need.at - now > HOLD_LOW + LOW_STAYS
    if knob == "lower" and not far and not (free <= now and jug_due(state, outlook, wanted, now)):
        lower = _lower(state, outlook, need, hot, now)
        return read_first(state, outlook, wanted, lower, now) if lower.due <= now else [lower]
    if hot is not None:
        why = tr(
            "Even a low flame takes it to the hottest it may get, {degrees}.",
            degrees=outlook.degrees(outlook.ceiling_c),
        )
        off = turn_off(why, hot, Urgency.FIRST)
        return [off] if hot > now else read_first(state, outlook, wanted, off, now)
    if far:
        return [
            turn_off(
                tr(
                    "Nothing is poured before {pour}; when it is lit again the agenda says.",
                    pour=clock(need.at),
                ),
                now,
            )
        ]
    if free <= now and jug_due(state, outlook, wanted, now):
        return read_first(state, outlook, wanted, turn_off(OUT_FOR_JUGS, now), now)
    up = heat_on(state, outlook, wanted, now)
    if up is None or (need.drawn and up.due <= now and bath_is_hot(outlook, need, now)):
        return []
    if need.drawn and outlook.warmer_than(need.least - NEARLY, now):
        # It does as it is; a full flame would have to go down again within the minute.
        return []
    if need.drawn and (gets_there(outlook, need, now) or _can_wait_for_its_look(outlook, need, now)):
        return []
    tried = max(up.due, _tried_until(state))
    if knob == "higher" and _higher_does(outlook, need, now):
        higher = turn_low(state, need, held_for(outlook, need, now), tried, Urgency.QUICK, "higher")
        return read_first(state, outlook, wanted, higher, now) if tried <= now else [higher]
    if need.drawn and full_runs_over(outlook, need, now) and not low_was_read(state):
        # How strong it is the next reading shows: then it is set higher, or full after all.
        return []
    up = replace(
        up,
        says=heat_up_says(outlook, heat_to(outlook, wanted, now)),
        due=tried,
        urgency=Urgency.QUICK,
    )
    return read_first(state, outlook, wanted, up, now) if up.due <= now else [up]


def _lower(state: State, outlook: Outlook, need: PourNeed, hot: float | None, now: float) -> Act:
    """Turning the low flame lower: once the jugs are as hot as they are wanted, or before they are too hot."""
    warm = outlook.hot_at(min(need.celsius, outlook.ceiling_c - NEAR_CEILING), now)
    due = min((t for t in (warm, hot) if t is not None), default=float("inf"))
    why = tr(
        "At this setting it takes the wax to the hottest it may get, {degrees}; lower, it holds it for {colour}.",
        degrees=outlook.degrees(outlook.ceiling_c),
        colour=outlook.colour(need.layer),
    )
    urgency = Urgency.FIRST if hot is not None and hot <= now else Urgency.QUICK
    return turn_low(state, need, why, due, urgency, "lower")


def _higher_does(outlook: Outlook, need: PourNeed, now: float) -> bool:
    """Whether it is enough to set the low flame a little higher: it warms the jug in time, or a full flame would have to go
    down again at once."""
    if outlook.pot is None:
        return False
    by = max(now, need.at) + max(need.keeps, POUR_KEEPS)
    return (
        full_runs_over(outlook, need, now)
        or now + warm_up_low(outlook.pot, need.least, by, now, "higher") <= by
    )


def _over_from(state: State, outlook: Outlook, now: float) -> float | None:
    """When a low flame has to go out because the wax may pass its ceiling otherwise; None where that is not in sight for some
    minutes.

    A reading decides before any forecast. Looked ahead is to when somebody will be back at the knob, and with the heat that a
    hotter bath still gives the wax after the flame is out.
    """
    read, pot = last_wax_reading(state), outlook.pot
    near = outlook.ceiling_c - LOW_NEAR
    if outlook.warmer_than(near, now):
        return now
    if read is not None and read.t > state.burner_since and read.celsius >= near:
        return now
    if pot is None or outlook.pot_reaches(near).early == float("inf"):
        return None
    known, most = low_is_known(state), outlook.ceiling_c - SHORT_OF_CEILING
    back = BACK_WITHIN if known else BACK_FROM_POURING

    def over(minute: int) -> bool:
        t = now + minute * MINUTE + back
        # What is left in a pot, and a small jug, are as hot as their bath within minutes.
        hot = not known and pot.bath_at(t)[1] >= most
        return hot or warmed_on_to(pot, t, known) >= most

    # Three of the minutes are looked at, and those before only where it comes to it: a look is a pot forecast of its own.
    met = next((minute for minute in (0, STEPS_AHEAD // 2, STEPS_AHEAD - 1) if over(minute)), None)
    if met is None:
        return None
    return next(now + minute * MINUTE for minute in range(met + 1) if minute == met or over(minute))


def _tried_until(state: State) -> float:
    """Until when a low flame is left alone to show what it does, unless a reading has shown it: a knob is not turned to and
    fro by a forecast alone."""
    read = last_wax_reading(state)
    shown = read is not None and read.t >= state.burner_since + READ_SOONEST
    return state.burner_since if shown else state.burner_since + LOW_TRIED


def _can_wait_for_its_look(outlook: Outlook, need: PourNeed, now: float) -> bool:
    """Whether to look at the mould first and heat its jug afterwards: a full flame does that within minutes. Lit before, it
    would be turned to and fro for as long as the mould is not ready."""
    if outlook.pot is None or need.hurry or need.soonest == float("inf"):
        return False
    return warm_up(outlook.pot, need.least, now, now) <= WARMED_AFTER
