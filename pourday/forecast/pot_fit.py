"""Which guesses about the pot agree with the readings: an ensemble drawn to where they do.

Sets of points of a low-discrepancy sequence, weighed together: over the whole prior, then around the best
guess with the spread its slopes give (Gauss-Newton, Laplace), then around what those before say. The slopes
ride along in the same run: a step costs the same for a dozen members more.
Each point's weight is prior x likelihood over the density of the mixture it was drawn from (adaptive
multiple importance sampling, deterministic mixture), so a poor best guess costs members, not truth. No random
numbers: the same readings give the same forecast.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
import numpy.typing as npt

from pourday.forecast.pot_model import Floats, Members, Path, grid_through, run, table
from pourday.forecast.pot_prior import UNKNOWNS, Guess, PotSetup, members_of
from pourday.forecast.pot_sample import (
    FREEDOM,
    MEMBERS,
    Normal,
    effective,
    log_mixture,
    log_t,
    median,
    next_bell,
    normed,
    points_of,
    softened,
)

NOISE_K: Final = 0.4
"""K, scale of the error of a reading: typed to half a degree at best, tip, stirring. An estimate of ours."""
_SOLID_NOISE_K = 0.4
"""K that a reading may be further off while the wax is solid: the tip stands between pieces, and the table's
curve is not this lot's. An estimate of ours."""
STEP_S: Final = 120.0
"""s, longest step up to the last reading. Chosen."""
_LONGEST_PAST_S = 7200.0
"""s before the last reading of which readings are used: older ones tell little about now, and cost as much. Chosen."""
_DENIED = 3.0
"""Median misfit, in units of the noise, from which another start is tried. Chosen."""
_NUDGE, _LONGEST_STEP = 0.1, 2.0
"""In standard deviations of the prior: how far aside slopes are taken, and how far one Gauss-Newton step goes. Chosen."""
_TURNS, _USUAL, _ENOUGH, _FEWEST = 7, 3, 40.0, 12.0
"""Sets are drawn until as many as `_ENOUGH` equal members carry the weight, at least three; from the fourth on
`_FEWEST` will do; never more than seven. Where fewer carry it then, the weights are evened out until as many do, so
that the band errs on the wide side. Chosen."""


@dataclass(frozen=True, slots=True, eq=False)
class Ensemble:
    """Weighted members, and their paths up to the last reading."""

    members: Members
    z: Floats
    """The members as standard normal points, shape (n, unknowns of the mode), by the setup's prior."""
    weights: Floats
    """Shape (n,), summing to one."""
    path: Path


def fit(setup: PotSetup, readings: Sequence[tuple[float, float]]) -> Ensemble:
    """The guesses about the pot that agree with the readings (s, °C), rising, all after `setup.mode_since`.

    Paths begin at the start that the setup has a prior for; where it has none, at the first reading.
    Another start is tried where the readings deny that one (`_DENIED`), and taken where it fits twice as well.
    Denied prior: two readings or more agree that something was done that nobody said, so paths begin at the
    first reading. Denied first reading: all others speak against it, so they begin at the second.
    """
    if readings and readings[-1][0] - readings[0][0] > _LONGEST_PAST_S:
        readings = [r for r in readings if readings[-1][0] - r[0] <= _LONGEST_PAST_S]
    return _fitted(setup, tuple(readings))


@lru_cache(maxsize=8)
def _fitted(setup: PotSetup, readings: tuple[tuple[float, float], ...]) -> Ensemble:
    """See `fit`. The same readings are asked for again at every later moment, and after every fact that is not of the pot:
    kept, that is two in five of all fits of a played day (`tests/bench/test_caches.py`)."""
    recent = bool(readings) and readings[-1][0] - setup.mode_since <= _LONGEST_PAST_S
    if not readings:
        return _Fit(setup, readings, setup.mode_since, None).ensemble()[0]
    if setup.start_known and recent:
        best, misfit = _Fit(setup, readings, setup.mode_since, None).ensemble()
        skip, fewest = 0, 2
    else:
        best, misfit = _from_reading(setup, readings, 0)
        skip, fewest = 1, 4
    if misfit > _DENIED and len(readings) >= fewest:
        other, less = _from_reading(setup, readings, skip)
        if less < 0.5 * misfit:
            return other
    return best


def _from_reading(
    setup: PotSetup, readings: Sequence[tuple[float, float]], index: int
) -> tuple[Ensemble, float]:
    """The ensemble whose paths begin at one of the readings, and how far those after it are off (median, in noise)."""
    when, celsius = readings[index]
    return _Fit(setup, readings[index + 1 :], when, Guess(celsius, NOISE_K)).ensemble()


class _Fit:
    """One stretch of readings being fitted.

    `start` in s is where paths begin, `first` the guess for the wax there (the setup's where None).
    `z` of shape (n, unknowns) are members as standard normal points throughout.
    """

    def __init__(
        self, setup: PotSetup, readings: Sequence[tuple[float, float]], start: float, first: Guess | None
    ) -> None:
        self.setup, self.start, self.first = setup, start, first
        self.table = table(setup.wax)
        self.when = np.array([t for t, _ in readings])
        self.seen = np.array([c for _, c in readings])
        molten = 1.0 - self.table.curve.set_at(self.seen)
        self.noise = (NOISE_K + _SOLID_NOISE_K * (1.0 - molten))[:, None]
        self.times = grid_through(start, self.when, STEP_S)
        self.rows = np.searchsorted(self.times, self.when)
        self.d = len(UNKNOWNS[setup.mode])
        nudge = _NUDGE * np.eye(self.d)
        self.stencil = np.concatenate([np.zeros((1, self.d)), nudge, -nudge])

    def ensemble(self) -> tuple[Ensemble, float]:
        """The weighted members, and the median misfit of the readings in units of their noise."""
        points = points_of(self.d + 1)
        later, u = points[:, 0], points[:, 1:]
        bells = [Normal.of(np.zeros(self.d), np.eye(self.d))]
        if not len(self.when):
            members = self._members(u, later)
            weights = np.full(MEMBERS, 1.0 / MEMBERS)
            path = run(self.table, members, self.setup.mode, self.times)
            return Ensemble(members, u, weights, path), 0.0
        pool: list[Floats] = []
        paths: list[Path] = []
        offs: list[Floats] = []
        heights: list[Floats] = []
        centre, weights = np.zeros(self.d), np.empty(0)
        for turn in range(_TURNS):
            pool.append(bells[-1].draw(u))
            path, off = self.misfits(np.concatenate([pool[-1], centre + self.stencil]))
            paths.append(path)
            offs.append(off[:, :MEMBERS])
            heights.append(log_t(offs[-1]) + bells[0].log(pool[-1]))
            z, height = np.concatenate(pool), np.concatenate(heights)
            weights = normed(height - log_mixture(bells, z))
            if effective(weights) >= (_ENOUGH if turn < _USUAL else _FEWEST) and turn >= 2:
                break
            newton, spread, here = self._newton(centre, off[:, MEMBERS:])
            best = int(np.argmax(height))
            # A Newton step from a worse place than one already drawn leads nowhere: go on from the best one.
            centre = newton if here > height[best] - 1.0 else z[best]
            bells.append(next_bell(z, weights, newton, spread, turn))
        misfit = float(weights @ median(np.abs(np.concatenate(offs, axis=1))))
        keep = np.argsort(weights)[::-1][:MEMBERS]
        keep = keep[weights[keep] > 1e-5]
        members = self._members(z[keep], np.tile(later, len(pool))[keep])
        evened = softened(weights[keep], _FEWEST)
        return Ensemble(members, z[keep], evened, _columns(paths, keep)), misfit

    def _members(self, z: Floats, later: Floats) -> Members:
        """The members that points stand for; `later` (n,) is the standard normal of `Members.later`."""
        return members_of(self.setup, z, later, self.start, self.first)

    def misfits(self, z: Floats) -> tuple[Path, Floats]:
        """The paths of members, and how far each is off each reading: (model - reading) / noise, (readings, n)."""
        members = self._members(z, np.zeros(len(z)))
        path = run(self.table, members, self.setup.mode, self.times)
        celsius = path.celsius[self.rows]
        celsius += members.tip * (path.bath_c[self.rows] - celsius)
        return path, np.asarray((celsius - self.seen[:, None]) / self.noise)

    def _newton(self, z: Floats, off: Floats) -> tuple[Floats, Floats, float]:
        """One Gauss-Newton step from the point `z`: (where it leads, the covariance there, log posterior at z).

        `off` has the misfits at z and at a nudge up and down of each unknown (`stencil`), from which the
        slopes come. A reading far off counts as little as Student's t has it count.
        """
        d = self.d
        slopes = (off[:, 1 : d + 1] - off[:, d + 1 :]) / (2.0 * _NUDGE)
        pull = (FREEDOM + 1.0) / (FREEDOM + off[:, 0] ** 2)
        curvature = np.eye(d) + (slopes * pull[:, None]).T @ slopes
        step = np.linalg.solve(curvature, slopes.T @ (pull * off[:, 0]) + z)
        step *= min(1.0, _LONGEST_STEP / max(1e-9, float(np.abs(step).max())))
        covariance = np.asarray(np.linalg.inv(curvature), dtype=np.float64)
        return z - step, covariance, float(log_t(off[:, :1])[0] - 0.5 * z @ z)


def _columns(paths: Sequence[Path], keep: npt.NDArray[np.intp]) -> Path:
    """The paths of the members numbered `keep`, counted through all sets.

    Each of `paths` has a set of MEMBERS first; the points of the stencil behind it are left out.
    """

    def pick(arrays: list[Floats]) -> Floats:
        return np.concatenate([a[:, :MEMBERS] for a in arrays], axis=1)[:, keep]

    return Path(
        paths[0].times,
        pick([p.h for p in paths]),
        pick([p.celsius for p in paths]),
        pick([p.bath_c for p in paths]),
        pick([p.water for p in paths]),
    )
