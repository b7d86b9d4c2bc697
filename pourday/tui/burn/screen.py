"""The burn test on the screen: its clock, its bell, and its record that outlives a kill."""

from __future__ import annotations

from typing import Literal

from pourday.errors import Trouble
from pourday.language import tr
from pourday.session import events as ev
from pourday.session.state import State
from pourday.store import gap
from pourday.store.live import LiveSession
from pourday.store.memories import Memories
from pourday.times import span
from pourday.tui.base import LineScreen
from pourday.tui.burn.controller import BurnController
from pourday.tui.burn.layout import draw_burn
from pourday.tui.drawing.lines import Line
from pourday.tui.printing import written_words
from pourday.tui.terminal.clocks import WallClock, all_clocks, real

RETRY_EVERY = 2.0
"""s between two attempts to put on disk what it refused."""


class BurnScreen(LineScreen):
    """The candles of one batch; see `BurnController`."""

    HELP = "burn"

    def __init__(self, live: LiveSession, batch: State) -> None:
        super().__init__()
        self.live, self.clock = live, WallClock()
        self.burn = BurnController(live, batch, self.clock.now())
        self._watch = gap.watch(all_clocks())
        self._retry_at = 0.0
        self._lost = ""
        last = live.entries[-1].fact
        if isinstance(last, ev.Reopened) and self.burn.lit:
            self.burn.message = tr(
                "Opened again after {span}. Look whether they still burn.", span=span(last.away)
            )
        elif live.remarks:
            self.burn.message = live.remarks[-1]

    def lines(self, cells: int, rows: int) -> list[Line]:
        return draw_burn(self.burn, self.clock.now(), cells, rows, self._lost)

    def words(self) -> str:
        return tr("pourday: {burn}", burn=self.burn.word(self.clock.now())[0])

    def on_mount(self) -> None:
        super().on_mount()
        # A kill may have come between a judgement and the memory of it.
        self._remember()

    def _remember(self) -> None:
        """Wicks that passed are known to the next plan of their mould and wax."""
        Memories(self.live.folder).remember_wicks(self.burn.batch, self.live.state)

    def pasted(self, text: str) -> None:
        """The path of a photo, mostly."""
        self.burn.paste(text)

    def typing(self) -> bool:
        return self.burn.typing()

    def may_repeat(self, key: str, character: str | None) -> bool:
        # 388 g and 30 mm have the same sign twice, one right after the other.
        typed = character is not None and character.isprintable() and self.burn.takes(character)
        return typed or super().may_repeat(key, character)

    def tick(self) -> None:
        """Look for gaps, follow or save the record, see what is due, ring."""
        if self.pourday.ending:
            return
        now = self.clock.now()
        self._look_for_gaps(now)
        if self.live.readonly:
            self._follow()
        elif self.live.unsaved and real() >= self._retry_at:
            self._retry_at = real() + RETRY_EVERY
            if self.live.retry():
                self.burn.message = tr("Everything is saved again.")
        self.burn.look(now)
        self._signal(now)
        self.draw()

    def _signal(self, now: float) -> None:
        word, says = self.burn.word(now)
        waits = self.burn.question is None or self.burn.own is not None or self.burn.lighting is not None
        self.pourday.signals.look(word, says, " ".join(self.burn.alarms(now)), self.burn.quiet, waits)

    def _look_for_gaps(self, now: float) -> None:
        """File the times in which nobody can have watched a lit candle."""
        self._watch, gaps = gap.look(self._watch, all_clocks())
        if self.live.readonly or not self.burn.lit:
            return
        for each in gaps:
            self.live.file(ev.GapSeen(seconds=each.seconds, cause=each.cause), now=now, by="program")
        if gaps or self.live.unsaved:
            self._watch = gap.busy(self._watch, all_clocks())

    def _follow(self) -> None:
        self._lost = ""
        try:
            self.live.follow()
        except Trouble as trouble:
            self._lost = str(trouble)

    def pressed(self, key: str, character: str | None) -> None:
        now = self.clock.now()
        self._look_for_gaps(now)
        if character == "i" and self.burn.question is None and self.burn.chosen is not None:
            letters = tuple(candle.letter for candle in self.burn.candles)
            self.pourday.open_faults(
                self.burn.batch, letters, "burn test", self.clock.now, self.live, self.burn.chosen.letter
            )
            return
        self.burn.press(key, character, now)
        if self.live.unsaved:
            self._watch = gap.busy(self._watch, all_clocks())
        if self.burn.leaving:
            self.burn.leaving = False
            self._ask_or_leave()

    def pointed(self, row: int) -> None:
        if self.burn.question is None and self.burn.at != row:
            self.burn.at = row
        elif self.burn.question is None:
            self._act_on("space", " ")

    def _ask_or_leave(self) -> None:
        """What is not on disk is not left behind without a word; a lit candle is named."""
        if self.live.unsaved and not self.live.retry():
            self.burn.message = tr(
                "NOT SAVED: {trouble} Leave with Ctrl+C if it must be.", trouble=self.live.trouble
            )
            return
        self.finish("left")

    def finish(self, how: Literal["left", "hangup", "terminated"]) -> None:
        """File that the program stops here, remember a wick that passed, let go of the record."""
        self.live.end(how, now=self.clock.now())
        self._remember()
        self.live.close()
        self.go_back()

    def print_papers(self) -> None:
        """The slips of these candles."""
        candles = self.live.state.candles
        self.burn.message = written_words(self.live.folder, ("slip",), self.burn.batch, candles=candles)

    def leave(self) -> None:
        self.finish("left")
