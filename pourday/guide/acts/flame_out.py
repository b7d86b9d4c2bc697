"""A flame that is out: lit for the next pour, low under jugs that are still warm, else full."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pourday.guide.acts.act import Act, Urgency
from pourday.guide.acts.durations import HOLD_LOW
from pourday.guide.acts.flame_effect import (
    HOLDS_FOR,
    LOW_NEAR,
    LOW_SHORT,
    bath_is_hot,
    full_runs_over,
    holds,
    low_in_time,
    low_is_as_quick,
)
from pourday.guide.acts.flame_knob import knob_for
from pourday.guide.acts.flame_turns import first_need, held_for, read_first, turn_low, warmed_for
from pourday.guide.acts.flame_up import CARRIES_ON, carries_on_until, heat_on
from pourday.guide.acts.heat_plan import COOLER, TOP_UP_KEEPS, PourNeed
from pourday.guide.acts.jug_acts import jug_due, next_jug
from pourday.guide.acts.stove_reads import (
    BEFORE_HEAT,
    WARM_ENOUGH,
    last_wax_reading,
    long_unread,
    read_act,
    read_lit,
    wants_a_reading,
    where_to_read,
)
from pourday.guide.outlook.absence import absence
from pourday.guide.outlook.jugs import MOMENT
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.outlook.pot import low_at
from pourday.session.state import State
from pourday.times import MINUTE

TOO_HOT = frozenset({"ceiling", "dry pot"})
GIVES_FOR = 10 * MINUTE
"""So long a bath that was put out, or else the wax would have been too hot, is left to give its heat to a pot that is not hot
enough yet. An estimate of ours."""
JUG_SOON = 10 * MINUTE
"""Before a jug that is drawn within this no flame is lit low to hold others: a bath loses a few kelvin meanwhile. An estimate
of ours."""
LOW_COOLER = 4.0
"""K below what is asked for that a jug still does for a layer. An estimate of ours."""


def flame_out_acts(
    state: State, outlook: Outlook, wanted: Sequence[PourNeed], now: float, free: float
) -> list[Act]:
    """What is to be done while the flame is out: light it for the next pour, low under jugs that are still warm, else full;
    draw a jug first, and read the wax first, where that is due."""
    on = _low_again(state, outlook, wanted, now) or _lit(state, outlook, wanted, now)
    if on is not None and wanted and on.kind == "heat low":
        on = replace(
            on, due=max(on.due, carries_on_until(state, outlook, wanted[0], now), _rests_until(state))
        )
    if on and not TOO_HOT.isdisjoint(state.alarms):
        # Too hot when it was last seen: a reading, not the forecast, lets it be lit again.
        return read_lit(state, outlook, wanted, now)
    hurries = bool(wanted) and wanted[0].hurry and wanted[0].drawn
    if on is None or (not hurries and jug_due(state, outlook, wanted, now)):
        # Whoever is at the jugs draws the next one first: the flame is lit once, for both. A pour that hurries and has no jug
        # yet needs that jug before the flame.
        return []
    if on.kind == "heat low" and not hurries and _jug_comes_by(state, outlook, wanted, max(on.due, now), now):
        # It would be put out again for that jug.
        return []
    if free > now:
        # A turn of the knob, and the wax warms while both hands do the rest; a mould that waits for it comes first.
        on = replace(on, urgency=Urgency.QUICK)
    if _just_back(state, now):
        # What waits is looked at while the wax warms; it is wanted when that is done.
        on = replace(on, urgency=Urgency.FIRST)
    if long_unread(state, outlook, now):
        read = read_act(state, outlook, *where_to_read(state, outlook, wanted), on.due - MOMENT)
        return [replace(read, urgency=on.urgency, why=BEFORE_HEAT), on]
    # Whoever has just said something is told a minute early: the reading comes before that as well.
    return read_first(state, outlook, wanted, on, now) if on.due <= now + MINUTE else [on]


def _jug_comes_by(
    state: State, outlook: Outlook, wanted: Sequence[PourNeed], lit_at: float, now: float
) -> bool:
    """Whether a jug is drawn, with the flame out, within minutes of lighting it at a time, s since the epoch."""
    jugs = next_jug(state, outlook, wanted, now)
    return any(jug.due <= lit_at + JUG_SOON and jug.id not in state.waived for jug in jugs)


def _rests_until(state: State) -> float:
    """Until when a flame that was just put out stays out before it is lit low: for a few minutes the reason to put it out
    still holds."""
    spans = state.burner_spans
    return state.burner_since + CARRIES_ON if spans and spans[-1].what != "unknown" else 0.0


def _least_c(state: State, need: PourNeed) -> float:
    """°C that a low flame has to keep the jug at: warm enough for its pour; for a plug as warm as the rest of the layer
    needs, which follows minutes later. Before the jug is drawn: what the pot needs for that."""
    if not need.drawn:
        return need.celsius - COOLER
    coming = [state.next_pour(letter) for letter in need.moulds]
    plug = any(pour is not None and pour.part == "plug" for pour in coming)
    return max(need.least, need.celsius - LOW_COOLER) if plug else need.least


def _lit(state: State, outlook: Outlook, wanted: Sequence[PourNeed], now: float) -> Act | None:
    """Lighting the burner for the next pour: full, or low where the bath is nearly as hot as the jug may get and the jug
    comes after it, or where a low flame does as well."""
    on = heat_on(state, outlook, wanted, now)
    need = first_need(wanted)
    if on is None or need is None:
        return on
    if not need.drawn:
        wait = (
            now - state.burner_since < GIVES_FOR
            and not wants_a_reading(state, outlook, now)
            and full_runs_over(outlook, need, now)
        )
        # At one time, and not a minute from now again and again.
        until = state.burner_since + GIVES_FOR
        return replace(on, due=max(on.due, until)) if wait and state.burner_spans else on
    knob = knob_for(state, outlook, need, now)
    if on.due <= now and bath_is_hot(outlook, need, now):
        return turn_low(state, need, held_for(outlook, need, now), on.due, on.urgency, knob)
    if on.due <= now and (low_is_as_quick(outlook, need, now, knob) or full_runs_over(outlook, need, now)):
        return turn_low(state, need, warmed_for(outlook, need, now), on.due, on.urgency, knob)
    slowly = low_in_time(outlook, need, now, knob)
    if slowly is None or (slowly > max(on.due, now) and need.keeps < TOP_UP_KEEPS):
        return on
    return turn_low(state, need, warmed_for(outlook, need, now), slowly, on.urgency, knob)


def _low_again(state: State, outlook: Outlook, wanted: Sequence[PourNeed], now: float) -> Act | None:
    """Lighting a low flame under jugs that are still warm enough, so that they need not be heated anew later. None where they
    are too cold for that, or nothing is poured for long."""
    need = first_need(wanted)
    if need is None or not state.jugs or outlook.pot is None or jug_due(state, outlook, wanted, now):
        return None
    least = _least_c(state, need)
    if not outlook.warmer_than(least - WARM_ENOUGH, now):
        return None
    knob = knob_for(state, outlook, need, now)
    too_strong = low_at(outlook.pot, now, now + HOLD_LOW, knob)[1] >= outlook.ceiling_c - LOW_NEAR
    soon = need.at - now <= HOLDS_FOR and not too_strong
    cool = outlook.cool_at(
        min(need.celsius if soon else least + LOW_NEAR, outlook.ceiling_c - 2 * LOW_NEAR), now
    )
    due = max(now, cool if cool is not None else now)
    by = max(now, need.at)
    if too_strong:
        # On this stove it can hold nothing for long: it only warms, shortly before and from as cold as may be.
        due = max(due, need.at - HOLDS_FOR)
    cold = outlook.cool_at(least - WARM_ENOUGH, now)
    if cold is not None and cold < due:
        return None
    short = LOW_SHORT if by - due > HOLDS_FOR else 0.0
    if not holds(outlook, need, due, knob) or low_at(outlook.pot, due, by, knob)[1] < least - short:
        return None
    return turn_low(state, need, held_for(outlook, need, now), due, Urgency.USUAL, knob)


def _just_back(state: State, now: float) -> bool:
    """Whether somebody has come back, has read the wax, and has not yet been through all that is open."""
    gap, last = absence(state, now), last_wax_reading(state)
    return gap is not None and state.away_since is None and last is not None and last.t >= (gap.end or now)
