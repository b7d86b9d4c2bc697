"""How long a layer waits, held against what makers say: common practice, no source, unless marked."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourday.forecast.layer_wait import LayerWait, candle_wait, layer_wait

MINUTE = 60.0
HOUR = 3600.0
SIZES = st.floats(0.005, 0.08)
WIDTHS = st.floats(0.04, 0.12)
ROOMS = st.floats(10, 32)


def inch_layer(room_c: float = 20.0, height: float = 0.025, diameter: float = 0.075) -> LayerWait:
    """A layer poured at 81 °C into a dull mould."""
    return layer_wait(height, diameter, room_c, 81.0, "dull metal")


def test_an_inch_in_a_three_inch_pillar_skins_within_what_makers_and_models_say() -> None:
    """Makers: 10-15 min to a thin skin (common practice, no source); a heat model: 38 min (derived)."""
    skinned = inch_layer().skinned
    assert 10 * MINUTE <= skinned.early <= 15 * MINUTE
    assert skinned.early < skinned.likely < 38 * MINUTE < skinned.late


def test_an_inch_layer_is_looked_at_within_the_hour_or_two_between_layers() -> None:
    """1-2 h between layers an inch thick: common practice, no source. A crust of 5 mm: 100 min (derived)."""
    opens = inch_layer().opens
    assert 1 * HOUR <= opens.likely <= 2 * HOUR
    assert opens.early < 38 * MINUTE
    assert opens.likely < 100 * MINUTE < opens.late


def test_the_window_closes_after_it_opens_and_before_an_inch_is_stone_cold() -> None:
    """Surface at 45 °C after 133 min, and solid through after 157 min, in the same derived table."""
    wait = inch_layer()
    assert wait.opens.likely < wait.closes
    assert 133 * MINUTE <= wait.closes <= 157 * MINUTE


@pytest.mark.parametrize(("room_c", "factor"), [(15.0, 0.9), (25.0, 1.1)])
def test_five_kelvin_of_room_move_the_wait_by_a_tenth(room_c: float, factor: float) -> None:
    assert inch_layer(room_c).opens.likely / inch_layer().opens.likely == pytest.approx(factor, abs=0.02)


@pytest.mark.parametrize(("diameter", "factor"), [(0.050, 0.75), (0.100, 1.25)])
def test_a_third_of_diameter_moves_the_closing_by_a_quarter(diameter: float, factor: float) -> None:
    """As far as the crust lets it: the window never closes on a layer that has only just formed one."""
    narrow, usual = inch_layer(diameter=diameter), inch_layer()
    expected = max(usual.closes * factor, usual.opens.late * 1.15 / 1.1)
    assert narrow.closes == pytest.approx(expected, rel=0.02)


def test_a_whole_three_inch_pillar_stands_overnight_at_most() -> None:
    """8-12 h or overnight before demoulding a 75 mm pillar: common practice, no source."""
    cold = candle_wait(0.075, 20.0, 81.0, "dull metal").cold
    assert 6 * HOUR <= cold.early < cold.likely <= 12 * HOUR


@given(SIZES, SIZES, WIDTHS, ROOMS)
def test_a_thicker_layer_never_waits_less(one: float, other: float, wide: float, room_c: float) -> None:
    low, high = sorted((one, other))
    thin, thick = (layer_wait(h, wide, room_c, 80.0, "glass") for h in (low, high))
    assert thin.opens.likely <= thick.opens.likely
    assert thin.skinned.likely <= thick.skinned.likely
    assert thin.closes <= thick.closes


@given(SIZES, WIDTHS, WIDTHS, ROOMS)
def test_a_wider_mould_never_closes_sooner(height: float, one: float, other: float, room_c: float) -> None:
    low, high = sorted((one, other))
    assert (
        layer_wait(height, low, room_c, 80.0, "glass").closes
        <= layer_wait(height, high, room_c, 80.0, "glass").closes
    )
    assert (
        candle_wait(low, room_c, 80.0, "glass").cold.likely
        <= candle_wait(high, room_c, 80.0, "glass").cold.likely
    )


@given(SIZES, WIDTHS, ROOMS, ROOMS)
def test_a_warmer_room_never_makes_it_quicker(height: float, wide: float, one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert (
        layer_wait(height, wide, low, 80.0, "glass").opens.likely
        <= layer_wait(height, wide, high, 80.0, "glass").opens.likely
    )


@given(st.floats(0.001, 0.3), st.floats(0.02, 0.3), st.floats(-10, 45), st.floats(50, 110))
def test_the_times_are_in_order_and_never_negative(
    height: float, wide: float, room_c: float, pour: float
) -> None:
    wait = layer_wait(height, wide, room_c, pour, "bright metal")
    for spread in (wait.skinned, wait.opens):
        assert 0 < spread.early <= spread.likely <= spread.late
    assert wait.skinned.likely <= wait.opens.likely < wait.closes
