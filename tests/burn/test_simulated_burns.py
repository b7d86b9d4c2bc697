"""Sixty seeded burns read by the rules that never saw how they were made; half of them held back while the rules were written."""

from __future__ import annotations

from functools import cache

import pytest

from pourday.burn.verdict import judge
from pourday.kitchen.burning import BurningWax, SimulatedCandle, SimulatedWick
from tests.burn.simulated import Case, case

SEEDS = range(60)
OPPOSITE = {"one up", "one down"}


@cache
def said(seed: int) -> tuple[Case, str | None]:
    one = case(seed)
    return one, judge(one.candle, 0.001, "metric").came


@pytest.mark.parametrize("seeds", [SEEDS[::2], SEEDS[1::2]], ids=["tuned on", "held back"])
def test_the_sentence_about_the_wick_is_right_in_four_of_five_and_hardly_ever_the_wrong_way(seeds):
    both = [said(seed) for seed in seeds]
    wrong = [(one.seed, one.kind, one.truth, came) for one, came in both if came != one.truth]
    opposite = [row for row in wrong if {row[2], row[3]} == OPPOSITE]
    assert len(wrong) <= len(both) * 0.20, wrong
    assert len(opposite) <= len(both) * 0.05, opposite


def test_the_cases_hold_every_answer_there_is():
    assert {said(seed)[0].truth for seed in SEEDS} == {
        "passed",
        "one up",
        "one down",
        "other family",
        "other cause",
    }


def test_a_blind_answer_would_not_do():
    """Whatever sentence one always said, it would be wrong in more than a fifth."""
    truths = [said(seed)[0].truth for seed in SEEDS]
    assert max(truths.count(answer) for answer in set(truths)) < 0.8 * len(truths)


CHART = (
    (1.7, 12.7, 40.6), (2.55, 17.5, 42.9), (3.4, 22.1, 45.2), (4.25, 27.7, 47.8), (4.8, 31.0, 49.0), (5.4, 33.5, 50.3),
    (6.2, 40.1, 53.3),
)  # fmt: skip
"""g/h, mm of flame, mm of pool after 2 h in 60 mm paraffin: seven sizes of a wick maker's published burn chart, in ounces and
inches there."""


@pytest.mark.parametrize(("grams", "flame", "pool"), CHART)
def test_the_simulated_candle_burns_as_a_published_chart_says(grams, flame, pool):
    candle = SimulatedCandle(0.060, 0.10, SimulatedWick(grams / 3.6e6), BurningWax())
    before = candle.kg
    end = list(candle.cycle(7200.0))[-1]
    assert (before - end.kg) * 500 == pytest.approx(grams, rel=0.05)
    assert end.flame * 1000 == pytest.approx(flame, abs=3.0)
    assert (end.across + end.across_other) * 500 == pytest.approx(pool, abs=5.5)
