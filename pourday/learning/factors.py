"""How fast this kitchen cools, learned from what was seen: factors on the heat lost at the open top and at the walls.

Both are log-normal before anything is seen. They stand for more than the heat loss they are named after: a wax whose
latent heat or melting range is not as in the table moves the same times the same way, and is learned along with them.
The posterior is worked out on a small grid; nothing is drawn at random.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import product
from typing import NamedTuple

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
MEANS_A_CRUST = 0.5
"""How likely it is, before anything is seen, that a person calls a surface carrying only once a crust takes no
fingerprint, and not as soon as it has set (estimate: nothing is known)."""
CHANGES_AN_HOUR = 0.03
"""How often an hour a kitchen becomes another one: a window opened, a box taken off (estimate)."""

_TOP, _WALL, _OWN = np.linspace(-0.9, 0.9, 33), np.linspace(-0.72, 0.72, 17), np.linspace(-0.375, 0.375, 7)
TOP, WALL = np.meshgrid(_TOP, _WALL, indexing="ij")
"""Natural logarithms of the two factors at every place of the grid, shape (33, 17)."""
OF_MOULD = WALL[..., None] + _OWN
"""The same of one mould's wall, its own part added along the last axis, shape (33, 17, 7)."""


class LogFactor(NamedTuple):
    """A natural logarithm as it is known: mean and standard deviation."""

    mean: float
    sigma: float


ANY_TOP, ANY_WALL, ANY_MOULD = (
    LogFactor(0.0, TOP_SIGMA),
    LogFactor(0.0, WALL_SIGMA),
    LogFactor(0.0, MOULD_SIGMA),
)
"""The factors of a kitchen that no day has taught anything of yet."""


@dataclass(frozen=True)
class Prior:
    """What is known of a day's factors before anything of it was seen, as natural logarithms."""

    top: LogFactor = ANY_TOP
    wall: LogFactor = ANY_WALL
    crust: float = MEANS_A_CRUST
    """How likely it is that a person calls a surface carrying only with a crust on it."""
    moulds: Mapping[str, LogFactor] = field(default_factory=dict)
    """Of each mould that earlier days taught, by letter: how its wall differs from the others'."""

    def joint(self) -> Array:
        """Chance of every place of the grid of a day, shape (33, 17)."""
        off = ((TOP - self.top.mean) / self.top.sigma) ** 2 + ((WALL - self.wall.mean) / self.wall.sigma) ** 2
        p = np.exp(-0.5 * off)
        return np.asarray(p / p.sum())

    def own(self, letter: str) -> Array:
        """Chance of each step of a mould's own part, shape (7,)."""
        mean, sigma = self.moulds.get(letter, ANY_MOULD)
        p = np.exp(-0.5 * ((_OWN - mean) / sigma) ** 2)
        return np.asarray(p / p.sum())


def with_wax(prior: Prior, sigma: float) -> Prior:
    """What is known before anything was seen of a wax whose waits are open by `sigma` more, as a natural logarithm.

    A top and a wall that lose more heat shorten the same waits, so that looks narrow both together.

    >>> with_wax(USUAL, 0.4).top.sigma
    0.5
    """
    if not sigma:
        return prior
    wider = [LogFactor(known.mean, math.hypot(known.sigma, sigma)) for known in (prior.top, prior.wall)]
    return replace(prior, top=wider[0], wall=wider[1])


USUAL = Prior()
PRIOR, PRIOR_OWN = USUAL.joint(), USUAL.own("")


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
    """The same through the wall of each mould that something is known of, by letter; `other` for the rest."""
    other: Factor
    looks: int
    """How many rows it rests on."""
    usual: float = 1.0
    """The likely factor at the top before anything of the day was seen."""
    crust: float = MEANS_A_CRUST
    """How likely it is that this person calls a surface carrying only with a crust on it."""

    def of(self, letter: str) -> Factor:
        """The factor on the wall of one mould."""
        return self.wall.get(letter, self.other)


class RowSays(NamedTuple):
    """What one row of evidence says of the factors."""

    at: float
    """When it was seen, seconds since the epoch,"""
    mould: str
    """and on which mould."""
    likelihood: Array
    """At every place of the grid of a mould, shape (33, 17, 7), hedged,"""
    by_crust: Array
    """and the same from a person to whom a surface carries only with a crust on it."""


def chance_between(event_log: Array, after_log: float, before_log: float) -> Array:
    """How likely an event computed at exp(`event_log`) comes between two times, given as logarithms of the wait."""
    upper = normal((before_log - event_log) / EVENT_SIGMA)
    lower = normal((after_log - event_log) / EVENT_SIGMA)
    return np.asarray(np.maximum(upper - lower, 0.0))


def normal(z: Array) -> Array:
    """The normal distribution function, within 1e-3: a logistic curve (Bowling and others, 2009)."""
    x = np.clip(z, -8.0, 8.0)
    return np.asarray(1 / (1 + np.exp(-(1.5976 * x + 0.07056 * x * x * x))))


def hedged(likelihood: Array) -> Array:
    """A likelihood at every place of the grid of one mould, with the chance that the person was wrong mixed in.

    Shape (33, 17, 7), as of `OF_MOULD`. A wrong look is as likely under any factors, so that one which cannot be
    true widens what is known of the kitchen instead of breaking it.
    """
    usual = float((likelihood * PRIOR[..., None] * PRIOR_OWN).sum())
    return SEES_RIGHT * likelihood + (1 - SEES_RIGHT) * max(usual, 1e-6)


class _Known(NamedTuple):
    """The factors under one supposition of when the kitchen last changed and of what carrying means."""

    crust: bool
    chance: float
    joint: Array
    own: Mapping[str, Array]


@dataclass(frozen=True, eq=False)
class Posterior:
    """What is known of a day's factors after what was seen of it."""

    joint: Array
    """Chance of every place of the grid of a day, shape (33, 17); sums to one."""
    moulds: Mapping[str, Array]
    """Of every mould that something was seen of: the chance of every place of its own grid, shape (33, 17, 7)."""
    crust: float
    """How likely it is that this person calls a surface carrying only with a crust on it."""
    prior: Prior
    looks: int

    def of(self, letter: str) -> Array:
        """Chance of every place of the grid of a mould, shape (33, 17, 7); sums to one."""
        seen = self.moulds.get(letter)
        return self.joint[..., None] * self.prior.own(letter) if seen is None else seen

    @cached_property
    def factors(self) -> Factors:
        """The same as factors, each with its spread."""
        letters = self.moulds.keys() | self.prior.moulds.keys()
        wall = {letter: _factor(OF_MOULD, self.of(letter)) for letter in sorted(letters)}
        other = _factor(OF_MOULD, self.joint[..., None] * PRIOR_OWN)
        return Factors(
            _factor(TOP, self.joint), wall, other, self.looks, math.exp(self.prior.top.mean), self.crust
        )


def posterior(told: Sequence[RowSays], prior: Prior = USUAL) -> Posterior:
    """The factors of now after all rows of a day.

    The kitchen may have changed between two of them, once: then only those since then speak for the kitchen of now.
    How likely that is follows from how badly what came before and what came since go together.

    >>> round(posterior([]).factors.top.likely, 2), round(posterior([]).factors.top.high, 2)
    (1.0, 1.46)
    """
    rows = sorted(told, key=lambda row: row.at)
    usual = prior.joint()
    if not rows:
        return Posterior(usual, {}, prior.crust, prior, 0)
    supposed = list[_Known]()
    hours = (rows[-1].at - rows[0].at) / 3600
    for first, crust in product(range(len(rows)), (False, True)):
        gap = hours if first == 0 else (rows[first].at - rows[first - 1].at) / 3600
        if first and gap <= 0:
            continue
        happens = math.exp(-CHANGES_AN_HOUR * gap) if first == 0 else 1 - math.exp(-CHANGES_AN_HOUR * gap)
        happens *= prior.crust if crust else 1 - prior.crust
        says = [(row.mould, row.by_crust if crust else row.likelihood) for row in rows]
        before, _, _ = _under(says[:first], prior, usual)
        since, joint, own = _under(says[first:], prior, usual)
        supposed.append(_Known(crust, happens * before * since, joint, own))
    whole = sum(known.chance for known in supposed)
    weights = [known.chance / whole for known in supposed]
    joint = sum((w * k.joint for w, k in zip(weights, supposed, strict=True)), np.zeros_like(usual))
    moulds = {
        letter: sum(
            (
                w * (k.own[letter] if letter in k.own else k.joint[..., None] * prior.own(letter))
                for w, k in zip(weights, supposed, strict=True)
            ),
            np.zeros_like(OF_MOULD),
        )
        for letter in {row.mould for row in rows}
    }
    crusts = sum(w for w, known in zip(weights, supposed, strict=True) if known.crust)
    return Posterior(joint, moulds, crusts, prior, len(rows))


def _under(
    says: Sequence[tuple[str, Array]], prior: Prior, usual: Array
) -> tuple[float, Array, dict[str, Array]]:
    """(how likely these rows, as mould and likelihood, are together, the chances of a day's grid after them, of the grid of each mould seen)."""
    of_moulds = dict[str, Array]()
    for letter, likelihood in says:
        so_far = of_moulds.get(letter)
        if so_far is None:
            so_far = np.broadcast_to(prior.own(letter), OF_MOULD.shape)
        of_moulds[letter] = so_far * likelihood
    joint = usual.copy()
    totals = {letter: likelihood.sum(axis=2) for letter, likelihood in of_moulds.items()}
    for total in totals.values():
        joint *= total
    chance = float(joint.sum())
    joint /= chance
    own = {x: (joint / totals[x])[..., None] * likelihood for x, likelihood in of_moulds.items()}
    return chance, joint, own


def _factor(logs: Array, weights: Array) -> Factor:
    """The 10, 50 and 90 % quantiles of a factor known by weights on the grid: those of the log-normal of the same
    median and spread, which is smoother than the steps of the grid."""
    mean, sigma = moments(logs, weights)
    return Factor(*(float(np.exp(mean + z * sigma)) for z in (-1.2816, 0.0, 1.2816)))


def moments(logs: Array, weights: Array) -> LogFactor:
    """Mean and standard deviation of a logarithm that is known by weights on the grid."""
    whole = float(weights.sum())
    mean = float((logs * weights).sum()) / whole
    return LogFactor(mean, (float(((logs - mean) ** 2 * weights).sum()) / whole) ** 0.5)
