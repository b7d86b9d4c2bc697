"""Whether lines come late: by the moment they claim, or because they come in a heap after a silence.

A clock that is only set otherwise (another zone, never set) is told from a delay: it is off by the same from the first line on.
All numbers are estimates of ours.
"""

from __future__ import annotations

LATE = 20.0
"""s behind its own best by which a line is late. Estimate."""
ZONE = 900.0
"""s: zones differ by multiples of a quarter of an hour, by definition of those there are."""
PLAUSIBLE = 600.0
"""s up to which a delay from the first line on is taken for one; more is a clock that is set otherwise. Estimate."""
HEAP, SILENCE = 5, 15.0
"""Lines that come at once after so many s of nothing, and so were held back somewhere. Estimate."""


class Lateness:
    """The clock of one source, as its lines show it."""

    def __init__(self) -> None:
        self._least: float | None = None
        """The smallest lag seen: what its clock is off, and the way here at its shortest."""
        self._last = float("-inf")

    @property
    def clock_off(self) -> float:
        """s by which its clock is behind ours (ahead where negative); 0 where that is of no account."""
        least = self._least
        return least if least is not None and abs(least) > LATE else 0.0

    def is_heap(self, now: float, lines: int) -> bool:
        """Whether so many lines at once were held back somewhere: all but the last tell of a while ago."""
        silent, self._last = now - self._last, now
        return lines >= HEAP and SILENCE < silent < float("inf")

    def is_late(self, now: float, stamp: float | None) -> bool:
        """Whether a line that came now and claims to be of `stamp` (s since the epoch), if it does, is late."""
        if stamp is None:
            return False
        lag = now - stamp
        if self._least is None or lag < self._least:
            self._least = lag
        own = 0.0 if _is_delay(self._least) else self._least
        return lag - own > LATE


def _is_delay(lag: float) -> bool:
    """Whether a lag from the first line on is a delay, and not a clock of another zone or never set."""
    nearest = abs(lag - round(lag / ZONE) * ZONE)
    return LATE < lag <= PLAUSIBLE and nearest > LATE
