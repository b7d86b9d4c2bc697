"""What every list with one typed line beneath it does with a key. It knows no Textual, no files and no clock."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from typing import Generic, TypeVar

from pourday.tui.terminal.cursor import moved
from pourday.tui.terminal.rubbing import rubbed

Row = TypeVar("Row")
"""What a row of the list is."""


class LineListController(ABC, Generic[Row]):
    """Rows, the one that is stood on, and what is typed."""

    LONGEST = 200
    """Characters that a typed line can have."""

    def __init__(self) -> None:
        self.text = ""
        """What is typed so far."""
        self.at = 0
        """The row that is stood on, by its place in `rows`."""
        self.message = ""
        """What the last line came to, in a sentence; empty where that shows by itself."""
        self.leaving = False
        """Whether the person wants to go back to where they came from."""
        self.read = (0, 0)
        """Records that were read for the list so far, and how many there are."""

    @property
    @abstractmethod
    def rows(self) -> Sequence[Row]:
        """All rows, from the top."""

    @abstractmethod
    def enter(self) -> None:
        """Do what the typed line says; without one, begin a line about the chosen row."""

    @property
    def chosen(self) -> Row | None:
        """The row that is stood on; None in an empty list."""
        rows = self.rows
        return rows[min(self.at, len(rows) - 1)] if rows else None

    def press(self, key: str, character: str | None) -> None:
        """A key: move, type, Enter tells the line, Escape puts it away or leaves."""
        self.message = ""
        row = moved(self.at, key, len(self.rows))
        if row is not None:
            self.at = row
        elif key == "escape":
            self.leaving = not self.text
            self.text = ""
        elif key == "enter":
            self.enter()
        elif (left := rubbed(self.text, key)) is not None:
            self.text = left
        elif character and character.isprintable() and len(self.text) < self.LONGEST:
            self.text += character

    def paste(self, text: str) -> None:
        """Text from the clipboard goes into the line."""
        self.text = (self.text + " ".join(text.split()))[: self.LONGEST]

    def point(self, row: int) -> None:
        """A click on a row stands on it; one on the row that is stood on already does what Enter does."""
        if row == self.at and not self.text:
            self.enter()
        self.at = max(0, min(len(self.rows) - 1, row))
