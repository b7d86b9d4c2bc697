"""Colours by their names, and the bands between two."""

from __future__ import annotations

from colorsys import rgb_to_hls
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from webcolors import name_to_hex, names

from pourday.errors import Trouble
from pourday.plan.colours import SWATCHES, read_colours, read_swatch, swatch_name, swatch_of
from pourday.plan.form import MOST_LAYERS, rows, set_field
from pourday.plan.model import Layer, Plan


def light(code: str) -> float:
    red, green, blue = (int(code[at : at + 2], 16) / 255 for at in (1, 3, 5))
    return rgb_to_hls(red, green, blue)[1]


@pytest.mark.parametrize("name", sorted(set(names()) - set(SWATCHES) - {"gray", "purple", "pink"}))
def test_every_name_of_css_is_a_colour_and_is_css_s_own_but_where_wax_has_its_own(name: str) -> None:
    """CSS Color Module Level 4, section 6.1, as the library has it."""
    assert swatch_of(name) == name_to_hex(name)
    assert read_swatch(name.upper()) == name_to_hex(name)


@pytest.mark.parametrize("name", sorted(SWATCHES))
def test_dark_is_darker_and_pale_paler_than_light_which_is_lighter_than_the_colour(name: str) -> None:
    dark, plain, pale_ish, pale = (
        swatch_of(f"{tint} {name}".strip()) for tint in ("dark", "", "light", "pale")
    )
    assert None not in (dark, plain, pale_ish, pale)
    assert light(dark) < light(plain) <= light(pale_ish) <= light(pale)
    assert swatch_name(plain) == name


def test_of_a_colour_s_name_the_last_word_is_known() -> None:
    assert swatch_of("apple red") == SWATCHES["red"]
    assert swatch_of("forest green") == name_to_hex("forestgreen")
    assert swatch_of("Grandmother's") is None
    assert swatch_of("") is None


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("dark green to pale in three bands", ["dark green", "green", "pale green"]),
        ("dark green to pale 3", ["dark green", "green", "pale green"]),
        ("dark to pale blue 4", ["dark blue", "blue", "light blue", "pale blue"]),
        ("pale sage to dark in two", ["pale sage", "dark sage"]),
        ("red to white 4", ["red", "red to white 2", "red to white 3", "white"]),
        ("red to white in 3", ["red", "red to white", "white"]),
        ("rust, cream", ["rust", "cream"]),
        ("rust", ["rust"]),
        ("rust,", ["rust", ""]),
    ],
)
def test_bands_are_named_as_one_would_say_them(text: str, names: list[str]) -> None:
    assert [name for name, _ in read_colours(text, 1, MOST_LAYERS)] == names


def test_bands_go_evenly_from_one_end_to_the_other() -> None:
    codes = [code for _, code in read_colours("dark green to pale in 5", 1, MOST_LAYERS)]
    assert (codes[0], codes[-1]) == (swatch_of("dark green"), swatch_of("pale green"))
    steps = [light(b) - light(a) for a, b in pairwise(codes)]
    assert steps == pytest.approx([steps[0]] * 4, abs=0.01)


@pytest.mark.parametrize("text", ["a to b", "red to white in 9", "red to white in 99", ",".join("x" * 9)])
def test_what_cannot_be_shaded_is_said(text: str) -> None:
    with pytest.raises(Trouble):
        read_colours(text, 1, MOST_LAYERS)


@given(st.text(max_size=40))
def test_any_text_is_colours_or_is_refused_in_words(text: str) -> None:
    plan = Plan(layers=(Layer(colour="rust", scent_load=0.05), Layer(colour="cream")))
    try:
        after = set_field(plan, "layers.colours", text)
    except Trouble:
        return
    assert 1 <= len(after.layers) <= MOST_LAYERS
    assert after.layers[0].scent_load == 0.05
    assert {row.path for row in rows(after)} >= {f"layers.{at}.colour" for at in range(len(after.layers))}


def test_a_colour_brings_its_swatch_unless_one_was_chosen() -> None:
    plan = set_field(Plan(), "layers.0.colour", "sage")
    assert plan.layers[0].swatch == SWATCHES["sage"]
    assert set_field(plan, "layers.0.colour", "mystery").layers[0].swatch == SWATCHES["sage"]
    chosen = set_field(plan, "layers.0.swatch", "#102030")
    assert set_field(chosen, "layers.0.colour", "rust").layers[0].swatch == "#102030"
    assert set_field(plan, "layers.0.colour", "pale rust").layers[0].swatch == swatch_of("pale rust")


def test_more_bands_are_like_the_last_layer_and_fewer_take_the_last_away() -> None:
    plan = Plan(
        layers=(
            Layer(colour="rust", scent_load=0.05, share=0.7),
            Layer(colour="cream", scent_load=0.02, share=0.3),
        )
    )
    more = set_field(plan, "layers.colours", "dark green to pale in 4")
    assert [layer.scent_load for layer in more.layers] == [0.05, 0.02, 0.02, 0.02]
    assert {layer.share for layer in more.layers} == {1.0}
    # Where both ends have dye, the bands between go from one load to the other by equal ratios.
    dyed = Plan(layers=(Layer(colour="navy", dye_load=0.0008), Layer(colour="sky", dye_load=0.0001)))
    bands = set_field(dyed, "layers.colours", "navy to pale blue in 4").layers
    assert [layer.dye_load for layer in bands] == [0.0008, 0.0004, 0.0002, 0.0001]
    listed = set_field(dyed, "layers.colours", "navy, blue, sky").layers
    assert [layer.dye_load for layer in listed] == [0.0008, 0.0001, 0.0001]
    fewer = set_field(more, "layers.colours", "rust")
    assert [layer.scent_load for layer in fewer.layers] == [0.05]
    assert set_field(plan, "layers.colours", "red, white").layers[0].share == 0.7
