"""What stands before leaving: entries that are not saved, a burner that may be lit."""

from __future__ import annotations

from pathlib import Path

from pourday.guide.acts.act import Choice, Question
from pourday.session import events as ev
from pourday.store.live import LiveSession

LEAVE = "x"
"""The second, different key that leaves although something speaks against it."""
RETRY, COPY = "r", "y"

_LIT = {
    "on": "The burner is lit.",
    "low": "The burner is lit, low.",
    "unknown": "Nobody knows whether the burner is off.",
}


def still_lit(live: LiveSession) -> Question | None:
    """What to ask about a burner that is not known to be off; None where there is nothing to ask."""
    if live.readonly or live.state.burner == "off":
        return None
    return Question(
        f"{_LIT[live.state.burner]} Turn it off before you go.",
        (
            Choice("o", "off now; then q again", (ev.BurnerSet(state="off"),)),
            Choice(LEAVE, "leave with it lit"),
        ),
    )


def before_leaving(live: LiveSession, copy_to: Path) -> Question | None:
    """The question to ask somebody who wants to leave; None where nothing speaks against it.

    `copy_to` is the folder that a copy of everything can be written into.
    """
    if live.unsaved:
        return Question(
            "Entries are NOT SAVED. Leave all the same?",
            (
                Choice(RETRY, "try again now"),
                Choice(COPY, f"copy everything to {copy_to}"),
                Choice(LEAVE, "leave, losing them"),
            ),
        )
    return still_lit(live)
