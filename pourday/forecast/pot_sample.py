"""Tools of the pot's ensemble: point sets, bells, weights. All on standard normal points z, shape (n, d)."""

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
"""Student's t: a reading 3 K out pulls little, where a bell curve would be dragged along."""
_PRIMES = (2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43)
_WIDEN_SLOPES, _WIDEN_SEEN = 1.5, 1.2
"""Drawn a little wider than believed: too wide costs members, too narrow loses tails."""


@dataclass(frozen=True, slots=True, eq=False)
class Normal:
    """A normal distribution of z by its mean and the lower root of its covariance."""

    mean: Floats
    root: Floats
    flat: Floats
    """Inverse of the root, transposed: takes an offset from the mean to standard normal."""

    @classmethod
    def of(cls, mean: Floats, covariance: Floats) -> Normal:
        root = np.asarray(np.linalg.cholesky(covariance), dtype=np.float64)
        return cls(mean, root, np.asarray(np.linalg.inv(root).T, dtype=np.float64))

    def draw(self, u: Floats) -> Floats:
        """Points of this bell from standard normal ones."""
        return np.asarray(self.mean + u @ self.root.T)

    def log(self, z: Floats) -> Floats:
        """Log density but for a constant common to all bells, shape (n,)."""
        flat = (z - self.mean) @ self.flat
        return np.asarray(-0.5 * np.einsum("ij,ij->i", flat, flat) - np.log(np.diag(self.root)).sum())


def log_t(off: Floats) -> Floats:
    """Log likelihood of misfits (readings, n) under Student's t, summed over the readings."""
    return np.asarray(-0.5 * (FREEDOM + 1.0) * np.log1p(off * off / FREEDOM).sum(axis=0))


def log_mixture(bells: Sequence[Normal], z: Floats) -> Floats:
    """Log density of the even mixture of the bells."""
    logs = np.array([b.log(z) for b in bells])
    top = logs.max(axis=0)
    return np.asarray(top + np.log(np.exp(logs - top).mean(axis=0)))


def normed(logs: Floats) -> Floats:
    """Weights summing to one."""
    weights = np.exp(logs - logs.max())
    return np.asarray(weights / weights.sum())


def effective(weights: Floats) -> float:
    """How many equal members these weights amount to."""
    return 1.0 / float(np.sum(weights**2))


def softened(weights: Floats, fewest: float) -> Floats:
    """The weights, brought to a power below one where fewer than `fewest` members carry them."""
    logs = np.log(weights / weights.max())
    power = 1.0
    while effective(normed(power * logs)) < fewest and power > 1e-3:
        power *= 0.8
    return normed(power * logs)


def next_bell(z: Floats, weights: Floats, newton: Floats, spread: Floats, turn: int) -> Normal:
    """Where to draw next: around the Newton point, wider each turn, while few members carry the weight; then
    around their mean, with their covariance leaning on the one from the slopes."""
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
    """Each column's values replaced by the evenly spread normal ones of the same rank, of variance one."""
    inverse = NormalDist().inv_cdf
    quantiles = np.array([inverse((i + 0.5) / MEMBERS) for i in range(MEMBERS)])
    quantiles /= quantiles.std()
    return np.asarray(quantiles[np.argsort(np.argsort(columns, axis=0), axis=0)])


@lru_cache(maxsize=16)
def points_of(dimensions: int) -> Floats:
    """MEMBERS x dimensions standard normal points, the same every time: additive recurrence on square roots of
    primes (Richtmyer's sequence), each column spread evenly, what two columns have in common taken out."""
    steps = np.sqrt(np.array(_PRIMES[:dimensions], dtype=np.float64)) % 1.0
    normal = _on_ranks(np.outer(np.arange(1, MEMBERS + 1), steps) % 1.0)
    for _ in range(3):
        shared = np.linalg.cholesky(normal.T @ normal / MEMBERS)
        normal = _on_ranks(normal @ np.linalg.inv(shared).T)
    normal.setflags(write=False)
    return normal
