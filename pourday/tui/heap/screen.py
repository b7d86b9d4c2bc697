"""Wax that nobody knows on the screen: its clock, its beat and bell, its probe, and its record that outlives a kill."""

from __future__ import annotations

from pourday.heap.beat import beats
from pourday.language import tr
from pourday.probes.watch import ProbeWatch
from pourday.session import events as ev
from pourday.session.state import LIT
from pourday.stock.lot import StockLot
from pourday.store.heaps import keep_heap
from pourday.store.live import LiveSession
from pourday.store.settings_probes import probe_sources_of, probe_tests_of
from pourday.times import span
from pourday.tui.drawing.lines import Line
from pourday.tui.heap.controller import HeapController
from pourday.tui.heap.layout import draw_heap
from pourday.tui.live_screen import LiveScreen
from pourday.tui.probe_reader import ProbeReader
from pourday.wax.materials import Wax


class HeapScreen(LiveScreen):
    """One run with wax that nobody knows; see `HeapController`."""

    HELP = "heap"

    def __init__(self, live: LiveSession) -> None:
        super().__init__(live)
        watch_every = self.pourday.settings.watch_minutes * 60
        self.page = self.heap = HeapController(live, self.clock.now(), self._keep, watch_every)
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

    def pasted(self, text: str) -> None:
        self.heap.paste(text, self.clock.now())

    def _beats(self) -> int:
        cooling = self.live.state.heap.cooling if self.live.state.heap is not None else None
        return -1 if cooling is None else beats(cooling, self.clock.now())

    def hear(self, now: float) -> None:
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
        readings = watch.kept()
        for said in watch.news():
            self.heap.message = said
        if self.live.readonly or self.live.unsaved:
            return
        if beat < 0:
            for each in readings:
                if each.fact.place == "pot":
                    self.live.file(each.fact, now=now, by="probe", at=min(each.t, now))
        elif beat != before:
            probe = next((p for p in watch.probes if p.counts(now) and p.counted is not None), None)
            if probe is not None and probe.counted is not None:
                self.heap.hear(probe.name, round(probe.counted, 2), now, now)

    def waits(self, now: float) -> bool:
        # Each beat of a curve rings by itself, where nothing on a wire reads it.
        return self.heap.waiting(now) or bool(self.heap.text) or self.live.readonly

    def pointed(self, row: int) -> bool:
        if row == self.heap.at:
            self._act_on("space", " ")
            return True
        if not self.heap.steps[row].done:
            self.heap.choose(row)
            self.heap.look(self.clock.now())
        return False
