"""Which guesses about the pot agree with the readings: an ensemble drawn to where they do.

Sets of points of a low-discrepancy sequence, weighed together: over the whole prior; around the best
guess with the spread its slopes give (Gauss-Newton, Laplace); and around what those before say.
Each point's weight is prior x likelihood over the density of the mixture it was drawn from (adaptive
multiple importance sampling, deterministic mixture), so a poor best guess costs members, not truth. No random
numbers: the same readings give the same forecast.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist
from typing import Final

import numpy as np

from pourday.forecast.pot_model import Floats, Members, grid_through, run, table
from pourday.forecast.pot_prior import UNKNOWNS, Guess, PotSetup, members_of

MEMBERS: Final = 384
"""Points of each set, and members of the ensemble at most."""
NOISE_K: Final = 0.5
"""Scale of a reading's error: half a degree typed, tip and stirring."""
_FREEDOM = 4.0
"""Student's t: a reading 3 K out pulls little, where a bell curve would be dragged along."""
_LONGEST_PAST_S = 7200.0
_SOLID_NOISE_K = 0.5
"""More of it while the wax is solid: a tip between pieces, and the table's curve is not this lot's."""
STEP_S = 80.0
"""s, longest step up to the last reading."""
_NUDGE = 0.1
_GAUSS_NEWTON = 4
_WIDEN, _ENOUGH = (1.5, 1.2, 1.2, 1.2), 50.0
"""Spread of each drawing over the one before it; the last two only while fewer members carry the weight."""


@dataclass(frozen=True, slots=True, eq=False)
class Ensemble:
    """Weighted members, and the times their paths were stepped over."""

    members: Members
    weights: Floats
    """Shape (n,), summing to one."""
    times: Floats
    """s, from where the paths start to the last reading."""
    effective: float
    """How many equal members the weights amount to."""


def fit(setup: PotSetup, readings: Sequence[tuple[float, float]]) -> Ensemble:
    """The ensemble after the readings (time s, °C), which lie after `setup.mode_since`, by rising time.

    Without a prior for the start the paths begin at the first reading; where all the others deny it, at
    the second.
    """
    if readings and readings[-1][0] - readings[0][0] > _LONGEST_PAST_S:
        readings = [r for r in readings if readings[-1][0] - r[0] <= _LONGEST_PAST_S]
    known = setup.start_c is not None or setup.start_h is not None
    recent = bool(readings) and readings[-1][0] - setup.mode_since <= _LONGEST_PAST_S
    if not readings or (known and recent):
        return _Fit(setup, readings, setup.mode_since, None).ensemble()[0]
    best, misfit = _Fit(setup, readings[1:], readings[0][0], Guess(readings[0][1], NOISE_K)).ensemble()
    if misfit > 3.0 and len(readings) > 3:
        when, celsius = readings[1]
        other, less = _Fit(setup, readings[2:], when, Guess(celsius, NOISE_K)).ensemble()
        if less < 0.5 * misfit:
            return other
    return best


class _Fit:
    """One stretch of readings; `z` (n, unknowns) are standard normal points throughout."""

    def __init__(
        self, setup: PotSetup, readings: Sequence[tuple[float, float]], start: float, first: Guess | None
    ) -> None:
        self.setup, self.start, self.first = setup, start, first
        self.table = table(setup.wax)
        self.when = np.array([t for t, _ in readings])
        self.seen = np.array([c for _, c in readings])
        molten = 1.0 - self.table.curve.solid_at(self.seen)
        self.noise = (NOISE_K + _SOLID_NOISE_K * (1.0 - molten))[:, None]
        self.times = grid_through(start, self.when, STEP_S)
        self.rows = np.searchsorted(self.times, self.when)

    def ensemble(self) -> tuple[Ensemble, float]:
        """The ensemble, and the median misfit of the readings in units of their noise."""
        points = points_of(len(UNKNOWNS[self.setup.mode]) + 1)
        later, u = points[:, 0], points[:, 1:]
        bell = _Bell(np.zeros(u.shape[1]), np.eye(u.shape[1]))
        if not len(self.when):
            return Ensemble(self._members(u, later), np.full(MEMBERS, 1 / MEMBERS), self.times, MEMBERS), 0.0
        bells, pool = [bell], [u]
        off = [self.misfits(u)]
        best, spread = self._gauss_newton(u[int(np.argmax(_log_t(off[0]) + bell.log(u)))])
        weights = np.empty(0)
        for turn, widen in enumerate(_WIDEN):
            if turn > 1 and _effective(weights) >= _ENOUGH:
                break
            bells.append(_Bell(best, spread * widen))
            pool.append(bells[-1].draw(u))
            off.append(self.misfits(pool[-1]))
            z, fits = np.concatenate(pool), _log_t(np.concatenate(off, axis=1))
            weights = _weights(fits + bell.log(z) - _log_mixture(bells, z))
            best, spread = _weighted_bell(z, weights, spread)
        misfit = float(weights @ np.median(np.abs(np.concatenate(off, axis=1)), axis=0))
        keep = np.argsort(weights)[::-1][:MEMBERS]
        keep = keep[weights[keep] > 1e-5]
        kept = weights[keep] / weights[keep].sum()
        members = self._members(z[keep], np.tile(later, len(pool))[keep])
        return Ensemble(members, kept, self.times, _effective(weights)), misfit

    def _members(self, z: Floats, later: Floats) -> Members:
        return members_of(self.setup, z, later, self.start, self.first)

    def misfits(self, z: Floats) -> Floats:
        """(model - reading) / noise, shape (readings, n)."""
        members = self._members(z, np.zeros(len(z)))
        path = run(self.table, members, self.setup.mode, self.times)
        celsius = path.celsius[self.rows]
        celsius += members.tip * (path.bath_c[self.rows] - celsius)
        return np.asarray((celsius - self.seen[:, None]) / self.noise)

    def _gauss_newton(self, z: Floats) -> tuple[Floats, Floats]:
        """The most likely point near z, and the covariance its slopes give; readings weighed by the t."""
        d = len(z)
        nudges = np.concatenate([np.zeros((1, d)), _NUDGE * np.eye(d), -_NUDGE * np.eye(d)])
        best, value, damp = z, -math.inf, 0.0
        curvature, cost = np.eye(d), z
        for _ in range(_GAUSS_NEWTON):
            off = self.misfits(z + nudges)
            now = float(_log_t(off[:, :1])[0] - 0.5 * z @ z)
            if now >= value:
                best, value, damp = z, now, damp / 4.0
                slopes = (off[:, 1 : d + 1] - off[:, d + 1 :]) / (2.0 * _NUDGE)
                pull = (_FREEDOM + 1.0) / (_FREEDOM + off[:, 0] ** 2)
                curvature = np.eye(d) + (slopes * pull[:, None]).T @ slopes
                cost = slopes.T @ (pull * off[:, 0]) + z
            else:
                damp = max(1.0, 8.0 * damp)
            step = np.linalg.solve(curvature + damp * np.diag(np.diag(curvature)), cost)
            z = best - step * min(1.0, 2.0 / max(1e-9, float(np.abs(step).max())))
        return best, np.asarray(np.linalg.inv(curvature), dtype=np.float64)


@dataclass(frozen=True, slots=True, eq=False)
class _Bell:
    """A normal distribution of z."""

    mean: Floats
    covariance: Floats

    def draw(self, u: Floats) -> Floats:
        return np.asarray(self.mean + u @ np.linalg.cholesky(self.covariance).T)

    def log(self, z: Floats) -> Floats:
        """Log density but for a constant, shape (n,)."""
        root = np.linalg.cholesky(self.covariance)
        flat = np.linalg.solve(root, (z - self.mean).T)
        return np.asarray(-0.5 * np.sum(flat * flat, axis=0) - np.sum(np.log(np.diag(root))))


def _log_t(off: Floats) -> Floats:
    """Log likelihood of misfits (readings, n) under Student's t, summed over the readings."""
    return np.asarray(-0.5 * (_FREEDOM + 1.0) * np.log1p(off * off / _FREEDOM).sum(axis=0))


def _log_mixture(bells: Sequence[_Bell], z: Floats) -> Floats:
    logs = np.array([b.log(z) for b in bells])
    top = logs.max(axis=0)
    return np.asarray(top + np.log(np.exp(logs - top).mean(axis=0)))


def _weights(logs: Floats) -> Floats:
    weights = np.exp(logs - logs.max())
    return np.asarray(weights / weights.sum())


def _effective(weights: Floats) -> float:
    """How many equal members these weights amount to."""
    return 1.0 / float(np.sum(weights**2))


def _weighted_bell(z: Floats, weights: Floats, spread: Floats) -> tuple[Floats, Floats]:
    """Mean and covariance of the weighted points, leaning on `spread` where few carry the weight."""
    trust = _effective(weights)
    share = trust / (trust + 3.0 * z.shape[1])
    mean = weights @ z
    off = z - mean
    return mean, share * ((off * weights[:, None]).T @ off) + (1.0 - share) * spread


@lru_cache(maxsize=8)
def points_of(dimensions: int) -> Floats:
    """MEMBERS x dimensions standard normal points of an additive-recurrence sequence on the generalised
    golden ratio (Roberts' R_d sequence), scaled to exact mean and spread."""
    ratio = 2.0
    for _ in range(60):
        ratio = (1.0 + ratio) ** (1.0 / (dimensions + 1))
    steps = ratio ** -np.arange(1.0, dimensions + 1)
    unit = (0.5 + np.outer(np.arange(1, MEMBERS + 1), steps)) % 1.0
    inverse = NormalDist().inv_cdf
    normal = np.array([[inverse(min(max(u, 1e-6), 1 - 1e-6)) for u in row] for row in unit.tolist()])
    normal -= normal.mean(axis=0)
    normal /= normal.std(axis=0)
    normal.setflags(write=False)
    return normal
