"""What is due with the candles of all sessions, as a question in plain data."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

from pourday.burn.due import CandleDue
from pourday.errors import Trouble
from pourday.guide.advice.queries import Memory
from pourday.reports.due_report import due_in


@dataclass(frozen=True, slots=True)
class DueQuery:
    """What is due now in a folder, in order."""

    urgency: ClassVar[int] = 4
    folder: Path
    now: float

    def answers(self, _memory: Memory) -> Iterator[tuple[CandleDue, ...]]:
        try:
            rows, _ = due_in(self.folder, self.now)
        except Trouble:
            rows = ()
        yield tuple(row for row in rows if row.is_due(self.now))
