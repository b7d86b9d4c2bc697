"""The cards of all sessions, and days side by side, as questions in plain data."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

from pourday.errors import Trouble
from pourday.guide.advice.queries import Memory
from pourday.shelf.compare import ComparedDay, Comparison, compare
from pourday.shelf.index import Progress, read_cards
from pourday.store.candles import read_log
from pourday.store.reading import read_session


@dataclass(frozen=True, slots=True)
class ShelfQuery:
    """The cards of a folder, a few at a time, so that whatever is more urgent comes between."""

    urgency: ClassVar[int] = 5
    folder: Path
    unlisted: tuple[str, ...] = ()
    """Files of which the list knows no more than the name."""

    def answers(self, _memory: Memory) -> Iterator[Progress]:
        try:
            yield from read_cards(self.folder, unlisted=self.unlisted)
        except Trouble:
            yield Progress(0, 0, {})


@dataclass(frozen=True, slots=True)
class CompareQuery:
    """Days side by side; a sentence where that cannot be."""

    urgency: ClassVar[int] = 4
    folder: Path
    sessions: tuple[str, ...]

    def answers(self, _memory: Memory) -> Iterator[Comparison | str]:
        try:
            days = []
            for name in self.sessions:
                stored = read_session(self.folder, name)
                days.append(ComparedDay(stored.state, stored.entries, read_log(self.folder, name)))
            yield compare(days)
        except Trouble as trouble:
            yield str(trouble)
