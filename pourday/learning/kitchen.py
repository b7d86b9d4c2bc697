"""What finished days taught of a kitchen, its moulds and its waxes, put together: where the next day begins.

A day's factors are those of the kitchen plus what was peculiar to that day, such as a draught. How one mould differs is
told by the other moulds of the same day; how a wax differs from its table holds for all days with that wax. What is
known of the kitchen is a normal distribution. What a day says need not be one (`said.py`), so it is taken in by
expectation propagation (Minka, 2001). Days may differ more than days of one kitchen should: how much they do is one of
the unknowns, so that such days widen what is known instead of being averaged.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

import numpy as np

from pourday.forecast.jug_law import JugFigure
from pourday.forecast.pot_law import PotLaw
from pourday.learning.days import DRIFT_A_YEAR, YEAR, SaidOn, next_day_of
from pourday.learning.factors import (
    FACTORS,
    MEANS_A_CRUST,
    MOULD_SIGMA,
    SIGMAS,
    Array,
    FactorsBell,
    LogFactor,
    Posterior,
    Prior,
    bell_of,
    moments,
)
from pourday.learning.jugs import JugsTaught, jug_law_of, next_jugs
from pourday.learning.said import NODES, SaidAlong, said_by
from pourday.learning.stove import StoveFactor, StoveTaught, law_of, next_stove

DAY_SIGMAS = (0.05, 0.08, 0.02, 0.3, 0.02)
"""By how much each factor of `FACTORS` differs from day to day in one kitchen with one wax. Top and wall: air of 0.05 to
0.25 m/s and a wall thermometer off by a kelvin make them differ by 0.04 and 0.05 (`tests/learning/test_day_spread.py`), and
somewhat is left for what stands around them. The wax's are estimates: what a little more or less dye and scent does to one
wax, not what two lots differ by."""
MOULD_DAY_SIGMA = 0.04
"""The same of what one mould's wall differs by from the others' (estimate)."""
TAUGHT_SOMETHING = 0.1
"""A day counts for a factor where it took away this share of its spread, or moved it by three times as much. Less
may come from the uneven places. Chosen."""
TAUGHT_OF_MOULD = 0.97
"""A day counts for a mould's own part where it left less than this share of its spread. Chosen."""
FARTHEST = 3.3
"""A mould's own part is taken no farther out than so many times its spread before anything was seen. Chosen."""
SWEEPS, SETTLED = 6, 0.01
"""How often at most each day is held against all others, and the share of its spread below which a move of what is
known ends that sooner. Chosen."""
MORE_APART = ((1.0, 0.91), (2.0, 0.03), (4.0, 0.03), (8.0, 0.03))
"""(how many times as large the variance between days may be, how likely that is before any day): estimates."""

_ALL, _OF_KITCHEN = len(FACTORS), 2
_UNIT = np.array(SIGMAS)
_DAY = np.square(np.array(DAY_SIGMAS) / _UNIT)
_DRIFT = np.full(_ALL, (DRIFT_A_YEAR / SIGMAS[0]) ** 2)


@dataclass(frozen=True)
class DayTaught:
    """What one finished day said of its factors by itself, leaving out what earlier days had said.

    All factors together, each in units of its spread before anything is seen (`SIGMAS`).
    """

    session: str
    at: float
    """When it was last poured, seconds since the epoch."""
    looks: int
    """How many rows of evidence it had."""
    says: tuple[SaidAlong, ...] = ()
    """From a person who means a set surface by carrying,"""
    by_crust: tuple[SaidAlong, ...] = ()
    """and the same from one who waits for a crust."""
    wax: str = ""
    """By what its wax is known again."""
    moulds: Mapping[str, LogFactor] = field(default_factory=dict)
    """How the wall of each mould differs from the others', by `mould_key`."""
    crust: float = 0.0
    """Natural logarithm of how many times likelier the day's looks were, if its person waits for a crust."""
    stove: StoveTaught | None = None
    """What its readings of the pot said; None where nothing was read."""
    jugs: JugsTaught | None = None
    """What its readings of jugs said; None where no two of them tell anything."""

    def taught_of(self, i: int) -> bool:
        """Whether it says something of a factor, by its place in `FACTORS`."""
        mean, covariance = self.alone
        left = float(covariance[i, i]) ** 0.5
        return left < 1 - TAUGHT_SOMETHING or abs(float(mean[i])) > 3 * TAUGHT_SOMETHING

    @cached_property
    def alone(self) -> tuple[Array, Array]:
        """Mean and covariance of the factors as this one day alone has them, in units of `SIGMAS`; supposing that its person
        calls a surface carrying as soon as it has set."""
        said = [_Said(np.array(one.way), _chance(one), 0.0) for one in self.says]
        _, mean, covariance = _together(said, np.zeros(_ALL), np.eye(_ALL))
        return mean, covariance


@dataclass(frozen=True)
class Taught:
    """One factor as the days teach it."""

    factor: LogFactor
    """Of the next day, as a natural logarithm; the melting range in K."""
    days: int
    looks: int


class _Said(NamedTuple):
    """What a day says along one direction through the factors."""

    way: Array
    chance: Array
    """How likely its looks are at each of `NODES` along that direction,"""
    apart: float
    """and the variance by which the day may differ from the kitchen along it."""


class _Supposed(NamedTuple):
    """The next day, supposing how far apart days are and what the person means by carrying."""

    crust: bool
    chance: float
    """Natural logarithm of how likely this supposition and all that was said are together."""
    mean: Array
    spread: Array
    """Of the next day's factors, in units of `SIGMAS`."""


@dataclass(frozen=True)
class LearnedKitchen:
    """What is known of a kitchen before its next day."""

    taught_by: tuple[DayTaught, ...]
    now: float
    """When the next day is, seconds since the epoch."""
    _worked_out: dict[str, list[_Supposed]] = field(default_factory=dict, compare=False, repr=False)
    """By wax: what was worked out once serves the dozen figures of a page."""

    def prior(self, keys: Mapping[str, str], wax: str) -> Prior:
        """What is known of the next day's factors before it begins. `keys` names each of its moulds by letter (see
        `mould_key`), `wax` its wax (`wax_key`)."""
        moulds = {letter: self.moulds[key].factor for letter, key in keys.items() if key in self.moulds}
        return Prior(self.next_day(wax), self.crust, moulds, self.law, jug_law_of(self._jugs, self.now))

    @property
    def law(self) -> PotLaw:
        """The pot's law of the next day."""
        return law_of(self._stoves, self.now)

    @property
    def _stoves(self) -> list[tuple[StoveTaught, float]]:
        """(what a day said of its stove, when the day was) of every day that said something."""
        return [(day.stove, day.at) for day in self.taught_by if day.stove is not None]

    def stove(self, figure: StoveFactor) -> Taught:
        """One figure of the pot's law as the days teach it, over the usual one; `looks` are readings of the pot."""
        of_it = [stove for stove, _ in self._stoves if figure in stove.said]
        return Taught(
            next_stove(self._stoves, self.now, figure), len(of_it), sum(one.readings for one in of_it)
        )

    @property
    def _jugs(self) -> list[tuple[JugsTaught, float]]:
        return [(day.jugs, day.at) for day in self.taught_by if day.jugs is not None]

    def jug(self, figure: JugFigure) -> Taught:
        """One figure of the jugs' law as the days teach it, over the usual one; `looks` are readings of jugs."""
        of_it = [jugs for jugs, _ in self._jugs if figure in jugs.said]
        return Taught(next_jugs(self._jugs, self.now, figure), len(of_it), sum(one.readings for one in of_it))

    def next_day(self, wax: str) -> tuple[FactorsBell, ...]:
        """What the next day's factors may be, with a wax known by its key: one bell for each supposition."""
        supposed = self._supposed(wax)
        whole, units = sum(math.exp(one.chance) for one in supposed), np.outer(_UNIT, _UNIT)
        return tuple(
            bell_of(math.exp(one.chance) / whole, one.mean * _UNIT, one.spread * units) for one in supposed
        )

    def _supposed(self, wax: str) -> list[_Supposed]:
        """The next day under each pair of suppositions: how far apart days are (`MORE_APART`), and whether its person calls a
        surface carrying only with a crust on it. Each comes with how likely it is."""
        if wax not in self._worked_out:
            days, out = self.taught_by, list[_Supposed]()
            for times, before in MORE_APART if len(days) > 2 else MORE_APART[:1]:
                for crust in (False, True):
                    said = [one for day in days for one in _said(day, crust, day.wax == wax, self.now, times)]
                    chance, mean, spread = _together(said, np.zeros(_ALL), np.diag(1 - _DAY))
                    odds = sum(day.crust for day in days) if crust else 0.0
                    means = MEANS_A_CRUST if crust else 1 - MEANS_A_CRUST
                    chance += math.log(before) + math.log(means) + odds
                    out.append(_Supposed(crust, chance, mean, spread + np.diag(times * _DAY)))
            most = max(one.chance for one in out)
            self._worked_out[wax] = [one._replace(chance=one.chance - most) for one in out]
        return self._worked_out[wax]

    def factor(self, name: str, wax: str) -> Taught:
        """One of `FACTORS` as the days teach it, with a wax known by its key."""
        i = FACTORS.index(name)
        known = Prior(self.next_day(wax))
        days = [d for d in self.taught_by if (i < _OF_KITCHEN or d.wax == wax) and d.taught_of(i)]
        return Taught(
            LogFactor(float(known.mean[i]), float(known.covariance[i, i]) ** 0.5),
            len(days),
            sum(d.looks for d in days),
        )

    @cached_property
    def moulds(self) -> Mapping[str, Taught]:
        """How the wall of each mould differs from the others', by `mould_key`."""
        keys = sorted({key for day in self.taught_by for key in day.moulds})
        return {key: _own(self.taught_by, key, self.now) for key in keys}

    @cached_property
    def crust(self) -> float:
        """How likely it is that this person calls a surface carrying only with a crust on it."""
        newest = max(self.taught_by, key=lambda day: day.at).wax if self.taught_by else ""
        chances = [0.0, 0.0]
        for one in self._supposed(newest):
            chances[one.crust] += math.exp(one.chance)
        odds = math.log(max(chances[1], 1e-12) / max(chances[0], 1e-12))
        return 1 / (1 + math.exp(-min(max(odds, -4.0), 4.0)))

    @property
    def days(self) -> int:
        """How many days taught it."""
        return len(self.taught_by)


def kitchen(days: Sequence[DayTaught], now: float) -> LearnedKitchen:
    """A kitchen by its days, at a time in seconds since the epoch.

    >>> round(kitchen([], 0.0).factor("top", "").factor.sigma, 2)
    0.27
    """
    return LearnedKitchen(tuple(days), now)


def taught(session: str, at: float, known: Posterior, keys: Mapping[str, str], wax: str) -> DayTaught:
    """What a finished day said of its factors, apart from what earlier days had said: made from `known`, what is known after
    it, and the prior in that. `keys` names its moulds by letter, `at` is when it was."""
    moulds = {}
    for letter in known.moulds:
        own = _said_alone(moments(known.prior.own(letter), known.of(letter)))
        if own is not None:
            moulds[keys[letter]] = own
    odds = [min(max(p, 1e-4), 1 - 1e-4) for p in (known.crust, known.prior.crust)]
    crust = math.log(odds[0] / (1 - odds[0])) - math.log(odds[1] / (1 - odds[1]))
    set_surface, with_crust = (said_by(joint, known.prior) for joint in known.by_meaning)
    return DayTaught(session, at, known.looks, set_surface, with_crust, wax, moulds, crust)


def _said(day: DayTaught, crust: bool, same_wax: bool, now: float, times: float) -> list[_Said]:
    """What one day says of the kitchen, along each direction it kept, under a supposition: that days are `times` as far apart
    as usual, and that its person waits for a crust (`crust`) or not.

    How far the day may differ from the kitchen grows with its age. With another wax than the next day's (`same_wax` false)
    its looks say nothing of the wax, which may be off by anything.
    """
    apart = times * _DAY + _DRIFT * max(0.0, now - day.at) / YEAR
    said = []
    for one in day.by_crust if crust else day.says:
        way, differs = np.array(one.way), apart.copy()
        if not same_wax:
            differs[_OF_KITCHEN:] = 1.0
        variance = float(way**2 @ differs)
        if not same_wax:
            way[_OF_KITCHEN:] = 0.0
        said.append(_Said(way, _chance(one), variance))
    return said


_BELL = np.exp(-0.5 * NODES**2) / np.exp(-0.5 * NODES**2).sum()
"""Chance of each place of `NODES` before anything is seen: of a normal distribution."""


def _chance(one: SaidAlong) -> Array:
    """How likely what was said is at each of `NODES`, as a multiple of its mean over the bell curve before it."""
    chance = np.exp(np.array(one.log_chance))
    return np.asarray(chance / (_BELL @ chance))


def _together(said: Sequence[_Said], mean: Array, spread: Array) -> tuple[float, Array, Array]:
    """(natural logarithm of how likely all that was said is together, mean, covariance after it) from the mean and the
    spread before it.

    Everything in units of `SIGMAS`. Each direction in turn is held against all the others: what those leave is a normal
    distribution along it, which its likelihood moves and narrows or widens (expectation propagation).
    """
    precision, pull, whole = np.zeros(len(said)), np.zeros(len(said)), 0.0
    for sweep in range(SWEEPS if len(said) > 1 else 1):
        moved = 0.0
        for i, one in enumerate(said):
            across = spread @ one.way
            sure, middle = 1 / float(one.way @ across), float(one.way @ mean)
            others = sure - precision[i]
            if others <= 1e-6:
                continue
            variance, centre = 1 / others, (middle * sure - pull[i]) / others
            chance, after = _moved(LogFactor(centre, variance**0.5), one)
            whole += chance if sweep == 0 else 0.0
            new = 1 / after.sigma**2 - others, after.mean / after.sigma**2 - centre * others
            step = new[0] - precision[i], new[1] - pull[i]
            # A normal rule of Bayes along one way: what changed of its precision and pull.
            gain = step[0] / (1 + step[0] / sure)
            mean = mean + across * (step[1] - step[0] * middle) / (1 + step[0] / sure)
            spread = spread - np.outer(across, across) * gain
            precision[i], pull[i] = new
            moved = max(moved, abs(step[1] - step[0] * middle) / sure**0.5, abs(step[0]) / sure)
        if moved < SETTLED:
            break
    return whole, mean, (spread + spread.T) / 2


def _moved(known: LogFactor, one: _Said) -> tuple[float, LogFactor]:
    """One step of `_together`: what was `known` along a direction, moved by what a day says there.

    (natural logarithm of how likely the day's saying was before, what is known after it.)
    """
    variance = known.sigma**2 + one.apart
    bell = np.exp(-0.5 * (NODES - known.mean) ** 2 / variance)
    weights = bell * one.chance
    total, whole = float(weights.sum()), float(bell.sum())
    if total <= 1e-12 * whole or whole <= 0:
        return math.log(1e-12), known
    middle = float(weights @ NODES) / total
    day = float(weights @ (NODES - middle) ** 2) / total
    share = known.sigma**2 / variance
    left = share**2 * day + share * one.apart
    # A likelihood that widens what is known is taken to widen it by half at most.
    sigma = min(max(left, 1e-6), 1.5 * known.sigma**2) ** 0.5
    return math.log(total / whole), LogFactor(known.mean + share * (middle - known.mean), sigma)


def _said_alone(after: LogFactor) -> LogFactor | None:
    """What a day alone said of how a mould's wall differs from the others': what is known after it, less the usual spread
    before (precisions subtract). None where that is next to nothing."""
    if after.sigma >= TAUGHT_OF_MOULD * MOULD_SIGMA:
        return None
    precision = 1 / after.sigma**2 - 1 / MOULD_SIGMA**2
    mean = after.mean / after.sigma**2 / precision
    bound = FARTHEST * MOULD_SIGMA
    return LogFactor(min(max(mean, -bound), bound), precision**-0.5)


def _own(days: Sequence[DayTaught], key: str, now: float) -> Taught:
    """How one mould's wall differs from the others' on the next day: as any mould's may, moved by what the days with that
    mould said."""
    of_it = [day for day in days if key in day.moulds]
    between = (MOULD_SIGMA**2 - MOULD_DAY_SIGMA**2) ** 0.5
    own = next_day_of([SaidOn(day.moulds[key], day.at) for day in of_it], now, between, MOULD_DAY_SIGMA)
    return Taught(own, len(of_it), sum(day.looks for day in of_it))
