"""What look, smell, thumbnail and density say of a wax, beside its cooling curve: how likely each family is to show them.

`clues.csv` has a row a family and clue, its shares in the order of the answers. They are estimates, no source: what
makers say of these waxes, with room for dyed, bleached, scented and old lots.
"""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Literal, get_args

from pourday.wax.materials import Wax

Smell = Literal["none", "mineral", "honey", "fat", "scented"]
Surface = Literal["clear and dry", "dull and opaque", "crystals", "greasy"]
Nail = Literal["dents", "marks", "no mark"]
ANSWERS: dict[str, tuple[str, ...]] = {
    "smell": get_args(Smell),
    "surface": get_args(Surface),
    "nail": get_args(Nail),
}
"""The answers to each clue, in the order of the table's columns."""
DENSITY_SD = 0.02
"""Share by which lots of one family differ in their density; standard deviation. Estimate."""
BUBBLES_SD = 0.01
"""Share by which bubbles and a pipe in the middle of a block spoil its density. Estimate."""


@dataclass(frozen=True, slots=True)
class Clues:
    """What was told of a wax; None: not told."""

    smell: Smell | None = None
    surface: Surface | None = None
    nail: Nail | None = None
    density: float | None = None
    """kg/m³ of a cold block,"""
    density_sd: float = 0.0
    """and by how much weighing it may be off; standard deviation."""
    liquid: float | None = None
    """kg/m³ of a liquid in which a piece was laid,"""
    floats: bool | None = None
    """and whether it floats there."""


NO_CLUES = Clues()


def likelihood(wax: Wax, clues: Clues) -> float:
    """How likely a lot of this family shows these clues, up to a factor that is the same for all families."""
    says = 1.0
    for name, answers in ANSWERS.items():
        told = getattr(clues, name)
        if told is not None:
            says *= _table()[wax.id, name][answers.index(told)]
    sd = wax.density_solid * math.hypot(DENSITY_SD, BUBBLES_SD)
    if clues.density is not None:
        off = math.hypot(sd, clues.density_sd)
        says *= math.exp(-0.5 * ((clues.density - wax.density_solid) / off) ** 2) / off
    if clues.liquid is not None and clues.floats is not None:
        lighter = 0.5 * math.erfc((wax.density_solid - clues.liquid) / sd / math.sqrt(2))
        says *= lighter if clues.floats else 1 - lighter
    return says


@cache
def _table() -> dict[tuple[str, str], tuple[float, ...]]:
    """Shares of the answers by family and clue."""
    text = files("pourday.curve").joinpath("clues.csv").read_text(encoding="utf-8")
    rows = csv.reader(line for line in text.splitlines() if line and line[0] != "#")
    return {(row[0], row[1]): tuple(float(cell) for cell in row[2:] if cell) for row in rows}
