"""Which readings of a probe go on record: each 0.3 K of change, every half minute, and each peak and turn.

What is on the screen is every reading; the record would grow by a line a second. All numbers are estimates of ours, but for
the two that were asked for.
"""

from __future__ import annotations

from collections import deque
from statistics import median

from pourday.probes.doubt import spread

STEP = 0.3
"""K of change that is kept,"""
EVERY = 30.0
"""and s after which one is kept in any case."""
SMOOTH = 3.0
"""s of readings whose middle is what is kept: one reading's noise is no change."""
SURELY = 6.0
"""Standard errors of the middle that a change has to have: it is that of two of them, looked at again and again."""
SOONEST = 1.0
"""s between two that are kept."""
MOST = 64


class Significance:
    """Takes every reading (time s, °C), gives back those to keep, in order of time."""

    def __init__(self) -> None:
        self._recent: deque[tuple[float, float]] = deque(maxlen=MOST)
        self._kept: tuple[float, float] | None = None
        self._high: tuple[float, float] | None = None
        """Highest since the last one kept,"""
        self._low: tuple[float, float] | None = None
        """and lowest."""

    @property
    def smooth(self) -> float | None:
        """The middle of the last seconds, °C."""
        return median(c for _, c in self._recent) if self._recent else None

    def take(self, t: float, celsius: float) -> list[tuple[float, float]]:
        """What to keep now: nothing, one reading, or a peak and the reading after it."""
        self._recent.append((t, celsius))
        while t - self._recent[0][0] > SMOOTH:
            self._recent.popleft()
        values = [c for _, c in self._recent]
        now = (t, median(values))
        if self._kept is None or t < self._kept[0]:
            return self._keep([now])
        self._high = now if self._high is None or now[1] > self._high[1] else self._high
        self._low = now if self._low is None or now[1] < self._low[1] else self._low
        step = max(STEP, SURELY * spread(values) / len(values) ** 0.5) if len(values) > 2 else STEP
        step -= 1e-9  # 60.3 is three tenths over 60, whatever its last bit says.
        if t - self._kept[0] < SOONEST:
            return []
        for turn, back in ((self._high, self._high[1] - now[1]), (self._low, now[1] - self._low[1])):
            if back >= step and turn[0] > self._kept[0] and turn[1] != self._kept[1]:
                return self._keep([turn, now])
        if abs(now[1] - self._kept[1]) >= step or t - self._kept[0] >= EVERY:
            return self._keep([now])
        return []

    def _keep(self, readings: list[tuple[float, float]]) -> list[tuple[float, float]]:
        self._kept = readings[-1]
        self._high = self._low = None
        return readings
