"""Why something was taken back or put right: asked once that is on record, and any other key gives no reason."""

from __future__ import annotations

from pourday.language import tr, word
from pourday.session import events as ev
from pourday.session.events import Fact
from pourday.tui.drawing.lines import Line, hint, width

REASONS = {"m": "mistyped", "x": "pressed by mistake", "i": "it was not so"}
"""Keys that say why; none of them does anything else at the stove."""
WORDS = "n"
"""The key for words of one's own: that of a note."""


class ReasonLine:
    """The line about one entry that took back or put right another; see `Aside`."""

    touched = False

    def __init__(self, entry: int) -> None:
        self.entry = entry
        self.message = ""
        self.open = True
        self.in_words = False
        """The reason is to be written."""

    def takes(self, key: str, character: str | None) -> bool:
        return key in ("enter", "space", "escape") or (character or "").lower() in {*REASONS, WORDS}

    def press(self, key: str, character: str | None) -> tuple[Fact, ...]:
        self.open = False
        letter = "" if key in ("enter", "space", "escape") else (character or "").lower()
        self.in_words = letter == WORDS
        return (ev.Reasoned(entry=self.entry, why=REASONS[letter]),) if letter in REASONS else ()

    def rows(self, cells: int) -> tuple[Line, ...]:
        drawn: list[Line] = [((tr("Why?"), "glow bold"),)]
        for key, says in (*REASONS.items(), (WORDS, tr("in words"))):
            answer: Line = (("  ", "ink"), *hint(key, word(says), "glow bold", "ink"))
            if width(drawn[-1]) + width(answer) > cells:
                drawn.append(answer)
            else:
                drawn[-1] = (*drawn[-1], *answer)
        return tuple(drawn)

    def keys(self) -> tuple[tuple[str, str], ...]:
        return (("Space", tr("no reason")), (tr("any other key"), tr("does its own work")))
