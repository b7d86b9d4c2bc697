"""One figure as many days said it, and what it is likely to be on the next one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from pourday.learning.factors import LogFactor

DRIFT_A_YEAR = 0.10
"""How far a kitchen drifts within a year, as one standard deviation of the natural logarithm (estimate): so older
days count less."""
YEAR = 365.25 * 86400.0
"""s in a year, by definition of the Julian one."""


class SaidOn(NamedTuple):
    """What one day said by itself, and when, seconds since the epoch."""

    factor: LogFactor
    at: float


def next_day_of(said: Sequence[SaidOn], now: float, between: float, within: float) -> LogFactor:
    """A figure on the next day, from what earlier days said of it; with nothing said, what is known of any kitchen.

    `between` and `within` are standard deviations of it among kitchens (or moulds), and from day to day in one. The
    usual model of random effects (DerSimonian and Laird, 1986): where days differ more than `within`, each counts for
    less.
    """
    own = [one.factor.sigma**2 + DRIFT_A_YEAR**2 * max(0.0, now - one.at) / YEAR for one in said]
    scatter = max(within**2, _scatter([one.factor.mean for one in said], own))
    precision = 1 / between**2 + sum(1 / (v + scatter) for v in own)
    mean = sum(one.factor.mean / (v + scatter) for one, v in zip(said, own, strict=True)) / precision
    widest = 1.5 * (between**2 + within**2) ** 0.5
    return LogFactor(mean, min((1 / precision + scatter) ** 0.5, widest))


def next_day_of_spread(said: Sequence[SaidOn], now: float, whole: float, day_share: float) -> LogFactor:
    """The same where what is known is the `whole` spread of a figure, and as which share of it a kitchen differs from day
    to day."""
    within = day_share * whole
    return next_day_of(said, now, (whole**2 - within**2) ** 0.5, within)


def _scatter(values: Sequence[float], variances: Sequence[float]) -> float:
    """Variance between days beyond what each day's own error explains; 0 for fewer than three days (DerSimonian and
    Laird, 1986)."""
    if len(values) < 3:
        return 0.0
    w = [1 / v for v in variances]
    mean = sum(a * x for a, x in zip(w, values, strict=True)) / sum(w)
    q = sum(a * (x - mean) ** 2 for a, x in zip(w, values, strict=True))
    return max(0.0, (q - (len(values) - 1)) / (sum(w) - sum(a * a for a in w) / sum(w)))
