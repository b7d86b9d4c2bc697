"""What screens ask of the shelf, as questions in plain data: the records are read where they are answered."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

from pourday.errors import Trouble
from pourday.guide.advice.queries import Memory
from pourday.moulds.use import MouldUse
from pourday.stock.balance import DayTook


@dataclass(frozen=True, slots=True)
class DaysTookAnswer:
    """What the days say whose records were read so far: `done` of `of`."""

    days: tuple[DayTook, ...]
    uses: tuple[MouldUse, ...]
    """What they say of their moulds."""
    done: int
    of: int


@dataclass(frozen=True, slots=True)
class DaysTookQuery:
    """What each day of a folder takes off the shelf of materials and says of its moulds, more of them with each answer."""

    urgency: ClassVar[int] = 4
    folder: Path

    def answers(self, _memory: Memory) -> Iterator[DaysTookAnswer]:
        # Where the index is read TinyDB is loaded: a question is made by screens that need none.
        """More days with each answer; what was read so far where the folder cannot be read on."""
        from pourday.shelf.index import read_cards
        from pourday.shelf.materials import days_of

        days: list[DayTook] = []
        uses: list[MouldUse] = []
        try:
            for progress in read_cards(self.folder):
                days += days_of(progress.fresh.values())
                uses += [use for card in progress.fresh.values() for use in card.uses]
                yield DaysTookAnswer(tuple(days), tuple(uses), progress.done, progress.of)
        except Trouble:
            yield DaysTookAnswer(tuple(days), tuple(uses), 0, 0)
