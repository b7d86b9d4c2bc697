"""Leaving the stove for a while: until when that costs nothing, and what is lost after it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pourday.guide.acts.act import Act
from pourday.guide.acts.heat_plan import IN_TIME
from pourday.guide.acts.sharing import last_call
from pourday.guide.outlook.outlook import Outlook
from pourday.language import ntr, tr
from pourday.times import MINUTE, clock, letters

WAITS = ("pour", "look", "plug", "decide")
"""Acts that come too late once their window closes; everything else can wait."""

SURE = 10.0 * MINUTE
"""s between the earliest and the likely end of a window up to which one time says both. An estimate of ours."""


@dataclass(frozen=True, slots=True)
class Leave:
    """How long nobody is missed."""

    wanted: float | None
    """When the next mould asks for somebody; None where none does."""
    back_by: float | None
    """The latest time to be back without loss; None where nothing is lost."""
    lost: str
    """What is lost after it; empty where nothing is."""


def leave(outlook: Outlook, acts: Sequence[Act], now: float) -> Leave:
    """Until when nobody is missed at the moulds, `acts` being what they ask for; the burner has to be off."""
    ahead = [act.due for act in acts if act.moulds and now < act.due < float("inf")]
    due = [act.due for act in acts if act.moulds and act.due <= now]
    wanted = now if due else min(ahead, default=None)
    closing = [(last_call(outlook, act), act) for act in acts if act.kind in WAITS and act.closes is not None]
    if not closing:
        return Leave(wanted, None, "")
    closes, act = min(closing, key=lambda pair: pair[0])
    # The jug has to be warmed again first, which takes no longer than being in time does.
    return Leave(wanted, max(now, closes - IN_TIME), _lost(outlook, act, closes, now))


def _lost(outlook: Outlook, act: Act, closes: float, now: float) -> str:
    """What is lost by coming back only after a window closed, in a sentence."""
    names = letters(act.moulds)
    forecast = outlook.mould(act.moulds[0])
    if forecast is not None and forecast.window.closed_by == "pulled":
        what = tr("may have pulled from the wall, and new wax would run down behind it")
    else:
        what = (
            tr("may be too cold to fuse without being warmed, or keep a weak join")
            if act.closes is not None and act.closes - closes > SURE
            else ntr(
                "is too cold to fuse without being warmed, or keeps a weak join",
                "are too cold to fuse without being warmed, or keep a weak join",
                len(act.moulds),
            )
        )
    if act.closes is not None and act.closes - closes > SURE:
        # At the earliest, long before it is likely: both are said.
        return tr(
            "As early as {clock}, more likely from {likely} on, {names} {what}.",
            clock=clock(max(closes, now), now),
            likely=clock(act.closes, now),
            names=names,
            what=what,
        )
    return tr("From about {clock} on {names} {what}.", clock=clock(closes, now), names=names, what=what)


def in_words(leave: Leave, now: float) -> str:
    """The same in words, as it stands in the question before leaving and on the screen while nobody is there."""
    if leave.back_by is None:
        if leave.wanted is None:
            return tr("Nothing waits for you.")
        when = (
            tr("is wanted now")
            if leave.wanted <= now
            else tr("is wanted about {clock}", clock=clock(leave.wanted, now))
        )
        return tr("The next act {when}; nothing is lost if it waits.", when=when)
    if leave.back_by <= now + MINUTE:
        return tr("Not now, if you can help it. {lost}", lost=leave.lost)
    return tr("Be back by {clock} at the latest. {lost}", clock=clock(leave.back_by, now), lost=leave.lost)
