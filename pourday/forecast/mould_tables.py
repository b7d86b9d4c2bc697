"""Heat curves as tables: all materials of a batch end to end, so that one look-up serves every cell."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from pourday.forecast.mould_case import Array
from pourday.wax.enthalpy import Curve
from pourday.wax.materials import Wax

LOW_C, HIGH_C = -40.0, 160.0
"""Ends of every table, °C. Chosen."""
_STEPS = 2000
"""Entries of a wax, alike in heat: about 0.15 K each outside the melting range, far less within it."""
BOX = 1e5
"""J that fill one entry of the surroundings (chosen);"""
_BOXES = 64
"""how many entries they have: more than any mould gives off."""


@lru_cache(maxsize=64)
def _table(curve: Curve, wax: Wax) -> tuple[float, float, Array, Array, Array]:
    """One wax as a table with even steps of heat: (J/kg at the first, J/kg a step, °C, K a step, 1/k).

    The last three have shape (steps,); 1/k is in m K/W at the middle of the step.
    """
    low, high = curve.heat_at([LOW_C, HIGH_C])
    t = curve.celsius_at(np.linspace(low, high, _STEPS + 1))
    solid = curve.set_at((t[1:] + t[:-1]) / 2)
    k = wax.conductivity_liquid + (wax.conductivity_solid - wax.conductivity_liquid) * solid
    return float(low), float(high - low) / _STEPS, t[:-1], np.diff(t), 1 / k


class Tables:
    """All materials of a batch end to end: a cell at place x is on entry i = int(x) and has T = a[i] + s[i] x."""

    def __init__(self) -> None:
        self._a: list[Array] = []
        self._s: list[Array] = []
        self._k: list[Array] = []
        self._through: list[Array] = []
        self._at: dict[object, int] = {}
        self.size = 0

    def _add(self, key: object, t: Array, rise: Array, per_k: Array) -> int:
        """Take in a material: °C at the start of each entry, rise over it in K, 1/k. Its first entry."""
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
        """The entry in the middle of surroundings at this temperature: heat may flow either way."""
        key = ("around", celsius)
        one = np.ones(_BOXES)
        at = self._at[key] if key in self._at else self._add(key, one * celsius, one * 0, one)
        return at + _BOXES // 2

    def wall(self) -> int:
        """Number of the first entry of a wall among all entries; each of them is 1 K wide, and the first begins at `LOW_C`."""
        if "wall" in self._at:
            return self._at["wall"]
        t = np.arange(LOW_C, HIGH_C)
        return self._add("wall", t, np.ones(t.size), np.ones(t.size))

    def wax(self, curve: Curve, wax: Wax) -> tuple[int, float, float, float]:
        """(first entry, J/kg there, J/kg an entry, steepest rise in K an entry) of a wax with this curve."""
        low, step, t, rise, per_k = _table(curve, wax)
        key = (id(curve), wax.conductivity_solid, wax.conductivity_liquid)
        at = self._at[key] if key in self._at else self._add(key, t, rise, per_k)
        return at, low, step, float(rise.max())

    def joined(self) -> tuple[Array, Array, Array, Array]:
        """a, s, 1/k and b of all entries: T = a[i] + s[i] x, integral of k over T = b[i] + s[i] k[i] x."""
        a, s, k, b = (np.concatenate(x) for x in (self._a, self._s, self._k, self._through))
        return a, s, k, b
