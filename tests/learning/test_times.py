"""When an event comes, by what is known of the factors: held against quantiles of SciPy and of numbers drawn at random."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pourday.learning.times import log_quantiles

Z = stats.norm.ppf(0.9)


def test_one_place_gives_the_quantiles_of_the_normal_distribution():
    q = log_quantiles(np.array([1.0]), np.array([1.0]), 0.2)
    assert q == pytest.approx((1.0 - Z * 0.2, 1.0, 1.0 + Z * 0.2), abs=2e-3)


def test_a_normal_spread_of_places_adds_to_what_no_factor_knows():
    at = np.linspace(-1.5, 1.5, 301)
    q = log_quantiles(at, stats.norm.pdf(at, 0.0, 0.3), 0.4)
    assert q == pytest.approx((-Z * 0.5, 0.0, Z * 0.5), abs=0.01)


def test_seen_not_to_have_come_it_is_the_truncated_distribution():
    q = log_quantiles(np.array([0.0]), np.array([1.0]), 0.3, after_log=0.1)
    expected = stats.truncnorm(0.1 / 0.3, np.inf, scale=0.3).ppf([0.1, 0.5, 0.9])
    assert q == pytest.approx(expected, abs=0.01)


def test_what_comes_in_half_of_the_kitchens_only_has_no_late_end():
    early, likely, late = log_quantiles(np.array([0.0, math.inf]), np.array([0.45, 0.55]), 0.1)
    assert math.isfinite(early)
    assert likely == late == math.inf


@given(
    st.lists(st.tuples(st.floats(-2, 2), st.floats(0.01, 1)), min_size=1, max_size=30),
    st.floats(0.03, 0.5),
    st.floats(-3, 3),
)
def test_quantiles_rise_and_nothing_comes_before_it_was_seen_not_to_have(places, sigma, after):
    logs, weights = (np.array(x) for x in zip(*places, strict=True))
    early, likely, late = log_quantiles(logs, weights, sigma, after_log=after)
    assert early <= likely <= late
    # Where no place could have it so late, the look is taken for wrong.
    if after < logs.min() + 2 * sigma:
        assert early >= after - 0.02


def test_drawn_kitchens_lie_inside_as_often_as_they_should():
    rng = np.random.default_rng(3)
    logs, weights = rng.normal(0, 0.3, 500), rng.uniform(0, 1, 500)
    early, _, late = log_quantiles(logs, weights, 0.1)
    drawn = rng.choice(logs, 20000, p=weights / weights.sum()) + 0.1 * rng.normal(size=20000)
    assert np.mean((drawn > early) & (drawn < late)) == pytest.approx(0.8, abs=0.015)
