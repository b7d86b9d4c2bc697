"""Heat curves as tables: all materials of a batch end to end, so that one look-up serves every cell."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from pourday.forecast.mould_case import Array
from pourday.wax.enthalpy import Curve
from pourday.wax.materials import Wax

LOW_C, HIGH_C = -40.0, 160.0
_STEPS = 2000
BOX = 1e5
"""J for one table step of the surroundings;"""
_BOXES = 64
"""how many steps they have: more than any mould gives off."""


@lru_cache(maxsize=64)
def _table(curve: Curve, wax: Wax) -> tuple[float, float, Array, Array, Array]:
    """Heat at the first node, heat per step, and per step: temperature, its rise, 1/k."""
    low, high = curve.heat_at([LOW_C, HIGH_C])
    t = curve.celsius_at(np.linspace(low, high, _STEPS + 1))
    solid = curve.set_at((t[1:] + t[:-1]) / 2)
    k = wax.conductivity_liquid + (wax.conductivity_solid - wax.conductivity_liquid) * solid
    return float(low), float(high - low) / _STEPS, t[:-1], np.diff(t), 1 / k


class Tables:
    """All materials of a batch end to end: T = a[i] + s[i] x for x on entry i."""

    def __init__(self) -> None:
        self._a: list[Array] = []
        self._s: list[Array] = []
        self._k: list[Array] = []
        self._through: list[Array] = []
        self._at: dict[object, int] = {}
        self.size = 0

    def _add(self, key: object, t: Array, rise: Array, per_k: Array) -> int:
        at = self.size
        self._a.append(t - rise * (at + np.arange(t.size)))
        self._s.append(rise)
        self._k.append(per_k)
        gain = np.concatenate([[0.0], np.cumsum(rise / per_k)[:-1]])
        self._through.append(gain - rise / per_k * (at + np.arange(t.size)))
        self._at[key] = at
        self.size += t.size
        return at

    def surroundings(self, celsius: float) -> int:
        key = ("around", celsius)
        one = np.ones(_BOXES)
        at = self._at[key] if key in self._at else self._add(key, one * celsius, one * 0, one)
        return at + _BOXES // 2

    def wall(self) -> int:
        """One table step is 1 K."""
        if "wall" in self._at:
            return self._at["wall"]
        t = np.arange(LOW_C, HIGH_C)
        return self._add("wall", t, np.ones(t.size), np.ones(t.size))

    def wax(self, curve: Curve, wax: Wax) -> tuple[int, float, float, float]:
        """First entry, heat there, heat per step, steepest rise in K per step."""
        low, step, t, rise, per_k = _table(curve, wax)
        key = (id(curve), wax.conductivity_solid, wax.conductivity_liquid)
        at = self._at[key] if key in self._at else self._add(key, t, rise, per_k)
        return at, low, step, float(rise.max())

    def joined(self) -> tuple[Array, Array, Array, Array]:
        """a, s, 1/k, and b of the integral of k over T: b[i] + s[i] k[i] x."""
        a, s, k, b = (np.concatenate(x) for x in (self._a, self._s, self._k, self._through))
        return a, s, k, b
