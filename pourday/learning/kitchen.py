"""What days taught of a kitchen, its moulds and its waxes, put together: where the next day begins.

A day's factors are those of the kitchen and what was peculiar to the day, a draught or a thermometer; a mould's own part
is told apart from the day's by the other moulds of that day; what a wax is off by from its table holds for days with that
wax. All is normal, so that what days say adds up. Days that differ more than a kitchen's days should widen what is known
instead of being averaged: how much they differ is taken to be as likely as the days themselves make it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

import numpy as np

from pourday.learning.factors import (
    FACTORS,
    MEANS_A_CRUST,
    MOULD_SIGMA,
    SIGMAS,
    Array,
    LogFactor,
    Posterior,
    Prior,
    even_normals,
    moments,
)

DAY_SIGMAS = (0.10, 0.08, 0.03, 0.5, 0.05)
"""By how much each factor of `FACTORS` differs from day to day in one kitchen with one wax (estimates)."""
MOULD_DAY_SIGMA = 0.04
"""The same of what one mould's wall differs by from the others' (estimate)."""
DRIFT_A_YEAR = 0.10
"""By how much a kitchen becomes another one within a year, as a natural logarithm, one standard deviation; of the melting
range as many times its own spread (estimate): so older days fade."""
TAUGHT_SOMETHING = 0.9
"""A day counts for a factor where it left less than this share of the spread before it; less than a tenth off it may be the
places' own unevenness."""
TAUGHT_OF_MOULD = 0.97
"""The same of a mould's own part, whose places are even."""
FARTHEST = 3.3
"""Times the spread before anything was seen beyond which no factor is computed."""
MORE_APART = ((1.0, 0.85), (2.0, 0.05), (4.0, 0.05), (8.0, 0.05))
"""How many times as much the variance between days may be, and how likely that is before any day (estimates)."""
YEAR = 365.25 * 86400.0

_ALL, _OF_KITCHEN = len(FACTORS), 2
_UNIT = np.array(SIGMAS)
_DAY = np.square(np.array(DAY_SIGMAS) / _UNIT)
_DRIFT = np.full(_ALL, (DRIFT_A_YEAR / SIGMAS[0]) ** 2)


@dataclass(frozen=True)
class DayTaught:
    """What one finished day said of its factors by itself; what earlier days said is not in it.

    Of the factors together, each in units of its spread before anything is seen (`SIGMAS`).
    """

    session: str
    at: float
    """When it was last poured, seconds since the epoch."""
    looks: int
    """How many rows of evidence it had."""
    precision: tuple[tuple[float, ...], ...] = ((0.0,) * _ALL,) * _ALL
    """The inverse of a covariance: nought where nothing was said."""
    pull: tuple[float, ...] = (0.0,) * _ALL
    """That times the mean."""
    wax: str = ""
    """By what its wax is known again."""
    moulds: Mapping[str, LogFactor] = field(default_factory=dict)
    """How the wall of each mould differs from the others', by `mould_key`."""
    crust: float = 0.0
    """Natural logarithm of how much likelier the day was under a person who waits for a crust."""

    def taught_of(self, i: int) -> bool:
        """Whether it says something of a factor, by its place in `FACTORS`."""
        left = np.linalg.inv(np.eye(_ALL) + np.array(self.precision))[i, i]
        return bool(left < TAUGHT_SOMETHING**2)


@dataclass(frozen=True)
class Taught:
    """One factor as the days teach it."""

    factor: LogFactor
    """Of the next day, as a natural logarithm; the melting range in K."""
    days: int
    looks: int


class _Said(NamedTuple):
    """What a day says, as arrays, and what its factors may differ by from the kitchen's, as variances."""

    precision: Array
    pull: Array
    drift: Array


@dataclass(frozen=True)
class LearnedKitchen:
    """What is known of a kitchen before its next day."""

    taught_by: tuple[DayTaught, ...]
    now: float
    """When the next day is, seconds since the epoch."""

    def prior(self, keys: Mapping[str, str], wax: str) -> Prior:
        """Where a day begins, with the key of each of its moulds by letter, and of its wax."""
        mean, covariance = self.next_day(wax)
        moulds = {letter: self.moulds[key].factor for letter, key in keys.items() if key in self.moulds}
        rows = tuple(tuple(float(x) for x in row) for row in covariance)
        return Prior(tuple(float(x) for x in mean), rows, self.crust, moulds)

    def next_day(self, wax: str) -> tuple[Array, Array]:
        """Mean and covariance of the next day's factors in their own units, with a wax known by its key."""
        said = [_said(day, day.wax == wax, self.now) for day in self.taught_by]
        whole, means, spreads = [], [], []
        for apart, before in MORE_APART if len(said) > 2 else MORE_APART[:1]:
            chance, mean, spread = _next_day(said, apart * _DAY)
            whole.append(math.log(before) + chance)
            means.append(mean)
            spreads.append(spread)
        weights = np.exp(np.array(whole) - max(whole))
        weights /= weights.sum()
        mean = sum((w * m for w, m in zip(weights, means, strict=True)), np.zeros(_ALL))
        spread = sum(
            (w * (s + np.outer(m - mean, m - mean)) for w, m, s in zip(weights, means, spreads, strict=True)),
            np.zeros((_ALL, _ALL)),
        )
        return mean * _UNIT, spread * np.outer(_UNIT, _UNIT)

    def factor(self, name: str, wax: str) -> Taught:
        """One of `FACTORS` as the days teach it, with a wax known by its key."""
        i = FACTORS.index(name)
        mean, covariance = self.next_day(wax)
        days = [d for d in self.taught_by if (i < _OF_KITCHEN or d.wax == wax) and d.taught_of(i)]
        return Taught(
            LogFactor(float(mean[i]), float(covariance[i, i]) ** 0.5), len(days), sum(d.looks for d in days)
        )

    @cached_property
    def moulds(self) -> Mapping[str, Taught]:
        """How the wall of each mould differs from the others', by `mould_key`."""
        keys = sorted({key for day in self.taught_by for key in day.moulds})
        return {key: _own(self.taught_by, key, self.now) for key in keys}

    @property
    def crust(self) -> float:
        """How likely it is that this person calls a surface carrying only with a crust on it."""
        odds = math.log(MEANS_A_CRUST / (1 - MEANS_A_CRUST)) + sum(day.crust for day in self.taught_by)
        return 1 / (1 + math.exp(-min(max(odds, -4.0), 4.0)))

    @property
    def days(self) -> int:
        """How many days taught it."""
        return len(self.taught_by)


def kitchen(days: Sequence[DayTaught], now: float) -> LearnedKitchen:
    """A kitchen by its days, at a time in seconds since the epoch.

    >>> kitchen([], 0.0).factor("top", "").factor
    LogFactor(mean=0.0, sigma=0.27)
    """
    return LearnedKitchen(tuple(days), now)


def taught(session: str, at: float, known: Posterior, keys: Mapping[str, str], wax: str) -> DayTaught:
    """What a day said by itself, from its posterior, whatever its prior; `keys` names its moulds by letter."""
    moulds = {}
    for letter in known.moulds:
        own = _said_alone(moments(known.prior.own(letter), known.of(letter)))
        if own is not None:
            moulds[keys[letter]] = own
    odds = [min(max(p, 1e-4), 1 - 1e-4) for p in (known.crust, known.prior.crust)]
    crust = math.log(odds[0] / (1 - odds[0])) - math.log(odds[1] / (1 - odds[1]))
    u = even_normals()
    mean = known.joint @ u
    sizes, ways = np.linalg.eigh((u - mean).T * known.joint @ (u - mean))
    # Of a normal prior about nought and a normal posterior precisions subtract; along each way by itself.
    says = sizes < TAUGHT_SOMETHING**2
    precision = np.where(says, 1 / np.maximum(sizes, 1e-4) - 1, 0.0)
    # What lies beyond all that is computed is a bound rather than a value.
    value = np.clip(
        (ways.T @ mean) / np.maximum(sizes, 1e-4) / np.maximum(precision, 1e-3), -FARTHEST, FARTHEST
    )
    whole, pull = ways * precision @ ways.T, ways @ np.where(says, precision * value, 0.0)
    # From the places' own units, about the prior's mean, to those of `SIGMAS`, about nought.
    turn = np.linalg.solve(np.linalg.cholesky(np.array(known.prior.covariance)), np.diag(_UNIT))
    off = np.linalg.solve(np.linalg.cholesky(np.array(known.prior.covariance)), np.array(known.prior.mean))
    whole, pull = turn.T @ whole @ turn, turn.T @ (pull + whole @ off)
    return DayTaught(
        session, at, known.looks,
        tuple(tuple(round(float(x), 4) for x in row) for row in whole),
        tuple(round(float(x), 4) for x in pull),
        wax, moulds, crust,
    )  # fmt: skip


def _said(day: DayTaught, same_wax: bool, now: float) -> _Said:
    """What a day says of the kitchen; with another wax than the next day's nothing of the wax, which may be any."""
    precision, pull = np.array(day.precision), np.array(day.pull)
    if not same_wax:
        k = _OF_KITCHEN
        through = precision[:k, k:] @ np.linalg.inv(precision[k:, k:] + np.eye(_ALL - k))
        of_kitchen, pulls = precision[:k, :k] - through @ precision[k:, :k], pull[:k] - through @ pull[k:]
        precision, pull = np.zeros_like(precision), np.zeros_like(pull)
        precision[:k, :k], pull[:k] = of_kitchen, pulls
    return _Said(precision, pull, _DRIFT * max(0.0, now - day.at) / YEAR)


def _next_day(said: Sequence[_Said], day: Array) -> tuple[float, Array, Array]:
    """(how likely the days are together, as a logarithm, mean and covariance of the next) for one variance between days.

    All in units of the spread before anything is seen. A kitchen is known as a normal number; each day is one about it.
    """
    mean, spread = np.zeros(_ALL), np.diag(1 - _DAY)
    whole = 0.0
    for precision, pull, drift in said:
        apart = np.diag(day + drift)
        of_day, off = spread + apart, pull - precision @ mean
        weakened = np.eye(_ALL) + precision @ of_day
        whole += float(pull @ mean - 0.5 * mean @ precision @ mean)
        whole += float(
            0.5 * off @ of_day @ np.linalg.solve(weakened, off) - 0.5 * np.linalg.slogdet(weakened)[1]
        )
        # What it says of the kitchen is less sure, by what it differs from it.
        faint = np.linalg.solve(np.eye(_ALL) + precision @ apart, np.column_stack([precision, pull]))
        gain = np.linalg.inv(np.eye(_ALL) + spread @ faint[:, :_ALL])
        mean = mean + gain @ spread @ (faint[:, _ALL] - faint[:, :_ALL] @ mean)
        spread = gain @ spread
        spread = (spread + spread.T) / 2
    return whole, mean, spread + np.diag(day)


def _said_alone(after: LogFactor) -> LogFactor | None:
    """What was said by itself of a mould's own part: precisions subtract."""
    if after.sigma >= TAUGHT_OF_MOULD * MOULD_SIGMA:
        return None
    precision = 1 / after.sigma**2 - 1 / MOULD_SIGMA**2
    mean = after.mean / after.sigma**2 / precision
    bound = FARTHEST * MOULD_SIGMA
    return LogFactor(min(max(mean, -bound), bound), precision**-0.5)


def _own(days: Sequence[DayTaught], key: str, now: float) -> Taught:
    """One mould's own part on the next day: a mould of which nothing is known, moved by what its days said.

    The usual model of random effects (DerSimonian and Laird, 1986).
    """
    rows = [(day, day.moulds[key]) for day in days if key in day.moulds]
    between = MOULD_SIGMA**2 - MOULD_DAY_SIGMA**2
    own = [one.sigma**2 + DRIFT_A_YEAR**2 * max(0.0, now - day.at) / YEAR for day, one in rows]
    scatter = max(MOULD_DAY_SIGMA**2, _scatter([one.mean for _, one in rows], own))
    precision = 1 / between + sum(1 / (v + scatter) for v in own)
    mean = sum(one.mean / (v + scatter) for (_, one), v in zip(rows, own, strict=True)) / precision
    looks = sum(day.looks for day, _ in rows)
    sigma = min((1 / precision + scatter) ** 0.5, 1.5 * MOULD_SIGMA)
    return Taught(LogFactor(mean, sigma), len(rows), looks)


def _scatter(values: Sequence[float], variances: Sequence[float]) -> float:
    """Variance between days, beyond that of each; none where there are fewer than three (DerSimonian and Laird, 1986)."""
    if len(values) < 3:
        return 0.0
    w = [1 / v for v in variances]
    mean = sum(a * x for a, x in zip(w, values, strict=True)) / sum(w)
    q = sum(a * (x - mean) ** 2 for a, x in zip(w, values, strict=True))
    return max(0.0, (q - (len(values) - 1)) / (sum(w) - sum(a * a for a in w) / sum(w)))
