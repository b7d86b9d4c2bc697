"""The setup screen: the form with the weigh sheet beside it."""

from __future__ import annotations

from textual import events

from pourday.demo.station import Station
from pourday.store.live import LiveSession
from pourday.tui.base import LineScreen
from pourday.tui.clocks import Clock
from pourday.tui.lines import Line
from pourday.tui.planner import Planner
from pourday.tui.setup_layout import draw_setup
from pourday.tui.stove_screen import StoveScreen


class SetupScreen(LineScreen):
    def __init__(self, live: LiveSession, clock: Clock, station: Station | None = None) -> None:
        super().__init__()
        self.live = live
        self.clock = clock
        self.station = station
        self.planner = Planner(live)

    def lines(self, cells: int, rows: int) -> list[Line]:
        return draw_setup(self.planner, cells, rows)

    def pressed(self, key: str, character: str | None) -> None:
        now = self.clock.now()
        self.planner.press(key, character, now)
        if self.planner.started:
            if self.station is not None:
                self.station.begin(self.live.state, now)
            self.pourday.switch_screen(StoveScreen(self.live, self.clock, self.station))
        elif self.planner.leaving:
            self.leave()

    def on_paste(self, event: events.Paste) -> None:
        event.stop()
        self.planner.paste(event.text.splitlines()[0] if event.text else "")
        self.draw()

    def tick(self) -> None:
        if self.live.unsaved:
            self.live.retry()

    def leave(self) -> None:
        self.planner.leaving = False
        if not self.planner.commit(self.clock.now()):
            self.draw()
            return
        self.live.end("left", now=self.clock.now())
        self.live.close()
        self.go_back()
