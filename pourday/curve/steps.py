"""From readings in steps to a falling curve: when the wax passed each temperature, and how long it stayed there.

A probe that counts in whole degrees still tells to the second when it went from 60 to 59: the wax was at 59.5
then. Those moments, and not the readings, are what the curve is made of; between two of them nothing is known.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pourday.curve.log import CoolingLog

Array = NDArray[np.float64]


def crossings(log: CoolingLog) -> tuple[Array, Array]:
    """Moments in s and the °C passed at them, both shape (n,); °C never rise.

    A dip from which the wax warmed itself again (supercooling) is filled up to the top that came after it, as
    ASTM D87 reads it. Where a probe flickers between two steps its passings are pooled to their mean.
    """
    hottest = int(np.argmax(log.celsius))  # before it, the probe or the wax was still warming
    t, v = log.seconds[hottest:], _without_dip(log.celsius[hottest:], log.resolution)
    at = np.flatnonzero(np.diff(v))
    moments, passed = (t[at] + t[at + 1]) / 2, (v[at] + v[at + 1]) / 2
    return _pooled(moments, passed)


def _without_dip(celsius: Array, step: float) -> Array:
    """The falling °C with the dip of a supercooled wax filled to the top after it."""
    v = celsius.copy()
    smooth = v.copy()
    if len(v) > 1:
        smooth[0], smooth[-1] = (v[0] + v[1]) / 2, (v[-1] + v[-2]) / 2
        smooth[1:-1] = np.median(np.stack((v[:-2], v[1:-1], v[2:])), axis=0)
    after = np.maximum.accumulate(smooth[::-1])[::-1]
    rise = after - smooth
    deepest = int(np.argmax(rise))
    if rise[deepest] >= max(0.3, 1.5 * step):
        top = after[deepest]
        v[int(np.argmax(smooth <= top)) : int(np.flatnonzero(smooth >= top)[-1])] = top
    return v


def _pooled(moments: Array, passed: Array) -> tuple[Array, Array]:
    """Falling values nearest to those given: neighbours out of order share their mean (pool adjacent violators)."""
    pools: list[list[float]] = []
    for moment, value in zip(moments, passed, strict=True):
        pools.append([moment, value, 1.0])
        while len(pools) > 1 and pools[-2][1] <= pools[-1][1] + 1e-9:
            late, early = pools.pop(), pools.pop()
            n = early[2] + late[2]
            pools.append(
                [(e * early[2] + x * late[2]) / n for e, x in zip(early[:2], late[:2], strict=True)] + [n]
            )
    return np.array([pool[0] for pool in pools]), np.array([pool[1] for pool in pools])


def dwells(moments: Array, passed: Array, width: float, around: float) -> tuple[Array, Array]:
    """Middles in °C of bins so many K wide, hottest first, and the heat given off in each, both shape (n,).

    By Newton's law of cooling the heat that leaves in a moment goes with how far the wax is above what is
    `around` it (°C), so a bin's heat is its s times those K, over its width: in K·s per K.
    """
    lowest = np.ceil(passed.min() / width - 0.5) * width + width / 2
    edges = np.arange(lowest, passed.max() + 1e-9, width)[::-1]
    if len(edges) < 2:
        return np.empty(0), np.empty(0)
    when = np.interp(-edges, -passed, moments)
    middles = (edges[1:] + edges[:-1]) / 2
    return middles, np.diff(when) * (middles - around) / width
