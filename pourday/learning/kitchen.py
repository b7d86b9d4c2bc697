"""What days taught of a kitchen and its moulds, put together: where the next day begins.

A day's factor is that of the kitchen and what was peculiar to the day, a draught or a thermometer; a mould's own part
is told apart from the day's by the other moulds of that day. Days that differ more than a kitchen's days should widen
what is known instead of being averaged. The model is the usual one of random effects (DerSimonian and Laird, 1986).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from pourday.learning.factors import (
    MEANS_A_CRUST,
    MOULD_SIGMA,
    OF_MOULD,
    TOP,
    TOP_SIGMA,
    WALL,
    WALL_SIGMA,
    LogFactor,
    Posterior,
    Prior,
    moments,
)

DAY_SIGMA = {"top": 0.10, "wall": 0.08, "mould": 0.04}
"""By how much a factor differs from day to day in one kitchen, as a natural logarithm (estimate)."""
DRIFT_A_YEAR = 0.10
"""By how much a kitchen becomes another one within a year, one standard deviation (estimate): so older days fade."""
TAUGHT_SOMETHING = 0.97
"""A day counts for a factor where it left less than this share of the spread before it."""
FARTHEST = 0.9
"""Natural logarithm beyond which no factor is computed."""
YEAR = 365.25 * 86400.0


@dataclass(frozen=True)
class DayTaught:
    """What one finished day said of its factors by itself, as natural logarithms; what earlier days said is not in it."""

    session: str
    at: float
    """When it was last looked at a mould, seconds since the epoch."""
    looks: int
    """How many rows of evidence it had."""
    top: LogFactor | None = None
    """None: the day taught nothing of it."""
    wall: LogFactor | None = None
    moulds: Mapping[str, LogFactor] = field(default_factory=dict)
    """How the wall of each mould differs from the others', by `mould_key`."""
    crust: float = 0.0
    """Natural logarithm of how much likelier the day was under a person who waits for a crust."""


@dataclass(frozen=True)
class Taught:
    """One factor as the days teach it."""

    factor: LogFactor
    """Of the next day, as a natural logarithm."""
    days: int
    looks: int


@dataclass(frozen=True)
class LearnedKitchen:
    """What is known of a kitchen before its next day."""

    top: Taught
    wall: Taught
    moulds: Mapping[str, Taught]
    """By `mould_key`."""
    crust: float
    """How likely it is that this person calls a surface carrying only with a crust on it."""
    days: int
    looks: int

    def prior(self, keys: Mapping[str, str]) -> Prior:
        """Where a day begins, with the key of each of its moulds by letter."""
        moulds = {letter: self.moulds[key].factor for letter, key in keys.items() if key in self.moulds}
        return Prior(self.top.factor, self.wall.factor, self.crust, moulds)


def taught(session: str, at: float, known: Posterior, keys: Mapping[str, str]) -> DayTaught:
    """What a day said by itself, from its posterior after the prior of any kitchen; `keys` names its moulds by letter."""
    moulds = {}
    for letter in known.moulds:
        own = _said(moments(OF_MOULD - WALL[..., None], known.of(letter)), MOULD_SIGMA)
        if own is not None:
            moulds[keys[letter]] = own
    odds = [min(max(p, 1e-4), 1 - 1e-4) for p in (known.crust, known.prior.crust)]
    crust = math.log(odds[0] / (1 - odds[0])) - math.log(odds[1] / (1 - odds[1]))
    return DayTaught(
        session, at, known.looks,
        _said(moments(TOP, known.joint), TOP_SIGMA), _said(moments(WALL, known.joint), WALL_SIGMA),
        moulds, crust,
    )  # fmt: skip


def _said(after: LogFactor, prior_sigma: float) -> LogFactor | None:
    """What was said by itself, of a normal prior about nought and a normal posterior: precisions subtract."""
    if after.sigma >= TAUGHT_SOMETHING * prior_sigma:
        return None
    precision = 1 / after.sigma**2 - 1 / prior_sigma**2
    mean = after.mean / after.sigma**2 / precision
    # What lies beyond all that is computed is a bound rather than a value.
    return LogFactor(min(max(mean, -FARTHEST), FARTHEST), precision**-0.5)


def kitchen(days: Sequence[DayTaught], now: float) -> LearnedKitchen:
    """A kitchen by its days, at a time in seconds since the epoch.

    >>> kitchen([], 0.0).top.factor
    LogFactor(mean=0.0, sigma=0.3)
    """
    keys = sorted({key for day in days for key in day.moulds})
    odds = math.log(MEANS_A_CRUST / (1 - MEANS_A_CRUST)) + sum(day.crust for day in days)
    return LearnedKitchen(
        _together([(day, day.top) for day in days], TOP_SIGMA, DAY_SIGMA["top"], now),
        _together([(day, day.wall) for day in days], WALL_SIGMA, DAY_SIGMA["wall"], now),
        {key: _together([(day, day.moulds.get(key)) for day in days], MOULD_SIGMA, DAY_SIGMA["mould"], now) for key in keys},
        1 / (1 + math.exp(-min(max(odds, -4.0), 4.0))),
        len(days),
        sum(day.looks for day in days),
    )  # fmt: skip


def _together(
    said: Sequence[tuple[DayTaught, LogFactor | None]], sigma: float, day_sigma: float, now: float
) -> Taught:
    """One factor of the next day: a kitchen of which nothing is known, moved by what its days said."""
    rows = [(day, one) for day, one in said if one is not None]
    between = sigma**2 - day_sigma**2
    own = [one.sigma**2 + DRIFT_A_YEAR**2 * max(0.0, now - day.at) / YEAR for day, one in rows]
    scatter = max(day_sigma**2, _scatter([one.mean for _, one in rows], own))
    precision = 1 / between + sum(1 / (v + scatter) for v in own)
    mean = sum(one.mean / (v + scatter) for (_, one), v in zip(rows, own, strict=True)) / precision
    looks = sum(day.looks for day, _ in rows)
    return Taught(LogFactor(mean, min((1 / precision + scatter) ** 0.5, 1.5 * sigma)), len(rows), looks)


def _scatter(values: Sequence[float], variances: Sequence[float]) -> float:
    """Variance between days, beyond that of each; none where there are fewer than three (DerSimonian and Laird, 1986)."""
    if len(values) < 3:
        return 0.0
    w = [1 / v for v in variances]
    mean = sum(a * x for a, x in zip(w, values, strict=True)) / sum(w)
    q = sum(a * (x - mean) ** 2 for a, x in zip(w, values, strict=True))
    return max(0.0, (q - (len(values) - 1)) / (sum(w) - sum(a * a for a in w) / sum(w)))
