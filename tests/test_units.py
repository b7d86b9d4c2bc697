"""Units at the door: typed text to SI, SI to what a person reads."""

from __future__ import annotations

import math
import subprocess
import sys
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourday import units
from pourday.errors import Trouble

REGISTRY = pint.UnitRegistry()


@pytest.mark.parametrize(
    ("text", "day", "celsius", "unit"),
    [
        ("74.5", "metric", 74.5, "C"),
        ("74,5", "metric", 74.5, "C"),
        ("64C", "us", 64.0, "C"),
        ("64 °C", "us", 64.0, "C"),
        ("-5", "metric", -5.0, "C"),
        ("−5", "metric", -5.0, "C"),
        ("165f", "metric", 73.8889, "F"),
        ("165", "us", 73.8889, "F"),
        ("170 deg F", "metric", 76.6667, "F"),
        ("300F", "metric", 148.8889, "F"),
        ("200C", "metric", 200.0, "C"),
    ],
)
def test_a_temperature_is_what_a_person_means(text: str, day: units.Units, celsius: float, unit: str) -> None:
    read = units.read_temperature(text, day)
    assert read.celsius == pytest.approx(celsius, abs=1e-4)
    assert (read.unit, read.typed, read.doubt) == (unit, text, "")


@pytest.mark.parametrize(
    ("text", "day", "place"),
    [
        ("147", "metric", "wax"),
        ("260", "metric", "wax"),
        ("74", "us", "wax"),
        ("90", "us", "wax"),
        ("70", "metric", "room"),
        ("20", "us", "room"),
    ],
)
def test_a_bare_number_that_fits_only_the_other_unit_is_asked_about(
    text: str, day: units.Units, place: units.Place
) -> None:
    assert units.read_temperature(text, day, place).doubt == "C or F?"
    assert units.read_temperature(f"{text}F", day, place).doubt == ""


@pytest.mark.parametrize(
    ("text", "day", "place"),
    [
        ("130", "metric", "wax"),
        ("20", "metric", "wax"),
        ("104", "us", "wax"),
        ("266", "us", "wax"),
        ("70", "us", "room"),
        ("20", "metric", "room"),
    ],
)
def test_a_bare_number_that_fits_the_days_unit_is_not_asked_about(
    text: str, day: units.Units, place: units.Place
) -> None:
    assert units.read_temperature(text, day, place).doubt == ""


@pytest.mark.parametrize(
    "text", ["abc", "14700", "1.2.3", "nan", "inf", "", "7e1", "300C", "-60", "74 K", "٧٤"]
)
def test_nonsense_is_refused_with_a_sentence_and_a_way_out(text: str) -> None:
    with pytest.raises(Trouble) as caught:
        units.read_temperature(text, "metric")
    assert caught.value.what.endswith(".")
    assert "165F" in caught.value.instead


def test_reading_and_showing_temperatures_and_weights_never_loads_pint() -> None:
    """In a fresh interpreter, for a loaded module would hide it here."""
    code = (
        "import sys; from pourday import units as u; u.read_temperature('74.5', 'metric');"
        "u.show_mass(.5, 'us', .001); u.show_length(.1, 'us'); u.show_temperature(70, 'us');"
        "u.show_share(.1); u.round_parts([.1], None, .01); sys.exit('pint' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False, timeout=60).returncode == 0


@pytest.mark.parametrize(
    ("text", "day", "kg"),
    [
        # Exact by the pound of 1959, 0.45359237 kg.
        ("1 lb 4.9 oz", "metric", 0.45359237 * (1 + Fraction(49, 160))),
        ("1 lb 4", "us", 0.45359237 * 1.25),
        ("592g", "us", 0.592),
        ("592", "metric", 0.592),
        ("16", "us", 0.45359237),
        ("1,3 kg", "metric", 1.3),
        ("0,050 kg", "metric", 0.05),
        ("½ oz", "us", 0.45359237 / 32),
        ("3 drops", "metric", 0.00009),
        ("2½ drops", "metric", 0.000075),
        ("+5 g", "metric", 0.005),
    ],
)
def test_weights_are_read_in_every_way_they_are_written(text: str, day: units.Units, kg: float) -> None:
    read = units.read_mass(text, day)
    assert read.value == pytest.approx(float(kg), rel=1e-12)
    assert read.typed == text


def test_drops_are_kept_apart_from_a_weighed_amount() -> None:
    assert units.read_mass("3 drops", "metric").drops == 3
    assert units.read_mass("3 g", "metric").drops is None


@pytest.mark.parametrize(
    ("text", "day", "metres"),
    [
        ("3 in", "metric", 0.0762),
        ('3"', "metric", 0.0762),
        ("7.5cm", "us", 0.075),
        ("1/2 in", "metric", 0.0127),
        ("1 1/2", "us", 0.0381),
        ("1½ in", "us", 0.0381),
        ("150", "metric", 0.15),
        ("5 ft 3", "us", 1.6002),
    ],
)
def test_lengths_are_read_in_every_way_they_are_written(text: str, day: units.Units, metres: float) -> None:
    assert units.read_length(text, day).value == pytest.approx(metres, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "share"),
    [
        ("6%", 0.06),
        ("6", 0.06),
        ("0.05", 0.0005),
        ("1 oz/lb", 0.0625),
        ("1 oz per lb", 0.0625),
        ("30 g/kg", 0.03),
        ("10 g / 100 g", 0.1),
        ("6,5 %", 0.065),
        ("½ %", 0.005),
        ("1/2 %", 0.005),
        ("½ oz/lb", 1 / 32),
    ],
)
def test_shares_are_per_cent_or_weight_in_weight(text: str, share: float) -> None:
    assert units.read_share(text).value == pytest.approx(share, rel=1e-12)


def test_a_bare_fraction_is_no_share_for_it_can_be_read_in_two_ways() -> None:
    with pytest.raises(Trouble) as caught:
        units.read_share("5/100", "scent load")
    assert str(caught.value) == "The scent load “5/100” can be read in two ways. Type 5 % or 0.05 %."
    assert units.read_number("½") == 0.5


@pytest.mark.parametrize(
    ("text", "seconds"),
    [("2h30", 9000), ("1:30", 5400), ("90", 5400), ("20m", 1200), ("45 s", 45), ("3 days", 259200)],
)
def test_durations_are_read_and_a_bare_number_is_minutes(text: str, seconds: float) -> None:
    read = units.read_duration(text, "metric")
    assert (read.value, read.typed) == (pytest.approx(seconds), text)


def test_altitude_and_volume_have_their_own_bare_units() -> None:
    assert units.read_altitude("1500", "us").value == pytest.approx(457.2)
    assert units.read_altitude("-20", "metric").value == -20
    assert units.read_volume("2.5", "metric").value == pytest.approx(0.0025)
    # A US liquid quart is 231/4 cubic inches by definition.
    assert units.read_volume("1", "us").value == pytest.approx(231 / 4 * 0.0254**3)


@pytest.mark.parametrize("text", ["8 fl oz", "8 fluid ounces", "8 fl.oz", "1 fl oz/lb", "20 ml", "1 cup"])
def test_a_volume_is_never_taken_for_a_weight(text: str) -> None:
    read = units.read_share if "/" in text else lambda typed: units.read_mass(typed, "us")
    with pytest.raises(Trouble) as caught:
        read(text)
    assert "fluid ounces" in str(caught.value) or "measures something else" in str(caught.value)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "abc",
        "-5 g",
        "1,250 g",
        "1 2 3",
        "1 4 oz",
        "1/0 g",
        "5 xyz",
        "9" * 400,
        "1.0000" + " " * 90 + "kg x",
        "2000 kg",
        "+-5 g",
        "--5 g",
    ],
)
def test_a_weight_that_cannot_be_meant_is_refused_and_names_its_field(text: str) -> None:
    with pytest.raises(Trouble, match="weight of mould A") as caught:
        units.read_mass(text, "metric", "weight of mould A")
    assert caught.value.instead


@given(st.text(max_size=30))
def test_any_text_gives_a_finite_amount_or_trouble(text: str) -> None:
    for read in (
        lambda: units.read_temperature(text, "metric").celsius,
        lambda: units.read_mass(text, "metric").value,
        lambda: units.read_length(text, "us").value,
        lambda: units.read_duration(text, "us").value,
        lambda: units.read_share(text).value,
        lambda: units.read_number(text),
    ):
        try:
            value = read()
        except Trouble:
            continue
        assert math.isfinite(value)


def test_every_unit_the_library_knows_is_read_or_refused_in_words() -> None:
    """None of its many names may end in another error."""
    for name in list(REGISTRY._units)[::7]:
        try:
            units.read_mass(f"5 {name}", "metric")
        except Trouble:
            continue


def test_the_plain_factors_are_those_of_pint() -> None:
    for factor, unit, si in (
        (units.POUND, "pound", "kilogram"),
        (units.OUNCE, "ounce", "kilogram"),
        (units.INCH, "inch", "meter"),
        (units.QUART, "quart", "meter**3"),
    ):
        assert factor == pytest.approx(REGISTRY.Quantity(1, unit).to(si).magnitude, rel=1e-14)
    assert units.to_celsius(165, "F") == pytest.approx(REGISTRY.Quantity(165, "degF").to("degC").magnitude)


@pytest.mark.parametrize(
    ("kg", "day", "step", "shown"),
    [
        (0.5924, "metric", 0.001, "592 g"),
        (0.5924, "metric", 0.0001, "592.4 g"),
        (0.59251, "us", 0.05 * units.OUNCE, "1 lb 4.90 oz"),
        (15.99 * units.OUNCE, "us", 0.1 * units.OUNCE, "1 lb 0.0 oz"),
        (0.000046, "metric", 0.001, "< 1 g"),
        (0.000046, "us", 0.05 * units.OUNCE, "< 0.05 oz"),
        (0.0, "metric", 0.001, "0 g"),
        (-0.003, "metric", 0.001, "-3 g"),
    ],
)
def test_a_weight_is_shown_to_the_step_of_the_scale(
    kg: float, day: units.Units, step: float, shown: str
) -> None:
    assert units.show_mass(kg, day, step) == shown


def test_what_a_person_reads() -> None:
    assert units.show_length(0.15, "metric") == "150 mm"
    assert units.show_length(0.0, "metric") == "0 mm"
    assert units.show_length(0.075, "us") == "2 15/16 in"
    assert units.show_length(0.006, "us") == "1/4 in"
    assert units.show_length(3 * 0.0254, "us") == "3 in"
    assert units.show_length(0.0004, "us") == "< 1/16 in"
    assert units.show_length(0.0, "us") == "0 in"
    assert units.show_temperature(74.5, "us") == "166 °F"
    assert units.show_temperature(-0.2, "metric") == "0 °C"
    assert units.show_difference(5, "us") == "9 °F"
    assert units.show_volume(0.0025, "metric") == "2.5 l"
    assert units.show_volume(48e-6, "metric") == "48 ml"
    # A US fluid ounce is 29.57 ml (NIST Handbook 44, appendix C).
    assert units.show_volume(48e-6, "us") == "1.6 fl oz"
    assert units.read_volume("48 ml", "metric").value == pytest.approx(48e-6)
    assert units.read_volume("1.6 fl oz", "us").value == pytest.approx(47.3e-6, rel=1e-3)


@pytest.mark.parametrize(
    ("share", "shown"),
    [
        (1 / 17, "5.88 %"),
        (0.06, "6 %"),
        (1.0, "100 %"),
        (0.0, "0 %"),
        # Liquid dye from ivory (0.001 %) over pale to medium (0.05 %): common practice, no source.
        (0.00001, "0.001 %"),
        (0.00005, "0.005 %"),
        (0.0005, "0.05 %"),
    ],
)
def test_a_share_is_never_rounded_to_another_one(share: float, shown: str) -> None:
    assert units.show_share(share) == shown
    assert units.read_share(shown).value == pytest.approx(share, rel=0.01)


@pytest.mark.parametrize("step", [0.0, -1.0, 1e-300, float("nan")])
def test_a_weight_can_be_shown_whatever_step_a_record_says_the_scale_had(step: float) -> None:
    assert units.show_mass(0.5924, "metric", step) == "592 g"


@given(
    st.floats(0.001, 50),
    st.sampled_from(["metric", "us"]),
    st.sampled_from([0.001, 0.0001, 0.05 * units.OUNCE]),
)
def test_a_weight_there_and_back_keeps_the_step_of_the_scale(
    kg: float, day: units.Units, step: float
) -> None:
    back = units.read_mass(units.show_mass(kg, day, step), day).value
    # An odd step (a gram scale read in ounces) is rounded once more, to the decimals shown.
    assert back == pytest.approx(kg, abs=step * 0.66)


@given(st.floats(0.001, 2), st.sampled_from(["metric", "us"]))
def test_a_length_there_and_back_is_within_what_is_shown(metres: float, day: units.Units) -> None:
    """A tenth of a millimetre, or a sixteenth of an inch: what stands on a ruler."""
    half = 0.00005 if day == "metric" else 0.0254 / 32
    back = units.read_length(units.show_length(metres, day), day).value
    assert back == pytest.approx(metres, abs=half * 1.01)


@given(
    st.lists(st.floats(0, 5), min_size=1, max_size=9), st.sampled_from([0.001, 0.0001, 0.05 * units.OUNCE])
)
def test_rounded_parts_add_up_to_the_rounded_total(kgs: list[float], step: float) -> None:
    rounded = units.round_parts(kgs, None, step)
    counts = [round(part / step) for part in rounded]
    assert abs(sum(counts) - math.fsum(kgs) / step) <= 0.5 + 1e-6
    assert all(abs(part - kg) < step * (1 + 1e-6) for part, kg in zip(rounded, kgs, strict=True))


def test_rounding_goes_to_the_largest_remainder() -> None:
    assert units.round_parts([0.0334, 0.0333, 0.0333], 0.1, 0.001) == pytest.approx((0.034, 0.033, 0.033))


def test_parts_that_do_not_make_the_total_are_not_bent_to_it() -> None:
    with pytest.raises(ValueError, match="do not make"):
        units.round_parts([0.1, 0.1], 0.5, 0.001)


@pytest.mark.parametrize(
    ("metres", "day", "shown"),
    [(450.0, "metric", "450 m"), (1609.344, "us", "5280 ft"), (-30.48, "us", "-100 ft"), (0.0, "us", "0 ft")],
)
def test_altitude_is_shown_in_metres_or_feet(metres, day, shown):
    """A mile is 5280 ft and 1609.344 m, a foot 0.3048 m, exact by definition."""
    assert units.show_altitude(metres, day) == shown
