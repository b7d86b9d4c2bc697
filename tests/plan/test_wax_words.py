"""Words that are enough for a wax, and names that stay names."""

from __future__ import annotations

import pytest

from pourday.errors import Trouble
from pourday.plan.findings import findings
from pourday.plan.form import set_field
from pourday.plan.model import Plan
from pourday.plan.wax_words import ABOUT, from_words, is_wide
from pourday.wax.materials import families


@pytest.mark.parametrize(
    ("text", "span", "nearest"),
    [
        ("about 60", (60 - ABOUT, 60 + ABOUT), "reclaimed_unknown"),
        ("about 60 C", (60 - ABOUT, 60 + ABOUT), "reclaimed_unknown"),
        ("~60", (60 - ABOUT, 60 + ABOUT), "reclaimed_unknown"),
        ("paraffin, about 60", (60 - ABOUT, 60 + ABOUT), "paraffin_pillar"),
        ("paraffin about 52", (52 - ABOUT, 52 + ABOUT), "paraffin_low"),
        ("58-62", (58.0, 62.0), "reclaimed_unknown"),
        ("58 to 62 °C", (58.0, 62.0), "reclaimed_unknown"),
        ("old beeswax 62-64", (62.0, 64.0), "beeswax"),
        ("about 140 F", (60 - ABOUT, 60 + ABOUT), "reclaimed_unknown"),
        ("unknown paraffin", (50.0, 61.0), "paraffin_pillar"),
        ("half candle ends", (50.0, 60.0), "reclaimed_unknown"),
        ("unknown soy wax", (38.0, 54.0), "soy_container"),
        ("140 F", (60 - ABOUT, 60 + ABOUT), "reclaimed_unknown"),
        ("bees wax?", (61.0, 64.0), "beeswax"),
        ("beeswax?", (61.0, 64.0), "beeswax"),
        ("soft, unknown", (34.0, 60.0), "reclaimed_unknown"),
        ("hard unknown wax", (50.0, 64.0), "reclaimed_unknown"),
        ("tealight ends", (50.0, 60.0), "reclaimed_unknown"),
        ("white wax?", (50.0, 60.0), "reclaimed_unknown"),
    ],
)
def test_words_give_a_wax_as_wide_as_they_are(text, span, nearest):
    """Where only a family is named the ends are those of the wax table, whose sources stand in it."""
    wax = from_words(text, "metric")
    assert wax is not None
    assert (wax.congealing_min_c, wax.congealing_max_c) == pytest.approx(span)
    assert wax.name == text
    assert wax.based_on == nearest or wax.based_on.split("_")[0] == nearest.split("_")[0]


@pytest.mark.parametrize(
    "text",
    [
        "White 60",
        "Grandmother's",
        "Field 7",
        "house soy",
        "60",
        "paraffin",
        "lot 58-62",
        "",
        "?",
        "white wax",
    ],
)
def test_a_name_stays_a_name(text):
    assert from_words(text, "metric") is None


def test_a_figure_in_the_other_unit_is_asked_about():
    with pytest.raises(Trouble, match="C or F"):
        from_words("about 140", "metric")
    assert from_words("about 140", "us").congealing_c == pytest.approx(60.0)


@pytest.mark.parametrize("row", ["blend.own", "blend.0.wax"])
@pytest.mark.parametrize("text", ["about 60", "58-62", "unknown paraffin", "half candle ends"])
def test_words_typed_as_a_wax_go_into_the_plan_with_their_spread(row, text):
    plan = set_field(Plan(), row, text)
    (own,) = plan.own
    assert plan.blend[0].wax == own.id
    assert is_wide(own)
    notes = [finding for finding in findings(plan) if finding.about == f"own.{own.id}.congealing"]
    assert any("pourday curve" in finding.do for finding in notes)


def test_about_is_understood_in_the_sheet_of_a_wax_too():
    plan = set_field(Plan(), "blend.own", "White 60")
    plan = set_field(plan, "own.own-white-60.congealing", "about 60 C")
    assert (plan.own[0].congealing_min_c, plan.own[0].congealing_max_c) == (60 - ABOUT, 60 + ABOUT)
    plan = set_field(plan, "own.own-white-60.congealing", "60")
    assert not is_wide(plan.own[0])


def test_nothing_typed_is_told_what_can_be_typed():
    with pytest.raises(Trouble, match=r"No wax was named.*about 60"):
        set_field(Plan(), "blend.0.wax", " ")


def test_a_family_of_the_table_is_nobody_s_own_wax():
    assert not any(is_wide(wax) for wax in families().values())
