"""Kitchen time: how fast the simulated day runs beside the real one.

The clock never looks at a real clock itself: whoever owns one hands its monotonic seconds in.
"""

from __future__ import annotations

from pourday.errors import Trouble
from pourday.language import tr

SLOWEST = 1.0
FASTEST = 600.0
"""Kitchen seconds a second, from as fast as life on. Both chosen: faster than the second, an act would be over before it can be
read."""


class KitchenClock:
    """Maps real monotonic seconds to kitchen time in epoch seconds; never runs backwards.

    The first call that brings a real time ties it to `start`.
    """

    def __init__(self, start: float, speed: float = 1.0, paused: bool = False) -> None:
        self._kitchen = start
        self._real: float | None = None
        self._speed = self._rate = _checked(speed)
        self._paused = paused
        self._stop = float("inf")
        """Kitchen time that it does not pass."""

    @property
    def speed(self) -> float:
        """Kitchen seconds per real second."""
        return self._speed

    @property
    def paused(self) -> bool:
        """Whether the kitchen stands still."""
        return self._paused

    def now(self, real_monotonic: float) -> float:
        """Kitchen time, epoch seconds; a real time before the last one counts as the last."""
        if self._real is None:
            self._real = real_monotonic
        passed = max(0.0, real_monotonic - self._real)
        self._real += passed
        if not self._paused:
            self._kitchen = min(self._kitchen + passed * self._rate, max(self._kitchen, self._stop))
        return self._kitchen

    def set_speed(self, speed: float, real: float) -> None:
        """Change the speed from that real time on. Raises `Trouble` outside 1 to 600."""
        speed = _checked(speed)
        self.now(real)
        self._speed = self._rate = speed

    def stop_at(self, kitchen: float, real: float, seconds: float | None = None) -> None:
        """Go no further than that kitchen time, whatever passes on the wall, until told otherwise.

        With `seconds` it is reached in so many on the wall, however far it lies ahead; else at the chosen speed. What the
        wall's clock goes on while the kitchen stands there is lost: whoever decides what happens next has all the time.
        """
        here = self.now(real)
        self._stop = kitchen
        self._rate = self._speed if seconds is None else max(0.0, kitchen - here) / max(seconds, 1e-3)

    def go_on(self, real: float) -> None:
        """Stop nowhere, at the chosen speed."""
        self.now(real)
        self._stop, self._rate = float("inf"), self._speed

    def pause(self, real: float) -> None:
        """Stop the kitchen at that real time."""
        self.now(real)
        self._paused = True

    def resume(self, real: float) -> None:
        """Let the kitchen go on from that real time."""
        self.now(real)
        self._paused = False


def _checked(speed: float) -> float:
    """The speed. Raises `Trouble` beyond what a demo is played at."""
    if not SLOWEST <= speed <= FASTEST:
        raise Trouble(
            tr("The kitchen cannot run at {speed:g} times.", speed=speed),
            instead=tr("Choose a speed from {slowest:g} to {fastest:g}.", slowest=SLOWEST, fastest=FASTEST),
        )
    return float(speed)
