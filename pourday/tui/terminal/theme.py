"""Our own colours, dark, light and none, by the job a colour does; and how a job becomes a terminal style.

Colour never carries meaning alone: every state also has a word or a sign. Terminals with 16 colours get palettes of their own, picked so that they can be
read in the two tables of colours that such terminals mostly have; the nearest of 16 to a fine colour often cannot.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from rich.color import ANSI_COLOR_NAMES, Color, ColorSystem
from rich.color_triplet import ColorTriplet
from rich.style import Style


@dataclass(frozen=True, slots=True)
class Palette:
    """A colour for each job: as `#rrggbb`, as the name of one of the 16, or empty for the terminal's own."""

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
    """Overdue, in doubt, near its limit."""
    alarm: str
    calm: str
    """As it should be."""
    bold: bool = True
    """Whether bold may be used: terminals with 16 colours mostly show bold as the bright one of the eight,
    which on a light ground is hard to read."""
    depth: str = "truecolor"
    """How many colours the terminal has, by rich's name for it."""


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
    bold=False,
)
MONO = Palette(name="mono", ground="", ink="", soft="", rule="", glow="", late="", alarm="", calm="")

PALETTES: Mapping[str, Palette] = {"dark": DARK, "light": LIGHT, "mono": MONO}
FEW: Mapping[str, Palette] = {"dark": DARK_16, "light": LIGHT_16, "mono": MONO}


def palette_for(theme: str, colours: str | None, no_color: bool = False) -> Palette:
    """The palette of a theme on a terminal that has `colours` (rich's name: `standard`, `256`, `truecolor`; None for none)."""
    if no_color or colours is None:
        return MONO
    few = colours in ("standard", "windows")
    palette = FEW.get(theme, DARK_16) if few else PALETTES.get(theme, DARK)
    return palette if palette is MONO else replace(palette, depth="standard" if few else colours)


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
        colour = _wax(palette, swatches[0])
        ground = _wax(palette, swatches[1]) if "on" in names and len(swatches) > 1 else ground
    return Style(
        color=colour or None,
        bgcolor=ground or None,
        bold=palette.bold and "bold" in names,
        reverse="reverse" in names,
    )


# -- colours of wax --------------------------------------------------------------------------------------

STATES = ("ground", "glow", "late", "alarm", "calm")
"""What no wax may be shown in: the ground, in which it would be gone, and colours that say how things stand."""
_SYSTEMS = {"standard": ColorSystem.STANDARD, "256": ColorSystem.EIGHT_BIT}
_NAMES = [name for name, number in ANSI_COLOR_NAMES.items() if number < 16]
_STEP = 12
"""How far a colour of 16 million is moved off one that it must not be."""


def _wax(palette: Palette, code: str) -> str:
    """The colour a swatch `#rrggbb` is shown in: its own, or the nearest that says nothing else on this terminal."""
    system = _SYSTEMS.get(palette.depth, ColorSystem.TRUECOLOR)
    taken = {_shown(colour, system) for job in STATES if (colour := getattr(palette, job))}
    if _shown(code, system) not in taken:
        return code
    wanted = Color.parse(code).get_truecolor()
    if system is ColorSystem.TRUECOLOR:
        steps = (_moved(wanted, sign * step) for step in range(_STEP, 256, _STEP) for sign in (1, -1))
        return next(hexed for hexed in steps if _shown(hexed, system) not in taken)
    names = _NAMES if system is ColorSystem.STANDARD else [f"color({number})" for number in range(16, 256)]
    free = [name for name in names if _shown(name, system) not in taken]
    return min(free, key=lambda name: _apart(Color.parse(name).get_truecolor(), wanted))


def _shown(colour: str, system: ColorSystem) -> Color:
    """A colour as the terminal gets it, without the name it was asked for by."""
    return Color.parse(colour).downgrade(system)._replace(name="")


def _moved(colour: ColorTriplet, by: int) -> str:
    """`#rrggbb` of a colour made lighter or darker by so much of 255."""
    return ColorTriplet(*(max(0, min(255, part + by)) for part in colour)).hex


def _apart(one: ColorTriplet, other: ColorTriplet) -> float:
    """How far two colours lie apart: squares weighted as the eye weights red, green and blue (luma of ITU-R BT.601)."""
    weights = (0.299, 0.587, 0.114)
    return sum(w * (a - b) ** 2 for w, a, b in zip(weights, one, other, strict=True))
