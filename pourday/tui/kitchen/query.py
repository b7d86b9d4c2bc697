"""What the page of the kitchen shows, worked out beside the screens."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar

from pourday.errors import Trouble
from pourday.guide.advice.queries import Memory
from pourday.reports.kitchen_days import day_rows
from pourday.reports.kitchen_report import kitchen_data
from pourday.store.memories import Memories


@dataclass(frozen=True, slots=True)
class KitchenPageQuery:
    """The data of `kitchen_data`; first by the records that were worked out before, then by all. A `Trouble` says why not."""

    urgency: ClassVar[int] = 3
    folder: Path
    now: float

    def answers(self, _memory: Memory) -> Iterator[dict[str, Any] | Trouble | None]:
        choices = Memories(self.folder).kitchen_choices()
        try:
            rows = day_rows(self.folder, most=0)
            yield kitchen_data(rows, choices, self.now)
            done = -1
            while len(rows) != done:
                done = len(rows)
                rows = day_rows(self.folder, most=1)
                yield None
        except Trouble as trouble:
            yield trouble
            return
        yield kitchen_data(rows, choices, self.now)
