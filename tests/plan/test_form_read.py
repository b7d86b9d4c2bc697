"""Texts that only the form reads: ranges, densities, prices, water tables."""

from __future__ import annotations

import pytest

from pourday.errors import Trouble
from pourday.plan import form_read as read
from pourday.plan.form_moulds import size
from pourday.plan.model import Units
from pourday.units import OUNCE, POUND


@pytest.mark.parametrize(
    ("text", "kg_m3"),
    [
        ("905", 905.0),
        ("0.905", 905.0),
        ("0,91 g/ml", 910.0),
        ("905 kg/m3", 905.0),
        ("0.9 g / cm³", 900.0),
        ("7.5 lb/gal", 898.7),
    ],
)
def test_densities_are_read_with_and_without_their_unit(text: str, kg_m3: float) -> None:
    """1 lb per US gallon is 119.826427 kg/m³: NIST Special Publication 811, appendix B."""
    assert read.density(text, "density") == pytest.approx(kg_m3, abs=0.01)


@pytest.mark.parametrize("text", ["", "thick", "0.9 g/m", "20", "9050", "-1"])
def test_what_is_no_density_of_a_wax_is_refused(text: str) -> None:
    with pytest.raises(Trouble, match="density"):
        read.density(text, "density")


@pytest.mark.parametrize(
    ("text", "units", "per_kg"),
    [
        ("12.50", "metric", 12.5),
        ("12,50/kg", "metric", 12.5),
        ("60 for 5 kg", "metric", 12.0),
        ("8 per 100 g", "metric", 80.0),
        ("3.20", "us", 3.20 / POUND),
        ("5 for 8 oz", "us", 5 / (8 * OUNCE)),
    ],
)
def test_prices_are_brought_to_a_kilogram(text: str, units: str, per_kg: float) -> None:
    assert read.price(text, units, "price") == pytest.approx(per_kg)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("text", "units", "low", "high"),
    [
        ("58-62", "metric", 58.0, 62.0),
        ("58 to 62 C", "metric", 58.0, 62.0),
        ("136-144 F", "metric", 57.78, 62.22),
        ("136-144", "us", 57.78, 62.22),
        ("60", "metric", 60.0, 60.0),
        ("60C – 62C", "us", 60.0, 62.0),
    ],
)
def test_a_range_of_temperatures_or_a_single_one(text: str, units: str, low: float, high: float) -> None:
    assert read.span(text, units, "range") == pytest.approx((low, high), abs=0.01)  # type: ignore[arg-type]


@pytest.mark.parametrize("text", ["", "62-58", "warm", "58-", "58-62-66"])
def test_what_is_no_range_is_refused_by_its_name(text: str) -> None:
    with pytest.raises(Trouble, match=r"(?i)melting"):
        read.span(text, "metric", "melting range")


def test_what_a_range_shows_can_be_typed_back() -> None:
    for low, high in ((58.0, 62.0), (60.0, 60.0)):
        for units in ("metric", "us"):
            shown = read.show_span(low, high, units)
            assert read.span(shown, units, "range") == pytest.approx((low, high), abs=0.3)


def test_a_water_table_shown_is_read_back_as_it_was() -> None:
    points = read.water_table("2 in 5 oz, 4 in 1 lb 3 oz", "us", "water")
    again = read.water_table(read.show_water_table(points, "us"), "us", "water")
    assert [p.height for p in again] == pytest.approx([p.height for p in points])
    assert [p.water for p in again] == pytest.approx([p.water for p in points], rel=0.01)


def test_scents_are_read_by_name_share_and_lot_and_shown_so_that_they_can_be_typed_back() -> None:
    one, other = read.products("lavender 60 % lot L-3; cedar", "scents")
    assert (one.name, one.share, one.lot) == ("lavender", 0.6, "L-3")
    assert (other.name, other.share, other.lot) == ("cedar", 1.0, "")
    assert read.products("", "scents") == ()
    assert read.products("no 5", "scents")[0].name == "no 5"
    for text in ("rose", "rose lot 7 b", "rose 70 % lot 7, oud 30 %"):
        parts = read.products(text, "scents")
        assert read.products(read.show_products(parts), "scents") == parts


@pytest.mark.parametrize("text", ["40 %", "rose 0 %", "rose 200 %", "lot 7", ", ".join("abcdefg")])
def test_a_scent_without_a_name_or_with_no_share_is_refused(text: str) -> None:
    with pytest.raises(Trouble, match="scents"):
        read.products(text, "scents")


@pytest.mark.parametrize(
    ("units", "typed", "instead"),
    [
        ("metric", "3", "Type 3 in or 3 cm."),
        ("metric", "1500", "Type 1500 mm."),
        ("us", "75", "Type 75 mm or 75 cm."),
        ("us", "150", "Type 150 mm."),
    ],
)
def test_a_bare_size_is_asked_about_in_the_units_in_which_a_mould_can_have_it(
    units: Units, typed: str, instead: str
) -> None:
    with pytest.raises(Trouble) as trouble:
        size(typed, units, "height inside")
    assert trouble.value.instead == instead


def test_a_size_that_no_unit_makes_a_mould_is_left_to_whoever_knows_how_large_one_can_be() -> None:
    """Offered as inches or centimetres it would only be larger."""
    assert size("9999", "metric", "height inside") == pytest.approx(9.999)
    with pytest.raises(Trouble, match="too large"):
        size("3000", "us", "height inside")
