"""The clocks of the screen: the only place where the program reads one."""

from __future__ import annotations

import time
from typing import Protocol

from pourday.store.gap import Clocks


class Clock(Protocol):
    def now(self) -> float:
        """Seconds since the epoch, UTC, as the session counts them."""
        ...


class WallClock:
    """The clock of the wall."""

    def now(self) -> float:
        return time.time()


def real() -> float:
    """Seconds that only measure how fast things follow each other."""
    return time.monotonic()


def all_clocks() -> Clocks:
    """One look at every clock of the machine."""
    boot = getattr(time, "CLOCK_BOOTTIME", None)
    return Clocks(
        wall=time.time(),
        awake=time.monotonic(),
        boot=time.clock_gettime(boot) if boot is not None else None,
    )
