"""A record to be read: the moulds played through time, planned beside actual, and what happened."""

from __future__ import annotations

from pourday.errors import Trouble
from pourday.language import tr
from pourday.store.candles import read_log
from pourday.store.live import LiveSession
from pourday.tui.base import LineScreen
from pourday.tui.drawing.lines import Line
from pourday.tui.printing import written_words
from pourday.tui.review.controller import ReviewController
from pourday.tui.review.layout import draw_review
from pourday.tui.terminal.clocks import WallClock, real


class ReviewScreen(LineScreen):
    """A record to be read, of a finished session or one that another program writes."""

    HELP = "review"

    def __init__(self, live: LiveSession) -> None:
        super().__init__()
        self.live = live
        self.review = ReviewController(live.entries, live.state)
        self._lost = ""
        """Why what is looked on at cannot be read just now."""

    def lines(self, cells: int, rows: int) -> list[Line]:
        finished = self.live.state.finished_at is not None
        remarks = self.live.remarks[:-1] if finished else self.live.remarks
        return draw_review(self.review, cells, rows, self._lost or " ".join(remarks[-1:]))

    def tick(self) -> None:
        if self.live.readonly and self._follow():
            self.review.renew(self.live.entries, self.live.state)
            self.draw()
        if self.review.tick(real()):
            self.draw()

    def _follow(self) -> bool:
        """Whether another program filed something since the last heartbeat."""
        before, lost = len(self.live.entries), self._lost
        self._lost = ""
        try:
            self.live.follow()
        except Trouble as trouble:
            self._lost = str(trouble)
        return len(self.live.entries) != before or lost != self._lost

    def pressed(self, key: str, character: str | None) -> None:
        if character == "i" and not self.review.papers:
            self._look_for_faults()
            return
        if self.review.press(key, character, real()):
            self.leave()

    def pointed(self, row: int) -> bool:
        self.review.point(row)
        return False

    def print_papers(self) -> None:
        """The record and the slips; of a record of candles nothing, for those belong to their batch."""
        live = self.live
        if live.state.batch:
            self.review.message = tr(
                "The papers are those of the batch: print them from {batch}.", batch=live.state.batch
            )
            return
        log = read_log(live.folder, live.session)
        self.review.message = written_words(
            live.folder, ("record", "slip"), live.state, live.entries, {} if log is None else log.candles
        )

    def _look_for_faults(self) -> None:
        """What is wrong with its candles, over this screen; what is said goes into the record of the candles."""
        state = self.live.state
        out = tuple(letter for letter in sorted(state.moulds) if state.came_out(letter))
        if state.batch or not out:
            self.review.message = tr("No candle of this record has left its mould.")
        else:
            self.review.message = ""
            self.pourday.open_faults(state, out, "after cure", WallClock().now)

    def leave(self) -> None:
        self.live.close()
        self.go_back()
