"""The clock of a demo that another program plays, as far as its record tells it."""

from __future__ import annotations

from pourday.store.live import LiveSession
from pourday.tui.terminal.clocks import Clock, WallClock, real


class RecordClock:
    """Goes on from the last entry of a record, in real time, and is set anew by each entry that comes."""

    def __init__(self, live: LiveSession) -> None:
        self._live = live
        self._entries, self._came = 0, 0.0
        """How many entries there were at the last look, and when by a clock that only goes on the last one was seen first."""

    def now(self) -> float:
        """Seconds since the epoch, UTC."""
        if len(self._live.entries) != self._entries:
            self._entries, self._came = len(self._live.entries), real()
        return self._live.entries[-1].logged_at.timestamp() + real() - self._came


def looked_on_clock(live: LiveSession) -> Clock:
    """The clock of a session that is only looked at: the wall's, but for a demo, whose day is an invented one."""
    return RecordClock(live) if live.state.demo else WallClock()
