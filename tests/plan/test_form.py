"""The plan as a form: what each row sets, what it refuses, and what it keeps of what was typed."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable
from contextlib import suppress
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pourday.errors import Trouble
from pourday.plan.form import MOST_COUNT, MOST_LAYERS, MOST_MOULDS, act, rows, set_field
from pourday.plan.model import Cylinder, Layer, Mould, Plan

PLAN = Plan(
    moulds=(Mould(name="tall"), Mould(name="short")), layers=(Layer(colour="rust"), Layer(colour="cream"))
)

Reads = Callable[[Plan], Any]
SETS: dict[str, tuple[str, Reads, Any]] = {
    "title": ("Two pillars", lambda p: p.title, "Two pillars"),
    "units": ("us", lambda p: p.units, "us"),
    "room_c": ("18", lambda p: p.room_c, 18.0),
    "altitude": ("1500 m", lambda p: p.altitude, 1500.0),
    "scale_step": ("0.1 g", lambda p: p.scale_step, 0.0001),
    "moulds.1.name": ("stump", lambda p: p.moulds[1].name, "stump"),
    "moulds.1.count": ("3", lambda p: p.moulds[1].count, 3),
    "moulds.1.diameter": ("3 in", lambda p: p.moulds[1].shape.diameter, 0.0762),
    "moulds.1.height": ("150 mm", lambda p: p.moulds[1].shape.height, 0.150),
    "moulds.1.below_rim": ("8 mm", lambda p: p.moulds[1].below_rim, 0.008),
    "moulds.1.material": ("silicone", lambda p: p.moulds[1].material, "silicone"),
    "moulds.1.upside_down": ("no", lambda p: p.moulds[1].upside_down, False),
    "moulds.1.limit_c": ("85", lambda p: p.moulds[1].limit_c, 85.0),
    "blend.0.wax": ("beeswax", lambda p: p.blend[0].wax, "beeswax"),
    "blend.0.lot": ("sack 7", lambda p: p.blend[0].lot, "sack 7"),
    "pour_c": ("185f", lambda p: p.pour_c, 85.0),
    "loss": ("5 %", lambda p: p.loss, 0.05),
    "plug": ("12 mm", lambda p: p.plug, 0.012),
    "layers.1.colour": ("sage", lambda p: p.layers[1].colour, "sage"),
    "layers.1.swatch": ("#B4532F", lambda p: p.layers[1].swatch, "#b4532f"),
    "layers.1.share": ("45 %", lambda p: p.layers[1].share, 0.45),
    "layers.1.scent_load": ("4 %", lambda p: p.layers[1].scent_load, 0.04),
    "layers.1.dye_load": ("0.08 %", lambda p: p.layers[1].dye_load, 0.0008),
    "scent_lot": ("orange", lambda p: p.scent_lot, "orange"),
    "dye_lot": ("red", lambda p: p.dye_lot, "red"),
    "wick": ("36 ply", lambda p: p.wick, "36 ply"),
}


@pytest.mark.parametrize("path", SETS)
def test_every_row_sets_its_field_and_no_other(path: str) -> None:
    """185 °F is 85 °C and 3 in is 76.2 mm, both exact."""
    text, read, value = SETS[path]
    plan = set_field(PLAN, path, text)
    assert read(plan) == (pytest.approx(value) if isinstance(value, float) else value)
    for other, (_, read_other, _) in SETS.items():
        if other != path:
            assert read_other(plan) == read_other(PLAN), other


def test_the_table_above_covers_every_row_there_is() -> None:
    shown = {row.path for row in rows(PLAN) if row.kind != "act"}
    assert shown == set(SETS) | {path.replace(".1.", ".0.") for path in SETS}


BAD: dict[str, tuple[str, ...]] = {
    "room_c": ("", "warm", "400", "68"),
    "altitude": ("", "high", "90000 m"),
    "scale_step": ("", "1 kg", "0", "-1 g"),
    "moulds.0.count": ("", "0", "1.5", "-2", "13", "two"),
    "moulds.0.diameter": ("", "wide", "3 kg", "-75"),
    "moulds.0.height": ("", "tall", "2 h"),
    "moulds.0.below_rim": ("near",),
    "moulds.0.material": ("wood", ""),
    "moulds.0.upside_down": ("maybe",),
    "moulds.0.limit_c": ("hot", "9999"),
    "blend.0.wax": ("cheese",),
    "pour_c": ("hot", "147"),
    "loss": ("", "some", "nan"),
    "plug": ("thick",),
    "layers.0.swatch": ("red", "#12345", "#gggggg"),
    "layers.0.share": ("", "half a lot"),
    "layers.0.scent_load": ("a bit",),
    "layers.0.dye_load": ("a bit",),
}


@pytest.mark.parametrize(("path", "text"), [(path, text) for path, texts in BAD.items() for text in texts])
def test_a_text_that_means_nothing_gives_a_sentence_that_names_the_row(path: str, text: str) -> None:
    label = next(row.label for row in rows(PLAN) if row.path == path)
    with pytest.raises(Trouble) as caught:
        set_field(PLAN, path, text)
    says = str(caught.value)
    assert label.lower() in says.lower(), says
    assert says.rstrip().endswith((".", "?", "…"))


def test_a_room_in_fahrenheit_is_asked_about() -> None:
    with pytest.raises(Trouble, match="C or F"):
        set_field(PLAN, "room_c", "68")
    assert set_field(PLAN, "room_c", "68f").room_c == pytest.approx(20.0)


@pytest.mark.parametrize(
    ("path", "text"),
    [
        ("moulds.1.diameter", "3 in"),
        ("room_c", "68f"),
        ("altitude", "5000 ft"),
        ("layers.0.scent_load", "1 oz/lb"),
    ],
)
def test_what_was_typed_is_what_stands_in_the_row_afterwards(path: str, text: str) -> None:
    plan = set_field(PLAN, path, text)
    assert next(row.value for row in rows(plan) if row.path == path) == text
    assert plan.typed[path] == text


def test_typing_again_replaces_what_was_kept() -> None:
    plan = set_field(set_field(PLAN, "plug", "1/2 in"), "plug", "10 mm")
    assert plan.typed == {"plug": "10 mm"}
    assert plan.plug == pytest.approx(0.010)


def test_emptied_the_pour_temperature_is_computed_again_and_nothing_is_kept() -> None:
    plan = set_field(set_field(PLAN, "pour_c", "80"), "pour_c", "")
    assert plan.pour_c is None
    assert "pour_c" not in plan.typed


def test_an_ounce_of_scent_to_the_pound_is_six_and_a_quarter_per_cent() -> None:
    """1/16: arithmetic of the trade."""
    assert set_field(PLAN, "layers.0.scent_load", "1 oz/lb").layers[0].scent_load == pytest.approx(0.0625)


def test_what_a_row_shows_can_be_typed_back_into_it() -> None:
    for units in ("metric", "us"):
        plan = set_field(PLAN, "units", units)
        for row in rows(plan):
            # A gram is no round number of ounces; what stands in the row is only typed back by a person.
            if row.kind == "act" or not row.value or (row.path, units) == ("scale_step", "us"):
                continue
            again = set_field(plan, row.path, row.value)
            read = SETS[row.path if row.path in SETS else row.path.replace(".0.", ".1.")][1]
            if ".0." not in row.path or row.path.startswith("blend"):
                before, after = read(plan), read(again)
                assert after == (pytest.approx(before, rel=0.02) if isinstance(before, float) else before)


def test_another_mould_is_like_the_last_one_without_its_name() -> None:
    plan = act(set_field(PLAN, "moulds.1.material", "glass"), "moulds.add")
    assert len(plan.moulds) == 3
    assert (plan.moulds[2].name, plan.moulds[2].material) == ("", "glass")


def test_what_is_removed_takes_what_was_typed_with_it() -> None:
    plan = act(set_field(PLAN, "moulds.1.diameter", "3 in"), "moulds.remove")
    assert len(plan.moulds) == 1
    assert plan.typed == {}
    fewer = act(set_field(PLAN, "layers.1.share", "45 %"), "layers.remove")
    assert [layer.colour for layer in fewer.layers] == ["rust"]
    assert fewer.typed == {}


@pytest.mark.parametrize(("path", "most"), [("moulds", MOST_MOULDS), ("layers", MOST_LAYERS)])
def test_there_is_a_last_mould_and_a_last_layer(path: str, most: int) -> None:
    plan = Plan()
    while len(getattr(plan, path)) < most:
        plan = act(plan, f"{path}.add")
    with pytest.raises(Trouble, match=str(most)):
        act(plan, f"{path}.add")


def test_the_only_mould_and_the_only_layer_cannot_be_removed() -> None:
    paths = {row.path for row in rows(Plan())}
    assert "moulds.remove" not in paths
    assert "layers.remove" not in paths


def test_a_shape_without_a_diameter_becomes_a_cylinder_only_when_one_is_typed() -> None:
    plan = set_field(PLAN, "moulds.0.diameter", "80")
    assert plan.moulds[0].shape == Cylinder(diameter=0.080, height=PLAN.moulds[0].shape.height)


def test_moulds_of_one_kind_have_an_end() -> None:
    assert set_field(PLAN, "moulds.0.count", str(MOST_COUNT)).moulds[0].count == MOST_COUNT


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(sorted(SETS)), st.text(max_size=30))
def test_any_text_either_sets_the_row_or_is_refused_in_words(path: str, text: str) -> None:
    plan = PLAN
    with suppress(Trouble):
        plan = set_field(PLAN, path, text)
    assert {row.path for row in rows(plan)} == {row.path for row in rows(PLAN)}
    shown = "".join(row.value for row in rows(plan))
    assert {unicodedata.category(char) for char in shown}.isdisjoint({"Cc", "Cf", "Cs", "Co"})
