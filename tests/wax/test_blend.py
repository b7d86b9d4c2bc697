"""Waxes melted together, and the temperatures they are worked at."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from pourday.errors import Trouble
from pourday.wax.blend import blend, shares, uncertainty
from pourday.wax.materials import families, family
from pourday.wax.working_heat import ceiling_c, melt_to_c, pour_temperature

PARAFFIN, STEARIC, MICRO = family("paraffin_pillar"), family("stearic_commercial"), family("microcrystalline")
_PARTS = st.lists(
    st.tuples(st.sampled_from(list(families().values())), st.floats(0.01, 100)), min_size=1, max_size=4
)


def test_one_wax_in_any_number_of_lots_is_itself() -> None:
    assert blend([(PARAFFIN, 0.3), (PARAFFIN, 0.7)]) == PARAFFIN
    assert blend([(PARAFFIN, 1.0), (STEARIC, 0.0)]) == PARAFFIN


def test_shares_and_weights_at_hand_give_the_same_blend() -> None:
    assert shares([0.45, 0.05]) == pytest.approx((0.9, 0.1))
    by_weight, by_share = blend([(PARAFFIN, 4.5), (STEARIC, 0.5)]), blend([(PARAFFIN, 90), (STEARIC, 10)])
    assert by_weight.density_solid == pytest.approx(by_share.density_solid)


def test_masses_and_volumes_add_up() -> None:
    """1 kg of 9:1 by hand: 0.9/905 + 0.1/940 m3 solid; heat 0.9 x 150 + 0.1 x 190 kJ."""
    mixed = blend([(PARAFFIN, 9), (STEARIC, 1)])
    assert mixed.density_solid == pytest.approx(1 / (0.9 / 905 + 0.1 / 940))
    assert mixed.latent_main == pytest.approx(154e3)
    assert mixed.latent_transition == pytest.approx(45e3)
    at = 80.0
    assert mixed.density_at(at) == pytest.approx(
        1 / (0.9 / PARAFFIN.density_at(at) + 0.1 / STEARIC.density_at(at)), rel=1e-5
    )


def test_the_weakest_part_sets_the_limits() -> None:
    mixed = blend([(PARAFFIN, 0.5), (family("soy_pillar"), 0.5)])
    assert mixed.max_working_c == 85
    assert mixed.flash_point_c == 204
    assert mixed.plateau == "no"
    assert mixed.confidence == "C"
    assert blend([(PARAFFIN, 0.5), (family("rapeseed"), 0.5)]).confidence == "D"


def test_a_tenth_of_additive_leaves_a_pillar_wax_a_pillar_wax() -> None:
    """Use as an additive, 1-10 %: common practice, no source."""
    assert blend([(PARAFFIN, 0.92), (MICRO, 0.08)]).mould_suitable == "yes"
    assert blend([(PARAFFIN, 0.5), (MICRO, 0.5)]).mould_suitable == "additive"


@given(_PARTS)
def test_a_blend_lies_between_its_parts_and_melts_no_narrower(parts: list) -> None:
    mixed, waxes = blend(parts), [wax for wax, _ in parts]
    for name in ("density_solid", "latent_main", "cp_liquid", "conductivity_solid", "peak_c", "scent_max"):
        values = [getattr(wax, name) for wax in waxes]
        assert min(values) * (1 - 1e-9) <= getattr(mixed, name) <= max(values) * (1 + 1e-9)
    assert mixed.solidus_c < mixed.peak_c < mixed.liquidus_c
    narrowest = min(wax.liquidus_c - wax.solidus_c for wax in waxes)
    assert mixed.liquidus_c - mixed.solidus_c >= narrowest - 1e-9
    assert mixed.pour_max_c <= mixed.max_working_c


@given(_PARTS, st.floats(0.1, 10))
def test_the_size_of_the_batch_does_not_change_the_blend(parts: list, factor: float) -> None:
    once, scaled = blend(parts), blend([(wax, share * factor) for wax, share in parts])
    assert scaled.density_solid == pytest.approx(once.density_solid)
    assert scaled.liquidus_c == pytest.approx(once.liquidus_c)


def test_a_blend_is_less_sure_than_its_parts() -> None:
    assert uncertainty([(PARAFFIN, 1)]).temperature_k == 1.5
    mixed = uncertainty([(PARAFFIN, 0.5), (MICRO, 0.5)])
    assert mixed.temperature_k > 3
    assert mixed.latent_share > 0.15


@pytest.mark.parametrize(
    "parts", [[], [(PARAFFIN, 0.0)], [(PARAFFIN, -1.0), (STEARIC, 2.0)], [(PARAFFIN, float("nan"))]]
)
def test_a_blend_of_nothing_is_refused(parts: list) -> None:
    with pytest.raises(Trouble, match="adds up to nothing"):
        blend(parts)


@pytest.mark.parametrize(
    ("wax_id", "metal", "soft"),
    [
        ("paraffin_pillar", (77, 93), (77, 85)),
        ("stearic_commercial", (77, 88), (75, 82)),
        ("beeswax", (65, 77), (60, 70)),
        ("soy_pillar", (60, 74), (60, 70)),
        ("palm", (88, 95), (88, 95)),
    ],
)
def test_pour_temperature_lies_in_the_spread_makers_quote(
    wax_id: str, metal: tuple[float, float], soft: tuple[float, float]
) -> None:
    """First pours into metal and into silicone or plastic: common practice, no source."""
    wax = family(wax_id)
    assert metal[0] <= pour_temperature(wax, "bright metal", 20) <= metal[1]
    assert soft[0] <= pour_temperature(wax, "silicone", 20) <= soft[1]


def test_paraffin_in_metal_is_poured_well_above_congealing() -> None:
    """Congealing point + 20 to + 35 K, derived from the spread makers quote."""
    assert 20 <= pour_temperature(PARAFFIN, "bright metal", 20) - PARAFFIN.congealing_c <= 35


def test_soy_pillar_keeps_the_distance_against_bloom() -> None:
    """At least 15 K above the congealing point (patent US 8500826 B2). Independent of the pour range."""
    for name in ("soy_pillar", "soy_container", "rapeseed", "coconut_blend", "palm"):
        wax = family(name)
        for room in (15, 20, 30):
            for material in ("silicone", "glass"):
                assert pour_temperature(wax, material, room) - wax.congealing_c >= 15


def test_a_warm_room_wants_a_cooler_pour_and_metal_a_hotter_one() -> None:
    assert pour_temperature(PARAFFIN, "bright metal", 28) < pour_temperature(PARAFFIN, "bright metal", 20)
    assert (
        pour_temperature(PARAFFIN, "glass", 20)
        < pour_temperature(PARAFFIN, "silicone", 20)
        < pour_temperature(PARAFFIN, "dull metal", 20)
    )


@given(
    st.sampled_from(list(families().values())),
    st.sampled_from(["bright metal", "dull metal", "plastic", "silicone", "glass"]),
    st.floats(-10, 45),
    st.one_of(st.none(), st.floats(40, 120)),
)
def test_pour_temperature_keeps_to_range_ceiling_and_mould(wax, material, room, limit) -> None:
    found = pour_temperature(wax, material, room, None, limit)
    pourable = math.ceil(wax.congealing_c + 5)
    assert found <= max(min(wax.pour_max_c, wax.max_working_c - 2, limit or 999), pourable)
    assert found >= min(wax.pour_min_c, max(limit or 999, pourable))


@given(
    st.sampled_from(list(families().values())),
    st.floats(-10, 45),
    st.one_of(st.none(), st.floats(20, 120)),
    st.one_of(st.none(), st.floats(20, 120)),
)
def test_no_pour_is_ever_asked_for_at_or_below_where_the_wax_sets(wax, room, asked, limit) -> None:
    """A mould that stands less, or a person who asks for less, is answered by a finding and not by a cold pour."""
    assert pour_temperature(wax, "glass", room, asked, limit) >= wax.congealing_c + 5


def test_ten_degrees_of_room_are_five_of_pour_temperature() -> None:
    """Half a kelvin for each of the room: an estimate between 1.1 (one published soy table) and none."""
    wide = replace(PARAFFIN, pour_min_c=70.0, pour_max_c=93.0)
    poured = [pour_temperature(wide, "bright metal", room) for room in (15.0, 25.0)]
    assert poured[0] - poured[1] == pytest.approx(5.0, abs=1.0)


def test_what_a_person_asks_for_is_taken_as_asked() -> None:
    assert pour_temperature(PARAFFIN, "plastic", 20, asked_c=97, limit_c=80) == 97


def test_the_pot_is_heated_until_every_part_is_molten_but_never_above_a_ceiling() -> None:
    """A tenth of microcrystalline has to melt too: 90 + 10 K, so as near the 93 °C of the paraffin as is safe."""
    parts = [(PARAFFIN, 0.9), (MICRO, 0.1)]
    assert melt_to_c(parts, 80) == 91
    assert ceiling_c(parts) == 93
    assert melt_to_c([(PARAFFIN, 1.0)], 85) == 88
    assert melt_to_c([(MICRO, 0.5), (family("beeswax"), 0.5)], 80) == 83


@pytest.mark.parametrize("wax_id", ["soy_pillar", "soy_container", "rapeseed", "coconut_blend"])
def test_plant_fats_are_heated_until_old_crystals_are_gone(wax_id: str) -> None:
    """75-85 °C first, however cool they are poured (common practice, no source)."""
    wax = family(wax_id)
    cool = pour_temperature(wax, "glass", 20)
    assert cool <= 66
    assert 75 <= melt_to_c([(wax, 1.0)], cool) <= 85


@given(
    st.lists(
        st.tuples(st.sampled_from(list(families().values())), st.floats(0.01, 1)), min_size=1, max_size=4
    )
)
def test_what_to_heat_to_is_never_what_never_to_pass(parts) -> None:
    hottest = max(pour_temperature(wax, "bright metal", 20) for wax, _ in parts)
    assert melt_to_c(parts, hottest) <= ceiling_c(parts) - 2
