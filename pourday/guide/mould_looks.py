"""When a layer is looked at before the next pour, and until when its window is taken to be open."""

from __future__ import annotations

from dataclasses import replace

from pourday.forecast.spread import Spread
from pourday.guide.act import Act, Choice, Question
from pourday.guide.mould_outlook import MouldOutlook
from pourday.session import events as ev
from pourday.session.state import MouldState

MINUTE = 60.0
DAY = 24 * 3600.0
LOOK_SOONEST, LOOK_LATEST = 5 * MINUTE, 25 * MINUTE
"""Between two looks. An estimate of ours."""
LOOK_PAST = 7 * MINUTE
"""From a look past the best moment to the next: what is a minute short of firm then is soon too cold. An estimate of ours."""
LOOK_AHEAD = 15 * MINUTE
"""A mould is first looked at this long before its window may close at the earliest. An estimate of ours."""
LOOK_AGAIN = {"wet": 0.5, "skinned": 0.3}
"""Share of the likely wait, and of what is left of the window, until the next look after one that was too early.
An estimate of ours."""

CUES: tuple[tuple[str, ev.Cue, str], ...] = (
    ("w", "wet", "wet"),
    ("s", "skinned", "skinned, soft under it"),
    ("f", "firm", "firm to the wall, wall warm"),
    ("c", "cold", "cold, tight to the wall"),
    ("p", "pulled away", "pulled away from the wall"),
)


def cue_question(letter: str) -> Question:
    """What the surface of a mould looks like."""
    return Question(
        f"{letter} looks:",
        tuple(Choice(key, label, (ev.Looked(mould=letter, cue=cue),)) for key, cue, label in CUES),
    )


def look_act(mould: MouldState, due: float, window: Spread | None, closes: float | None, why: str) -> Act:
    return Act(
        id=f"look {mould.letter} {len(mould.pours)}",
        kind="look",
        word="LOOK",
        moulds=mould.letter,
        says=f"Go and look at {mould.letter}: matt, firm to the wall and the wick, no fingerprint, wall still warm?",
        why=why,
        due=due,
        window=window,
        closes=closes,
        question=cue_question(mould.letter),
        place=("surface", mould.letter),
        urgency=4,
    )


def slower(forecast: MouldOutlook, mould: MouldState) -> float:
    """How many times slower than computed the layer on top cools, by a look that found it soft past its time."""
    last, look = mould.last_pour, mould.look
    soft = [x.t for x in mould.looks if last and x.t > last.t and x.cue in LOOK_AGAIN]
    if last is None or look is None or not soft or not last.t < forecast.best < float("inf"):
        return 1.0
    return max(1.0, (soft[-1] - last.t) / (forecast.best - last.t))


def closing(forecast: MouldOutlook, mould: MouldState) -> float | None:
    """When the window closes, later where the layer was seen to cool slower; None: empty, or not in sight."""
    if forecast.empty or forecast.closes is None or mould.last_pour is None:
        return None
    since = mould.last_pour.t
    return since + (forecast.closes - since) * slower(forecast, mould)


def look_at(forecast: MouldOutlook) -> float:
    """When to look first: at the best moment, sooner where the window may have closed soon after it.

    A look that comes too early costs a minute, one that comes too late the seam.
    """
    if forecast.empty or forecast.closes_spread is None:
        return forecast.best
    return min(forecast.best, max(forecast.opens.likely, forecast.closes_spread.early - LOOK_AHEAD))


def next_look(forecast: MouldOutlook, mould: MouldState, purpose: str) -> Act:
    """A look, at the forecast time or sooner after one that came too early."""
    last = mould.last_pour
    assert last is not None
    due, closes = look_at(forecast), closing(forecast, mould)
    if mould.look is not None and mould.look.cue in LOOK_AGAIN:
        share = LOOK_AGAIN[mould.look.cue]
        left = DAY if closes is None else (closes - mould.look.t) * share
        most = LOOK_LATEST if mould.look.t < forecast.best else LOOK_PAST
        due = mould.look.t + max(LOOK_SOONEST, min((due - last.t) * share, most, left))
    look = look_act(mould, due, forecast.opens, closes, f"{purpose} {forecast.why}")
    return replace(look, caution=forecast.advice)
