"""Which readings of a probe go on record: each 0.3 K of change, every half minute, and each peak and turn.

What is on the screen is every reading; the record would grow by a line a second. All numbers are estimates of ours, but for
the two that were asked for.
"""

from __future__ import annotations

from collections import deque

STEP = 0.3
"""K of change that is kept (chosen),"""
EVERY = 30.0
"""and s after which one is kept in any case (chosen)."""
SMOOTH = 3.0
"""s of readings whose mean is what is kept. Chosen: one reading's noise is no change."""
SURELY = 6.0
"""Standard errors of that mean that a change has to have. Chosen: it is of two of them, and looked for again and again."""
COARSEST = 2.0
"""K of change that is kept of the noisiest probe. Chosen."""
LEARNS = 0.05
"""Weight of the newest reading in what is known of the noise. Chosen."""
OFF_THE_LINE = 0.977
"""Mean distance of a value of a normal noise from the line between its neighbours, in standard deviations: 2 sqrt(0.75 / pi)."""
SOONEST = 1.0
"""s between two that are kept. Chosen."""
MOST = 64


class Significance:
    """Takes every reading (time s, °C), gives back those to keep, in order of time."""

    def __init__(self) -> None:
        self._recent: deque[tuple[float, float]] = deque(maxlen=MOST)
        self._sum = 0.0
        self._last: deque[tuple[float, float]] = deque(maxlen=3)
        self._noise = 0.0
        """K: how far a reading lies off its neighbours, as the standard deviation of a normal noise."""
        self._kept: tuple[float, float] | None = None
        self._high = self._low = (0.0, 0.0)
        """Highest and lowest since the last one kept."""

    def take(self, t: float, celsius: float) -> list[tuple[float, float]]:
        """What to keep now: nothing, one reading, or a peak and the reading after it."""
        now = (t, self._mean(t, celsius))
        if self._kept is None or t < self._kept[0]:
            return self._keep([now])
        self._high, self._low = max(self._high, now, key=_celsius), min(self._low, now, key=_celsius)
        since, moved = t - self._kept[0], abs(now[1] - self._kept[1])
        if since < SOONEST:
            return []
        surely = min(COARSEST, SURELY * self._noise / len(self._recent) ** 0.5)
        # 60.3 is three tenths over 60, whatever its last bit says.
        step = max(STEP, surely) - 1e-9
        for turn in (self._high, self._low):
            if abs(turn[1] - now[1]) >= step and turn[0] > self._kept[0]:
                return self._keep([turn, now])
        return self._keep([now]) if moved >= step or since >= EVERY else []

    def _mean(self, t: float, celsius: float) -> float:
        """The mean of the last seconds with this one."""
        self._learn(t, celsius)
        recent = self._recent
        while recent and (t - recent[0][0] > SMOOTH or len(recent) == MOST):
            self._sum -= recent.popleft()[1]
        recent.append((t, celsius))
        self._sum = celsius if len(recent) == 1 else self._sum + celsius
        return self._sum / len(recent)

    def _learn(self, t: float, celsius: float) -> None:
        """How far the reading before this one lay off the line between its neighbours: a steady rise is no noise."""
        self._last.append((t, celsius))
        if len(self._last) == 3:
            (first, a), (_, b), (last, c) = self._last
            if 0 < last - first <= 2 * EVERY:
                self._noise += LEARNS * (abs(b - (a + c) / 2) / OFF_THE_LINE - self._noise)

    def _keep(self, readings: list[tuple[float, float]]) -> list[tuple[float, float]]:
        self._kept = self._high = self._low = readings[-1]
        return readings


def _celsius(reading: tuple[float, float]) -> float:
    return reading[1]
