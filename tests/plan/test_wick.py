"""A wick to start with; the map is derived from what makers use (common practice, no source)."""

from __future__ import annotations

import math

import pytest
from msgspec.structs import replace

from pourday.plan.check import height_of
from pourday.plan.model import (
    BlendPart,
    Cylinder,
    Layer,
    Mould,
    Plan,
    Rectangle,
    Tapered,
    WaterFilled,
    WaterPoint,
)
from pourday.plan.wick import PLIES, chosen_wick, wick_start, wicks_of
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


@pytest.mark.parametrize(("load", "up"), [(0.06, 0), (0.079, 0), (0.08, 1)])
def test_scent_is_heavy_from_eight_per_cent_on(load: float, up: int) -> None:
    """6 % is what most pillars carry (3-6 % paraffin, 5-10 % soy: common practice, no source)."""
    plain, scented = (wick_start(_mould(0.05), PARAFFIN, x) for x in (0.0, load))
    assert PLIES.index(scented.plies[0]) - PLIES.index(plain.plies[0]) == up


def test_two_reasons_to_go_up_are_one_size() -> None:
    hard = wick_start(_mould(0.05), family("beeswax"), 0.0, 1.0)
    both = wick_start(_mould(0.05), family("beeswax"), 0.10, 1.0)
    assert (both.plies, both.size) == (hard.plies, hard.size)
    assert sum("size up" in why for why in both.because[:-1]) == 1


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


@pytest.mark.parametrize(
    ("millimetres", "count"), [(100, 1), (101.6, 1), (114, 1), (120, 2), (150, 3), (200, 6)]
)
def test_wide_candles_take_several_wicks_from_about_115_mm(millimetres: float, count: int) -> None:
    """100 mm and 4 in are the same candle. One wick to about 100 mm, several above: common practice, no source."""
    assert wick_start(_mould(millimetres / 1000), PARAFFIN, 0.0).count == count


def test_a_long_block_takes_two() -> None:
    block = Mould(shape=Rectangle(width=0.05, depth=0.15, height=0.1))
    assert wick_start(block, PARAFFIN, 0.0).count == 2


def test_never_more_wicks_than_the_mould_has_holes() -> None:
    asked = wick_start(_mould(0.15), PARAFFIN, 0.0)
    assert asked.count == 3
    assert "holes" in asked.because[0]
    for holes in (1, 2):
        start = wick_start(replace(_mould(0.15), holes=holes), PARAFFIN, 0.0)
        assert start.count == holes
        assert f"has {holes}" in start.because[0]
    assert wick_start(replace(_mould(0.15), holes=5), PARAFFIN, 0.0).count == 3


def sphere(diameter: float, steps: int = 8) -> WaterFilled:
    """A ball by water: pi h^2 (3 r - h) / 3 up to each height, textbook geometry."""
    r = diameter / 2
    heights = [diameter * k / steps for k in range(1, steps + 1)]
    return WaterFilled(
        points=tuple(WaterPoint(height=h, water=math.pi * h * h * (3 * r - h) / 3 * 998.2) for h in heights)
    )


def test_a_sphere_has_one_wick() -> None:
    for diameter in (0.08, 0.20):
        assert wick_start(Mould(shape=sphere(diameter)), PARAFFIN, 0.0).count == 1
    straight = WaterFilled(points=(WaterPoint(height=0.1, water=1.5), WaterPoint(height=0.2, water=3.0)))
    assert wick_start(Mould(shape=straight), PARAFFIN, 0.0).count > 1


def test_every_size_tells_something_else() -> None:
    """“Largest” for everything is no information: what one wick serves sets its size, wide or not."""
    for hard in (0.0, 1.0):
        words = [wick_start(_mould(d), PARAFFIN, 0.06, hard).words for d in (0.022, 0.05, 0.075, 0.09, 0.11)]
        assert len(set(words)) == len(words) - (1 if hard else 0)
        assert "largest" not in wick_start(_mould(0.15), PARAFFIN, 0.0).words


@pytest.mark.parametrize(
    "mould",
    [
        Mould(shape=Tapered(diameter_low=0.038, diameter_rim=0.050, height=0.055)),
        Mould(shape=Cylinder(diameter=0.038, height=0.020)),
        Mould(upside_down=False),
        Mould(stays=True, material="glass"),
    ],
)
def test_votives_and_vessels_take_a_cored_wick_on_a_tab(mould: Mould) -> None:
    """Cored wicks stand by themselves: containers, votives, top-up moulds (a guild of candle makers, quoted)."""
    start = wick_start(mould, PARAFFIN, 0.0)
    assert start.braid == "cored"
    assert start.words.startswith("cored wick on a tab")
    assert start.cut[1] - height_of(mould.shape) <= 0.05


def test_a_vessel_takes_one_size_more_than_a_pillar_as_wide_and_never_two() -> None:
    """A pool is to reach the glass; a pillar keeps a wall (common practice, no source)."""
    sizes = ["smallest", "small", "medium", "large", "largest"]
    pillar, glass = (
        wick_start(replace(_mould(0.075), stays=stays), PARAFFIN, 0.0) for stays in (False, True)
    )
    assert sizes.index(glass.size) == sizes.index(pillar.size) + 1
    both = wick_start(replace(_mould(0.075), stays=True), family("soy_container"), 0.10, 1.0)
    assert both.size == glass.size


def test_a_taper_is_no_votive() -> None:
    assert wick_start(Mould(shape=Cylinder(diameter=0.022, height=0.25)), PARAFFIN, 0.0).braid == "flat"


def test_each_mould_has_its_own_wick_and_else_the_plans() -> None:
    moulds = (Mould(wick="flat braid, 36 ply"), Mould())
    plan = Plan(moulds=moulds, wick="square braid")
    assert [chosen_wick(plan, mould) for mould in moulds] == ["flat braid, 36 ply", "square braid"]


def test_a_mould_that_gets_no_scented_layer_needs_no_larger_wick() -> None:
    plain, scented = replace(_mould(0.05), shares=(0.0, 1.0)), _mould(0.05)
    plan = Plan(moulds=(plain, scented), layers=(Layer(scent_load=0.1), Layer()))
    first, second = wicks_of(plan)
    assert PLIES.index(second.plies[0]) == PLIES.index(first.plies[0]) + 1


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
