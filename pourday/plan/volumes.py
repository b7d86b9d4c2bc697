"""Room in a mould: volume up to a height, height of a volume, for every shape a plan knows.

Heights are metres above the inside bottom, volumes cubic metres. A shape is taken as checked
(`check.check_shape`); heights beyond the rim and volumes beyond the full mould are cut to it.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from functools import lru_cache
from itertools import pairwise

from pourday.plan.check import height_of
from pourday.plan.model import Cylinder, Hexagon, Mould, Rectangle, Shape, Square, Tapered, WaterFilled

WATER_DENSITY = 998.2
"""kg/m³ of water at 20 °C (CRC Handbook of Chemistry and Physics), for moulds measured by water."""


def volume(shape: Shape, height: float) -> float:
    """m³ from the bottom up to `height`, m.

    >>> round(volume(Cylinder(diameter=0.075, height=0.150), 0.100) * 1e6, 1)  # in ml
    441.8
    """
    level = min(max(height, 0.0), height_of(shape))
    if isinstance(shape, Tapered):
        low, top = shape.diameter_low / 2, _radius(shape, level)
        return math.pi / 3 * level * (low * low + low * top + top * top)
    if isinstance(shape, WaterFilled):
        return _interpolate(shape, level)
    return _section(shape) * level


def capacity(shape: Shape) -> float:
    """m³ to the rim."""
    return volume(shape, height_of(shape))


def height_for(shape: Shape, room: float) -> float:
    """m above the inside bottom at which `room` m³ stand; the inverse of `volume`."""
    full = capacity(shape)
    if room <= 0:
        return 0.0
    if room >= full:
        return height_of(shape)
    if isinstance(shape, Tapered):
        low = shape.diameter_low / 2
        slope = (shape.diameter_rim / 2 - low) / shape.height
        top = math.cbrt(low**3 + 3 * slope * room / math.pi)
        # The same as (top - low) / slope, without its cancellation in nearly straight walls.
        return min(shape.height, 3 * room / (math.pi * (low * low + low * top + top * top)))
    if isinstance(shape, WaterFilled):
        return _bisect(shape, room)
    return room / _section(shape)


def fill_height(mould: Mould) -> float:
    """m from the inside bottom to the fill line."""
    return height_of(mould.shape) - mould.below_rim


def like_cylinder(shape: Shape, height: float | None = None) -> Cylinder:
    """The cylinder that cools like this mould filled to `height` m (None: to the rim).

    It has the same height, so that layers keep theirs, and the same volume per wall area, which is
    what sets the pace of cooling through the wall: a square of side a and a hexagon of width a act
    like a cylinder of diameter a. Its volume is therefore not the mould's. A mould known by water
    alone is taken as round.

    >>> round(like_cylinder(Square(side=0.060, height=0.120)).diameter, 3)
    0.06
    """
    level = height_of(shape) if height is None else min(height, height_of(shape))
    room = volume(shape, level)
    wall = _wall(shape, level)
    diameter = 4 * room / wall if wall else math.sqrt(4 * room / (math.pi * level))
    return Cylinder(diameter=diameter, height=level)


def width_of(shape: Shape) -> float:
    """m, the largest width inside; of a mould known by water alone, the mean diameter."""
    match shape:
        case Cylinder():
            return shape.diameter
        case Tapered():
            return max(shape.diameter_low, shape.diameter_rim)
        case Square():
            return shape.side
        case Rectangle():
            return max(shape.width, shape.depth)
        case Hexagon():
            return shape.across_flats
        case WaterFilled():
            return like_cylinder(shape).diameter


def _radius(shape: Tapered, level: float) -> float:
    """m at a level."""
    return (shape.diameter_low + (shape.diameter_rim - shape.diameter_low) * level / shape.height) / 2


def _section(shape: Cylinder | Square | Rectangle | Hexagon) -> float:
    """m² of a straight mould's cross-section."""
    match shape:
        case Cylinder():
            return math.pi / 4 * shape.diameter**2
        case Square():
            return shape.side**2
        case Rectangle():
            return shape.width * shape.depth
        case Hexagon():
            return math.sqrt(3) / 2 * shape.across_flats**2


def _wall(shape: Shape, level: float) -> float | None:
    """m² of side wall up to a level; None where only water tells the shape."""
    match shape:
        case Cylinder():
            return math.pi * shape.diameter * level
        case Square():
            return 4 * shape.side * level
        case Rectangle():
            return 2 * (shape.width + shape.depth) * level
        case Hexagon():
            return 2 * math.sqrt(3) * shape.across_flats * level
        case Tapered():
            low, top = shape.diameter_low / 2, _radius(shape, level)
            return math.pi * (low + top) * math.hypot(level, top - low)
        case WaterFilled():
            return None


# --- moulds known by water: a monotone cubic through the weighings ---
# Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300-304, with the usual three-point ends: a
# smooth curve that never falls between rising points.


def _interpolate(shape: WaterFilled, level: float) -> float:
    """m³ up to a level of a mould that is known by water weighed into it."""
    heights, volumes, slopes = _table(shape)
    left = min(bisect_right(heights, level) - 1, len(heights) - 2)
    step = heights[left + 1] - heights[left]
    t = (level - heights[left]) / step
    rise = volumes[left + 1] - volumes[left]
    in_, out = slopes[left] * step, slopes[left + 1] * step
    return volumes[left] + t * (in_ + t * (3 * rise - 2 * in_ - out + t * (in_ + out - 2 * rise)))


@lru_cache(maxsize=64)
def _table(shape: WaterFilled) -> tuple[list[float], list[float], list[float]]:
    """Heights, volumes and slopes dV/dh at the weighings, the empty mould included."""
    heights = [0.0] + [point.height for point in shape.points]
    volumes = [0.0] + [point.water / WATER_DENSITY for point in shape.points]
    steps = [b - a for a, b in pairwise(heights)]
    rates = [(b - a) / step for (a, b), step in zip(pairwise(volumes), steps, strict=True)]
    if len(rates) == 1:
        return heights, volumes, [rates[0], rates[0]]
    inner = []
    for (step, next_step), (rate, next_rate) in zip(pairwise(steps), pairwise(rates), strict=True):
        first, second = 2 * next_step + step, next_step + 2 * step
        inner.append((first + second) / (first / rate + second / next_rate))
    return heights, volumes, [
        _end(steps[0], steps[1], rates[0], rates[1]),
        *inner,
        _end(steps[-1], steps[-2], rates[-1], rates[-2]),
    ]  # fmt: skip


def _end(step: float, next_step: float, rate: float, next_rate: float) -> float:
    """Slope at an end: the three-point formula, never falling."""
    return max(0.0, ((2 * step + next_step) * rate - step * next_rate) / (step + next_step))


def _bisect(shape: WaterFilled, room: float) -> float:
    """m at which that many m³ stand in a mould known by water; 50 halvings are finer than a double can tell."""
    low, high = 0.0, height_of(shape)
    for _ in range(50):
        middle = (low + high) / 2
        if _interpolate(shape, middle) < room:
            low = middle
        else:
            high = middle
    return (low + high) / 2
