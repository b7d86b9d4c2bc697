"""What the pot's ensemble is drawn with: point sets, normal distributions ("bells"), weights.

Members are points z of shape (n, d): one guess a row, one unknown a column, each column standard normal
under the prior. Weights have shape (n,) and sum to one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist
from typing import Final

import numpy as np

from pourday.forecast.pot_model import Floats

MEMBERS: Final = 256
"""Points of each set."""
FREEDOM: Final = 4.0
"""Of Student's t distribution. Chosen: a reading 3 K out pulls little, where a bell curve would be dragged along."""
_PRIMES = (2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43)
"""One for each unknown; there are fewer of those in every mode."""
_WIDEN_SLOPES, _WIDEN_SEEN = 1.5, 1.2
"""Drawn a little wider than believed. Chosen: too wide costs members, too narrow loses tails."""


@dataclass(frozen=True, slots=True, eq=False)
class Normal:
    """A normal distribution of z."""

    mean: Floats
    """Shape (d,)."""
    root: Floats
    """Lower Cholesky root of the covariance, (d, d)."""
    flat: Floats
    """Inverse of the root, transposed: takes an offset from the mean to standard normal."""

    @classmethod
    def of(cls, mean: Floats, covariance: Floats) -> Normal:
        """From mean (d,) and covariance (d, d)."""
        root = np.asarray(np.linalg.cholesky(covariance), dtype=np.float64)
        return cls(mean, root, np.asarray(np.linalg.inv(root).T, dtype=np.float64))

    def draw(self, u: Floats) -> Floats:
        """Points of this distribution from as many standard normal ones, (n, d)."""
        return np.asarray(self.mean + u @ self.root.T)

    def log(self, z: Floats) -> Floats:
        """Log density at points, but for a constant that all have alike; shape (n,)."""
        flat = (z - self.mean) @ self.flat
        return np.asarray(-0.5 * np.einsum("ij,ij->i", flat, flat) - np.log(np.diag(self.root)).sum())


def log_t(off: Floats) -> Floats:
    """Log likelihood (n,) of misfits (readings, n) in units of the noise, by Student's t; but for a constant."""
    return np.asarray(-0.5 * (FREEDOM + 1.0) * np.log1p(off * off / FREEDOM).sum(axis=0))


def log_mixture(bells: Sequence[Normal], z: Floats) -> Floats:
    """Log density (n,) of points under all distributions mixed in equal parts."""
    logs = np.array([b.log(z) for b in bells])
    top = logs.max(axis=0)
    return np.asarray(top + np.log(np.exp(logs - top).mean(axis=0)))


def normed(logs: Floats) -> Floats:
    """Weights that sum to one, from their logarithms but for a common constant.

    >>> normed(np.log([30.0, 10.0])).round(2).tolist()
    [0.75, 0.25]
    """
    weights = np.exp(logs - logs.max())
    return np.asarray(weights / weights.sum())


def effective(weights: Floats) -> float:
    """How many members of equal weight say as much as these do (Kish's effective sample size).

    >>> round(effective(np.array([0.5, 0.5, 0.0, 0.0])), 1), round(effective(np.array([0.9, 0.1])), 1)
    (2.0, 1.2)
    """
    return 1.0 / float(np.sum(weights**2))


def softened(weights: Floats, fewest: float) -> Floats:
    """The weights evened out (raised to a power below one) until they amount to `fewest` equal members.

    As they are where they do already.
    """
    logs = np.log(weights / weights.max())
    power = 1.0
    while effective(normed(power * logs)) < fewest and power > 1e-3:
        power *= 0.8
    return normed(power * logs)


def median(rows: Floats) -> Floats:
    """The median of each column of `rows` (m, n), shape (n,). `np.median` loads all of `numpy.ma`: 12 ms of a start.

    >>> median(np.array([[3.0, 1.0], [1.0, 2.0], [2.0, 9.0]])).tolist()
    [2.0, 2.0]
    """
    ranked, middle = np.sort(rows, axis=0), len(rows) // 2
    return np.asarray(ranked[middle] if len(rows) % 2 else 0.5 * (ranked[middle - 1] + ranked[middle]))


def next_bell(z: Floats, weights: Floats, newton: Floats, spread: Floats, turn: int) -> Normal:
    """The distribution to draw the next set from, after the sets `z` with their `weights`.

    While fewer members carry the weight than there are unknowns: around the Gauss-Newton point `newton`
    with its covariance `spread`, wider each turn. Then around the members' mean, with a mixture of
    their covariance and `spread`: the more members carry the weight, the more of their own.
    """
    trust = effective(weights)
    d = z.shape[1]
    if trust < d:
        return Normal.of(newton, (_WIDEN_SLOPES + 0.5 * turn) * spread)
    share = trust / (trust + 3.0 * d)
    mean = weights @ z
    off = z - mean
    seen = (off * weights[:, None]).T @ off
    return Normal.of(mean, _WIDEN_SEEN * (share * seen + (1.0 - share) * spread))


def _on_ranks(columns: Floats) -> Floats:
    """Each column's values replaced by evenly spread standard normal ones of the same ranks; (MEMBERS, columns)."""
    inverse = NormalDist().inv_cdf
    quantiles = np.array([inverse((i + 0.5) / MEMBERS) for i in range(MEMBERS)])
    quantiles /= quantiles.std()
    return np.asarray(quantiles[np.argsort(np.argsort(columns, axis=0), axis=0)])


@lru_cache(maxsize=16)
def points_of(dimensions: int) -> Floats:
    """Standard normal points of shape (MEMBERS, dimensions), the same at every call.

    Additive recurrence on square roots of primes (Richtmyer's sequence), each column spread evenly,
    correlations between columns taken out. Cached, so not to be written to.
    """
    steps = np.sqrt(np.array(_PRIMES[:dimensions], dtype=np.float64)) % 1.0
    normal = _on_ranks(np.outer(np.arange(1, MEMBERS + 1), steps) % 1.0)
    for _ in range(3):
        shared = np.linalg.cholesky(normal.T @ normal / MEMBERS)
        normal = _on_ranks(normal @ np.linalg.inv(shared).T)
    normal.setflags(write=False)
    return normal
