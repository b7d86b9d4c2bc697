"""The setup screen: the form with the weigh sheet beside it."""

from __future__ import annotations

from typing import ClassVar

from pourday.demo.station import Station
from pourday.guide.advice.queries import Failed, Query
from pourday.language import tr
from pourday.moulds.memory import remembered
from pourday.shelf.questions import DaysTookAnswer, DaysTookQuery
from pourday.stock.balance import stock_now
from pourday.store.live import LiveSession
from pourday.store.memories import Memories
from pourday.store.moulds import MouldNotes
from pourday.store.stock import Stock
from pourday.tui.base import LineScreen
from pourday.tui.drawing.lines import Line
from pourday.tui.printing import written_words
from pourday.tui.setup.controller import SetupController, takes_text
from pourday.tui.setup.layout import draw_setup
from pourday.tui.terminal.clocks import Clock
from pourday.tui.terminal.keys import BY_ID

BELL, RINGS = "prepare.bell", ("left", "right", "space", "enter")
"""On this row these keys ring as an alarm does, so that it can be heard before it is ticked."""
READY_MADE = tr(
    "This plan can be poured as it stands: End, then Enter twice, begins with it. Or change what you like."
)
"""Said of the plan that a demo by hand brings."""


class SetupScreen(LineScreen):
    """The form of one plan; see `SetupController` for what it knows."""

    HELP: ClassVar[str] = "setup"

    def __init__(self, live: LiveSession, clock: Clock, station: Station | None = None) -> None:
        super().__init__()
        self.live = live
        self.clock = clock
        self.station = station
        # A simulated day teaches nobody's memory anything.
        self.controller = SetupController(live, None if live.state.demo else Memories(live.folder))
        self._recalled = False
        if station is not None:
            self.controller.message = READY_MADE

    def lines(self, cells: int, rows: int) -> list[Line]:
        return draw_setup(self.controller, cells, rows)

    def typing(self) -> bool:
        row = self.controller.row
        if self.controller.goes_on(self.pourday.keys.key(BY_ID["fire"]), self.clock.now()):
            return True
        return self.controller.page is None and (row.kind == "text" or takes_text(row))

    def may_repeat(self, key: str, character: str | None) -> bool:
        row = self.controller.row
        if self.controller.page is not None:
            return super().may_repeat(key, character)
        if row.kind == "choice" and key in ("left", "right"):
            return False
        return (key == "enter" and row.kind != "act") or super().may_repeat(key, character)

    def may_tap(self, key: str) -> bool:
        # Each step along the choices goes on record.
        return self.controller.row.kind == "choice" and key in ("left", "right")

    def pressed(self, key: str, character: str | None) -> None:
        now = self.clock.now()
        row = self.controller.row.path
        self.controller.press(key, character, now)
        if row == BELL and key in RINGS and not self.pourday.ring("alarm"):
            self.controller.message = tr("The bell is off in the settings, so nothing was heard.")
        if self.controller.started:
            if self.station is not None:
                self.station.begin(self.live.state, now)
            self.pourday.begin_day(self.live, self.station)
        elif self.controller.rehearsing:
            self.controller.rehearsing = False
            self.pourday.open_rehearsal(self.controller.plan, now)
        elif self.controller.leaving:
            self._go()

    def pointed(self, row: int) -> bool:
        acts = self.controller.point(row, self.clock.now())
        if acts:
            self._act_on("right" if self.controller.row.kind == "choice" else "enter", None)
        return acts

    def pasted(self, text: str) -> None:
        self.controller.paste(text)

    def print_papers(self) -> None:
        if self.controller.commit(self.clock.now()):
            self.controller.message = written_words(self.live.folder, ("sheet",), self.live.state)

    def tick(self) -> None:
        if self.live.unsaved:
            self.live.retry()
            self.draw()
        if not self._recalled:
            self._recalled = True
            self.controller.recall()
            self._ask_shelf()
            self.draw()

    def _ask_shelf(self) -> None:
        """What is there of materials and known of moulds, for findings and the preparation list; nothing for a demo."""
        if self.live.state.demo:
            return
        folder = self.live.folder
        lots, notes = Stock(folder).lots(), MouldNotes(folder).notes()
        query: Query[DaysTookAnswer] = DaysTookQuery(self.live.folder)

        def learn(answer: DaysTookAnswer | Failed) -> None:
            if isinstance(answer, DaysTookAnswer) and answer.done == answer.of:
                self.controller.stock = stock_now(lots, answer.days) if lots else None
                self.controller.moulds = remembered(answer.uses, notes)
                self.draw()

        self.pourday.worker.ask(query, learn)

    def leave(self) -> None:
        self.controller.page = None
        self.controller.leave(self.clock.now())
        if self.controller.leaving:
            self._go()
        else:
            self.draw()

    def _go(self) -> None:
        self.controller.leaving = False
        self.live.end("left", now=self.clock.now())
        self.live.close()
        self.go_back()
