"""A page that goes on with a record while something burns or melts: it saves what the disk refused, sees in which times nobody
can have watched, looks on where another program writes, and leaves nothing behind without a word."""

from __future__ import annotations

from typing import Literal

from pourday.errors import Trouble
from pourday.language import tr
from pourday.session import events as ev
from pourday.store import gap
from pourday.store.live import LiveSession
from pourday.tui.base import LineScreen
from pourday.tui.live_controller import LiveController
from pourday.tui.terminal.clocks import WallClock, all_clocks, real

RETRY_EVERY = 2.0
"""s between two attempts to put on disk what it refused."""


class LiveScreen(LineScreen):
    """A screen over a live record; `page` is its controller."""

    page: LiveController

    def __init__(self, live: LiveSession) -> None:
        super().__init__()
        self.live, self.clock = live, WallClock()
        self._watch: gap.Watch | None = None
        """None until the first look: how long the program takes to open is no time nobody watched."""
        self._retry_at = 0.0
        self._lost = ""

    def hear(self, now: float) -> None:
        """What comes in by itself between two looks; nothing here."""

    def waits(self, now: float) -> bool:
        """Whether there is nothing to do yet, so that a word that changes rings for nobody."""
        raise NotImplementedError

    def words(self) -> str:
        return tr("pourday: {word}", word=self.page.word(self.clock.now())[0])

    def typing(self) -> bool:
        return self.page.typing()

    def may_repeat(self, key: str, character: str | None) -> bool:
        # 388 g and 66.8 °C have the same sign twice, one right after the other.
        typed = character is not None and character.isprintable() and self.page.takes(character)
        return typed or super().may_repeat(key, character)

    def tick(self) -> None:
        """Look for gaps, follow or save the record, hear what comes in, see what is due, ring."""
        if self.pourday.ending:
            return
        now = self.clock.now()
        self._look_for_gaps(now)
        if self.live.readonly:
            self._follow()
        elif self.live.unsaved and real() >= self._retry_at:
            self._retry_at = real() + RETRY_EVERY
            if self.live.retry():
                self.page.message = tr("Everything is saved again.")
        self.hear(now)
        self.page.look(now)
        word, says = self.page.word(now)
        alarms = " ".join(self.page.alarms(now))
        self.pourday.signals.look(word, says, alarms, self.page.quiet, self.waits(now))
        self.draw()

    def pressed(self, key: str, character: str | None) -> None:
        now = self.clock.now()
        self._look_for_gaps(now)
        self.page.press(key, character, now)
        if self._watch is not None and self.live.unsaved:
            self._watch = gap.busy(self._watch, all_clocks())
        if self.page.leaving:
            self.page.leaving = False
            self._ask_or_leave()

    def _look_for_gaps(self, now: float) -> None:
        """File the times in which nobody can have watched a flame."""
        if self._watch is None:
            self._watch = gap.watch(all_clocks())
        self._watch, gaps = gap.look(self._watch, all_clocks())
        if self.live.readonly or not self.page.is_lit():
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

    def _ask_or_leave(self) -> None:
        """What is not on disk is not left behind without a word."""
        if self.live.unsaved and not self.live.retry():
            self.page.message = tr(
                "NOT SAVED: {trouble} Leave with Ctrl+C if it must be.", trouble=self.live.trouble
            )
            return
        self.finish("left")

    def finish(self, how: Literal["left", "hangup", "terminated"]) -> None:
        """File that the program stops here, let go of the record."""
        self.live.end(how, now=self.clock.now())
        self.live.close()
        self.go_back()

    def leave(self) -> None:
        self.finish("left")
