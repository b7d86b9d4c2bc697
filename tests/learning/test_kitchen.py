"""What days teach of a kitchen: held against drawn kitchens, the closed form of normal numbers, and days put in by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from pourday.learning.factors import OF_MOULD, TOP, TOP_SIGMA, LogFactor, RowSays, hedged, posterior
from pourday.learning.kitchen import DAY_SIGMA, YEAR, DayTaught, kitchen, taught


def day(n, top, at=0.0, sigma=0.05, moulds=None):
    return DayTaught(f"d{n}", at, 4, LogFactor(top, sigma), LogFactor(0.0, 0.1), moulds or {})


def test_no_day_leaves_any_kitchen():
    known = kitchen([], 0.0)
    assert known.top.factor == LogFactor(0.0, TOP_SIGMA)
    assert known.crust == 0.5


def test_one_sure_day_is_the_normal_rule_of_bayes():
    known = kitchen([day(1, 0.3, sigma=1e-4)], 0.0).top.factor
    between, within = TOP_SIGMA**2 - DAY_SIGMA["top"] ** 2, DAY_SIGMA["top"] ** 2
    assert known.mean == pytest.approx(0.3 * between / (between + within), rel=1e-3)
    assert known.sigma**2 == pytest.approx(between * within / (between + within) + within, rel=1e-3)


def test_three_days_halve_the_error_of_the_fourth_in_drawn_kitchens():
    rng = np.random.default_rng(5)
    before, after, inside = [], [], []
    for _ in range(400):
        centre = rng.normal(0, math.sqrt(TOP_SIGMA**2 - DAY_SIGMA["top"] ** 2))
        tops = centre + DAY_SIGMA["top"] * rng.normal(size=4)
        known = kitchen([day(i, tops[i] + 0.07 * rng.normal(), sigma=0.07) for i in range(3)], 0.0).top.factor
        before.append(abs(tops[3]))
        after.append(abs(tops[3] - known.mean))
        inside.append(after[-1] < 1.2816 * known.sigma)
    assert np.median(after) < 0.55 * np.median(before)
    assert 0.75 < np.mean(inside) < 0.88


def test_days_that_contradict_each_other_widen_instead_of_averaging():
    steady = kitchen([day(i, 0.1 * (-1) ** i) for i in range(6)], 0.0).top.factor
    torn = kitchen([day(i, 0.5 * (-1) ** i) for i in range(6)], 0.0).top.factor
    assert torn.sigma > 2 * steady.sigma
    assert abs(torn.mean) < 0.1


def test_older_days_fade():
    old, new = day(1, 0.4, at=0.0), day(2, 0.0, at=20 * YEAR)
    known = kitchen([old, new], 20 * YEAR).top.factor
    assert known.mean < 0.12
    assert kitchen([day(1, 0.4, at=20 * YEAR), new], 20 * YEAR).top.factor.mean > known.mean


def test_a_draughty_day_does_not_teach_the_mould():
    """All moulds of a day lose more through their walls: that is the day's. One of them alone: that is the mould's."""

    def walls(letter, mean):
        row = hedged(np.exp(-0.5 * ((OF_MOULD - mean) / 0.05) ** 2))
        return RowSays(0.0, letter, row, row)

    keys = {"A": "a", "B": "b", "C": "c"}
    draughty = taught("d", 0.0, posterior([walls(x, 0.3) for x in "ABC"]), keys)
    assert draughty.wall is not None
    assert draughty.wall.mean > 0.2
    assert all(abs(own.mean) < 0.12 for own in draughty.moulds.values())
    one = taught("d", 0.0, posterior([walls("A", 0.3), walls("B", 0.0), walls("C", 0.0)]), keys)
    assert one.moulds["a"].mean > 0.15


def test_what_a_day_says_by_itself_gives_its_posterior_back():
    """LogFactor prior about nought times what was said is the posterior: precisions add (any text-book of statistics)."""
    row = np.exp(-0.5 * ((TOP[..., None] + 0 * OF_MOULD - 0.2) / 0.1) ** 2)
    said = taught("d", 0.0, posterior([RowSays(0.0, "A", row, row)]), {"A": "a"}).top
    assert said is not None
    assert said.mean == pytest.approx(0.2, abs=0.01)
    assert said.sigma == pytest.approx(0.1, rel=0.05)


def test_a_kitchen_begins_a_day_with_its_own_moulds_by_letter():
    known = kitchen([day(1, 0.2, moulds={"a": LogFactor(0.1, 0.02)})], 0.0)
    prior = known.prior({"A": "a", "B": "b"})
    assert set(prior.moulds) == {"A"}
    assert prior.top == known.top.factor
