"""A wick to start with; the map is derived from what makers use (common practice, no source)."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from pourday.plan.model import BlendPart, Cylinder, Layer, Mould, Plan, Rectangle
from pourday.plan.wick import PLIES, wick_start, wicks_of
from pourday.wax.materials import family
from pourday.wax.supplier import from_sheet

PARAFFIN = family("paraffin_pillar")


def _mould(diameter: float) -> Mould:
    return Mould(shape=Cylinder(diameter=diameter, height=0.15))


@pytest.mark.parametrize(
    ("diameter", "plies"), [(0.03, (15, 18)), (0.05, (24, 30)), (0.075, (30, 42)), (0.09, (42, 60))]
)
def test_plain_paraffin_takes_the_flat_braid_of_its_diameter(diameter: float, plies: tuple[int, int]) -> None:
    start = wick_start(_mould(diameter), PARAFFIN, 0.0)
    assert (start.plies, start.count, start.braid) == (plies, 1, "flat")


def test_the_burn_test_always_has_the_last_word() -> None:
    assert "burn test decides" in wick_start(_mould(0.07), PARAFFIN, 0.0).because[-1]


def test_heavy_scent_and_hard_waxes_go_one_size_up() -> None:
    plain = wick_start(_mould(0.05), PARAFFIN, 0.0)
    scented = wick_start(_mould(0.05), PARAFFIN, 0.08)
    assert PLIES.index(scented.plies[0]) == PLIES.index(plain.plies[0]) + 1
    beeswax = wicks_of(Plan(moulds=(_mould(0.05),), blend=(BlendPart(wax="beeswax"),)))[0]
    assert PLIES.index(beeswax.plies[1]) == PLIES.index(plain.plies[1]) + 1
    assert beeswax.braid == "square"


@pytest.mark.parametrize(("load", "up"), [(0.059, 0), (0.06, 1)])
def test_scent_is_heavy_from_six_per_cent_on(load: float, up: int) -> None:
    """Common practice, no source."""
    plain, scented = (wick_start(_mould(0.05), PARAFFIN, x) for x in (0.0, load))
    assert PLIES.index(scented.plies[0]) - PLIES.index(plain.plies[0]) == up


@pytest.mark.parametrize(("congealing", "up"), [(61.0, 0), (63.0, 1)])
def test_a_wax_that_sets_above_62_c_is_hard_to_draw(congealing: float, up: int) -> None:
    """Harder or higher-melting wax takes a size more (common practice, no source); 62 °C is an estimate."""
    wax = from_sheet("hard", PARAFFIN.id, {"congealing_min_c": congealing, "congealing_max_c": congealing})
    plain, hard = (wick_start(_mould(0.05), each, 0.0) for each in (PARAFFIN, wax))
    assert PLIES.index(hard.plies[0]) - PLIES.index(plain.plies[0]) == up


def test_a_little_beeswax_changes_nothing() -> None:
    parts = (BlendPart(wax="paraffin_pillar", share=95), BlendPart(wax="beeswax", share=5))
    plan = Plan(moulds=(_mould(0.05),))
    assert wicks_of(replace(plan, blend=parts))[0].plies == wicks_of(plan)[0].plies


def test_wide_candles_take_several_wicks() -> None:
    counts = [wick_start(_mould(d), PARAFFIN, 0.0).count for d in (0.1, 0.125, 0.15, 0.2)]
    assert counts[0] == 1
    assert counts == sorted(counts)
    assert counts[1] >= 2
    block = Mould(shape=Rectangle(width=0.05, depth=0.15, height=0.1))
    assert wick_start(block, PARAFFIN, 0.0).count == 2


def test_a_wick_is_cut_100_to_150_mm_longer_than_the_mould() -> None:
    assert wick_start(_mould(0.07), PARAFFIN, 0.0).cut == pytest.approx((0.25, 0.30))


def test_the_heaviest_scented_layer_decides() -> None:
    plan = Plan(layers=(Layer(scent_load=0.08), Layer()))
    assert wicks_of(plan)[0] == wick_start(plan.moulds[0], PARAFFIN, 0.08)


def test_it_is_said_in_one_line() -> None:
    assert wick_start(_mould(0.075), PARAFFIN, 0.0).words == "flat braid, 30 to 42 ply"
    assert wick_start(_mould(0.15), PARAFFIN, 0.0).words.startswith("3 wicks, each flat braid")


def test_an_own_wax_takes_the_braid_of_its_family() -> None:
    mine = from_sheet("comb", "beeswax", {})
    plan = Plan(moulds=(_mould(0.05),), own=(mine,), blend=(BlendPart(wax=mine.id),))
    assert wicks_of(plan)[0] == wicks_of(replace(plan, blend=(BlendPart(wax="beeswax"),)))[0]
