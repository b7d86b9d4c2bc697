"""When an event comes, from what is known of the factors: quantiles over all places, each weighted by its chance."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal, Protocol

import numpy as np

from pourday.forecast.mould import MouldRun
from pourday.forecast.spread import Quantiles
from pourday.learning.factors import EVENT_SIGMA, Array, Whereabouts, normal
from pourday.learning.heat import LayerHeat, log_of

Kind = Literal["skin", "opens", "firm", "closes", "solid", "cold"]
UNKNOWN: dict[Kind, float] = {
    "skin": 0.05,
    "opens": EVENT_SIGMA,
    "firm": 0.06,
    "closes": 0.06,
    "solid": 0.10,
    "cold": 0.08,
}
"""What no factor explains of each wait, as one standard deviation of its natural logarithm: how far the computed
heat is off in a kitchen of exactly these factors. Set on days 0 to 82 of `tests/bench/varied_kitchens.py`: with every factor
told, openings of days 0 to 39 were off by 0.037 and closes by 0.04 (what nine runs add up to; one run of that very kitchen by
0.02 and 0.01); "solid" and "cold" were off by 0.02, but bands that know no more held 75 % of them."""
SURE = 0.02
"""Places with a chance smaller than this are left out. Chosen."""
_BINS, _POINTS = 64, 400
_CHANCES = (0.1, 0.5, 0.9)
"""Early, likely and late, by definition (`forecast/spread.py`)."""


Read = Callable[[MouldRun], float | None]
"""When a run has an event, s on the clock of its pours; None where it does not come."""


class EventTimes(Protocol):
    """Where early, likely and late times of a layer come from."""

    def spread(
        self, kind: Kind, read: Read, after_s: float = ..., before_s: float = ...
    ) -> tuple[float, float, float]:
        """Early, likely and late time of an event, s on the clock of the pours; infinite for each of them where the event is
        less likely than that to come at all.

        `read` reads its time off a run of the heat. Looks may have shown that it had not come at `after_s`, and had come at
        `before_s`.
        """
        ...


@dataclass(frozen=True, eq=False)
class LayerTimes:
    """Times of the layer on top of one mould by all that is known of its heat loss."""

    heat: LayerHeat
    at: Whereabouts
    """The factors at every place of the mould,"""
    weights: Array
    """and how likely each place is, shape (places, 5)."""
    likely: MouldRun
    """The likely run, which may be computed finer than the nine and sets the level,"""
    factors: Sequence[float]
    """and the factors that it was computed with, in the order and units of `FACTORS`."""

    def spread(
        self, kind: Kind, read: Read, after_s: float = -math.inf, before_s: float = math.inf
    ) -> tuple[float, float, float]:
        """See `EventTimes`."""
        nine, likely_s = [read(run) for run in self.heat.runs], read(self.likely)
        logs, poured = self.heat.over_the_places(nine, self.at), self.heat.poured_s
        finer = 0.0
        if likely_s is not None:
            coarse = float(self.heat.over_the_places(nine, tuple(np.array(x) for x in self.factors)))
            finer = log_of(max(likely_s - poured, 1.0)) - coarse
        ends = log_of(after_s - poured), log_of(before_s - poured)
        quantiles = log_quantiles(
            logs + (finer if math.isfinite(finer) else 0.0), self.weights, UNKNOWN[kind], *ends
        )
        early, likely, late = (poured + math.exp(q) for q in quantiles)
        return early, likely, late


@dataclass(frozen=True, eq=False)
class RoughTimes:
    """The same from an early, a likely and a late run alone, until the nine runs are there."""

    runs: tuple[MouldRun, MouldRun, MouldRun]

    def spread(
        self, kind: Kind, read: Read, after_s: float = -math.inf, before_s: float = math.inf
    ) -> tuple[float, float, float]:
        """See `EventTimes`."""
        del kind, before_s
        times = [read(run) for run in self.runs]
        early, likely, late = sorted(math.inf if t is None else max(t, after_s) for t in times)
        return early, likely, late


def either(one: Quantiles, other: Quantiles, chance: float) -> Quantiles:
    """When an event comes that is `other` with a `chance`, and else `one`; quantiles of the mixture, waits in s.

    >>> either(Quantiles(90.0, 100.0, 111.0), Quantiles(180.0, 200.0, 222.0), chance=0.0).likely
    100.0
    """
    sure = one if chance < SURE else other if chance > 1 - SURE else None
    if sure is not None:
        return sure
    known = [math.log(t) for q in (one, other) for t in (q.early, q.likely, q.late) if 0 < t < math.inf]
    if not known:
        return one
    x = np.linspace(min(known) - 0.5, max(known) + 0.5, _POINTS)
    total = (1 - chance) * _chances(one, x) + chance * _chances(other, x)
    early, likely, late = (math.exp(_where(x, total, q)) for q in _CHANCES)
    return Quantiles(early, likely, late)


def _chances(q: Quantiles, x: Array) -> Array:
    """How likely the event has come by exp(`x`) s: a normal distribution of the logarithm, with a width of its own
    on either side."""
    if not math.isfinite(q.likely):
        return np.zeros_like(x)
    middle = math.log(q.likely)
    below = max((middle - math.log(q.early)) / 1.2816, 1e-3)
    above = max((math.log(q.late) - middle) / 1.2816, 1e-3) if math.isfinite(q.late) else 1.0
    return normal((x - middle) / np.where(x < middle, below, above))


def log_quantiles(
    logs: Array, weights: Array, sigma: float, after_log: float = -math.inf, before_log: float = math.inf
) -> tuple[float, float, float]:
    """10, 50 and 90 % quantiles of the logarithm of a wait; infinite where less than that share comes at all.

    `logs` is the computed logarithm at every place of a grid, infinite where the event does not come there; `weights`
    (same shape) how likely each place is; `sigma` by how much it strays for other reasons. The event was seen not to
    have come at `after_log`, and to have come at `before_log`.

    >>> [round(q, 2) + 0.0 for q in log_quantiles(np.array([0.0]), np.array([1.0]), sigma=0.1)]
    [-0.13, 0.0, 0.13]
    """
    comes = np.isfinite(logs)
    whole, share = float(weights.sum()), float(weights[comes].sum())
    if share <= 0:
        return (math.inf,) * 3
    at, w = _binned(logs[comes], weights[comes])
    x = np.linspace(at.min() - 5 * sigma, at.max() + 5 * sigma, _POINTS)
    chance = normal((x[:, None] - at) / sigma)
    if after_log < before_log and (after_log > -math.inf or before_log < math.inf):
        lower, upper = normal((after_log - at) / sigma), normal((before_log - at) / sigma)
        between = np.clip((chance - lower) / np.maximum(upper - lower, 1e-6), 0.0, 1.0)
        # Places under which it could not have been seen so are left to the chance that it was not seen right.
        chance = np.where(upper - lower > 1e-6, between, chance)
        chance = np.where(x[:, None] < after_log, 0.0, chance)
    total = chance @ w / whole
    early, likely, late = (max(_where(x, total, q), after_log) for q in _CHANCES)
    return early, likely, late


def _binned(logs: Array, weights: Array) -> tuple[Array, Array]:
    """The same distribution in a few dozen places: the mean of the values near each, and their weight."""
    low, high = float(logs.min()), float(logs.max())
    if high - low < 1e-9:
        return np.array([low]), np.array([float(weights.sum())])
    place = np.minimum(((logs - low) / (high - low) * _BINS).astype(int), _BINS - 1).ravel()
    w = np.bincount(place, weights.ravel(), _BINS).astype(np.float64)
    total = np.bincount(place, (logs * weights).ravel(), _BINS).astype(np.float64)
    there = w > 0
    return total[there] / w[there], w[there]


def _where(x: Array, total: Array, chance: float) -> float:
    """Where a rising sum of chances (`total` at `x`) reaches a level; infinite where it does not."""
    return math.inf if total[-1] < chance - 1e-3 else float(np.interp(chance, total, x))
