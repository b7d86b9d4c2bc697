"""One line that is asked once something is on record: whoever has no answer goes on as if nothing was asked."""

from __future__ import annotations

from typing import Protocol

from pourday.session.events import Fact
from pourday.tui.drawing.lines import Line


class Aside(Protocol):
    """A line that asks about what was just put on record, which stands whatever becomes of the line.

    A key it does not take puts it away, and then does its own work.
    """

    message: str
    """What is said of the last key; empty for nothing."""
    open: bool
    """Whether it is still asked."""

    @property
    def touched(self) -> bool:
        """Whether anything is typed into it."""

    def takes(self, key: str, character: str | None) -> bool:
        """Whether a key is for it."""

    def press(self, key: str, character: str | None) -> tuple[Fact, ...]:
        """One key that it takes; what is to be put on record by it."""

    def rows(self, cells: int) -> tuple[Line, ...]:
        """The line as it is shown."""

    def keys(self) -> tuple[tuple[str, str], ...]:
        """(key, what it does) for the bottom line."""
