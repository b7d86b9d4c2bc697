"""What days teach of a kitchen: held against drawn kitchens, the closed form of normal numbers, and days put in by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from pourday.learning.factors import (
    FACTORS,
    MEANS_A_CRUST,
    SIGMAS,
    USUAL,
    LogFactor,
    RowSays,
    hedged,
    posterior,
)
from pourday.learning.kitchen import DAY_SIGMAS, YEAR, DayTaught, kitchen, taught

TOP_SIGMA, DAY_SIGMA = SIGMAS[0], DAY_SIGMAS[0]
AT = USUAL.whereabouts("A")
TOP, OF_MOULD = AT[0] + 0 * AT[1], AT[1]


def day(n, top, at=0.0, sigma=0.05, moulds=None, wax="paraffin"):
    """A day that said the top by itself, so surely, and that its walls are as computed."""
    precision, pull = np.zeros((len(FACTORS), len(FACTORS))), np.zeros(len(FACTORS))
    precision[0, 0], pull[0] = (TOP_SIGMA / sigma) ** 2, top / TOP_SIGMA * (TOP_SIGMA / sigma) ** 2
    precision[1, 1] = (SIGMAS[1] / 0.1) ** 2
    rows = tuple(tuple(float(x) for x in row) for row in precision)
    return DayTaught(f"d{n}", at, 4, rows, tuple(map(float, pull)), wax, moulds or {})


def top_of(days, now=0.0):
    return kitchen(days, now).factor("top", "paraffin").factor


def test_no_day_leaves_any_kitchen():
    known = kitchen([], 0.0)
    assert known.factor("top", "").factor == pytest.approx((0.0, TOP_SIGMA))
    assert known.factor("melting", "").factor == pytest.approx((0.0, 2.0))
    assert known.crust == pytest.approx(MEANS_A_CRUST)


def test_one_sure_day_is_the_normal_rule_of_bayes():
    known = top_of([day(1, 0.3, sigma=1e-3)])
    between, within = TOP_SIGMA**2 - DAY_SIGMA**2, DAY_SIGMA**2
    assert known.mean == pytest.approx(0.3 * between / (between + within), rel=1e-3)
    assert known.sigma**2 == pytest.approx(between * within / (between + within) + within, rel=1e-3)


def test_three_days_halve_the_error_of_the_fourth_in_drawn_kitchens():
    rng = np.random.default_rng(5)
    before, after, inside = [], [], []
    for _ in range(400):
        centre = rng.normal(0, math.sqrt(TOP_SIGMA**2 - DAY_SIGMA**2))
        tops = centre + DAY_SIGMA * rng.normal(size=4)
        known = top_of([day(i, tops[i] + 0.07 * rng.normal(), sigma=0.07) for i in range(3)])
        before.append(abs(tops[3]))
        after.append(abs(tops[3] - known.mean))
        inside.append(after[-1] < 1.2816 * known.sigma)
    assert np.median(after) < 0.55 * np.median(before)
    assert 0.75 < np.mean(inside) < 0.88


def test_days_that_contradict_each_other_widen_instead_of_averaging():
    steady = top_of([day(i, 0.1 * (-1) ** i) for i in range(6)])
    torn = top_of([day(i, 0.5 * (-1) ** i) for i in range(6)])
    assert torn.sigma > 2 * steady.sigma
    assert abs(torn.mean) < 0.1


def test_older_days_fade():
    old, new = day(1, 0.4, at=0.0), day(2, 0.0, at=20 * YEAR)
    known = top_of([old, new], 20 * YEAR)
    assert known.mean < 0.12
    assert top_of([day(1, 0.4, at=20 * YEAR), new], 20 * YEAR).mean > known.mean


def test_a_draughty_day_does_not_teach_the_mould():
    """All moulds of a day lose more through their walls: that is the day's. One of them alone: that is the mould's."""

    def walls(letter, mean):
        row = hedged(np.exp(-0.5 * ((OF_MOULD - mean) / 0.05) ** 2))
        return RowSays(0.0, letter, row, row)

    keys = {"A": "a", "B": "b", "C": "c"}
    draughty = taught("d", 0.0, posterior([walls(x, 0.3) for x in "ABC"]), keys, "")
    assert draughty.pull[1] / draughty.precision[1][1] * SIGMAS[1] > 0.2
    assert all(abs(own.mean) < 0.12 for own in draughty.moulds.values())
    one = taught("d", 0.0, posterior([walls("A", 0.3), walls("B", 0.0), walls("C", 0.0)]), keys, "")
    assert one.moulds["a"].mean > 0.15


def test_what_a_day_says_by_itself_gives_its_posterior_back():
    """Normal prior about nought times what was said is the posterior: precisions add (any text-book of statistics)."""
    row = np.exp(-0.5 * ((TOP - 0.2) / 0.1) ** 2)
    said = taught("d", 0.0, posterior([RowSays(0.0, "A", row, row)]), {"A": "a"}, "")
    precision, pull = np.array(said.precision), np.array(said.pull)
    assert pull[0] / precision[0, 0] * TOP_SIGMA == pytest.approx(0.2, abs=0.01)
    assert TOP_SIGMA / precision[0, 0] ** 0.5 == pytest.approx(0.1, rel=0.05)
    assert [said.taught_of(i) for i in range(len(FACTORS))] == [True, False, False, False, False]


def test_what_a_day_says_by_itself_does_not_depend_on_what_was_known_before():
    row = np.exp(-0.5 * ((TOP - 0.2) / 0.1) ** 2) + 1e-12
    known = kitchen([day(1, 0.1, sigma=0.2)], 0.0).prior({}, "paraffin")
    top = known.whereabouts("A")[0] + 0 * OF_MOULD
    same = np.exp(-0.5 * ((top - 0.2) / 0.1) ** 2) + 1e-12
    usual = taught("d", 0.0, posterior([RowSays(0.0, "A", row, row)]), {"A": "a"}, "")
    later = taught("d", 0.0, posterior([RowSays(0.0, "A", same, same)], known), {"A": "a"}, "")
    for said in (usual, later):
        assert said.pull[0] / said.precision[0][0] * TOP_SIGMA == pytest.approx(0.2, abs=0.015)
        assert TOP_SIGMA / said.precision[0][0] ** 0.5 == pytest.approx(0.1, rel=0.08)


def test_what_is_known_of_two_factors_only_together_stays_so():
    """Seen was what top and latent heat do together: whoever learns the one later knows the other."""
    by = TOP - 1.5 * AT[2]
    row = np.exp(-0.5 * ((by - 0.3) / 0.03) ** 2) + 1e-12
    said = taught("d", 0.0, posterior([RowSays(0.0, "A", row, row)]), {"A": "a"}, "w")
    _, covariance = kitchen([said], 0.0).next_day("w")
    along = np.array([1.0, 0.0, -1.5, 0.0, 0.0])
    # What is left: the row's own, and what a day differs by from the next in both, twice.
    left = 0.03**2 + 2 * (DAY_SIGMAS[0] ** 2 + (1.5 * DAY_SIGMAS[2]) ** 2)
    assert along @ covariance @ along == pytest.approx(left, rel=0.1)
    assert covariance[0, 0] ** 0.5 > 1.2 * (along @ covariance @ along) ** 0.5


def test_another_wax_leaves_the_kitchen_and_takes_nothing_from_the_wax():
    row = np.exp(-0.5 * ((AT[3] - 3.0 + 0 * OF_MOULD) / 0.5) ** 2 - 0.5 * ((TOP - 0.3) / 0.05) ** 2) + 1e-12
    said = taught("d", 0.0, posterior([RowSays(0.0, "A", row, row)]), {"A": "a"}, "soy")
    known = kitchen([said], 0.0)
    assert known.factor("melting", "soy").factor.mean > 2.0
    assert known.factor("melting", "paraffin").factor == pytest.approx((0.0, SIGMAS[3]))
    assert known.factor("melting", "paraffin").days == 0
    assert known.factor("top", "paraffin").factor.mean > 0.2


def test_a_kitchen_begins_a_day_with_its_own_moulds_by_letter():
    known = kitchen([day(1, 0.2, moulds={"a": LogFactor(0.1, 0.02)})], 0.0)
    prior = known.prior({"A": "a", "B": "b"}, "paraffin")
    assert set(prior.moulds) == {"A"}
    assert prior.mean[0] == pytest.approx(known.factor("top", "paraffin").factor.mean)
