"""The enthalpy curve holds the table's heats where the table puts them, and can be read backwards."""

from __future__ import annotations

import math

import msgspec
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from pourday.errors import Trouble
from pourday.wax.enthalpy import curve
from pourday.wax.materials import families, family

EVERY = list(families().values())


@pytest.mark.parametrize("wax", EVERY, ids=lambda w: w.id)
def test_the_heat_from_cold_to_hot_is_the_sum_of_the_tables_heats(wax):
    """Against SciPy's quadrature of a triangle written down afresh; only the table's numbers are shared."""
    a, m, b = wax.solidus_c, wax.peak_c, wax.liquidus_c

    def melting(t):
        return 2 / (b - a) * ((t - a) / (m - a) if t < m else (b - t) / (b - m)) if a < t < b else 0.0

    def molten(t):
        main = quad(melting, a, min(max(t, a), b), points=[m] if a < m < min(max(t, a), b) else None)[0]
        soft = min(max((t - wax.soft_from_c) / (b - wax.soft_from_c), 0.0), 1.0)
        return wax.soft_share * soft + (1 - wax.soft_share) * main

    own = quad(
        lambda t: wax.cp_solid + (wax.cp_liquid - wax.cp_solid) * molten(t),
        10, 95, points=[a, m, b], limit=200,
    )[0]  # fmt: skip
    low, high = curve(wax).heat_at([10.0, 95.0])
    assert high - low == pytest.approx(own + wax.latent_main + wax.latent_transition, rel=1e-5)


@pytest.mark.parametrize("wax", EVERY, ids=lambda w: w.id)
def test_half_of_the_main_heat_is_given_off_at_the_median_of_the_triangle(wax):
    """Median of a triangular distribution, closed form (Evans, Hastings, Peacock, Statistical Distributions)."""
    a, m, b = wax.solidus_c, wax.peak_c, wax.liquidus_c
    if m >= (a + b) / 2:
        median = a + math.sqrt((b - a) * (m - a) / 2)
    else:
        median = b - math.sqrt((b - a) * (b - m) / 2)
    assert curve(wax).celsius_where_set(0.5) == pytest.approx(median, abs=0.01)


@given(
    st.sampled_from(EVERY),
    st.floats(0.2, 2.0),
    st.lists(st.floats(-30, 150), min_size=1, max_size=20),
)
@settings(max_examples=60, deadline=None)
def test_the_inverse_gives_the_temperature_back_for_any_wax_and_width(wax, width, celsius):
    c = curve(wax, width)
    assert np.allclose(c.celsius_at(c.heat_at(celsius)), celsius, atol=1e-7)


@pytest.mark.parametrize("width", [0.5, 1.0, 1.6])
@pytest.mark.parametrize("wax", EVERY, ids=lambda w: w.id)
def test_heat_rises_and_solid_falls_all_the_way(wax, width):
    c = curve(wax, width)
    assert np.all(np.diff(c.heat) > 0)
    assert np.all(np.diff(c.solid) <= 0)
    assert (c.solid[0], c.solid[-1]) == (1.0, 0.0)


def test_the_solid_solid_heat_of_pillar_paraffin_comes_below_its_melting_range():
    wax = family("paraffin_pillar")
    without = msgspec.structs.replace(wax, latent_transition=0.0)
    extra = curve(wax).heat_at([34.9, 45.1, 48.0, 61.0]) - curve(without).heat_at([34.9, 45.1, 48.0, 61.0])
    assert np.allclose(extra, [0, 50e3, 50e3, 50e3], atol=1.0)


def test_a_wax_without_a_solid_solid_range_has_no_heat_there():
    wax = family("stearic_commercial")
    low, high = curve(wax).heat_at([20.0, 51.0])
    assert high - low == pytest.approx(1800 * 31, rel=1e-9)


def test_a_wider_range_keeps_the_whole_heat_and_the_peak():
    wax = family("beeswax")
    narrow, wide = curve(wax, 0.5), curve(wax, 1.5)
    steps = [float(np.ptp(c.heat_at([20.0, 90.0]))) for c in (narrow, wide)]
    # Only where solid turns to liquid heat capacity moves: 200 J/(kg K) over a few kelvin.
    assert steps[0] == pytest.approx(steps[1], abs=3000)
    for c in (narrow, wide):
        rise = np.diff(c.heat) / np.diff(c.celsius)
        assert c.celsius[int(rise.argmax())] == pytest.approx(63, abs=0.1)


def test_an_even_curve_melts_in_proportion_to_temperature():
    c = curve(family("stearic_commercial"), even=True)
    assert np.allclose(c.solid_at([52.0, 53.25, 54.5, 57.0]), [1, 0.75, 0.5, 0])


def test_a_soft_share_moves_heat_and_not_where_the_wax_sets():
    """Its part of the main heat is given off far below, and the surface carries all the same."""
    wax = family("palm")
    hard = msgspec.structs.replace(wax, soft_share=0.0)
    assert np.array_equal(curve(wax).set_at([30.0, 50.0, 60.0]), curve(hard).set_at([30.0, 50.0, 60.0]))
    cold, hot = curve(wax).heat_at([0.0, 90.0]), curve(hard).heat_at([0.0, 90.0])
    assert np.ptp(cold) == pytest.approx(np.ptp(hot), rel=0.02)
    below = [float(np.ptp(curve(each).heat_at([15.0, 40.0]))) for each in (wax, hard)]
    assert below[0] - below[1] == pytest.approx(wax.latent_main * wax.soft_share * 25 / 51, rel=0.05)


def test_a_melting_range_out_of_order_is_refused_in_words():
    wrong = msgspec.structs.replace(family("palm"), peak_c=70.0)
    with pytest.raises(Trouble) as caught:
        curve(wrong)
    assert "melting range" in caught.value.what
