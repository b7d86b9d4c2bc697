"""The setup screen: the form with the weigh sheet beside it."""

from __future__ import annotations

from typing import ClassVar

from pourday.demo.station import Station
from pourday.store.live import LiveSession
from pourday.store.memories import Memories
from pourday.tui.base import LineScreen
from pourday.tui.drawing.lines import Line
from pourday.tui.setup.controller import SetupController
from pourday.tui.setup.layout import draw_setup
from pourday.tui.terminal.clocks import Clock

BELL, RINGS = "prepare.bell", ("left", "right", "space", "enter")
"""On this row these keys ring as an alarm does, so that it can be heard before it is ticked."""


class SetupScreen(LineScreen):
    HELP: ClassVar[str] = "setup"

    def __init__(self, live: LiveSession, clock: Clock, station: Station | None = None) -> None:
        super().__init__()
        self.live = live
        self.clock = clock
        self.station = station
        # A simulated day teaches nobody's memory anything.
        self.planner = SetupController(live, None if live.state.demo else Memories(live.folder))
        self._recalled = False

    def lines(self, cells: int, rows: int) -> list[Line]:
        return draw_setup(self.planner, cells, rows)

    def typing(self) -> bool:
        return self.planner.page is None and self.planner.row.kind == "text"

    def may_repeat(self, key: str, character: str | None) -> bool:
        row = self.planner.row
        if self.planner.page is not None:
            return super().may_repeat(key, character)
        if row.kind == "choice" and key in ("left", "right"):
            # Each step goes on record: tapped as often as one likes, held it stops.
            return not row.path.startswith("prepare.") and not self.pourday.held.by_machine
        return (key == "enter" and row.kind != "act") or super().may_repeat(key, character)

    def pressed(self, key: str, character: str | None) -> None:
        now = self.clock.now()
        row = self.planner.row.path
        self.planner.press(key, character, now)
        if row == BELL and key in RINGS and not self.pourday.ring("alarm"):
            self.planner.message = "The bell is off in the settings, so nothing was heard."
        if self.planner.started:
            if self.station is not None:
                self.station.begin(self.live.state, now)
            self.pourday.begin_day(self.live, self.station)
        elif self.planner.rehearsing:
            self.planner.rehearsing = False
            self.pourday.open_rehearsal(self.planner.plan, now)
        elif self.planner.leaving:
            self._go()

    def pasted(self, text: str) -> None:
        self.planner.paste(text)

    def tick(self) -> None:
        if self.live.unsaved:
            self.live.retry()
            self.draw()
        if not self._recalled:
            self._recalled = True
            self.planner.recall()
            self.draw()

    def leave(self) -> None:
        self.planner.page = None
        self.planner.leave(self.clock.now())
        if self.planner.leaving:
            self._go()
        else:
            self.draw()

    def _go(self) -> None:
        self.planner.leaving = False
        self.live.end("left", now=self.clock.now())
        self.live.close()
        self.go_back()
