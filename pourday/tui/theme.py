"""Our own colours, dark, light and none, by the job a colour does; and how a job becomes a terminal style.

Colour never carries meaning alone: every state also has a word or a sign. Terminals with 16 colours get palettes of their own, picked so that they can be
read in the two tables of colours that such terminals mostly have; the nearest of 16 to a fine colour often cannot.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from rich.style import Style


@dataclass(frozen=True, slots=True)
class Palette:
    """Colours as `#rrggbb`, as the name of one of the 16, or empty for the terminal's own."""

    name: str
    ground: str
    ink: str
    soft: str
    """Less important text; still readable."""
    rule: str
    """Lines and frames."""
    glow: str
    """The one accent: what to do now."""
    late: str
    alarm: str
    calm: str


DARK = Palette(
    name="dark",
    ground="#191512",
    ink="#f1e8da",
    soft="#b3a692",
    rule="#7d705f",
    glow="#f2b950",
    late="#f09a5b",
    alarm="#ff8d78",
    calm="#a9cf9b",
)
LIGHT = Palette(
    name="light",
    ground="#faf6ee",
    ink="#2a2219",
    soft="#66594a",
    rule="#8d7f6c",
    glow="#8a5200",
    late="#a14000",
    alarm="#b3201a",
    calm="#2f6b2a",
)
DARK_16 = Palette(
    name="dark",
    ground="black",
    ink="bright_white",
    soft="white",
    rule="white",
    glow="bright_yellow",
    late="bright_magenta",
    alarm="bright_red",
    calm="bright_green",
)
LIGHT_16 = Palette(
    name="light",
    ground="bright_white",
    ink="black",
    soft="black",
    rule="bright_black",
    glow="blue",
    late="magenta",
    alarm="red",
    calm="black",
)
MONO = Palette(name="mono", ground="", ink="", soft="", rule="", glow="", late="", alarm="", calm="")

PALETTES: Mapping[str, Palette] = {"dark": DARK, "light": LIGHT, "mono": MONO}
FEW: Mapping[str, Palette] = {"dark": DARK_16, "light": LIGHT_16, "mono": MONO}


def palette_for(theme: str, colours: str | None, no_color: bool = False) -> Palette:
    """The palette of a theme on a terminal that has `colours` (rich's name: `standard`, `256`, `truecolor`; None for none)."""
    if no_color or colours is None:
        return MONO
    return (FEW if colours in ("standard", "windows") else PALETTES).get(theme, DARK)


@lru_cache(maxsize=512)
def style(palette: Palette, job: str) -> Style:
    """The style of a job: `ink`, `soft`, `glow bold`, `alarm reverse`, a swatch `#rrggbb`, or one swatch `on` another."""
    names = job.split()
    swatches = [n for n in names if n.startswith("#")]
    ground = palette.ground
    if not swatches:
        colour = getattr(palette, next((n for n in names if n != "name" and hasattr(palette, n)), "ink"))
    elif palette is MONO:
        colour = ""
    else:
        colour = swatches[0]
        ground = swatches[1] if "on" in names and len(swatches) > 1 else ground
    return Style(
        color=colour or None,
        bgcolor=ground or None,
        bold="bold" in names,
        reverse="reverse" in names,
    )
