"""What a cooling curve says: where the wax sets, how surely, over which range, or that it says nothing.

The log is turned into heat given off per kelvin (`steps.dwells`): liquid wax gives off little, setting wax much.
What stands out narrowly is a plateau, what stands out broadly a slope. A temperature that only comes slowly
nearer to room or bath, each half of the way in the same time, is no plateau of the wax: that is the bath's.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from pourday.curve.log import CoolingLog
from pourday.curve.steps import crossings, dwells

Array = NDArray[np.float64]
Kind = Literal["plateau", "slope", "bath", "none"]

USUAL_ROOM_C = 20.0
"""What is taken for the surroundings where nobody says; the reading hardly depends on it. Estimate."""
_FINEST = 0.25
"""K, width of the narrowest bin that is looked at. Chosen: below it, flicker looks like heat."""
_COARSE, _SECOND = 1.0, 1.5
"""K, width of the bins in which a second plateau is looked for, and by how much it stands out. Tuned."""
_FALLEN = 3.0
"""K a curve has to have fallen before a plateau is believed: before, the probe still warms. Common practice."""
_SLOPE, _PLATEAU = 6.5, 8.0
"""Times the heat of the liquid that a slope and a plateau stand out at least. Tuned on simulated tins."""
_NARROW = 2.5
"""K over which a plateau gives off more than half of its most; wider ones are slopes. Tuned likewise."""
_NEWTON = 0.019
"""Share of its fall by which a curve strays from Newton's law of cooling, at most, where nothing sets. Tuned: baths
stray 0.006 to 0.018, plateaus 0.021 and more."""
_BELOW_END = (0.1, 0.5, 1.0, 2.0, 3.0, 5.0, 8.0, 12.0, 20.0, 30.0, 45.0)
"""K below its end at which surroundings are tried. Chosen."""
_NEAR = 1.5
"""K from known surroundings within which a curve has come to rest in them. Estimate."""
_FLAT = 0.12
"""Share of the log at its end over which a curve at rest stays within a step of the probe. Estimate."""
_SETTING = 3.0
"""Times the heat of the liquid from which on wax counts as setting. Estimate."""
_D87_WINDOW, _D87_EVERY, _D87_SPAN = 5, 15.0, 0.1
"""ASTM D87: so many readings, s apart, that agree within so many K."""
_SCATTER, _TO_SD = 0.1, 0.6745 * math.sqrt(6.0)
"""K, standard deviation of readings above which the standard's rule is left alone (estimate), and the median size of
the second differences of normal noise over its standard deviation."""
_BETWEEN_PLACES = 0.23
"""± K that holds four in five where the rule of ASTM D87 was met: its reproducibility is 0.5 K (19 in 20 differences of two
places), so one place's standard deviation is 0.5 / 2.77, and 1.28 of those."""
_FAR = 6.0
"""K above known surroundings from which a flat end is the wax's own and not theirs. Estimate."""
_ABOVE_STEP = 0.18
"""K that the standard's mean lies above where the heat of coarse steps sets in. Tuned on simulated tins."""


@dataclass(frozen=True)
class CurveReading:
    """What was read off a cooling curve; temperatures in °C."""

    kind: Kind
    congealing_c: float | None = None
    """Where the wax sets: the likely value; None where the curve does not tell."""
    early_c: float | None = None
    """Lower and upper end of where it sets, four times in five."""
    late_c: float | None = None
    range_c: tuple[float, float] | None = None
    """Lower and upper end of where plainly more heat is given off than by the liquid; no finer than the probe, and
    no lower than the log goes."""
    second_c: float | None = None
    """A shoulder or second plateau below the first."""
    rests_at_c: float | None = None
    """Of `bath`: the temperature at which it only came to rest."""


def read_curve(log: CoolingLog, around_c: float | None = None) -> CurveReading:
    """What the log says; `around_c` is the temperature of room or bath in °C, where it is known."""
    moments, passed = crossings(log)
    if len(moments) < 3:
        return CurveReading("none")
    moments, passed = _to_the_end(log, moments, passed)
    width = max(log.resolution, _FINEST)
    around = USUAL_ROOM_C if around_c is None else around_c
    middles, heat = dwells(moments, passed, width, around)
    below_start = middles <= passed.max() - _FALLEN
    if len(middles) < 5 or not below_start.any():
        return CurveReading("none")
    ground = _ground(middles, heat)
    end = float(log.celsius[-1])
    flat = _is_flat(log)
    # A log may end on the plateau; where the room is known to be far below, it is no rest in the room.
    far = around_c is not None and flat and end - around_c > _FAR
    if not far and _only_cools(moments, passed):
        return CurveReading("bath", rests_at_c=end) if flat else CurveReading("none")
    counts = below_start
    if flat and not far and _stands_before_the_end(middles, heat, below_start, ground):
        counts = below_start & (middles > middles[-1] + 1.5)
    elif around_c is not None and abs(end - around_c) < _NEAR:
        above = below_start & (middles > end + _FAR)
        if not above.any() or heat[above].max() < _PLATEAU * ground:
            return CurveReading("bath", rests_at_c=end)
        counts = above
    peak = int(np.argmax(np.where(counts, heat, -np.inf)))
    high = counts & (heat >= heat[peak] / 2)
    top, bottom = _run(high, peak)
    stands = heat[peak] / ground
    if stands < _SLOPE:
        return CurveReading("none")
    setting = _run(counts & (heat >= max(_SETTING * ground, heat[peak] / 20)), peak)
    range_c = (float(middles[setting[1]] - width / 2), float(middles[setting[0]] + width / 2))
    if stands < _PLATEAU or middles[top] - middles[bottom] + width > max(_NARROW, 2.01 * width):
        return _slope(float(middles[top]), float(middles[bottom]), range_c)
    congeals, give = _congeals(log, middles, heat, top, peak)
    second = _second(moments, passed, width, float(middles[bottom] - width / 2), around)
    return CurveReading("plateau", congeals, congeals - give, congeals + give, range_c, second)


def _to_the_end(log: CoolingLog, moments: Array, passed: Array) -> tuple[Array, Array]:
    """The crossings with one more: a log that ends has stayed in its last step until then at least."""
    if log.seconds[-1] <= moments[-1]:
        return moments, passed
    return np.append(moments, log.seconds[-1]), np.append(passed, passed[-1] - log.resolution)


def _ground(middles: Array, heat: Array) -> float:
    """The heat of the liquid: the middle of what is given off in the upper part of the curve."""
    upper = middles > middles[0] - max(4.0, 0.25 * (middles[0] - middles[-1]))
    return float(np.median(heat[upper][: max(3, int(upper.sum()))]))


def _run(high: NDArray[np.bool_], at: int) -> tuple[int, int]:
    """First and last place of the unbroken run of True around a place; one gap is let pass."""
    top = bottom = at
    while top > 0 and (high[top - 1] or (top > 1 and high[top - 2])):
        top -= 1
    while bottom < len(high) - 1 and (high[bottom + 1] or (bottom < len(high) - 2 and high[bottom + 2])):
        bottom += 1
    return top, bottom


def _only_cools(moments: Array, passed: Array) -> bool:
    """Whether Newton's law of cooling, towards whatever surroundings fit best, is all there is in the curve."""
    part = passed < passed[0] - 0.08 * np.ptp(passed)
    when, celsius = moments[part], passed[part]
    if len(celsius) < 4 or np.ptp(celsius) <= 0:
        return False
    misses = []
    for below in _BELOW_END:
        towards = celsius[-1] - below
        above = celsius - towards
        fitted = np.exp(np.polyval(np.polyfit(when, np.log(above), 1, w=above), when)) + towards
        misses.append(np.sqrt(np.mean((fitted - celsius) ** 2)))
    return bool(min(misses) < _NEWTON * np.ptp(celsius))


def _is_flat(log: CoolingLog) -> bool:
    """Whether the log stands still at its end."""
    late = log.celsius[log.seconds > log.seconds[-1] * (1 - _FLAT)]
    return bool(np.ptp(late) <= max(1.01 * log.resolution, 0.5))


def _stands_before_the_end(middles: Array, heat: Array, allowed: NDArray[np.bool_], ground: float) -> bool:
    """Whether a plateau lies above the flat end of a curve, with a steeper piece between the two."""
    above_end = allowed & (middles > middles[-1] + 1.5)
    if not above_end.any():
        return False
    peak = int(np.argmax(np.where(above_end, heat, -np.inf)))
    after = heat[peak + 1 :]
    return bool(heat[peak] >= _PLATEAU * ground and len(after) and after.min() < heat[peak] / 3)


def _slope(top_c: float, bottom_c: float, range_c: tuple[float, float]) -> CurveReading:
    """A soft mixture: it begins to set at the top of where it gives off most, told as widely as that is known."""
    give = max(1.5, 0.3 * (top_c - bottom_c))
    return CurveReading("slope", top_c, top_c - give, top_c + give, range_c)


def _congeals(log: CoolingLog, middles: Array, heat: Array, top: int, peak: int) -> tuple[float, float]:
    """°C where a plateau lies, and ± K that holds four in five.

    By ASTM D87 where the probe resolves it, else by how the heat shares out over the steps from `top` to `peak`;
    half a step either way then, for a probe that counts in whole degrees knows no better.
    """
    width = max(log.resolution, _FINEST)
    five = _standard_five(log, float(middles[top]) + width)
    if five is not None and abs(five.mean() - middles[top]) < 1.0:
        # In a tin the wax at the wall has set by then and the middle runs behind: of five readings that still fall the
        # first is nearer to what the standard's narrow tube gives than their mean (simulated tins: 0.04 K below it, not 0.08).
        return float(five.max()), _BETWEEN_PLACES
    covered = 0.75 if top == peak else heat[top] / heat[peak]
    return float(middles[top] + width * (covered - 0.5)) + _ABOVE_STEP, max(_BETWEEN_PLACES, width / 2)


def by_standard(log: CoolingLog, from_c: float = math.inf) -> float | None:
    """ASTM D87: the mean of the first five readings 15 s apart within 0.1 K, below `from_c`; None where no five agree."""
    five = _standard_five(log, from_c)
    return None if five is None else float(five.mean())


def _standard_five(log: CoolingLog, from_c: float) -> Array | None:
    """The five readings that the standard takes the mean of, °C.

    A log with more readings is averaged over 15 s first. None where no five agree, where the probe counts in
    coarser steps or is read too rarely, and where its readings scatter so much that agreement would be chance.
    """
    every = float(np.median(np.diff(log.seconds)))
    each = max(int(_D87_EVERY / every), 1)
    scatter = np.median(np.abs(np.diff(log.celsius, 2))) / _TO_SD / math.sqrt(each)
    if log.resolution > _D87_SPAN or every > 2 * _D87_EVERY or scatter > _SCATTER:
        return None
    whole = len(log.seconds) // each * each
    if not whole:
        return None
    seconds, celsius = (row[:whole].reshape(-1, each).mean(axis=1) for row in (log.seconds, log.celsius))
    readings = np.interp(np.arange(seconds[0], seconds[-1] + 1e-9, _D87_EVERY), seconds, celsius)
    for i in range(int(np.argmax(readings)), len(readings) - _D87_WINDOW + 1):
        window = readings[i : i + _D87_WINDOW]
        if window[0] <= min(readings.max() - _FALLEN, from_c) and np.ptp(window) <= _D87_SPAN + 1e-9:
            return np.asarray(window)
    return None


def _second(moments: Array, passed: Array, width: float, bottom_c: float, around_c: float) -> float | None:
    """°C of a shoulder or second plateau: where, below the first, more heat is given off than on both its sides.

    It is looked for in bins of a kelvin at least, and not within 6 K of the surroundings, where time tells little.
    """
    middles, heat = dwells(moments, passed, max(width, _COARSE), around_c)
    below = (middles < bottom_c - 1.5) & (middles > around_c + 6.0)
    middles, heat = middles[below], heat[below]
    best, stands = None, _SECOND
    for i in range(1, len(heat) - 1):
        prominence = heat[i] / max(heat[:i].min(), heat[i + 1 :].min())
        if prominence > stands:
            best, stands = float(middles[i]), float(prominence)
    return best
