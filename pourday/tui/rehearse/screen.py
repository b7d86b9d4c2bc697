"""The rehearsal: a whole day played through before the burner is lit. Nothing of it is recorded."""

from __future__ import annotations

from pourday.errors import Trouble
from pourday.guide.advice.queries import Failed, Query
from pourday.guide.ahead.alternatives import Shorter
from pourday.guide.ahead.day import DayForecast
from pourday.language import tr, word
from pourday.learning.kitchen import LearnedKitchen
from pourday.plan.model import Plan
from pourday.reports.kitchen_days import known_kitchen
from pourday.session.quiet_hours import PersonsClock
from pourday.session.state import State
from pourday.tui.base import HEARTBEAT, LineScreen
from pourday.tui.drawing.lines import Line
from pourday.tui.rehearse.controller import RehearsalController
from pourday.tui.rehearse.layout import draw_rehearsal, whole_page
from pourday.tui.rehearse.query import RehearsalQuery
from pourday.tui.terminal.clocks import WallClock, real

NO_PLAN = tr("No plan was chosen: this is the demo's.")


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
        self.controller = RehearsalController((shown.title if shown else "") or tr("your plan"), remark)
        self.controller.movable = state is None
        self._beat_at = 0.0
        self._number = 0
        """Of the question that the worker was asked."""

    def on_mount(self) -> None:
        self._beat_at = real()
        self._deaf = self.pourday.worker.listen(lambda _: self._ask())
        self._ask()

    def on_unmount(self) -> None:
        self._deaf()
        self.pourday.worker.drop(self._number)

    # -- computing, beside the screen ---------------------------------------------------------------

    def _ask(self) -> None:
        of = self.state if self.state is not None else self.plan
        assert of is not None
        settings = self.pourday.settings
        clock = PersonsClock(quiet_from=settings.quiet_from, quiet_to=settings.quiet_to)
        self.controller.ways, self.controller.trying = [], True
        self.controller.asked = False
        wants = self.controller
        query: Query[DayForecast | Shorter | Trouble | str] = RehearsalQuery(
            of, self.begins_at, clock, wants.begins_at, wants.done_at, self._kitchen()
        )
        self._number = self.pourday.worker.ask(query, self._take, self._over)

    def _kitchen(self) -> LearnedKitchen | None:
        """What earlier days taught; nothing of a simulated kitchen's day."""
        demo = self.state is not None and self.state.demo
        return None if demo else known_kitchen(self.pourday.folder, self.begins_at)

    def _take(self, part: DayForecast | Shorter | Trouble | Failed | str) -> None:
        match part:
            case str():
                self.controller.begins = part
            case DayForecast():
                self.controller.arrived(part)
            case Shorter():
                self.controller.ways.append(part)
            case Trouble():
                self.controller.trouble = str(part)
            case Failed():
                self.controller.trouble = tr("This day could not be worked out: {why}", why=word(part.why))

    def _over(self) -> None:
        self.controller.trying = False

    # -- screen -------------------------------------------------------------------------------------

    def lines(self, cells: int, rows: int) -> list[Line]:
        if self.controller.whole and self.controller.day_ahead is not None:
            page = whole_page(self.controller, self.controller.day_ahead, cells)
            self.controller.top = max(0, min(self.controller.top, len(page) - rows + 1))
        return draw_rehearsal(self.controller, cells, rows)

    def words(self) -> str:
        return tr("pourday: rehearsal")

    def tick(self) -> None:
        now, before = real(), self._beat_at
        self._beat_at = now
        if self.help_at is None:
            self.controller.tick(min(now - before, 4 * HEARTBEAT))
        self.draw()

    def pressed(self, key: str, character: str | None) -> None:
        self.controller.press(key, character, self.begins_at)
        if self.controller.asked:
            self.pourday.worker.drop(self._number)
            self._ask()
        if self.controller.leaving:
            self.leave()

    def typing(self) -> bool:
        return self.controller.typed is not None

    def pointed(self, row: int) -> bool:
        if self.controller.typed is not None:
            return False
        if self.controller.cursor == row:
            self._act_on("enter", None)
            return True
        self.controller.cursor = row
        return False

    def leave(self) -> None:
        """Back to where it was opened from; a session there stays what it is."""
        if self.opened_from_another:
            self.app.pop_screen()
        else:
            self.pourday.exit()
