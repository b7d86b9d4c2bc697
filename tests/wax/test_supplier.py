"""A wax from its supplier's sheet, and what the nearest family lends it."""

from __future__ import annotations

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourday.errors import Trouble
from pourday.wax.blend import blend, uncertainty
from pourday.wax.enthalpy import curve
from pourday.wax.materials import SUPPLIER, Wax, families, family
from pourday.wax.supplier import FIGURES, from_sheet, lent_figures, own_id, with_figures

PARAFFIN = family("paraffin_pillar")


def test_an_empty_sheet_is_its_family_under_another_name() -> None:
    wax = from_sheet("White 60", "paraffin_pillar", {})
    lent = {name: getattr(PARAFFIN, name) for name in ("solidus_c", "peak_c", "density_solid", "latent_main")}
    assert {name: getattr(wax, name) for name in lent} == lent
    assert (wax.id, wax.confidence, wax.kin) == ("own-white-60", SUPPLIER, "paraffin_pillar")
    assert lent_figures(wax) == FIGURES


def test_temperatures_move_with_the_congealing_point() -> None:
    """A wax that sets 4 K lower than its family also melts and is poured 4 K lower; the heats stay."""
    wax = from_sheet("soft", "paraffin_pillar", {"congealing_min_c": 53.0, "congealing_max_c": 57.0})
    assert (wax.solidus_c, wax.peak_c, wax.liquidus_c) == (44.0, 55.0, 57.0)
    assert (wax.pour_min_c, wax.pour_max_c) == (76.0, 86.0)
    assert wax.latent_main == PARAFFIN.latent_main
    assert wax.max_working_c == PARAFFIN.max_working_c


def test_a_melting_range_sets_where_the_wax_is_liquid_and_keeps_the_width_in_which_it_sets() -> None:
    """58-62 on a sheet is how lots differ; one lot of paraffin takes 13 K to set (the family's row)."""
    wax = from_sheet("white", "paraffin_pillar", {"melt_low_c": 58.0, "melt_high_c": 62.0})
    assert wax.liquidus_c == 62.0
    assert wax.liquidus_c - wax.solidus_c == pytest.approx(PARAFFIN.liquidus_c - PARAFFIN.solidus_c)
    wide = from_sheet("wide", "paraffin_pillar", {"melt_low_c": 40.0, "melt_high_c": 62.0})
    assert wide.solidus_c == 40.0


def test_one_density_brings_the_other_along_by_the_familys_shrinkage() -> None:
    wax = from_sheet("dense", "paraffin_pillar", {"density_solid": 920.0})
    assert wax.density_at(75) / wax.density_solid == pytest.approx(PARAFFIN.density_at(75) / 905)
    assert wax.shrinkage_percent == pytest.approx(PARAFFIN.shrinkage_percent, abs=0.1)
    both = from_sheet("both", "paraffin_pillar", {"density_solid": 900.0, "density_liquid": 765.0})
    assert both.shrinkage_percent == pytest.approx(15.0)


def test_a_liquid_density_is_compared_at_the_temperature_it_was_measured_at() -> None:
    """The family's liquid line at 90 °C by hand: 772 (1 - 0.00088 x 15) = 761.81, over 905 solid."""
    wax = from_sheet("hot", "paraffin_pillar", {"density_liquid": 765.0, "density_liquid_at_c": 90.0})
    assert wax.density_solid == pytest.approx(765.0 / (761.81 / 905), rel=1e-5)


def test_a_figure_is_changed_and_taken_back() -> None:
    wax = from_sheet("white", "paraffin_pillar", {"scent_max": 0.08})
    assert with_figures(wax, {"scent_max": None}) == from_sheet("white", "paraffin_pillar", {})
    assert with_figures(wax, {"flash_point_c": 210.0}).given == (
        ("scent_max", 0.08),
        ("flash_point_c", 210.0),
    )


def test_it_travels_as_json_and_comes_back_the_same() -> None:
    wax = from_sheet("white", "beeswax", {"congealing_min_c": 60.0, "congealing_max_c": 61.5})
    assert msgspec.json.decode(msgspec.json.encode(wax), type=Wax) == wax


def test_a_sheet_is_trusted_less_than_measurements_and_more_than_an_estimate() -> None:
    wax = from_sheet("white", "paraffin_pillar", {})
    assert blend([(wax, 1), (family("rapeseed"), 1)]).confidence == "D"
    assert blend([(wax, 1), (PARAFFIN, 1)]).confidence == "C"
    assert uncertainty([(wax, 1)]).latent_share > uncertainty([(PARAFFIN, 1)]).latent_share


@pytest.mark.parametrize("name", ["", "!!", "  "])
def test_a_name_without_a_letter_is_refused(name: str) -> None:
    with pytest.raises(Trouble):
        own_id(name)


def test_an_id_has_no_dot_and_never_that_of_a_family() -> None:
    assert own_id("Soy 4.5 / pillar") == "own-soy-4-5-pillar"
    assert own_id("beeswax") not in families()


@given(
    st.sampled_from(sorted(families())),
    st.floats(30, 90),
    st.floats(0, 6),
    st.one_of(st.none(), st.tuples(st.floats(30, 90), st.floats(0, 12))),
)
def test_any_sheet_gives_a_wax_that_can_be_computed_with(
    nearest: str, congealing: float, width: float, melting: tuple[float, float] | None
) -> None:
    given = {"congealing_min_c": congealing, "congealing_max_c": congealing + width}
    if melting is not None:
        given |= {"melt_low_c": melting[0], "melt_high_c": melting[0] + melting[1]}
    wax = from_sheet("any", nearest, given)
    assert wax.solidus_c <= wax.peak_c <= wax.liquidus_c
    assert curve(wax).heat_at(90.0) > curve(wax).heat_at(20.0)
