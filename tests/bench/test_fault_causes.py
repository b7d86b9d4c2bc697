"""Seeded faults in the simulated kitchen: how often the true cause comes first, and whether the odds are what they say.

    python -m tests.bench.test_fault_causes [SEEDS]      prints the figures of both halves (520 seeds: six minutes of processor)

Even seeds were looked at while the tables were made, odd ones were held back. Beside it stand two that know no record: the
table's own order, and always naming the cause that is commonest in the very sample for that fault, which no maker could know.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable, Mapping, Sequence

import pytest

from pourday.faults.table import fault_named
from pourday.faults.weigh import diagnose, weigh
from tests.faults.seeded import Seeded, cases

Odds = Mapping[str, float]


class Score:
    """How well odds name the true causes of some cases."""

    def __init__(self, made: Sequence[Seeded], odds_of: Callable[[Seeded], Odds]) -> None:
        self.cases = len(made)
        ranks, brier, self.bins = list[int](), 0.0, dict[int, list[float]]()
        for one in made:
            odds = odds_of(one)
            order = sorted(odds, key=lambda cause: -odds[cause])
            ranks.append(order.index(one.cause) if one.cause in order else 99)
            brier += sum((odds[cause] - (cause == one.cause)) ** 2 for cause in odds) + (
                one.cause not in odds
            )
            for cause, odd in odds.items():
                row = self.bins.setdefault(min(9, int(odd * 10)), [0, 0.0, 0.0])
                row[0] += 1
                row[1] += odd
                row[2] += cause == one.cause
        self.first = sum(rank == 0 for rank in ranks) / max(1, len(ranks))
        self.third = sum(rank < 3 for rank in ranks) / max(1, len(ranks))
        self.brier = brier / max(1, len(ranks))

    @property
    def off(self) -> float:
        """Mean distance of the odds from how often it was so, by tenths, weighted by cases."""
        whole = sum(row[0] for row in self.bins.values())
        return sum(abs(row[1] - row[2]) for row in self.bins.values()) / whole

    def __str__(self) -> str:
        curve = "  ".join(
            f"{row[1] / row[0]:.2f}:{row[2] / row[0]:.2f} ({row[0]:.0f})"
            for _, row in sorted(self.bins.items())
        )
        return (
            f"{self.cases} cases: first {self.first:.0%}, first three {self.third:.0%}, Brier {self.brier:.3f}, "
            f"odds off by {self.off:.3f}\n    said:came (of so many)  {curve}"
        )


def by_record(one: Seeded) -> Odds:
    return {cause.cause: cause.odds for cause in diagnose(one.record, fault_named(one.fault)).causes}


def by_table(one: Seeded) -> Odds:
    """The table without the record."""
    return {cause.cause: cause.odds for cause in weigh(fault_named(one.fault), {}).causes}


def commonest(made: Sequence[Seeded]) -> Callable[[Seeded], Odds]:
    """Always the cause that is commonest for a fault in these very cases."""
    counts: dict[str, Counter[str]] = {}
    for one in made:
        counts.setdefault(one.fault, Counter())[one.cause] += 1
    return lambda one: {counts[one.fault].most_common(1)[0][0]: 1.0}


def scores(made: Sequence[Seeded]) -> tuple[Score, Score, Score]:
    """(by the record, by the table alone, always the commonest)."""
    return Score(made, by_record), Score(made, by_table), Score(made, commonest(made))


@pytest.mark.bench
@pytest.mark.parametrize("half", [0, 1], ids=["looked at", "held back"])
def test_the_record_names_the_true_cause_and_says_how_sure_it_is(half):
    record, table, common = scores(cases(range(half, 520, 2)))
    assert record.cases >= 150
    assert record.first >= 0.60
    assert record.third >= 0.90
    assert record.brier < 0.7 * min(table.brier, common.brier)
    assert record.first > max(table.first, common.first) + 0.1
    assert record.off < 0.05


if __name__ == "__main__":
    many = int(sys.argv[1]) if len(sys.argv) > 1 else 520
    for half, name in enumerate(("looked at", "held back")):
        made = cases(range(half, many, 2))
        print(name)
        for what, score in zip(("record", "table", "commonest"), scores(made), strict=True):
            print(f"  {what:<10}{score}")
