"""Days held against each other: the exact test is that of a general library, and little is said of few days."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import fisher_exact

from pourday.faults.across import DaySeen, hypergeometric_tail, shared


@given(st.integers(0, 12), st.integers(0, 12), st.integers(0, 12), st.integers(0, 12))
def test_the_tail_is_fishers_exact_test(a, b, c, d):
    """scipy.stats.fisher_exact, one-sided."""
    if a + b == 0 or a + b + c + d == 0:
        return
    expected = fisher_exact([[a, b], [c, d]], alternative="greater").pvalue
    assert hypergeometric_tail(a, a + b + c + d, a + c, a + b) == pytest.approx(expected, abs=1e-9)


def days(bad_with: int, bad: int, good_with: int, good: int) -> list[DaySeen]:
    def day(number: int, is_bad: bool, with_it: bool) -> DaySeen:
        value = ("cold", "the room was read at 14 °C") if with_it else ("usual", "the room was read at 20 °C")
        return DaySeen(f"day {number}", is_bad, {"room": value})

    rows = [day(n, True, n < bad_with) for n in range(bad)]
    return rows + [day(100 + n, False, n < good_with) for n in range(good)]


def test_what_bad_days_share_is_told_with_how_easily_chance_does_that():
    (row,) = shared(days(4, 4, 0, 5))
    assert (row.key, row.value, row.bad_with, row.good_with) == ("room", "cold", 4, 0)
    assert row.chance == pytest.approx(1 / 126)
    assert row.any_chance == pytest.approx(2 / 126)
    assert "4 of 4 days with it, 0 of 5 without: the room was read at 14 °C" in row.says
    assert "1 in 126" in row.says


@pytest.mark.parametrize("few", [days(2, 2, 0, 2), days(5, 5, 0, 0), days(1, 1, 0, 5)])
def test_of_under_five_days_or_all_bad_ones_or_one_bad_one_nothing_is_said(few):
    assert shared(few) == ()


def test_what_chance_does_easily_is_not_told():
    assert shared(days(2, 3, 2, 4)) == ()


def test_a_day_without_an_answer_counts_for_neither():
    rows = [*days(4, 4, 0, 5), DaySeen("not read", True, {}), DaySeen("nor this", False, {})]
    assert shared(rows)[0].bad == 4
