"""Our own colours, dark and light, by the job a colour does; and how a job becomes a terminal style.

Colour never carries meaning alone: every state also has a word or a sign.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from rich.style import Style


@dataclass(frozen=True, slots=True)
class Palette:
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
PALETTES = {"dark": DARK, "light": LIGHT}


@lru_cache(maxsize=512)
def style(palette: Palette, job: str) -> Style:
    """The style of a job: `ink`, `soft`, `glow bold`, `alarm reverse`, or a swatch `#rrggbb`."""
    names = job.split()
    colour = next((n for n in names if n.startswith("#")), None)
    if colour is None:
        colour = getattr(palette, next((n for n in names if hasattr(palette, n)), "ink"))
    return Style(
        color=colour,
        bgcolor=palette.ground,
        bold="bold" in names,
        reverse="reverse" in names,
    )
