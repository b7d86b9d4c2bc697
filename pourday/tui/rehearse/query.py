"""A day to be rehearsed, as a question in plain data: the day, then what would shorten it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import ClassVar

from pourday.errors import Trouble
from pourday.guide.advice.queries import Memory
from pourday.guide.ahead.alternatives import Shorter, shorter
from pourday.guide.ahead.begin import rehearsed
from pourday.guide.ahead.day import DayForecast, forecast_day
from pourday.guide.outlook.learned import prior_of
from pourday.guide.outlook.outlook import look_ahead
from pourday.learning.kitchen import LearnedKitchen
from pourday.plan.model import Plan
from pourday.session.quiet_hours import PersonsClock
from pourday.session.state import State


@dataclass(frozen=True, slots=True)
class RehearsalQuery:
    """The day of a plan, or what is left of a day (a state)."""

    urgency: ClassVar[int] = 2
    of: Plan | State
    now: float
    """Seconds since the epoch, as are the next two, of which one may be given for a plan."""
    clock: PersonsClock
    begins_at: float | None = None
    done_at: float | None = None
    kitchen: LearnedKitchen | None = None
    """What earlier days taught; None: nothing, or nothing that is to be used."""

    def answers(self, _memory: Memory) -> Iterator[DayForecast | Shorter | Trouble | str]:
        """A sentence on when the day begins, the day, then what would shorten it."""
        try:
            day, says = self._day()
        except Trouble as trouble:
            yield trouble
            return
        yield says
        yield day.light()
        yield from shorter(day, clock=self.clock)

    def _day(self) -> tuple[DayForecast, str]:
        if isinstance(self.of, Plan):
            return rehearsed(
                self.of, self.now, persons=self.clock, begins_at=self.begins_at, done_at=self.done_at,
                kitchen=self.kitchen,
            )  # fmt: skip
        prior = prior_of(self.kitchen, self.of.plan)
        outlook = look_ahead(self.of, self.now, prior=prior)
        return replace(forecast_day(self.of, outlook, self.now, clock=self.clock), prior=prior), ""
