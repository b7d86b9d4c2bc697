"""How fast this kitchen cools, learned from what was seen: a handful of factors on what is computed, known together.

They are the heat lost at the open top and at the walls, and what the wax may be off by from its table: its latent heat,
where its melting range lies, how well it leads heat. Before anything is seen they are normally distributed. That
distribution stands as a fixed set of places, spread evenly over it; what is seen gives each place a weight. The same
places serve every day; nothing is drawn at random.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, cached_property
from itertools import product
from statistics import NormalDist
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pourday.forecast.jug_law import USUAL_JUG, JugLaw
from pourday.forecast.pot_law import USUAL_POT, PotLaw

Array = NDArray[np.float64]

FACTORS = ("top", "wall", "latent", "melting", "conductivity")
"""Heat lost at the open top and at all walls, latent heat, place of the melting range, conductivity: each as the
natural logarithm of the true value over the computed one, except the melting range, which is in K above the table's."""
SIGMAS = (0.27, 0.25, 0.15, 2.0, 0.20)
"""Their standard deviations before anything is seen. Estimates but for the wax: two lots of one wax differ by 15 %
in latent heat (`wax/materials.py`). Kitchens are taken to differ by a quarter; the top more, for a person near it
moves the air."""
MOULD_SIGMA = 0.12
"""Standard deviation of how much one mould's wall differs from those of the others, as a natural logarithm
(estimate)."""
SEES_RIGHT = 0.9
"""How often a look or a reading is right (estimate). A wrong one says nothing at all."""
SAID_OF = ((0.9, 0.08, 0.02), (0.05, 0.9, 0.05), (0.02, 0.08, 0.9))
"""How often a surface in each of the three stages (row) is called each of them (column): a wrong look mostly names
the stage beside the true one (estimate)."""
EVENT_SIGMA = 0.035
"""How far the time of an event, counted from its pour, strays from the computed one for reasons that no factor
stands for: one standard deviation of the natural logarithm (estimate)."""
MEANS_A_CRUST = 0.35
"""How likely a person, before anything is seen of their looks, calls a surface carrying only once a crust takes no
fingerprint, and not as soon as it has set (estimate: the guide asks for no fingerprint, but what an eye sees is a
set surface)."""
CHANGES_AN_HOUR = 0.03
"""How often an hour the kitchen becomes another one, as when a window is opened or a box taken off (estimate)."""

PLACES = 2048
"""How many places stand for all kitchens that there may be."""
OWN_PLACES = 0.8 * np.arange(-3.0, 4.0)  # chosen
OWN_WEIGHTS = np.exp(-0.5 * OWN_PLACES**2)  # of a normal distribution
OWN_WEIGHTS /= OWN_WEIGHTS.sum()
OWN_PLACES /= float(OWN_PLACES**2 @ OWN_WEIGHTS) ** 0.5
"""Seven places of one mould's own part in its standard deviations, and their weights: a normal number in even steps."""
SETS_BY = np.array([-1.3, -0.13, 0.55, -0.073, 0.45])
"""By how much the logarithm of the wait until a layer carries moves with each factor, for one unit of it. Derived: the mean
of 24 computed two-layer days. Used where a kitchen is told in one figure; forecasts are computed."""
Whereabouts = tuple[Array, ...]
"""The factors of `FACTORS` at every place of one mould: arrays that broadcast to the shape (`PLACES`, 7). The second
axis are seven values of the mould's own part."""


class LogFactor(NamedTuple):
    """What is known of a factor: mean and standard deviation of its natural logarithm (of the melting range: K)."""

    mean: float
    sigma: float


ANY_MOULD = LogFactor(0.0, MOULD_SIGMA)
"""How much a mould's wall differs from the others', where no day has taught anything of that mould. Estimate."""


def _even_ranks(primes: Sequence[float]) -> NDArray[np.intp]:
    """`PLACES` ranks for each of these primes, that fill a box evenly: multiples of their roots (Richtmyer, 1951)."""
    steps = np.outer(np.arange(1, PLACES + 1), np.sqrt(primes)) % 1.0
    return np.argsort(np.argsort(steps, axis=0), axis=0)


@cache
def even_normals() -> Array:
    """Standard normal numbers, spread evenly, in as many dimensions as there are factors; shape (`PLACES`, factors).

    Each is the normal number of its rank, and the columns are made uncorrelated.
    """
    n = PLACES
    normals = np.array([NormalDist().inv_cdf((i + 0.5) / n) for i in range(n)])
    z = normals[_even_ranks([2.0, 3.0, 5.0, 7.0, 11.0])]
    z -= z.mean(axis=0)
    even: Array = np.linalg.solve(np.linalg.cholesky(np.cov(z.T, bias=True)), z.T).T
    return even


def _rows(matrix: Array) -> tuple[tuple[float, ...], ...]:
    return tuple(map(tuple, matrix.tolist()))


def bell_of(chance: float, mean: Array, covariance: Array) -> FactorsBell:
    """A bell by its mean, shape (factors,), and covariance, shape (factors, factors)."""
    return FactorsBell(chance, tuple(mean.tolist()), _rows(covariance))


def _usual_covariance() -> tuple[tuple[float, ...], ...]:
    """The covariance of `FACTORS` before anything is seen: they are independent."""
    return _rows(np.diag(np.square(SIGMAS)))


class FactorsBell(NamedTuple):
    """One normal distribution of a day's factors, in the order of `FACTORS`."""

    chance: float
    """How likely this one is, among all that may be so."""
    mean: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]


@dataclass(frozen=True)
class Prior:
    """What is known of a day's factors before anything of it was seen."""

    bells: tuple[FactorsBell, ...] = field(
        default_factory=lambda: (FactorsBell(1.0, (0.0,) * len(FACTORS), _usual_covariance()),)
    )
    """What they may be, one or several of which one is so. A wide one that is hardly likely makes the spread of all
    together much wider, and its band of four in five hardly so: so they are not made one bell of that spread."""
    crust: float = MEANS_A_CRUST
    """How likely this person calls a surface carrying only once it has a crust."""
    moulds: Mapping[str, LogFactor] = field(default_factory=dict)
    """Of each mould that earlier days taught, by letter: how its wall differs from the others'."""
    law: PotLaw = USUAL_POT
    """What is known of the stove before its first reading of the day."""
    jugs: JugLaw = USUAL_JUG
    """and of the jugs."""

    @cached_property
    def mean(self) -> Array:
        """In the order of `FACTORS`."""
        return np.asarray(sum(bell.chance * np.array(bell.mean) for bell in self.bells))

    @cached_property
    def covariance(self) -> Array:
        """Of all that may be so together, shape (factors, factors)."""
        apart = [np.array(bell.mean) - self.mean for bell in self.bells]
        each = zip(self.bells, apart, strict=True)
        return np.asarray(
            sum(bell.chance * (np.array(bell.covariance) + np.outer(off, off)) for bell, off in each)
        )

    @cached_property
    def places(self) -> Array:
        """The factors at every place, shape (places, factors); each is as likely as any other."""
        upto = np.cumsum([bell.chance for bell in self.bells])
        whose = np.searchsorted(upto / upto[-1], (_even_ranks([13.0])[:, 0] + 0.5) / PLACES)
        out = np.empty((PLACES, len(FACTORS)))
        for i, bell in enumerate(self.bells):
            root = np.linalg.cholesky(np.array(bell.covariance))
            out[whose == i] = np.array(bell.mean) + even_normals()[whose == i] @ root.T
        return out

    def own(self, letter: str) -> Array:
        """One mould's own part at each of its seven places."""
        mean, sigma = self.moulds.get(letter, ANY_MOULD)
        return mean + sigma * OWN_PLACES

    def whereabouts(self, letter: str) -> Whereabouts:
        """The factors at every place of one mould."""
        columns = [self.places[:, i, None] for i in range(len(FACTORS))]
        columns[1] = columns[1] + self.own(letter)
        return tuple(columns)


def with_wax(prior: Prior, kelvin: float, latent: float) -> Prior:
    """The prior for a wax of which less is known than of a usual one: where it melts may be off by `kelvin` (K) and its
    latent heat by `latent` (share) more, one standard deviation each.

    >>> float(with_wax(USUAL, 4.0, 0.0).covariance[3, 3])
    20.0
    """
    if not (kelvin or latent):
        return prior
    more = np.diag([0.0, 0.0, latent**2, kelvin**2, 0.0])
    wider = [bell._replace(covariance=_rows(np.array(bell.covariance) + more)) for bell in prior.bells]
    return replace(prior, bells=tuple(wider))


USUAL = Prior()
"""Of a kitchen of which nothing is known."""


@dataclass(frozen=True, slots=True)
class Factor:
    """What is known of a factor: likely value, and the values that it is below (`low`) and above (`high`) in one
    case of ten each."""

    low: float
    likely: float
    high: float


ONE, AS_IN_THE_TABLE = (
    Factor(1.0, 1.0, 1.0),
    LogFactor(0.0, 0.0),
)  # by definition: as computed, as in the table


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
    sets: Factor = ONE
    """How many times as long as computed a layer takes to carry, by all factors together,"""
    usual: float = 1.0
    """and what was known of that before anything of this day was seen."""
    crust: float = MEANS_A_CRUST
    """How likely it is that this person calls a surface carrying only with a crust on it."""
    latent: Factor = ONE
    """Latent heat of the wax over the table's,"""
    conductivity: Factor = ONE
    """its conductivity,"""
    melting: LogFactor = AS_IN_THE_TABLE
    """and by how many K its melting range lies higher."""

    def of(self, letter: str) -> Factor:
        """The factor on the wall of one mould."""
        return self.wall.get(letter, self.other)


class RowSays(NamedTuple):
    """What one row of evidence says of the factors: how likely it was under each of them."""

    at: float
    """When it was seen, seconds since the epoch,"""
    mould: str
    """and on which mould."""
    likelihood: Array
    """How likely the row was at every place of its mould, shape (`PLACES`, 7), already `hedged`,"""
    by_crust: Array
    """and the same if the person calls a surface carrying only with a crust on it."""


def chance_between(event_log: Array, after_log: float, before_log: float) -> Array:
    """How likely an event comes between two times, where it is computed for exp(`event_log`) s; all three are
    natural logarithms of the wait."""
    upper = normal((before_log - event_log) / EVENT_SIGMA)
    lower = normal((after_log - event_log) / EVENT_SIGMA)
    return np.asarray(np.maximum(upper - lower, 0.0))


def chance_of_look(stage: int, skin_log: Array, carries_log: Array, wait_log: float) -> Array:
    """How likely a surface is said to be in a stage (0 to 2) after a wait.

    All are natural logarithms of s after the pour: the wait, and the computed times at which the second and the third
    stage begin.
    """
    second = normal((wait_log - skin_log) / EVENT_SIGMA)
    third = np.minimum(second, normal((wait_log - carries_log) / EVENT_SIGMA))
    true = (1 - second, second - third, third)
    return np.asarray(sum(chance * SAID_OF[i][stage] for i, chance in enumerate(true)))


def normal(z: Array) -> Array:
    """The normal distribution function, within 1e-3: a logistic curve (Bowling and others, 2009)."""
    x = np.clip(z, -8.0, 8.0)
    return np.asarray(1 / (1 + np.exp(-(1.5976 * x + 0.07056 * x * x * x))))


def hedged(likelihood: Array) -> Array:
    """A likelihood at every place of one mould, shape (`PLACES`, 7), mixed with the chance that the person was wrong.

    A wrong look is as likely under any factors. So a look that cannot be true widens what is known of the kitchen
    instead of leaving no factors that fit.
    """
    return SEES_RIGHT * likelihood + (1 - SEES_RIGHT) * max(chance_of(likelihood), 1e-6)


def chance_of(likelihood: Array) -> float:
    """How likely something was before anything else was seen: its likelihood, averaged over all places that the factors may
    have."""
    return float((likelihood @ OWN_WEIGHTS).mean())


class _Known(NamedTuple):
    """The factors, supposing when the kitchen last changed and what this person means by carrying."""

    crust: bool
    chance: float
    joint: Array
    own: Mapping[str, Array]


@dataclass(frozen=True, eq=False)
class Posterior:
    """What is known of a day's factors after what was seen of it."""

    joint: Array
    """Chance of every place, shape (places,); sums to one."""
    moulds: Mapping[str, Array]
    """Of every mould that something was seen of: the chance of each of its own places, shape (places, 7)."""
    crust: float
    """How likely this person calls a surface carrying only once it has a crust."""
    prior: Prior
    looks: int
    by_meaning: tuple[Array, Array]
    """`joint` if the person surely means a set surface by carrying, and if they surely mean a crust."""

    def of(self, letter: str) -> Array:
        """Chance of every place of a mould, shape (places, 7); sums to one."""
        seen = self.moulds.get(letter)
        return self.joint[:, None] * OWN_WEIGHTS if seen is None else seen

    @cached_property
    def factors(self) -> Factors:
        """The same as factors, each with its spread."""
        at, letters = self.prior.places, self.moulds.keys() | self.prior.moulds.keys()
        wall = {x: _factor(self.prior.whereabouts(x)[1], self.of(x)) for x in sorted(letters)}
        other = moments(at[:, 1], self.joint)
        return Factors(
            _factor(at[:, 0], self.joint), wall,
            factor_of(LogFactor(other.mean, math.hypot(other.sigma, MOULD_SIGMA))), self.looks,
            _factor(at @ SETS_BY, self.joint), math.exp(float(SETS_BY @ self.prior.mean)), self.crust,
            _factor(at[:, 2], self.joint), _factor(at[:, 4], self.joint), moments(at[:, 3], self.joint),
        )  # fmt: skip


def posterior(told: Sequence[RowSays], prior: Prior = USUAL) -> Posterior:
    """The factors as they are now, after all rows of a day.

    The kitchen may have changed once between two rows: then only the rows since then speak for the kitchen of now. How
    likely that is follows from how badly the rows before and after it go together.

    >>> round(posterior([]).factors.top.likely, 2), round(posterior([]).factors.top.high, 2)
    (1.0, 1.41)
    """
    rows = sorted(told, key=lambda row: row.at)
    usual = np.full(PLACES, 1 / PLACES)
    if not rows:
        return Posterior(usual, {}, prior.crust, prior, 0, (usual, usual))
    supposed = list[_Known]()
    hours = (rows[-1].at - rows[0].at) / 3600
    for first, crust in product(range(len(rows)), (False, True)):
        gap = hours if first == 0 else (rows[first].at - rows[first - 1].at) / 3600
        if first and gap <= 0:
            continue
        happens = math.exp(-CHANGES_AN_HOUR * gap) if first == 0 else 1 - math.exp(-CHANGES_AN_HOUR * gap)
        happens *= prior.crust if crust else 1 - prior.crust
        says = [(row.mould, row.by_crust if crust else row.likelihood) for row in rows]
        before, _, _ = _under(says[:first])
        since, joint, own = _under(says[first:])
        supposed.append(_Known(crust, happens * before * since, joint, own))
    whole = sum(known.chance for known in supposed)
    if not whole > 0:
        # What was told of this day goes together with no kitchen at all: then it teaches nothing.
        return Posterior(usual, {}, prior.crust, prior, 0, (usual, usual))
    weights = [known.chance / whole for known in supposed]
    shares: tuple[Array, Array] = (np.zeros_like(usual), np.zeros_like(usual))
    for w, k in zip(weights, supposed, strict=True):
        shares[k.crust][:] += w * k.joint
    joint = shares[0] + shares[1]
    moulds = {
        letter: sum(
            (
                w * (k.own[letter] if letter in k.own else k.joint[:, None] * OWN_WEIGHTS)
                for w, k in zip(weights, supposed, strict=True)
            ),
            np.zeros((PLACES, OWN_WEIGHTS.size)),
        )
        for letter in {row.mould for row in rows}
    }
    crusts = sum(w for w, known in zip(weights, supposed, strict=True) if known.crust)
    set_surface, with_crust = (x / x.sum() if x.sum() > 0 else joint for x in shares)
    return Posterior(joint, moulds, crusts, prior, len(rows), (set_surface, with_crust))


def _under(says: Iterable[tuple[str, Array]]) -> tuple[float, Array, dict[str, Array]]:
    """For rows given as (mould, likelihood): how likely they are together, the chance of every place after them, and
    that of every place of each mould that was seen."""
    of_moulds = dict[str, Array]()
    for letter, likelihood in says:
        of_moulds[letter] = of_moulds.get(letter, OWN_WEIGHTS) * likelihood
    joint = np.full(PLACES, 1 / PLACES)
    totals = {letter: likelihood.sum(axis=1) for letter, likelihood in of_moulds.items()}
    for total in totals.values():
        joint = joint * total
    chance = float(joint.sum())
    if not chance > 0:
        return 0.0, np.full(PLACES, 1 / PLACES), {}
    joint = joint / chance
    # A place that one mould rules out has no share left to give to any.
    shares = {x: np.divide(joint, t, out=np.zeros_like(joint), where=t > 0) for x, t in totals.items()}
    return chance, joint, {x: shares[x][:, None] * likelihood for x, likelihood in of_moulds.items()}


def _factor(logs: Array, weights: Array) -> Factor:
    """A factor from its natural logarithm at every place (`logs`) and the chance of each place (`weights`)."""
    return factor_of(moments(logs, weights))


def factor_of(known: LogFactor) -> Factor:
    """The 10, 50 and 90 % quantiles of a factor known by its logarithm: those of the log-normal of its median and spread."""
    return Factor(*(math.exp(known.mean + z * known.sigma) for z in (-1.2816, 0.0, 1.2816)))


def moments(logs: Array, weights: Array) -> LogFactor:
    """Mean and standard deviation of a logarithm that has the values `logs` with the chances `weights`."""
    whole = float(weights.sum())
    mean = float((logs * weights).sum()) / whole
    return LogFactor(mean, (float(((logs - mean) ** 2 * weights).sum()) / whole) ** 0.5)
