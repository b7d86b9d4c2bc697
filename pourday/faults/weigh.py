"""Causes weighed against each other by one record: how often each is the cause, times what speaks for it and against.

Naive Bayes: each thing that is on record makes a cause as many times more likely as `weights.csv` says, as if it told by
itself. What was not recorded counts for no cause. Held against simulated kitchens the odds of the first cause come out rather
too low than too high (tests/bench/test_fault_causes.py).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from pourday.faults.evidence import Evidence
from pourday.faults.reading import evidence_of
from pourday.faults.record import CandleRecord, TriedBefore
from pourday.faults.table import SOMETHING_ELSE, Fault, asked, causes, weights
from pourday.language import tr

SPEAKS = 1.35
"""A thing that is so many times as likely under a cause is said to speak for it; one that is as many times less
likely, against it. Estimate."""
APART = 1.7
"""So many times as likely as the next a cause has to be, to count as told apart from it: estimate."""
CAME: Mapping[str, float] = {"better": 2.5, "same": 0.45, "worse": 0.35}
"""How many times as likely a cause becomes by how an earlier change against it came out, for the same fault:
estimates."""


@dataclass(frozen=True, slots=True)
class WeighedCause:
    """One cause with its odds, and what they rest on. Sentences without a full stop."""

    cause: str
    says: str
    odds: float
    """How likely it is, 0 to 1; all causes of a fault come to 1."""
    speaks_for: tuple[str, ...]
    speaks_against: tuple[str, ...]
    not_recorded: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """The causes of one fault of one candle, the likeliest first."""

    fault: Fault
    causes: tuple[WeighedCause, ...]
    evidence: Mapping[str, Evidence]
    cannot_tell: str
    """A sentence where the first two cannot be told apart, with what to note next time; empty where they can."""

    @property
    def first(self) -> WeighedCause:
        """The likeliest cause that something can be done about."""
        return next(cause for cause in self.causes if cause.cause != SOMETHING_ELSE)


def diagnose(record: CandleRecord, fault: Fault) -> Diagnosis:
    """The causes of a fault, weighed by the record of its candle."""
    evidence = evidence_of(record, fault)
    before = [day.tried for day in record.earlier if day.tried is not None and day.tried.fault == fault.name]
    return weigh(fault, evidence, before)


def weigh(fault: Fault, evidence: Mapping[str, Evidence], before: Iterable[TriedBefore] = ()) -> Diagnosis:
    """The causes of a fault by what is on record, and by how earlier changes against them came out."""
    tried = list(before)
    scores = {
        each.cause: math.log(each.often) + _score(each.cause, evidence, tried) for each in fault.candidates
    }
    most = max(scores.values())
    whole = sum(math.exp(score - most) for score in scores.values())
    odds = {cause: math.exp(score - most) / whole for cause, score in scores.items()}
    ranked = sorted(odds, key=lambda cause: (cause == SOMETHING_ELSE, -odds[cause]))
    ranked.sort(key=lambda cause: -odds[cause])
    weighed = tuple(_weighed(cause, odds[cause], evidence, tried) for cause in ranked)
    return Diagnosis(fault, weighed, evidence, _cannot_tell(weighed, evidence))


def _score(cause: str, evidence: Mapping[str, Evidence], tried: list[TriedBefore]) -> float:
    """Natural logarithm of how much likelier the record and the changes `tried` before make a cause."""
    total = 0.0
    for key, ratios in weights().get(cause, {}).items():
        value = evidence[key].value if key in evidence else ""
        total += math.log(ratios.get(value, 1.0)) if value else 0.0
    return total + sum(math.log(CAME[each.came]) for each in tried if each.cause == cause)


def _weighed(
    cause: str, odds: float, evidence: Mapping[str, Evidence], tried: list[TriedBefore]
) -> WeighedCause:
    """A cause with its odds, with what speaks for and against it and what was not recorded, the weightiest first."""
    known: list[tuple[float, str]] = []
    missing = []
    for key, ratios in weights().get(cause, {}).items():
        one = evidence.get(key)
        if one is None:
            continue
        if one.value:
            known.append((ratios.get(one.value, 1.0), one.says))
        elif asked()[key].untold:
            missing.append(asked()[key].untold)
    for each in tried:
        if each.cause == cause:
            known.append((CAME[each.came], tr("a change against it came out {came} before", came=each.came)))
    speaking_for = sorted((one for one in known if one[0] >= SPEAKS), reverse=True)
    against = sorted(one for one in known if one[0] <= 1 / SPEAKS)
    return WeighedCause(
        cause,
        causes()[cause].says,
        odds,
        tuple(says for _, says in speaking_for),
        tuple(says for _, says in against),
        tuple(dict.fromkeys(missing)),
    )


def _cannot_tell(weighed: tuple[WeighedCause, ...], evidence: Mapping[str, Evidence]) -> str:
    """What would tell the first two causes apart, where this record does not."""
    if len(weighed) < 2 or weighed[0].odds > APART * weighed[1].odds:
        return ""
    one, other = weighed[0], weighed[1]
    start = tr("This record cannot tell these two apart: {one}, or {other}.", one=one.says, other=other.says)
    note = telling(one.cause, other.cause, evidence)
    return (
        tr("{start} Next time {note}.", start=start, note=note)
        if note
        else tr("{start} Change one of them and see.", start=start)
    )


def telling(one: str, other: str, evidence: Mapping[str, Evidence]) -> str:
    """What to note next time that would tell two causes apart best; empty where nothing would that is not on record."""
    best, note = 0.0, ""
    table = weights()
    for key, row in asked().items():
        known = evidence.get(key)
        if known is None or known.value or not row.note:
            continue
        ratios, others = table.get(one, {}).get(key, {}), table.get(other, {}).get(key, {})
        parts = max(
            (abs(math.log(ratios.get(v, 1.0) / others.get(v, 1.0))) for v in {*ratios, *others}), default=0.0
        )
        if parts > best + 1e-9:
            best, note = parts, row.note
    return note


def odds_words(odds: float) -> str:
    """Odds in words with a number: `likely, about 7 in 10`.

    >>> odds_words(0.68), odds_words(0.03)
    ('likely, about 7 in 10', 'hardly, under 1 in 20')
    """
    if odds >= 0.95:
        return tr("almost certainly, over 19 in 20")
    if odds < 0.05:
        return tr("hardly, under 1 in 20")
    words = (
        (0.85, tr("very likely")),
        (0.55, tr("likely")),
        (0.3, tr("may well be")),
        (0.12, tr("possible")),
        (0.0, tr("less likely")),
    )
    word = next(word for least, word in words if odds >= least)
    tenths = max(1, min(9, round(odds * 10)))
    return tr("{word}, about {tenths} in 10", word=word, tenths=tenths)
