"""Days held against each other: what the ones with a fault share that the ones without do not, and how easily chance does that.

Fisher's exact test, one-sided: of all ways to deal so many bad and good days to those where a thing was so and those
where it was not, how many are at least as one-sided. A day counts once, however many candles it had.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import comb

from pourday.faults.table import asked
from pourday.language import tr

FEWEST = 5
"""Days under which nothing is said."""
WORTH_SAYING = 0.2
"""The chance under which something has to be a mere coincidence to be told at all: estimate."""
MOST_TOLD = 3
"""Things that are told at most."""


@dataclass(frozen=True, slots=True)
class DaySeen:
    """One day on which somebody looked for faults."""

    session: str
    bad: bool
    """Whether the fault was seen on any candle of it."""
    values: Mapping[str, tuple[str, str]]
    """What was so of that candle (of a bad one, where there was one): (value, sentence) by key of the evidence."""


@dataclass(frozen=True, slots=True)
class Shared:
    """One thing that bad days share more often than good ones."""

    key: str
    value: str
    bad_with: int
    bad: int
    good_with: int
    good: int
    chance: float
    """Of so one-sided a deal, were it nothing but chance;"""
    any_chance: float
    """and of at least one such among all things that were looked at (Bonferroni's bound)."""
    says: str


def hypergeometric_tail(hits: int, whole: int, marked: int, drawn: int) -> float:
    """Chance that of `drawn` out of `whole`, `marked` of which are marked, at least `hits` are marked.

    >>> round(hypergeometric_tail(4, 8, 4, 4), 4)
    0.0143
    """
    most = min(marked, drawn)
    ways = sum(comb(marked, k) * comb(whole - marked, drawn - k) for k in range(max(hits, 0), most + 1))
    return ways / comb(whole, drawn)


def shared(days: Sequence[DaySeen]) -> tuple[Shared, ...]:
    """What the bad days share, the least likely to be chance first; nothing under `FEWEST` days, or where all days
    are bad or all good."""
    bad = sum(day.bad for day in days)
    if len(days) < FEWEST or bad < 2 or bad == len(days):
        return ()
    looked = 0
    rows = []
    for key in asked():
        known = [day for day in days if day.values.get(key, ("", ""))[0]]
        known_bad = [day for day in known if day.bad]
        if len(known) < FEWEST or len(known_bad) < 2 or len(known_bad) == len(known):
            continue
        values = dict.fromkeys(day.values[key][0] for day in known)
        if len(values) < 2:
            continue
        looked += len(values)
        for value in values:
            row = _row(key, value, known, known_bad)
            if row is not None:
                rows.append(row)
    rows = [_bounded(row, looked) for row in rows]
    rows.sort(key=lambda row: row.chance)
    return tuple(row for row in rows if row.chance <= WORTH_SAYING)[:MOST_TOLD]


def _row(key: str, value: str, known: list[DaySeen], known_bad: list[DaySeen]) -> Shared | None:
    """One value of one thing, counted over the days; None where bad days do not have it more often than good ones."""
    with_it = [day for day in known if day.values[key][0] == value]
    bad_with = sum(day.bad for day in with_it)
    chance = hypergeometric_tail(bad_with, len(known), len(with_it), len(known_bad))
    good, good_with = len(known) - len(known_bad), len(with_it) - bad_with
    if bad_with * good <= good_with * len(known_bad):
        return None
    example = next(day.values[key][1] for day in with_it if day.bad)
    return Shared(key, value, bad_with, len(known_bad), good_with, good, chance, chance, example)


def _bounded(row: Shared, looked: int) -> Shared:
    """The same with the chance that any of `looked` things would look so one-sided, and its sentence."""
    any_chance = min(1.0, row.chance * looked)
    says = tr(
        "{bad_with} of {bad} days with it, {good_with} of {good} without: {says}. By chance alone: {chance}; any such thing among the {looked} looked at: {any_chance}",
        bad_with=row.bad_with,
        bad=row.bad,
        good_with=row.good_with,
        good=row.good,
        says=row.says,
        chance=_of(row.chance),
        looked=looked,
        any_chance=_of(any_chance),
    )
    return Shared(
        row.key, row.value, row.bad_with, row.bad, row.good_with, row.good, row.chance, any_chance, says
    )


def _of(chance: float) -> str:
    """A chance in words: `1 in 70`.

    >>> _of(0.0143), _of(0.6)
    ('1 in 70', '6 in 10')
    """
    if chance >= 0.95:
        return tr("as good as sure")
    if chance > 0.25:
        return tr("{chance} in 10", chance=round(chance * 10))
    return tr("1 in {chance}", chance=round(1 / max(chance, 1e-06)))
