"""Colours: contrast by the WCAG formula, also after a terminal of 256 or 16 colours has taken its nearest."""

from __future__ import annotations

from dataclasses import fields
from itertools import combinations

import pytest
from rich.color import Color, ColorSystem
from rich.color_triplet import ColorTriplet

from pourday.plan.colours import SWATCHES
from pourday.plan.model import Layer
from pourday.tui.terminal.theme import DARK, DARK_16, FEW, LIGHT, LIGHT_16, MONO, PALETTES, palette_for, style

TEXTS = ("ink", "soft", "glow", "late", "alarm", "calm")
STATES = ("ink", "glow", "late", "alarm")
"""Jobs that are told apart at a glance, though each has its word too."""

STEPS = range(0, 256, 51)

# The colours 0 to 15 as the text mode of a PC has them, and as xterm's resource file XTerm-col.ad sets them (from memory).
PC = "000000 aa0000 00aa00 aa5500 0000aa aa00aa 00aaaa aaaaaa 555555 ff5555 55ff55 ffff55 5555ff ff55ff 55ffff ffffff"
XTERM = "000000 cd0000 00cd00 cdcd00 0000ee cd00cd 00cdcd e5e5e5 7f7f7f ff0000 00ff00 ffff00 5c5cff ff00ff 00ffff ffffff"


def luminance(colour: ColorTriplet) -> float:
    """Relative luminance, WCAG 2.2, "Relative luminance"."""
    parts = [c / 255 for c in colour]
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(a: ColorTriplet, b: ColorTriplet) -> float:
    """Contrast ratio, WCAG 2.2: 4.5 for text (1.4.3), 3 for parts that have to be seen (1.4.11)."""
    low, high = sorted((luminance(a), luminance(b)))
    return (high + 0.05) / (low + 0.05)


def hexed(text: str) -> ColorTriplet:
    text = text.removeprefix("#")
    return ColorTriplet(*(int(text[i : i + 2], 16) for i in (0, 2, 4)))


def test_the_formula_of_this_test_gives_the_two_known_ends():
    assert contrast(hexed("000000"), hexed("ffffff")) == pytest.approx(21)
    assert contrast(hexed("777777"), hexed("ffffff")) == pytest.approx(4.48, abs=0.01)


def shown_as(colour: str, system: ColorSystem) -> ColorTriplet:
    return Color.parse(colour).downgrade(system).get_truecolor()


@pytest.mark.parametrize("system", [ColorSystem.TRUECOLOR, ColorSystem.EIGHT_BIT], ids=["true", "256"])
@pytest.mark.parametrize("palette", [DARK, LIGHT], ids=lambda p: p.name)
def test_text_and_parts_stand_out_from_the_ground(palette, system):
    ground = shown_as(palette.ground, system)
    for job in TEXTS:
        assert contrast(shown_as(getattr(palette, job), system), ground) >= 4.5, job
    assert contrast(shown_as(palette.rule, system), ground) >= 3.0


@pytest.mark.parametrize("table", [PC, XTERM], ids=["pc", "xterm"])
@pytest.mark.parametrize("palette", [DARK_16, LIGHT_16], ids=lambda p: p.name)
def test_with_16_colours_text_and_parts_stand_out_in_both_usual_tables(palette, table):
    colours = [hexed(c) for c in table.split()]

    def of(name: str) -> ColorTriplet:
        number = Color.parse(name).number
        assert number is not None
        assert number < 16
        return colours[number]

    for job in TEXTS:
        assert contrast(of(getattr(palette, job)), of(palette.ground)) >= 4.5, job
    assert contrast(of(palette.rule), of(palette.ground)) >= 3.0


@pytest.mark.parametrize("table", [PC, XTERM], ids=["pc", "xterm"])
@pytest.mark.parametrize("theme", ["dark", "light"])
def test_with_16_colours_bold_text_stands_out_also_where_bold_means_bright(theme, table):
    """As the text mode of a PC and many terminals do: bold of the colours 0 to 7 is painted as 8 to 15."""
    colours = [hexed(c) for c in table.split()]
    palette = palette_for(theme, "standard")
    for job in TEXTS:
        shown = style(palette, f"{job} bold")
        assert shown.color is not None
        assert shown.bgcolor is not None
        number, ground = shown.color.number, shown.bgcolor.number
        assert number is not None
        assert ground is not None
        number += 8 if shown.bold and number < 8 else 0
        assert contrast(colours[number], colours[ground]) >= 4.5, job


@pytest.mark.parametrize(
    "palette", [DARK, LIGHT, DARK_16, LIGHT_16], ids=["dark", "light", "dark16", "light16"]
)
@pytest.mark.parametrize("system", [ColorSystem.TRUECOLOR, ColorSystem.EIGHT_BIT], ids=["true", "256"])
def test_states_that_matter_have_colours_of_their_own(palette, system):
    for one, other in combinations(STATES, 2):
        a, b = (Color.parse(getattr(palette, job)).downgrade(system) for job in (one, other))
        assert a.get_truecolor() != b.get_truecolor(), (one, other)


def test_mono_and_no_color_and_a_terminal_without_colours_use_none_at_all():
    for palette in (MONO, palette_for("dark", "truecolor", no_color=True), palette_for("light", None)):
        for job in (*TEXTS, "rule", "glow bold", "alarm reverse", "#c0392b", "calm name"):
            assert style(palette, job).color is None
            assert style(palette, job).bgcolor is None
    assert style(MONO, "glow bold").bold


@pytest.mark.parametrize("colours", ["standard", "256", "truecolor"])
def test_each_theme_has_a_palette_for_each_kind_of_terminal(colours):
    for theme in PALETTES:
        assert palette_for(theme, colours).name == theme
    assert set(FEW) == set(PALETTES)
    assert palette_for("nonsense", colours).name == "dark"


def wide(depth: str) -> ColorSystem:
    return {
        "standard": ColorSystem.STANDARD,
        "256": ColorSystem.EIGHT_BIT,
        "truecolor": ColorSystem.TRUECOLOR,
    }[depth]


@pytest.mark.parametrize("depth", ["standard", "256", "truecolor"])
@pytest.mark.parametrize("theme", ["dark", "light"])
def test_no_swatch_is_painted_in_the_colour_of_a_state_or_of_the_ground(theme, depth):
    """Named ones, the one a layer begins with, a coarse grid of all there are, and the state colours themselves."""
    palette, system = palette_for(theme, depth), wide(depth)
    own = [Color.parse(getattr(palette, job)).get_truecolor().hex for job in (*TEXTS, "rule", "ground")]
    grid = [f"#{r:02x}{g:02x}{b:02x}" for r in STEPS for g in STEPS for b in STEPS]
    painted_so = {
        job: Color.parse(getattr(palette, job)).downgrade(system)._replace(name="")
        for job in ("glow", "late", "alarm", "calm", "ground")
    }
    for code in (*SWATCHES.values(), Layer().swatch, *own, *grid):
        for job, part in ((code, "color"), (f"{code} on {code}", "bgcolor")):
            colour = getattr(style(palette, job), part)
            shown = colour.downgrade(system)._replace(name="")
            assert shown not in painted_so.values(), (job, shown)


@pytest.mark.parametrize("theme", ["dark", "light"])
def test_most_named_swatches_keep_their_own_colour_where_there_are_enough_of_them(theme):
    for depth in ("256", "truecolor"):
        palette = palette_for(theme, depth)
        kept = [code for code in SWATCHES.values() if style(palette, code).color == Color.parse(code)]
        assert len(kept) >= len(SWATCHES) - 2, depth


def test_a_swatch_keeps_its_own_colour_and_is_never_taken_for_a_state():
    for palette in (DARK, LIGHT):
        swatch = style(palette, "#ff8d79").color
        assert swatch is not None
        assert swatch.triplet == hexed("ff8d79")
    assert {f.name for f in fields(DARK)} >= set(TEXTS)
