"""What readings of jugs teach: against a jug that obeys the law, written out here, and the closed form of normal numbers."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourday.forecast.jug_law import USUAL_JUG, bath_lasts, bench_lasts
from pourday.learning.factors import LogFactor
from pourday.learning.jugs import (
    DAY_SHARE,
    JugPair,
    JugsTaught,
    jug_law_of,
    jugs_taught,
    law_after,
    spread_of,
)

LASTS = {"cooling": 3000.0, "bench": 2700.0}


def read(how: str, times: float, from_c: float, minutes: float, layer: int = 0) -> JugPair:
    """Two readings of a jug that goes by Newton's law of cooling, with the figure so many times the usual."""
    to = 20 + (from_c - 20) * math.exp(-60 * minutes * times / LASTS[how])
    return JugPair(layer, how, 60 * minutes, from_c, to, 20.0, LASTS[how])  # type: ignore[arg-type]


@pytest.mark.parametrize("how", ["cooling", "bench"])
@pytest.mark.parametrize("times", [0.6, 1.5])
def test_a_slow_or_fast_jug_is_told_by_its_readings(how: str, times: float) -> None:
    pairs = [read(how, times, 80.0, minutes) for minutes in (8, 12)]
    taught = jugs_taught(pairs)
    assert taught is not None
    assert taught.readings == 3
    said = taught.said[how]  # type: ignore[index]
    assert abs(said.mean - math.log(times)) < 2 * said.sigma
    assert said.mean * math.log(times) > 0.1
    assert set(taught.said) == {how}
    assert abs(math.log(getattr(law_after(pairs), how) / times)) < abs(math.log(times)) / 2


@given(
    st.floats(0.4, 2.5),
    st.floats(55, 95),
    st.floats(2, 60),
    st.sampled_from(["cooling", "bench"]),
)
def test_a_pair_that_obeys_the_law_never_takes_it_farther_away_than_it_was(
    times: float, from_c: float, minutes: float, how: str
) -> None:
    law = law_after([read(how, times, from_c, minutes)])
    before = abs(math.log(times))
    assert abs(math.log(getattr(law, how) / times)) <= before + 0.05
    assert getattr(law, f"{how}_sd") <= spread_of(how) * 1.3  # type: ignore[arg-type]


def test_what_cannot_be_of_such_a_jug_says_little() -> None:
    """A jug that was set down in cold water, and nobody said so."""
    lifted = JugPair(0, "bench", 300.0, 85.0, 40.0, 20.0, 2700.0)
    law = law_after([lifted, *(read("bench", 1.0, 80.0, 10.0) for _ in range(3))])
    assert 0.75 < law.bench < 1.4


def test_nothing_read_leaves_the_usual_jug() -> None:
    assert jugs_taught([]) is None
    assert law_after([]) is USUAL_JUG
    assert jug_law_of([], 0.0).bench_sd == pytest.approx(USUAL_JUG.bench_sd)


def test_one_day_is_the_normal_rule_of_bayes() -> None:
    whole, sigma = spread_of("bench"), 0.15
    law = jug_law_of([(JugsTaught(2, {"bench": LogFactor(0.3, sigma)}), 0.0)], 0.0)
    within = (DAY_SHARE * whole) ** 2
    between, seen = whole**2 - within, sigma**2 + within
    assert math.log(law.bench) == pytest.approx(0.3 * between / (between + seen), rel=1e-6)
    assert law.bench_sd**2 == pytest.approx(between * seen / (between + seen) + within, rel=1e-6)
    assert law.cooling == pytest.approx(1.0)


def test_what_is_computed_is_newtons_law_on_the_heat_that_the_parts_hold() -> None:
    """1.75 kg of water at 4186 J/(kg K), a kilogram of wax at 2300, a pot of 400 J/K; 2.6 W/K."""
    assert bath_lasts(1.75, 1.0) == pytest.approx((1.75 * 4186 + 2300 + 400) / 2.6, rel=1e-6)
    # A kelvin a minute at 80 °C in a room of 20 °C (common practice, no source).
    assert (80 - 20) * (1 - math.exp(-60 / bench_lasts(1.0))) == pytest.approx(1.0, rel=0.02)
    pair = read("cooling", 1.0, 70.0, 10.0)
    assert pair.computed(np.array([1.0]))[0] == pytest.approx(pair.to_c, abs=1e-9)
