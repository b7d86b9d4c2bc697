"""The clocks of the screen: the only place where the program reads one."""

from __future__ import annotations

import time
from typing import Protocol

from pourday.store.gap import Clocks


class Clock(Protocol):
    """Tells the time of a session: that of the wall, or of a simulated kitchen."""

    def now(self) -> float:
        """Seconds since the epoch, UTC, as the session counts them."""
        ...


class WallClock:
    """The clock of the wall."""

    def now(self) -> float:
        return time.time()


def real() -> float:
    """Seconds that only measure how fast things follow each other, those a sleeping machine slept among them."""
    boot = _boot()
    return boot if boot is not None else time.monotonic()


def awake() -> float:
    """The same without what the machine slept: how long something that runs on it was at work."""
    return time.monotonic()


def all_clocks() -> Clocks:
    """One look at every clock of the machine."""
    return Clocks(wall=time.time(), awake=time.monotonic(), boot=_boot())


def _boot() -> float | None:
    """The clock that runs on while the machine sleeps, where there is one."""
    clock = getattr(time, "CLOCK_BOOTTIME", None)
    return time.clock_gettime(clock) if clock is not None else None
