"""The rehearsal: a whole day played through before the burner is lit. Nothing of it is recorded."""

from __future__ import annotations

import sys
from queue import SimpleQueue

from textual.worker import get_current_worker

from pourday.errors import Trouble
from pourday.guide.ahead.alternatives import Shorter, shorter
from pourday.guide.ahead.day import DayForecast, ahead_of_plan, forecast_day
from pourday.guide.outlook.outlook import look_ahead
from pourday.plan.model import Plan
from pourday.session.quiet_hours import PersonsClock
from pourday.session.state import State
from pourday.tui.base import HEARTBEAT, LineScreen
from pourday.tui.drawing.lines import Line
from pourday.tui.rehearse.controller import RehearsalController
from pourday.tui.rehearse.layout import draw_rehearsal, whole_page
from pourday.tui.terminal.clocks import WallClock, real

SWITCH = 0.0005
"""Seconds after which the computing thread lets the screen in; Python's usual 5 ms is felt at the keys."""
NO_PLAN = "No plan was chosen: this is the demo's."


class RehearsalScreen(LineScreen):
    """Rehearses a plan from a time on; or, with `state`, the rest of a day that has begun."""

    HELP = "rehearsal"

    def __init__(
        self, plan: Plan | None = None, begins_at: float | None = None, state: State | None = None
    ) -> None:
        super().__init__()
        remark = ""
        if plan is None and state is None:
            from pourday.demo.scenario import two_pillars

            plan, remark = two_pillars(), NO_PLAN
        self.plan = plan
        self.state = state
        self.begins_at = WallClock().now() if begins_at is None else begins_at
        shown = state.plan if state is not None else plan
        self.desk = RehearsalController((shown.title if shown else "") or "your plan", remark)
        self._inbox: SimpleQueue[DayForecast | Shorter | str | None] = SimpleQueue()
        self._beat_at = 0.0

    def on_mount(self) -> None:
        self._beat_at = real()
        self.run_worker(self._work, thread=True, exclusive=True, exit_on_error=False)

    # -- computing, in a thread of its own ----------------------------------------------------------

    def _work(self) -> None:
        """The day first, then what would shorten it; stops between two of them once nobody wants it."""
        sys.setswitchinterval(SWITCH)
        worker = get_current_worker()
        settings = self.pourday.settings
        clock = PersonsClock(quiet_from=settings.quiet_from, quiet_to=settings.quiet_to)
        try:
            found = self._day(clock)
            self._inbox.put(found)
            for way in shorter(found, clock=clock):
                if worker.is_cancelled:
                    return
                self._inbox.put(way)
        except Trouble as trouble:
            self._inbox.put(str(trouble))
        except Exception as broken:  # A rehearsal that fails shall not take the program along.
            self._inbox.put(f"This day could not be worked out: {broken}")
        self._inbox.put(None)

    def _day(self, clock: PersonsClock) -> DayForecast:
        if self.state is not None:
            outlook = look_ahead(self.state, self.begins_at)
            return forecast_day(self.state, outlook, self.begins_at, clock=clock)
        assert self.plan is not None
        return ahead_of_plan(self.plan, self.begins_at, clock=clock)

    def _take(self) -> None:
        """Take over what was worked out since the last look."""
        while not self._inbox.empty():
            match self._inbox.get():
                case DayForecast() as found:
                    self.desk.arrived(found)
                case Shorter() as way:
                    self.desk.ways.append(way)
                case str() as trouble:
                    self.desk.trouble = trouble
                case None:
                    self.desk.trying = False

    # -- screen -------------------------------------------------------------------------------------

    def lines(self, cells: int, rows: int) -> list[Line]:
        if self.desk.whole and self.desk.found is not None:
            page = whole_page(self.desk, self.desk.found, cells)
            self.desk.top = max(0, min(self.desk.top, len(page) - rows + 1))
        return draw_rehearsal(self.desk, cells, rows)

    def words(self) -> str:
        return "pourday: rehearsal"

    def tick(self) -> None:
        now, before = real(), self._beat_at
        self._beat_at = now
        self._take()
        if self.help_at is None:
            self.desk.tick(min(now - before, 4 * HEARTBEAT))
        self.draw()

    def pressed(self, key: str, character: str | None) -> None:
        self._take()
        self.desk.press(key, character)
        if self.desk.leaving:
            self.leave()

    def leave(self) -> None:
        """Back to where it was opened from; a session there stays what it is."""
        self.workers.cancel_node(self)
        if len(self.app.screen_stack) > 2:
            self.app.pop_screen()
        else:
            self.pourday.exit()
