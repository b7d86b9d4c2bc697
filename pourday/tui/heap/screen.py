"""Wax that nobody knows on the screen: its clock, its beat and bell, its probe, and its record that outlives a kill."""

from __future__ import annotations

from typing import Literal

from pourday.errors import Trouble
from pourday.heap.beat import beats
from pourday.language import tr
from pourday.probes.watch import ProbeWatch
from pourday.session import events as ev
from pourday.session.state import LIT
from pourday.stock.lot import StockLot
from pourday.store import gap
from pourday.store.heaps import keep_heap
from pourday.store.live import LiveSession
from pourday.store.settings_probes import probe_sources_of, probe_tests_of
from pourday.times import span
from pourday.tui.base import LineScreen
from pourday.tui.drawing.lines import Line
from pourday.tui.heap.controller import HeapController
from pourday.tui.heap.layout import draw_heap
from pourday.tui.probe_reader import ProbeReader
from pourday.tui.terminal.clocks import WallClock, all_clocks, real
from pourday.wax.materials import Wax

RETRY_EVERY = 2.0
"""s between two attempts to put on disk what it refused."""


class HeapScreen(LineScreen):
    """One run with wax that nobody knows; see `HeapController`."""

    HELP = "heap"

    def __init__(self, live: LiveSession) -> None:
        super().__init__()
        self.live, self.clock = live, WallClock()
        watch_every = self.pourday.settings.watch_minutes * 60
        self.heap = HeapController(live, self.clock.now(), self._keep, watch_every)
        self._watch = gap.watch(all_clocks())
        self._retry_at = 0.0
        self._lost = ""
        self._beat_at = self._beats()
        self._probes: tuple[ProbeReader, ProbeWatch] | None = None
        last = live.entries[-1].fact
        if isinstance(last, ev.Reopened):
            lit = tr(" Look at the burner: it was lit.") if live.state.burner in LIT else ""
            self.heap.message = tr("Opened again after {span}.{lit}", span=span(last.away), lit=lit)
        elif live.remarks:
            self.heap.message = live.remarks[-1]

    def on_mount(self) -> None:
        super().on_mount()
        only_now = self.pourday.probe_sources
        sources = probe_sources_of(self.pourday.settings) if only_now is None else dict(only_now)
        if sources and not self.live.readonly:
            tests = probe_tests_of(self.pourday.settings) if only_now is None else {}
            reader = ProbeReader(sources, self.clock.now, lambda: None)
            self._probes = reader, ProbeWatch(sources, tests, (), self.live.state.plan.units)
            reader.start()

    def on_unmount(self) -> None:
        if self._probes is not None:
            self._probes[0].close()

    def _keep(self, wax: Wax, lot: StockLot | None) -> None:
        """Put the lot among the person's own waxes and on the shelf. Raises `Trouble`."""
        keep_heap(self.live.folder, wax, lot)

    def lines(self, cells: int, rows: int) -> list[Line]:
        return draw_heap(self.heap, self.clock.now(), cells, rows, self._lost, self.pourday.settings.cells)

    def words(self) -> str:
        return tr("pourday: {heap}", heap=self.heap.word(self.clock.now())[0])

    def pasted(self, text: str) -> None:
        self.heap.paste(text, self.clock.now())

    def typing(self) -> bool:
        return self.heap.typing()

    def may_repeat(self, key: str, character: str | None) -> bool:
        # 66.8 and 77 have the same sign twice, one right after the other.
        typed = character is not None and character.isprintable() and self.heap.takes(character)
        return typed or super().may_repeat(key, character)

    def tick(self) -> None:
        """Look for gaps, follow or save the record, hear the probes, beat, ring."""
        if self.pourday.ending:
            return
        now = self.clock.now()
        self._look_for_gaps(now)
        if self.live.readonly:
            self._follow()
        elif self.live.unsaved and real() >= self._retry_at:
            self._retry_at = real() + RETRY_EVERY
            if self.live.retry():
                self.heap.message = tr("Everything is saved again.")
        self._hear(now)
        self.heap.look(now)
        self._signal(now)
        self.draw()

    def _beats(self) -> int:
        cooling = self.live.state.heap.cooling if self.live.state.heap is not None else None
        return -1 if cooling is None else beats(cooling, self.clock.now())

    def _hear(self, now: float) -> None:
        """What the probes sent: at each beat a reading of the tin, else readings of the pot."""
        beat, before = self._beats(), self._beat_at
        self._beat_at = beat
        if self._probes is None:
            if beat > before >= 0:
                self.pourday.ring("prompt")
            return
        reader, watch = self._probes
        for news in reader.fetch():
            if news.trouble:
                watch.lost(news.source, news.trouble)
            else:
                watch.heard(news.source, news.lines, news.t, news.dropped)
        kept = watch.kept()
        for said in watch.news():
            self.heap.message = said
        if self.live.readonly or self.live.unsaved:
            return
        if beat < 0:
            for each in kept:
                if each.fact.place == "pot":
                    self.live.file(each.fact, now=now, by="probe", at=min(each.t, now))
        elif beat != before:
            probe = next((p for p in watch.probes if p.counts(now) and p.counted is not None), None)
            if probe is not None and probe.counted is not None:
                self.heap.hear(probe.name, round(probe.counted, 2), now, now)

    def _signal(self, now: float) -> None:
        """The word rings as it changes; each beat of a curve rings once, where nothing on a wire reads it."""
        word, says = self.heap.word(now)
        waits = self.heap.waiting(now) or bool(self.heap.text) or self.live.readonly
        self.pourday.signals.look(word, says, " ".join(self.heap.alarms()), self.heap.quiet, waits)

    def _look_for_gaps(self, now: float) -> None:
        """File the times in which nobody can have watched a lit burner."""
        self._watch, gaps = gap.look(self._watch, all_clocks())
        if self.live.readonly or self.live.state.burner not in LIT:
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
        self.heap.press(key, character, now)
        if self.live.unsaved:
            self._watch = gap.busy(self._watch, all_clocks())
        if self.heap.leaving:
            self.heap.leaving = False
            self._ask_or_leave()

    def pointed(self, row: int) -> None:
        if row == self.heap.at:
            self._act_on("space", " ")
        elif not self.heap.steps[row].done:
            self.heap.choose(row)
            self.heap.look(self.clock.now())

    def _ask_or_leave(self) -> None:
        """What is not on disk is not left behind without a word."""
        if self.live.unsaved and not self.live.retry():
            self.heap.message = tr(
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
