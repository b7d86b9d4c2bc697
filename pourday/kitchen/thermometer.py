"""What thermometers show: offset, noise, display step, and a probe that needs time after a move.

How far they are off are estimates, near what makers of kitchen thermometers promise: a stick within a kelvin, an infrared one
within two, a wall one within one.
"""

from __future__ import annotations

import math

import numpy as np

HELD = 25.0
"""s a person holds the probe in a new place before reading it: until the display stands still, three and a half times
the slowest lag. An estimate of ours."""


class Probe:
    """A stick thermometer with a display of 0.1 K."""

    def __init__(self, rng: np.random.Generator, room_c: float) -> None:
        self._rng = rng
        self.offset = 0.4 * float(np.clip(rng.standard_normal(), -2, 2))
        """K, the same all day: within 0.8 (estimate)."""
        self.lag = float(rng.uniform(3.0, 7.0))
        """s until it has come 63 % of the way to a new temperature (estimate)."""
        self._place: object = None
        self._tip = self._from = room_c
        self._moved = 0.0

    def read(self, place: object, celsius: float, at: float) -> float:
        """°C on the display, the tip being at `place` where it truly is `celsius`, at that second."""
        if place != self._place:
            self._place, self._moved, self._from = place, at, self._tip
        settled = math.exp(-(at - self._moved + HELD) / self.lag)
        self._tip = celsius + (self._from - celsius) * settled
        noise = 0.3 * float(self._rng.standard_normal())  # K; estimate: another depth, a stir more or less
        return round(self._tip + self.offset + noise, 1)


class Infrared:
    """A surface thermometer: half-kelvin noise and a share of the room's reflection."""

    def __init__(self, rng: np.random.Generator) -> None:
        self._rng = rng
        self.offset = 0.8 * float(np.clip(rng.standard_normal(), -2, 2))
        """K, the same all day: within 1.6 (estimate)."""
        self.reflects = float(rng.uniform(0.01, 0.05))
        """Share of what it sees that is the room's reflection: one less the emissivity of wax (estimate)."""

    def read(self, celsius: float, room_c: float) -> float:
        """What it shows at a surface of `celsius`."""
        seen = celsius - self.reflects * (celsius - room_c) + self.offset
        noise = 0.5 * float(self._rng.standard_normal())  # K; estimate: another spot
        return round(seen + noise, 1)


class WallThermometer:
    """The one on the kitchen wall, to half a kelvin."""

    def __init__(self, rng: np.random.Generator) -> None:
        self._rng = rng
        self.offset = 0.3 * float(np.clip(rng.standard_normal(), -2, 2))
        """K, the same all day: within 0.6 (estimate)."""

    def read(self, celsius: float) -> float:
        """What it shows in a room of `celsius`."""
        noise = 0.1 * float(self._rng.standard_normal())  # K; estimate
        return round(2 * (celsius + self.offset + noise)) / 2
