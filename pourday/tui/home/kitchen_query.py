"""What finished days taught of the kitchen, worked out beside the screens and kept in its cache."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

from pourday.errors import Trouble
from pourday.guide.advice.queries import Memory
from pourday.reports.kitchen_days import day_rows


@dataclass(frozen=True, slots=True)
class KitchenQuery:
    """How many records of a folder are worked out; one record at a time, so that nobody else waits for them."""

    urgency: ClassVar[int] = 5
    folder: Path

    def answers(self, _memory: Memory) -> Iterator[int | None]:
        done = -1
        while True:
            try:
                rows = len(day_rows(self.folder, most=1))
            except Trouble:
                return
            if rows == done:
                yield rows
                return
            done = rows
            yield None
