"""What days say of the moulds of a folder, and what was learned of their walls, as a question in plain data."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

from pourday.errors import Trouble
from pourday.guide.advice.queries import Memory
from pourday.moulds.use import MouldUse


@dataclass(frozen=True, slots=True)
class MouldsAnswer:
    """Uses of moulds, as far as their records were read."""

    uses: tuple[MouldUse, ...]
    walls: Mapping[str, tuple[float, int]]
    """(factor on the heat loss at the wall, days that taught it) by name and material."""
    done: int
    of: int


@dataclass(frozen=True, slots=True)
class MouldsQuery:
    """What each day of a folder says of its moulds, more of them with each answer; `now` in s since the epoch."""

    urgency: ClassVar[int] = 4
    folder: Path
    now: float

    def answers(self, _memory: Memory) -> Iterator[MouldsAnswer]:
        from pourday.shelf.index import read_cards
        from pourday.shelf.moulds import walls_of

        uses: list[MouldUse] = []
        try:
            walls = walls_of(self.folder, self.now)
            for progress in read_cards(self.folder):
                uses += [use for card in progress.fresh.values() for use in card.uses]
                yield MouldsAnswer(tuple(uses), walls, progress.done, progress.of)
        except Trouble:
            yield MouldsAnswer(tuple(uses), {}, 0, 0)
