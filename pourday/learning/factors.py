"""How fast this kitchen cools, learned from what was seen: factors on the heat lost at the open top and at the walls.

Both are log-normal before anything is seen. They stand for more than the heat loss they are named after: a wax whose
latent heat or melting range is not as in the table moves the same times the same way, and is learned along with them.
The posterior is worked out on a small grid; nothing is drawn at random.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

TOP_SIGMA, WALL_SIGMA, MOULD_SIGMA = 0.30, 0.24, 0.15
"""Standard deviations of the natural logarithms before anything is seen: heat loss at the open top of a day, at all
walls of a day, and of one mould's wall from the others'. Estimates, set by hand before any day was played: kitchens that
differ by 25 % in both, with a wax whose latent heat is off by 15 %."""
SEES_RIGHT = 0.9
"""How often a look or a reading is what it is said to be (estimate). One that is not says nothing at all."""
EVENT_SIGMA = 0.07
"""By how much the time of an event, counted from its pour, differs from the computed one for reasons that no factor
knows, as a natural logarithm (estimate)."""

_TOP = np.linspace(-1.0, 1.0, 33) * 3 * TOP_SIGMA
_WALL = np.linspace(-1.0, 1.0, 17) * 3 * WALL_SIGMA
_OWN = np.linspace(-1.0, 1.0, 7) * 2.5 * MOULD_SIGMA
TOP, WALL = np.meshgrid(_TOP, _WALL, indexing="ij")
"""Natural logarithms of the two factors at every place of the grid, shape (33, 17)."""
OF_MOULD = WALL[..., None] + _OWN
"""The same of one mould's wall, its own part added along the last axis, shape (33, 17, 7)."""


def _prior() -> Array:
    p = np.exp(-0.5 * ((TOP / TOP_SIGMA) ** 2 + (WALL / WALL_SIGMA) ** 2))
    return np.asarray(p / p.sum())


def _prior_own() -> Array:
    p = np.exp(-0.5 * (_OWN / MOULD_SIGMA) ** 2)
    return np.asarray(p / p.sum())


PRIOR, PRIOR_OWN = _prior(), _prior_own()


@dataclass(frozen=True, slots=True)
class Factor:
    """A factor as it is known: one chance in ten that it is less than `low`, one in ten that it is more than `high`."""

    low: float
    likely: float
    high: float


@dataclass(frozen=True, eq=False)
class Factors:
    """The factors of a day after what was seen."""

    top: Factor
    """Heat lost at the open top over what is computed for it."""
    wall: Mapping[str, Factor]
    """The same through the wall of each mould that something was seen of, by letter; `other` for the rest."""
    other: Factor
    looks: int
    """How many rows it rests on."""


def chance_between(event_log: Array, after_log: float, before_log: float) -> Array:
    """How likely an event computed at exp(`event_log`) comes between two times, given as logarithms of the wait."""
    upper = _normal((before_log - event_log) / EVENT_SIGMA)
    lower = _normal((after_log - event_log) / EVENT_SIGMA)
    return np.asarray(np.maximum(upper - lower, 0.0))


def _normal(z: Array) -> Array:
    """The normal distribution function, within 1e-3: a logistic curve (Bowling and others, 2009)."""
    x = np.clip(z, -8.0, 8.0)
    return np.asarray(1 / (1 + np.exp(-(1.5976 * x + 0.07056 * x**3))))


def hedged(likelihood: Array) -> Array:
    """A likelihood at every place of the grid of one mould, with the chance that the person was wrong mixed in.

    Shape (33, 17, 7), as of `OF_MOULD`. A wrong look is as likely under any factors, so that one which cannot be
    true widens what is known of the kitchen instead of breaking it.
    """
    usual = float((likelihood * PRIOR[..., None] * PRIOR_OWN).sum())
    return SEES_RIGHT * likelihood + (1 - SEES_RIGHT) * max(usual, 1e-6)


def factors(seen: Mapping[str, Sequence[Array]]) -> Factors:
    """The factors after the likelihoods of all rows of each mould, by letter, each of shape (33, 17, 7) and hedged.

    >>> round(factors({}).top.likely, 2), round(factors({}).top.high, 2)
    (1.0, 1.46)
    """
    of_moulds = {letter: np.prod(np.stack(rows), axis=0) for letter, rows in seen.items() if rows}
    joint = PRIOR.copy()
    for likelihood in of_moulds.values():
        joint *= (likelihood * PRIOR_OWN).sum(axis=2)
    joint /= joint.sum()
    wall = dict[str, Factor]()
    for letter, likelihood in of_moulds.items():
        own = likelihood * PRIOR_OWN
        whole = joint[..., None] * own / own.sum(axis=2, keepdims=True)
        wall[letter] = _factor(OF_MOULD, whole)
    top = _factor(TOP, joint)
    other = _factor(OF_MOULD, joint[..., None] * PRIOR_OWN)
    return Factors(top, wall, other, sum(map(len, seen.values())))


def _factor(logs: Array, weights: Array) -> Factor:
    """The 10, 50 and 90 % quantiles of a factor known by weights on the grid: those of the log-normal of the same
    median and spread, which is smoother than the steps of the grid."""
    mean = float((logs * weights).sum())
    sigma = float(((logs - mean) ** 2 * weights).sum()) ** 0.5
    return Factor(*(float(np.exp(mean + z * sigma)) for z in (-1.2816, 0.0, 1.2816)))
