"""A day to be rehearsed, as a question in plain data: the day, then what would shorten it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from pourday.errors import Trouble
from pourday.guide.advice.queries import Memory
from pourday.guide.ahead.alternatives import Shorter, shorter
from pourday.guide.ahead.day import DayForecast, ahead_of_plan, forecast_day
from pourday.guide.outlook.outlook import look_ahead
from pourday.plan.model import Plan
from pourday.session.quiet_hours import PersonsClock
from pourday.session.state import State


@dataclass(frozen=True, slots=True)
class RehearsalQuery:
    """The day of a plan, or what is left of a day (a state)."""

    urgency: ClassVar[int] = 2
    of: Plan | State
    begins_at: float
    """Seconds since the epoch."""
    clock: PersonsClock

    def answers(self, _memory: Memory) -> Iterator[DayForecast | Shorter | Trouble]:
        try:
            day = self._day()
        except Trouble as trouble:
            yield trouble
            return
        yield day.light()
        yield from shorter(day, clock=self.clock)

    def _day(self) -> DayForecast:
        if isinstance(self.of, Plan):
            return ahead_of_plan(self.of, self.begins_at, clock=self.clock)
        return forecast_day(self.of, look_ahead(self.of, self.begins_at), self.begins_at, clock=self.clock)
