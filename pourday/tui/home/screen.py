"""The first screen: what is open or due on top, then what was finished; or where to begin.

It is painted before the folder is read, so that a key finds somebody at home.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from pourday.errors import Trouble
from pourday.language import tr
from pourday.times import MINUTE, local
from pourday.tui.base import LineScreen
from pourday.tui.drawing.lines import Line
from pourday.tui.home.command import HomeCommand
from pourday.tui.home.controller import HomeController, NextOfSession
from pourday.tui.home.layout import draw_home
from pourday.tui.terminal.clocks import WallClock

if TYPE_CHECKING:
    from pourday.guide.advice.queries import Failed, Query
    from pourday.plan.model import Plan
    from pourday.shelf.compare import Comparison
    from pourday.shelf.index import Progress

JUST_AFTER = 0.04
"""Seconds from being shown to reading the folder: two or three frames."""
SETTLES = 2.0
"""Seconds between two times that a list of thousands is put in order while it becomes known."""
LOOK_AGAIN = 600.0
"""Seconds after which what is due next is worked out anew."""


class HomeScreen(LineScreen):
    """The first screen; see `HomeController` for what it knows."""

    HELP = "home"

    def __init__(self) -> None:
        super().__init__()
        self.clock = WallClock()
        self._home: HomeController | None = None
        self._looking = False
        """Whether what is due next is being worked out."""
        self._looked_at = 0.0
        self._reading = False
        """Whether the records are being looked into, and"""
        self._read_at = 0.0
        """when that was begun last."""
        self._settled_at = 0.0
        """When a long list was last put in order."""
        self._minute = 0
        """The minute that is shown."""

    @property
    def home(self) -> HomeController:
        if self._home is None:
            first = "units" not in self.pourday.loaded.texts
            self._home = HomeController(self.pourday.folder, first=first)
        return self._home

    def on_screen_resume(self) -> None:
        super().on_screen_resume()
        self._read_at = 0.0
        # Not before the first frame is out, however slow the machine.
        self.call_after_refresh(lambda: self.set_timer(JUST_AFTER, self._read))

    def _read(self) -> None:
        self.home.read()
        self.home.message = self.home.message or self.pourday.remark()
        self.draw()

    def lines(self, cells: int, rows: int) -> list[Line]:
        return draw_home(self.home, self.clock.now(), cells, rows)

    # -- what comes next ----------------------------------------------------------------------------

    def tick(self) -> None:
        now = self.clock.now()
        waiting = self.home.waiting()
        if not waiting and abs(now - self._looked_at) > LOOK_AGAIN:
            waiting = list(self.home.next)
        if waiting and self.pourday.warm and not self._looking:
            from pourday.tui.home.next_act import NextActsQuery

            self._looking = True
            query = NextActsQuery(self.pourday.folder, tuple(waiting), now)
            self.pourday.worker.ask(query, self._learn, self._looked)
        if (
            self.home.known
            and self.pourday.warm
            and not self._reading
            and abs(now - self._read_at) > LOOK_AGAIN
        ):
            from pourday.tui.home.kitchen_query import KitchenQuery
            from pourday.tui.home.shelf_query import ShelfQuery

            self._reading, self._read_at = True, now
            cards = ShelfQuery(self.pourday.folder, tuple(self.home.unread))
            self.pourday.worker.ask(cards, self._learn_cards, self._read_over)
            self.pourday.worker.ask(KitchenQuery(self.pourday.folder), lambda _: None, lambda: None)
        if self.home.stale and abs(now - self._settled_at) > SETTLES:
            self._settled_at = now
            self.home.settle()
            self.draw()
        if int(now // MINUTE) != self._minute:
            self._minute = int(now // MINUTE)
            self.draw()

    def _learn(self, upcoming: dict[str, NextOfSession] | Failed) -> None:
        if isinstance(upcoming, dict):
            self.home.learn(upcoming)
            self._looked_at = self.clock.now()
            self.draw()

    def _learn_cards(self, progress: Progress | Failed) -> None:
        from pourday.shelf.index import Progress

        if isinstance(progress, Progress):
            self.home.learn_cards(progress)
            if not self.home.stale:
                self.draw()

    def _read_over(self) -> None:
        from pourday.shelf.card import due_now

        self._reading = False
        self.home.settle()
        self.home.due = due_now(self.home.finder.cards.values(), self.clock.now())
        self.draw()

    def _looked(self) -> None:
        self._looking = False

    # -- keys ---------------------------------------------------------------------------------------

    def pressed(self, key: str, character: str | None) -> None:
        command = self.home.press(key, character, self.clock.now())
        if command is None:
            return
        try:
            self._obey(command)
        except Trouble as trouble:
            self.home.message = str(trouble)

    def pointed(self, row: int) -> bool:
        acts = self.home.question is None and self.home.point(row)
        if acts:
            self.pressed("enter", None)
        return acts

    def _obey(self, command: HomeCommand) -> None:
        """Do what the controller asks of the program."""
        match command.act:
            case "leave":
                self.leave()
            case "candles":
                self.pourday.open_candles(command.session)
            case "open":
                self.pourday.resume(command.session)
            case "begin":
                self._begin(command.plan)
            case "heap":
                self.pourday.open_heap()
            case "demo":
                self.pourday.begin_demo()
            case "rehearse":
                self._rehearse(command)
            case "settings":
                self.pourday.open_settings()
            case "stock":
                self.pourday.open_stock()
            case "moulds":
                self.pourday.open_moulds()
            case "kitchen":
                self.pourday.open_kitchen()
            case "keep":
                self._keep(command)
            case "compare":
                self._compare(command.sessions)

    def _compare(self, sessions: tuple[str, ...]) -> None:
        """Have days laid side by side."""
        from pourday.tui.home.shelf_query import CompareQuery

        query: Query[Comparison | str] = CompareQuery(self.pourday.folder, sessions)
        self.pourday.worker.ask(query, self._show_beside)

    def _show_beside(self, beside: Comparison | str | Failed) -> None:
        from pourday.guide.advice.queries import Failed

        self.home.show_beside(tr("Those days cannot be compared.") if isinstance(beside, Failed) else beside)
        self.draw()

    def _keep(self, command: HomeCommand) -> None:
        """Save what was answered at the first start; it counts until the end where it cannot be saved."""
        from pourday.store.settings import from_text, save

        path = self.pourday.loaded.path
        try:
            for name, text in command.keep:
                self.pourday.apply(save(path, name, text))
        except Trouble as trouble:
            self.home.message = str(trouble)
            self.pourday.apply(
                from_text("\n".join(f'{name} = "{text}"' for name, text in command.keep), path)
            )
            if not command.begins:
                return
        if command.begins:
            self._begin(None)
        else:
            self.home.message = tr("Kept for all plans; the key , (comma) changes it. n plans a day.")

    def typing(self) -> bool:
        typed = self.home.question is not None and self.home.question.typed is not None
        return typed or (self.home.finder.typing and self.home.page == "list")

    def _begin(self, plan: Plan | None) -> None:
        """Begin a session with a plan, else with an empty one."""
        from pourday.plan.model import Plan
        from pourday.session import events as ev
        from pourday.store.live import LiveSession
        from pourday.tui.home.new_plan import empty_plan

        now = self.clock.now()
        if plan is None:
            plan = empty_plan(self.pourday.settings)
        live = LiveSession.begin(self.pourday.folder, f"{local(now):%Y-%m-%d}", now=now)
        if plan != Plan():
            live.file(ev.PlanDrafted(plan=plan), now=now)
        self.home.page = "list"
        self.pourday.open_session(live)

    def _rehearse(self, command: HomeCommand) -> None:
        # A demo's day may lie ahead of the wall's clock.
        begins = max(self.clock.now(), command.state.last_t if command.state else 0.0)
        self.pourday.open_rehearsal(command.plan, begins, command.state)
