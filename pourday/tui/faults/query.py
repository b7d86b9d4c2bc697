"""Why a candle has a fault, as a question in plain data: the records are read where it is answered."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

from pourday.errors import Trouble
from pourday.guide.advice.queries import Memory
from pourday.reports.faults_report import Why, why_of


@dataclass(frozen=True, slots=True)
class WhyQuery:
    """One fault of one candle of a session: first by its own record, then with the other days beside it."""

    urgency: ClassVar[int] = 3
    folder: Path
    session: str
    letter: str
    fault: str

    def answers(self, _memory: Memory) -> Iterator[Why | Trouble]:
        try:
            yield why_of(self.folder, self.session, self.letter, self.fault, with_days=False)
            yield why_of(self.folder, self.session, self.letter, self.fault)
        except Trouble as trouble:
            yield trouble
