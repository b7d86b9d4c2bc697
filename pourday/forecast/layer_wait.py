"""How long a poured layer needs before somebody should go and look at it, and when it is too late.

The times are a table after the trade's own figures and a simple heat model of a 75 mm pillar poured
on a 45 °C layer in a 20 °C room (derived, not measured; trust the ratios more than the minutes).
They say "go and look"; what is seen decides.
"""

from __future__ import annotations

from dataclasses import dataclass

from pourday.forecast.spread import Spread
from pourday.plan.model import Material

MODEL = "table of waits"

_MINUTE = 60.0

# Layer height in mm against minutes: surface skinned, 5 mm crust, surface down to 45 °C.
_HEIGHTS = (15.0, 25.0, 40.0)
_SKINNED = (31.0, 38.0, 47.0)
_CRUST = (90.0, 100.0, 112.0)
_COOL = (109.0, 133.0, 150.0)

# Diameter in mm against the factor on how long a 25 mm layer takes to cool.
_DIAMETERS = (50.0, 75.0, 100.0)
_DIAMETER_FACTOR = (0.75, 1.0, 1.25)

# Whole pillar in still air: hours until solid through, and until the core is within 3 K of the room.
_WHOLE_DIAMETERS = (50.0, 65.0, 75.0, 100.0)
_WHOLE_SOLID = (3.6, 5.0, 6.2, 9.5)
_WHOLE_COLD = (5.4, 7.3, 8.8, 13.4)

# A 10 K cooler pour takes about 5 % off; 5 K of room either way about 10 %.
_REFERENCE_POUR_C = 81.0
_REFERENCE_ROOM_C = 20.0


@dataclass(frozen=True, slots=True)
class LayerWait:
    """Seconds from the pour; `early`, `likely` and `late` as in `Spread`."""

    skinned: Spread
    """The surface stops being wet."""
    opens: Spread
    """The surface is firm enough to carry the next colour."""
    closes: float
    """The surface is down to about 45 °C: from there on the next colour fuses less and less."""


def layer_wait(
    height: float, diameter: float, room_c: float, poured_c: float, material: Material
) -> LayerWait:
    """The wait after pouring a layer `height` m thick into a mould `diameter` m wide.

    room_c, poured_c in °C. Source: common practice and a derived table, no measurement; the spread
    stands for the surface coefficient (a third either way), which moves these times most.
    """
    factor = _surroundings(room_c, poured_c) * _wall(material)
    wide = _interpolate(diameter * 1000, _DIAMETERS, _DIAMETER_FACTOR)
    millimetres = height * 1000
    skinned = _interpolate(millimetres, _HEIGHTS, _SKINNED) * factor * _MINUTE
    crust = _interpolate(millimetres, _HEIGHTS, _CRUST) * factor * _MINUTE
    cool = _interpolate(millimetres, _HEIGHTS, _COOL) * factor * wide * _MINUTE
    # Makers report the first skin at a third of the model's time, so early leans their way.
    return LayerWait(
        skinned=Spread(skinned * 0.35, skinned * 0.7, skinned * 1.2),
        opens=Spread(skinned * 0.8, (skinned + crust) / 2, crust * 1.1),
        closes=max(cool, crust * 1.15),
    )


@dataclass(frozen=True, slots=True)
class CandleWait:
    """Seconds from the last large pour."""

    solid: Spread
    cold: Spread
    """Hottest point within 3 K of the room: the earliest permitted look at demoulding."""


def candle_wait(diameter: float, room_c: float, poured_c: float, material: Material) -> CandleWait:
    """The wait before a whole candle `diameter` m wide is solid, and cold enough to demould."""
    factor = _surroundings(room_c, poured_c) * _wall(material) * 3600
    solid = _interpolate(diameter * 1000, _WHOLE_DIAMETERS, _WHOLE_SOLID) * factor
    cold = _interpolate(diameter * 1000, _WHOLE_DIAMETERS, _WHOLE_COLD) * factor
    return CandleWait(
        solid=Spread(solid * 0.8, solid, solid * 1.3), cold=Spread(cold * 0.8, cold, cold * 1.3)
    )


def _surroundings(room_c: float, poured_c: float) -> float:
    room = 1 + 0.02 * (room_c - _REFERENCE_ROOM_C)
    pour = 1 + 0.005 * (poured_c - _REFERENCE_POUR_C)
    return max(0.3, room) * max(0.5, pour)


def _wall(material: Material) -> float:
    # Bright metal does not radiate: it loses heat about half as fast as the dull wall of the table.
    return {"bright metal": 1.3, "silicone": 1.15}.get(material, 1.0)


def _interpolate(x: float, xs: tuple[float, ...], ys: tuple[float, ...]) -> float:
    """Straight lines between the points, carried on past the ends but never below a third of the end."""
    pairs = list(zip(xs, ys, strict=True))
    low = next((i for i in range(len(xs) - 2, -1, -1) if x >= xs[i]), 0)
    (x0, y0), (x1, y1) = pairs[low], pairs[low + 1]
    value = y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return max(value, ys[0] / 3)
