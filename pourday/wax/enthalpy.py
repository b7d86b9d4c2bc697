"""How much heat a wax holds at a temperature, and the way back.

Heat content h(T) in J/kg above 0 °C: the solid's own heat, the solid-solid change in its own lower
range, the main latent heat over the melting range, then the liquid's own heat. The melting range
is peaked where the table has the main peak; the solid-solid change in the middle of its range. The soft share
of a fat takes its part of the main latent heat evenly over a far wider range.
One curve serves pot, mould and blend.

>>> from pourday.wax.materials import family
>>> pillar = curve(family("paraffin_pillar"))
>>> kj = (pillar.heat_at(80.0) - pillar.heat_at(20.0)) / 1000
>>> round(float(kj))  # to heat and melt a kilogram
331
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pourday.errors import Trouble
from pourday.language import tr
from pourday.wax.materials import Wax

Array = NDArray[np.float64]

COLDEST_C, HOTTEST_C = -40.0, 200.0
"""Ends of every table; a kitchen stays well inside. Chosen."""
_SPACING = 0.02
"""K between nodes: a hundredth of the narrowest range in the table and less. Chosen."""


@dataclass(frozen=True, eq=False)
class Curve:
    """A tabulated enthalpy curve. Arrays of one length, all rising with temperature.

    `celsius` (°C), `heat` (J/kg above 0 °C), `solid` (share of the wax that is solid, 1 to 0), `set_share` (how far
    the main range has set, 1 to 0: what a surface carries by; the same as `solid` in a wax without soft share).
    """

    celsius: Array
    heat: Array
    solid: Array
    set_share: Array

    def heat_at(self, celsius: ArrayLike) -> Array:
        """Heat content in J/kg at temperatures in °C, any shape."""
        return np.interp(np.asarray(celsius, dtype=np.float64), self.celsius, self.heat)

    def celsius_at(self, heat: ArrayLike) -> Array:
        """Temperature in °C at heat contents in J/kg, any shape."""
        return np.interp(np.asarray(heat, dtype=np.float64), self.heat, self.celsius)

    def solid_at(self, celsius: ArrayLike) -> Array:
        """Solid share (0 to 1) at temperatures in °C, any shape."""
        return np.interp(np.asarray(celsius, dtype=np.float64), self.celsius, self.solid)

    def set_at(self, celsius: ArrayLike) -> Array:
        """How far the main range has set (0 to 1) at temperatures in °C, any shape."""
        return np.interp(np.asarray(celsius, dtype=np.float64), self.celsius, self.set_share)

    def celsius_where_set(self, share: float) -> float:
        """Temperature in °C at which this share (0 to 1) of the main range has set."""
        return float(np.interp(-share, -self.set_share, self.celsius))


def _risen(t: Array, low: float, peak: float, high: float) -> Array:
    """Share (0 to 1) of a heat given off between low and high with its maximum at the peak (a triangle)."""
    x = np.clip(t, low, high)
    rise = (x - low) ** 2 / ((high - low) * max(peak - low, 1e-12))
    fall = 1 - (high - x) ** 2 / ((high - low) * max(high - peak, 1e-12))
    return np.where(x < peak, rise, fall)


def _even(t: Array, low: float, high: float) -> Array:
    """Share (0 to 1) of a heat given off evenly between low and high."""
    return (np.clip(t, low, high) - low) / (high - low)


@lru_cache(maxsize=64)
def curve(wax: Wax, width_scale: float = 1.0, *, even: bool = False) -> Curve:
    """The enthalpy curve of a wax, or of a blend given as one wax; cached, so not to be written to.

    `width_scale` stretches the melting range about its peak (for the spread of a forecast);
    `even` spreads all of the main heat evenly over the range instead, as text-book cases do.
    Raises `Trouble` when the wax's temperatures are out of order.
    """
    if not wax.solidus_c <= wax.peak_c <= wax.liquidus_c or wax.solidus_c >= wax.liquidus_c:
        raise Trouble(
            tr("The melting range of {name} is out of order.", name=wax.name),
            tr(
                "It reads solid {solidus_c:g}, peak {peak_c:g}, liquid {liquidus_c:g} °C.",
                solidus_c=wax.solidus_c,
                peak_c=wax.peak_c,
                liquidus_c=wax.liquidus_c,
            ),
            tr("The peak must lie between the other two."),
        )
    low = wax.peak_c - (wax.peak_c - wax.solidus_c) * width_scale
    high = wax.peak_c + (wax.liquidus_c - wax.peak_c) * width_scale
    marks = [low, wax.peak_c, high, 0.0]
    t = np.arange(COLDEST_C, HOTTEST_C + _SPACING / 2, _SPACING)
    # A range far narrower than the spacing (a nearly pure substance) needs nodes of its own.
    # Not by `np.unique`, which loads all of `numpy.ma`: 12 ms of the first forecast of a start.
    t = np.sort(np.concatenate([t, np.linspace(low, high, 129), marks]))
    t = t[np.diff(t, prepend=-np.inf) > 0]
    unset = _even(t, low, high) if even else _risen(t, low, wax.peak_c, high)
    melted = unset
    if wax.soft_share and not even and wax.soft_from_c < high:
        melted = wax.soft_share * _even(t, wax.soft_from_c, high) + (1 - wax.soft_share) * unset
    c = wax.cp_solid + (wax.cp_liquid - wax.cp_solid) * melted
    heat = np.concatenate([[0.0], np.cumsum(np.diff(t) * (c[1:] + c[:-1]) / 2)]) + wax.latent_main * melted
    if wax.transition_low_c is not None and wax.transition_high_c is not None:
        middle = (wax.transition_low_c + wax.transition_high_c) / 2
        heat += wax.latent_transition * _risen(t, wax.transition_low_c, middle, wax.transition_high_c)
    return Curve(t, heat - np.interp(0.0, t, heat), 1 - melted, 1 - unset)
