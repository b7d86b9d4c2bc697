"""What stands before leaving: entries that are not saved, a burner that may be lit."""

from __future__ import annotations

from pathlib import Path

from pourday.guide.acts.act import Choice, Question
from pourday.language import tr
from pourday.session import events as ev
from pourday.store.live import LiveSession

LEAVE = "x"
"""The key that leaves although something speaks against it: another than the one that asks to leave."""
RETRY, COPY = "r", "y"

_LIT = {
    "on": tr("The burner is lit."),
    "low": tr("The burner is lit, low."),
    "unknown": tr("Nobody knows whether the burner is off."),
}


def still_lit(live: LiveSession) -> Question | None:
    """What to ask about a burner that is not known to be off; None where there is nothing to ask."""
    if live.readonly or live.state.burner == "off":
        return None
    return Question(
        tr("{lit} Turn it off before you go.", lit=_LIT[live.state.burner]),
        (
            Choice("o", tr("off now; then q again"), (ev.BurnerSet(state="off"),)),
            Choice(LEAVE, tr("leave with it lit")),
        ),
    )


def before_leaving(live: LiveSession, copy_to: Path) -> Question | None:
    """The question to ask somebody who wants to leave; None where nothing speaks against it.

    `copy_to` is the folder that a copy of everything can be written into.
    """
    if live.unsaved:
        return Question(
            tr("Entries are NOT SAVED. Leave all the same?"),
            (
                Choice(RETRY, tr("try again now")),
                Choice(COPY, tr("copy everything to {copy_to}", copy_to=copy_to)),
                Choice(LEAVE, tr("leave, losing them")),
            ),
        )
    return still_lit(live)
