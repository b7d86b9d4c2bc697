"""The burn test on the screen: its clock, its bell, and its record that outlives a kill."""

from __future__ import annotations

from typing import Literal

from pourday.language import tr
from pourday.session import events as ev
from pourday.session.state import State
from pourday.store.live import LiveSession
from pourday.store.memories import Memories
from pourday.times import span
from pourday.tui.burn.controller import BurnController
from pourday.tui.burn.layout import draw_burn
from pourday.tui.drawing.lines import Line
from pourday.tui.live_screen import LiveScreen
from pourday.tui.printing import written_words


class BurnScreen(LiveScreen):
    """The candles of one batch; see `BurnController`."""

    HELP = "burn"

    def __init__(self, live: LiveSession, batch: State) -> None:
        super().__init__(live)
        self.page = self.burn = BurnController(live, batch, self.clock.now())
        last = live.entries[-1].fact
        if isinstance(last, ev.Reopened) and self.burn.lit:
            self.burn.message = tr(
                "Opened again after {span}. Look whether they still burn.", span=span(last.away)
            )
        elif live.remarks:
            self.burn.message = live.remarks[-1]

    def lines(self, cells: int, rows: int) -> list[Line]:
        return draw_burn(self.burn, self.clock.now(), cells, rows, self._lost)

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

    def waits(self, now: float) -> bool:  # noqa: ARG002
        return self.burn.question is None or self.burn.own is not None or self.burn.lighting is not None

    def pressed(self, key: str, character: str | None) -> None:
        if character == "i" and self.burn.question is None and self.burn.chosen is not None:
            letters = tuple(candle.letter for candle in self.burn.candles)
            self.pourday.open_faults(
                self.burn.batch, letters, "burn test", self.clock.now, self.live, self.burn.chosen.letter
            )
            return
        super().pressed(key, character)

    def pointed(self, row: int) -> bool:
        if self.burn.question is not None:
            return False
        if self.burn.at != row:
            self.burn.at = row
            return False
        self._act_on("space", " ")
        return True

    def finish(self, how: Literal["left", "hangup", "terminated"]) -> None:
        """File that the program stops here, remember a wick that passed, let go of the record."""
        self._remember()
        super().finish(how)

    def print_papers(self) -> None:
        """The slips of these candles."""
        candles = self.live.state.candles
        self.burn.message = written_words(self.live.folder, ("slip",), self.burn.batch, candles=candles)
