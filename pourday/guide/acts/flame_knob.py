"""How low a low flame is set: lower or higher than the last time, where readings have shown it to be too strong or too weak.

Hobs differ: one low flame lets jugs go cold, another takes them to their ceiling in twenty minutes and would have to be lit and
put out by turns. Set a little lower, or higher, it holds them by itself.
"""

from __future__ import annotations

from pourday.forecast.pot import PotForecast
from pourday.guide.acts.durations import HOLD_LOW
from pourday.guide.acts.flame_effect import HOLDS_FOR, LOW_NEAR
from pourday.guide.acts.flame_turns import knob_act
from pourday.guide.acts.heat_plan import PourNeed
from pourday.guide.acts.stove_reads import READ_LOW_SOONEST, READ_SOONEST
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.outlook.pot import held_low, low_at
from pourday.session.events import Knob
from pourday.session.state import State

LOWEST, HIGHEST = -1, 2
"""By how many turns the low flame is set lower, and higher, than it was at first: a knob has an end. Estimates of ours."""
MOST_TURNS = 2
"""Turns of the low flame in a day, after which it stays as it is: where neither setting holds, what lies between them is
sooner had by putting it out and lighting it than by a third turn and the readings after it (tuned on days of the demo)."""
TOO_STRONG_WITHIN = 60 * 60.0
"""s within which a low flame that takes jugs to their ceiling is set lower. An estimate of ours."""


def knob_for(state: State, outlook: Outlook, need: PourNeed, now: float) -> Knob | None:
    """How a low flame is to be set from now on for a pour; None where it is as it should be, or nobody has read it yet."""
    if outlook.pot is None or not need.drawn or not low_was_read(state):
        return None
    if _is_too_strong(outlook, outlook.pot, now):
        return "lower" if _may(state, "lower") and _lower_holds(outlook, outlook.pot, need, now) else None
    if low_at(outlook.pot, now, now + HOLD_LOW)[1] >= need.least or not _may(state, "higher"):
        return None
    held = low_at(outlook.pot, now, now + TOO_STRONG_WITHIN, "higher")[1]
    return "higher" if held < outlook.ceiling_c - LOW_NEAR else None


def low_was_read(state: State) -> bool:
    """Whether the wax was read over the low flame as it is set now, long enough after it was turned to show its strength."""
    return _was_read(state, ("lower", "higher"), READ_SOONEST)


def low_is_known(state: State) -> bool:
    """The same, but surely: read longer after the turn, or over a low flame that was set higher than the one now, which
    cannot be stronger than that."""
    return _was_read(state, ("higher",), READ_LOW_SOONEST)


def _was_read(state: State, anew: tuple[Knob, ...], after: float) -> bool:
    """Whether the wax was read at least `after` s into a low flame, looking back no further than the last turn of its knob in
    one of the directions `anew`."""
    times = [r.t for r in state.readings if r.place in ("pot", "jug") and not r.doubt]
    for span in reversed([span for span in state.burner_spans if span.what == "low"]):
        end = span.end if span.end is not None else float("inf")
        if any(span.start + after <= t <= end for t in times):
            return True
        if span.knob in anew:
            return False
    return False


def _is_too_strong(outlook: Outlook, pot: PotForecast, now: float) -> bool:
    """Whether the low flame likely takes wax to its ceiling before long."""
    return low_at(pot, now, now + TOO_STRONG_WITHIN)[1] >= outlook.ceiling_c - LOW_NEAR


def _lower_holds(outlook: Outlook, pot: PotForecast, need: PourNeed, now: float) -> bool:
    """Whether the low flame, set lower, would keep jugs below their ceiling and still warm enough to pour."""
    _, likely, high = held_low(pot, now, "lower")
    cold = low_at(pot, now, now + HOLDS_FOR, "lower")[1] < need.least - LOW_NEAR
    return not cold and likely < outlook.ceiling_c - LOW_NEAR and 0.5 * (likely + high) < outlook.ceiling_c


def _may(state: State, knob: Knob) -> bool:
    """Whether the person may be asked to turn the knob that way once more today: nobody said that it goes no further, it has
    not come to its end, and it was not turned too often."""
    if any(act.startswith(knob_act(knob)) for act in map(str, state.waived)):
        # Somebody said that it goes no further.
        return False
    turned = [span.knob for span in state.burner_spans if span.knob is not None]
    stands = turned.count("higher") - turned.count("lower")
    return len(turned) < MOST_TURNS and (stands > LOWEST if knob == "lower" else stands < HIGHEST)
