"""What two readings of one jug say of how fast jugs cool here, and what such days teach the next one.

Nothing but the readings of that very jug is used: what the pot is forecast to do rests on them as well.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from pourday.forecast.jug_law import USUAL_JUG, JugFigure, JugLaw
from pourday.learning.days import SaidOn, next_day_of_spread
from pourday.learning.factors import Array, LogFactor

FIGURES: tuple[JugFigure, ...] = ("cooling", "bench")
DAY_SHARE = 0.4
"""Of the spread of a figure among kitchens, as much as it differs by from day to day in one (estimate): another jug, another
fill of the bath."""
READS_TO = 0.5
"""K by which a reading may be off, one standard deviation (estimate: another depth, a display that still moves)."""
COMPUTES_TO = 0.2
"""Share of what a jug changed between two readings that the law, one body and one room, may be off by (estimate)."""
READ_RIGHT = 0.9
"""How often two readings are of a jug that stood as the record has it (estimate); else they say nothing."""
ALIKE = 0.1
"""What the law is off by in all pairs of a day alike, as a natural logarithm, one standard deviation (estimate)."""
TELLS = 0.97
"""A day tells of a figure where it left less than this share of its spread. Chosen."""
_Z = np.linspace(-3.5, 3.5, 71)
"""Where along the bell of a figure its likelihood is taken, in standard deviations. Chosen."""


@dataclass(frozen=True, slots=True)
class JugPair:
    """Two readings of one jug, with nothing done to it between them."""

    layer: int
    how: JugFigure
    """What went on meanwhile: a flame, a bath that cools, or the bench."""
    seconds: float
    from_c: float
    to_c: float
    room_c: float
    lasts: float
    """s after which 37 % is left of what it is away from that, as computed."""

    def computed(self, times: Array) -> Array:
        """°C at the second reading, with the figure of `how` so many times the usual."""
        above = self.from_c - self.room_c
        return np.asarray(self.room_c + above * np.exp(-self.seconds * times / self.lasts))


@dataclass(frozen=True)
class JugsTaught:
    """What the readings of one finished day said of its jugs by themselves."""

    readings: int
    """How many were used."""
    said: Mapping[JugFigure, LogFactor]
    """Natural logarithm of each figure over the usual one, by what it tells anything of."""


def spread_of(figure: JugFigure) -> float:
    """The spread of a figure's logarithm before any jug was read."""
    return float(getattr(USUAL_JUG, f"{figure}_sd"))


def law_after(pairs: Sequence[JugPair], law: JugLaw = USUAL_JUG) -> JugLaw:
    """The law of a kitchen's jugs after some pairs of readings: each figure is moved by the pairs that tell of it alone.

    >>> slow = JugPair(0, "bench", 600.0, 80.0, 76.0, 20.0, 3600.0)
    >>> 0.5 < law_after([slow]).bench < 0.75 < law_after([]).bench
    True

    It fell 4 K where 9 are computed; what was held before, and that a reading may be of something else, keep it from 0.4.
    """
    for figure in FIGURES:
        of_it = [pair for pair in pairs if pair.how == figure]
        if of_it:
            known = _after(of_it, figure, law)
            law = replace(law, **{figure: math.exp(known.mean), f"{figure}_sd": known.sigma})
    return law


def _after(pairs: Iterable[JugPair], figure: JugFigure, law: JugLaw) -> LogFactor:
    """A figure after the pairs that tell of it: natural logarithm of how many times the usual one it is, and the spread that
    is left."""
    sigma = float(getattr(law, f"{figure}_sd"))
    logs = math.log(float(getattr(law, figure))) + sigma * _Z
    weights = np.exp(-0.5 * _Z**2)
    for pair in pairs:
        would_be = pair.computed(np.exp(logs))
        error = np.hypot(READS_TO * 2**0.5, COMPUTES_TO * (would_be - pair.from_c))
        chance = np.exp(-0.5 * ((pair.to_c - would_be) / error) ** 2) / error
        whole = float(weights.sum())
        chance *= whole / max(float(weights @ chance), 1e-12 * whole)
        weights = weights * (READ_RIGHT * chance + 1 - READ_RIGHT)
    weights = weights / weights.sum()
    mean = float(weights @ logs)
    return LogFactor(mean, float(weights @ (logs - mean) ** 2) ** 0.5)


def jugs_taught(pairs: Sequence[JugPair]) -> JugsTaught | None:
    """What one day's pairs of readings said of its jugs, apart from what earlier days had said; None where they tell
    nothing."""
    law, said = USUAL_JUG, dict[JugFigure, LogFactor]()
    for figure in FIGURES:
        of_it = [pair for pair in pairs if pair.how == figure]
        if not of_it:
            continue
        known, whole = _after(of_it, figure, law), spread_of(figure)
        law = replace(law, **{figure: math.exp(known.mean), f"{figure}_sd": known.sigma})
        if known.sigma < TELLS * whole:
            # Of a bell about nought, and one after readings, precisions subtract.
            precision = known.sigma**-2 - whole**-2
            mean = known.mean / known.sigma**2 / precision
            said[figure] = LogFactor(round(mean, 4), round(math.hypot(precision**-0.5, ALIKE), 4))
    used = [pair for pair in pairs if pair.how in said]
    return JugsTaught(len(used) + len({pair.layer for pair in used}), said) if said else None


def next_jugs(days: Iterable[tuple[JugsTaught, float]], now: float, figure: JugFigure) -> LogFactor:
    """How many times the usual one a figure is likely to be on the next day, as a natural logarithm with its spread. `days`
    are pairs: what a day said, and when it was (seconds since the epoch, as `now`)."""
    said = [SaidOn(day.said[figure], t) for day, t in days if figure in day.said]
    return next_day_of_spread(said, now, spread_of(figure), DAY_SHARE)


def jug_law_of(days: Sequence[tuple[JugsTaught, float]], now: float) -> JugLaw:
    """The jugs' law to begin the next day with: every figure as the days before have it; the usual one without any."""
    law = USUAL_JUG
    for figure in FIGURES:
        known = next_jugs(days, now, figure)
        law = replace(law, **{figure: math.exp(known.mean), f"{figure}_sd": known.sigma})
    return law
