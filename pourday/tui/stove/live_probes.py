"""The probes of a session at the stove: what their sources sent goes to the watch over them, what that keeps on record.

A reading waits a little before it is filed: each fact has the forecasts worked out anew, and an answer that somebody waits
for must not be overtaken by the next half degree. What is hot, or in doubt, waits for nothing.
"""

from __future__ import annotations

import msgspec

from pourday.guide.outlook.outlook import Outlook
from pourday.probes.channel import ProbeNow
from pourday.probes.doubt import Surroundings
from pourday.probes.source import ProbeSpot
from pourday.probes.watch import ProbeReading, ProbeWatch
from pourday.session.events import Fact, Reading
from pourday.session.readings import which_jug
from pourday.session.state import State
from pourday.store.live import LiveSession
from pourday.tui.probe_reader import ProbeReader

HOLD, HOLD_ASKED = 10.0, 30.0
"""s that a reading waits at most before it goes on record, and while a question is open. Estimates of ours."""
NEAR = 2.0
"""K below its ceiling from which a reading is filed at once. An estimate of ours."""


class LiveProbes:
    """The watch over the probes, and what of it is not on record yet."""

    def __init__(self, live: LiveSession, watch: ProbeWatch, reader: ProbeReader) -> None:
        self._live = live
        self.watch = watch
        self._reader = reader
        self._waiting: list[ProbeReading] = []

    @property
    def probes(self) -> tuple[ProbeNow, ...]:
        """How each probe stands."""
        return self.watch.probes

    def start(self) -> None:
        """Open the sources."""
        self._reader.start()

    def close(self) -> None:
        """Let go of them."""
        self._reader.close()

    def hear(self) -> tuple[bool, list[str]]:
        """(whether anything came since this was last called, what there is to say of it)."""
        came = self._reader.fetch()
        for news in came:
            if news.trouble:
                self.watch.lost(news.source, news.trouble)
            else:
                self.watch.heard(news.source, news.lines, news.t, news.dropped)
        self._waiting += self.watch.kept()
        return bool(came), self.watch.news()

    def look_around(self, state: State, outlook: Outlook | None) -> None:
        """Tell the watch what is known around its probes."""
        touched = [t for t, _ in state.additions]
        touched += [jug.made_at for jug in state.jugs.values()]
        touched += [mould.pours[-1].t for mould in state.moulds.values() if mould.pours]
        room = state.last_reading("room")
        self.watch.around = Surroundings(
            room_c=room.celsius if room is not None else state.plan.room_c,
            boiling_c=outlook.boiling_c if outlook is not None else 100.0,
            disturbed_at=max(touched, default=float("-inf")),
        )

    def file(
        self, now: float, outlook: Outlook | None = None, *, asked: bool = False, all_of_it: bool = False
    ) -> int:
        """Put on record what has waited long enough, or all of it; how many readings that were.

        A session that cannot be written now gets none: what is not known to be on disk is said elsewhere.
        """
        if (
            not self._waiting
            or self._live.readonly
            or self._live.over
            or self._live.state.finished_at is not None
        ):
            self._waiting = []
            return 0
        if self._live.unsaved:
            del self._waiting[:-50]
            return 0
        waited = now - self._waiting[0].t
        hot = outlook.ceiling_c - NEAR if outlook is not None else float("inf")
        urgent = any(reading.fact.doubt or reading.fact.celsius >= hot for reading in self._waiting)
        if not (all_of_it or urgent or waited < 0 or waited >= (HOLD_ASKED if asked else HOLD)):
            return 0
        waiting, self._waiting = self._waiting, []
        for reading in waiting:
            fact = reading.fact
            if fact.place == "jug":
                fact = msgspec.structs.replace(fact, jug=which_jug(self._live.state, fact.jug))
            self._live.file(fact, now=now, by="probe", at=min(reading.t, now))
        return len(waiting)

    def typed(self, fact: Fact, now: float) -> None:
        """Tell the watch of a reading that was typed: a probe at the same place that says otherwise does not count
        from now on, one that agrees does."""
        if not isinstance(fact, Reading) or fact.probe or fact.doubt:
            return
        spot = ProbeSpot(fact.place, fact.mould, fact.jug)
        for probe in self.probes:
            channel = self.watch.channel(probe.name)
            if channel.is_in(spot) and channel.agrees(fact.celsius, now) is False:
                channel.overrule(now, fact.celsius)
