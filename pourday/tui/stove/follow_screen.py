"""A second screen: looks on at a session that another program writes, and puts nothing on record."""

from __future__ import annotations

import asyncio
from typing import ClassVar

from pourday.errors import Trouble
from pourday.guide.advice.adviser import Adviser
from pourday.language import tr
from pourday.session.quiet_hours import PersonsClock
from pourday.store.live import LiveSession
from pourday.tui.base import HEARTBEAT, LineScreen
from pourday.tui.drawing.lines import Line, fit, line, listed, wrap
from pourday.tui.stove.layout import DrawingCache, Foot, Look, draw_stove
from pourday.tui.stove.record_clock import looked_on_clock


class FollowScreen(LineScreen):
    """The word, the numbers and the moulds of a session, as large as there is room; its only keys leave it."""

    HELP: ClassVar[str] = "follow"

    def __init__(self, live: LiveSession, *, served: bool = False) -> None:
        """`served`: for a browser, from which no key comes."""
        super().__init__()
        self.live = live
        self.served = served
        settings = self.pourday.settings
        persons = PersonsClock(settings.quiet_from, settings.quiet_to)
        self._loop = asyncio.get_running_loop()
        self._adviser = Adviser(self.pourday.worker, persons, settings.watch_minutes * 60, self._news)
        self._clock = looked_on_clock(live)
        self._advice = self._adviser.advise(live.state, self._clock.now())
        self._lost = ""
        """Why it cannot be read just now."""
        self._kept = DrawingCache()

    def heartbeat(self) -> float:
        # The seconds of its clock; a browser's line carries each picture.
        return 1.0 if self.served else HEARTBEAT

    def _news(self) -> None:
        self._loop.call_soon(self.tick)

    def tick(self) -> None:
        if not self.is_attached:
            return
        self._lost = ""
        try:
            self.live.follow()
        except Trouble as trouble:
            self._lost = str(trouble)
        self._advice = self._adviser.advise(self.live.state, self._clock.now())
        self.draw()

    def lines(self, cells: int, rows: int) -> list[Line]:
        state = self.live.state
        hints = () if self.served else (("q", tr("leaves")), ("F1", tr("FIRE")), ("/", tr("help")))
        keys = listed(hints, cells)
        said = self._lost or tr(
            "Looking on at {session}: nothing here is put on record.", session=self.live.session
        )
        foot = Foot((fit(line(said, "late" if self._lost else "soft"), cells),), keys)
        stands = ""
        if state.finished_at is not None:
            stands = tr("This day is finished. “pourday show {session}” shows it.", session=self.live.session)
        elif state.fixed_plan is None:
            stands = tr("It is still being planned: it shows here as soon as the day has begun.")
        if stands:
            body = [
                fit(line(state.plan.title or self.live.session, "glow bold"), cells),
                (),
                *wrap(stands, cells),
            ]
            return [*body, *[()] * max(0, rows - len(body) - 2), *foot.entry, keys][-rows:]
        cells_in = self.pourday.settings.cells
        look = Look(cells=cells_in, follows=True)
        return draw_stove(self._advice, self._clock.now(), cells, rows, foot, look, self._kept)

    def words(self) -> str:
        return tr("pourday: looking on at {session}", session=self.live.session)

    def pressed(self, key: str, character: str | None) -> None:  # noqa: ARG002
        if key in ("q", "escape"):
            self.leave()
