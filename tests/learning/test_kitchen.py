"""What days teach of a kitchen: held against drawn kitchens, the closed form of normal numbers, and days put in by hand."""

from __future__ import annotations

import math
from dataclasses import replace

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
from pourday.learning.kitchen import DAY_SIGMAS, MORE_APART, YEAR, DayTaught, kitchen, taught
from pourday.learning.said import NODES, SaidAlong

TOP_SIGMA, DAY_SIGMA = SIGMAS[0], DAY_SIGMAS[0]
AT = USUAL.whereabouts("A")
TOP, OF_MOULD = AT[0] + 0 * AT[1], AT[1]


def bell(i, mean, sigma):
    """What a bell along one factor says, in the factor's own units."""
    way = tuple(float(j == i) for j in range(len(FACTORS)))
    return SaidAlong(way, tuple(float(x) for x in -0.5 * ((NODES * SIGMAS[i] - mean) / sigma) ** 2))


def day(n, top, at=0.0, sigma=0.05, moulds=None, wax="paraffin"):
    """A day that said the top by itself, so surely, and that its walls are as computed."""
    says = (bell(0, top, sigma), bell(1, 0.0, 0.1))
    return DayTaught(f"d{n}", at, 4, says, says, wax, moulds or {})


def alone(said, i=0):
    """Mean and spread of one factor on a day by what the day said alone, in the factor's own units."""
    mean, covariance = said.alone
    return mean[i] * SIGMAS[i], covariance[i, i] ** 0.5 * SIGMAS[i]


def by_bayes(mean, sigma, i=0):
    """The same by the normal rule of Bayes, for a bell that was seen."""
    precision = 1 / sigma**2 + 1 / SIGMAS[i] ** 2
    return mean / sigma**2 / precision, precision**-0.5


def top_of(days, now=0.0):
    return kitchen(days, now).factor("top", "paraffin").factor


def test_no_day_leaves_any_kitchen():
    known = kitchen([], 0.0)
    assert known.factor("top", "").factor == pytest.approx((0.0, TOP_SIGMA))
    assert known.factor("melting", "").factor == pytest.approx((0.0, 2.0))
    assert known.crust == pytest.approx(MEANS_A_CRUST)


def test_one_sure_day_is_the_normal_rule_of_bayes():
    sure = 0.05
    known = top_of([day(1, 0.3, sigma=sure)])
    between, within = TOP_SIGMA**2 - DAY_SIGMA**2, DAY_SIGMA**2
    seen = within + sure**2
    assert known.mean == pytest.approx(0.3 * between / (between + seen), rel=1e-3)
    assert known.sigma**2 == pytest.approx(between * seen / (between + seen) + within, rel=1e-3)


def test_three_days_halve_the_error_of_the_fourth_in_drawn_kitchens():
    rng = np.random.default_rng(5)
    before, after, inside = [], [], []
    for _ in range(150):
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
    assert alone(draughty, 1)[0] > 0.2
    assert all(abs(own.mean) < 0.12 for own in draughty.moulds.values())
    one = taught("d", 0.0, posterior([walls("A", 0.3), walls("B", 0.0), walls("C", 0.0)]), keys, "")
    assert one.moulds["a"].mean > 0.15


def test_what_a_day_says_by_itself_gives_its_posterior_back():
    """Normal prior about nought times what was said is the posterior: precisions add (any text-book of statistics)."""
    row = np.exp(-0.5 * ((TOP - 0.2) / 0.1) ** 2)
    said = taught("d", 0.0, posterior([RowSays(0.0, "A", row, row)]), {"A": "a"}, "")
    assert alone(said) == pytest.approx(by_bayes(0.2, 0.1), rel=0.03)
    assert [said.taught_of(i) for i in range(len(FACTORS))] == [True, False, False, False, False]


def test_what_a_day_says_by_itself_does_not_depend_on_what_was_known_before():
    row = np.exp(-0.5 * ((TOP - 0.2) / 0.1) ** 2) + 1e-12
    known = kitchen([day(1, 0.1, sigma=0.2)], 0.0).prior({}, "paraffin")
    top = known.whereabouts("A")[0] + 0 * OF_MOULD
    same = np.exp(-0.5 * ((top - 0.2) / 0.1) ** 2) + 1e-12
    usual = taught("d", 0.0, posterior([RowSays(0.0, "A", row, row)]), {"A": "a"}, "")
    later = taught("d", 0.0, posterior([RowSays(0.0, "A", same, same)], known), {"A": "a"}, "")
    for said in (usual, later):
        assert alone(said) == pytest.approx(by_bayes(0.2, 0.1), rel=0.05)


def test_a_day_that_only_says_sooner_than_this_moves_the_kitchen_though_it_narrows_nothing():
    """A layer that carried at the first look: half of the places are out, one look in ten is wrong. Mean of what is left of
    a normal number below nought: -0.80 (any table of the half-normal), so 0.9 x 0.5 : 0.1 x 0.5 make -0.64."""
    row = np.where(TOP > 0, 0.9, 0.1)
    said = taught("d", 0.0, posterior([RowSays(0.0, "A", row, row)]), {"A": "a"}, "w")
    mean, spread = alone(said)
    assert mean / TOP_SIGMA == pytest.approx(0.64, abs=0.04)
    assert said.taught_of(0)
    assert kitchen([said] * 3, 0.0).factor("top", "w").factor.mean > 0.6 * TOP_SIGMA
    assert spread > 0.6 * TOP_SIGMA


def test_days_put_together_are_what_many_drawn_kitchens_say():
    """Against kitchens drawn by themselves and weighed: two days that say `sooner than this`, one a bell, in no
    special direction. The order of the days is no matter."""
    half = tuple(float(x) for x in np.log(np.where(NODES > 0.5, 0.9, 0.1)))
    slanted = tuple(float(x) for x in np.array([0.8, 0.1, -0.3, 0.5, 0.0]) / 0.99**0.5)
    days = [
        replace(day(1, 0.0), says=(SaidAlong(slanted, half),), by_crust=(SaidAlong(slanted, half),)),
        day(2, 0.2, sigma=0.1),
        replace(day(3, 0.0), says=(SaidAlong(slanted, half),), by_crust=(SaidAlong(slanted, half),)),
    ]
    rng = np.random.default_rng(3)
    usual = rng.normal(size=(120_000, len(FACTORS))) * np.sqrt(1 - (np.array(DAY_SIGMAS) / SIGMAS) ** 2)
    weights = np.zeros(len(usual))
    for times, before in MORE_APART:
        each = np.full(len(usual), before)
        for one in days:
            apart = times**0.5 * rng.normal(size=usual.shape) * np.array(DAY_SIGMAS) / SIGMAS
            for said in one.says:
                chance = np.exp(np.array(said.log_chance))
                chance /= np.exp(-0.5 * NODES**2) @ chance / np.exp(-0.5 * NODES**2).sum()
                each = each * np.interp((usual + apart) @ np.array(said.way), NODES, chance)
        weights += each
    drawn = weights @ usual / weights.sum()
    for order in (days, days[::-1]):
        mean = kitchen(order, 0.0).prior({}, "paraffin").mean
        assert mean / SIGMAS == pytest.approx(drawn, abs=0.05)


def test_what_is_known_of_two_factors_only_together_stays_so():
    """Seen was what top and latent heat do together: whoever learns the one later knows the other."""
    by = TOP - 1.5 * AT[2]
    row = np.exp(-0.5 * ((by - 0.3) / 0.03) ** 2) + 1e-12
    said = taught("d", 0.0, posterior([RowSays(0.0, "A", row, row)]), {"A": "a"}, "w")
    covariance = kitchen([said], 0.0).prior({}, "w").covariance
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
