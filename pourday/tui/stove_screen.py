"""The screen at the stove: draws what the desk and the guide say, and hands keys to the desk."""

from __future__ import annotations

from typing import Literal

from pourday.demo.station import Station
from pourday.errors import Trouble
from pourday.guide.words import span
from pourday.session import events as ev
from pourday.session.events import Fact
from pourday.store import gap
from pourday.store.live import LiveSession
from pourday.tui.base import LineScreen
from pourday.tui.cards import draw_fire, draw_help
from pourday.tui.clocks import Clock, all_clocks, real
from pourday.tui.desk import Desk
from pourday.tui.foot import foot
from pourday.tui.lines import Line
from pourday.tui.stove_layout import Look, draw_stove

RETRY_EVERY = 2.0
BELL_EVERY = (3.0, 3.0, 6.0, 15.0, 30.0)
"""Seconds between bells of one alarm nobody answers: it slows down, it does not stop."""


class StoveScreen(LineScreen):
    def __init__(self, live: LiveSession, clock: Clock, station: Station | None = None) -> None:
        super().__init__()
        self.live = live
        self.clock = clock
        self.station = station
        self.desk = Desk(live, self._filed)
        self._watch = gap.watch(all_clocks())
        self._retry_at = 0.0
        self._bells = 0
        self._bell_at = 0.0
        self._said = ""
        self._lost = ""
        """Why what is looked on at cannot be read just now."""

    # -- drawing ------------------------------------------------------------------------------------

    def lines(self, cells: int, rows: int) -> list[Line]:
        if self.desk.card == "fire":
            return draw_fire(cells, rows)
        if self.desk.card == "help":
            return draw_help(cells, rows, self.station is not None)
        strip = self.station.strip(self.live.state) if self.station else ""
        look = Look(self.desk.chosen, self.desk.finished_view, strip)
        return draw_stove(self.desk.advice, self.clock.now(), cells, rows, foot(self.desk, cells), look)

    # -- time ---------------------------------------------------------------------------------------

    def on_mount(self) -> None:
        self.desk.wake(real())
        self.desk.message = self._carried_on()
        self.desk.look(self.clock.now())
        super().on_mount()

    def _carried_on(self) -> str:
        """How long nobody watched, and what there is to say of the file, where this session was opened again."""
        last = self.live.entries[-1].fact
        if not isinstance(last, ev.Reopened) or self.live.readonly:
            return ""
        return " ".join([f"Opened again after {span(last.away)}.", *self.live.remarks])

    def tick(self) -> None:
        now = self.clock.now()
        self._look_for_gaps(now)
        if self.live.readonly:
            self._follow()
        elif self.live.unsaved and real() >= self._retry_at:
            self._retry_at = real() + RETRY_EVERY
            self.live.retry()
        advice = self.desk.look(now)
        if self.station is not None and not self.live.readonly:
            self.station.tick(advice, now, self._file_as_person)
        self._ring()
        self.draw()

    def _follow(self) -> None:
        lost, self._lost = self._lost, ""
        try:
            self.live.follow()
        except Trouble as trouble:
            self._lost = str(trouble)
        if self._lost or self.desk.message == lost:
            self.desk.message = self._lost

    def _look_for_gaps(self, now: float) -> None:
        self._watch, gaps = gap.look(self._watch, all_clocks())
        if self.station is not None or self.live.readonly:
            return
        for found in gaps:
            self.live.file(ev.GapSeen(seconds=found.seconds, cause=found.cause), now=now, by="program")

    def _ring(self) -> None:
        """One bell for a new prompt; for an alarm again and again, ever slower, until a key is pressed."""
        first = self.desk.advice.now
        said = first.word if first else ""
        unanswered = any(a.acknowledged_at is None for a in self.live.state.alarms.values())
        if unanswered and not self.desk.quiet:
            if real() >= self._bell_at:
                self.app.bell()
                self._bell_at = real() + BELL_EVERY[min(self._bells, len(BELL_EVERY) - 1)]
                self._bells += 1
        else:
            self._bells, self._bell_at = 0, 0.0
            if said != self._said and not said.startswith("WAIT") and self._said:
                self.app.bell()
        self._said = said

    # -- keys ---------------------------------------------------------------------------------------

    def pressed(self, key: str, character: str | None) -> None:
        now = self.clock.now()
        self.desk.look(now)
        idle = not (self.desk.entry.text or self.desk.writing or self.desk.question or self.desk.card)
        if self.station is not None and idle and self._demo_key(character):
            return
        self.desk.press(key, character, now, real())
        if self.desk.leaving:
            self.finish("left")

    def _demo_key(self, character: str | None) -> bool:
        assert self.station is not None
        match character:
            case "p":
                self.station.pause(real())
            case "[":
                self.station.faster(-1, real())
            case "]":
                self.station.faster(+1, real())
            case "y":
                self.station.hands_free = not self.station.hands_free
            case _:
                return False
        return True

    def _filed(self, fact: Fact) -> None:
        if self.station is not None:
            self.station.filed(fact, self.live.state, self.clock.now())

    def _file_as_person(self, fact: Fact) -> None:
        if isinstance(fact, ev.Finished):
            self.live.finish(fact.verdict, now=self.clock.now())
            return
        self.live.file(fact, now=self.clock.now())
        self._filed(fact)

    # -- leaving ------------------------------------------------------------------------------------

    def finish(self, how: Literal["left", "hangup", "terminated"]) -> None:
        """File that the program stops here, let go of the session, end."""
        self.live.end(how, now=self.clock.now())
        self.live.close()
        self.go_back()

    def leave(self) -> None:
        self.desk.leave()
        if self.desk.leaving:
            self.finish("left")
        self.draw()
