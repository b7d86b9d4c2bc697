"""A wick to start with: a range of sizes in words every maker's range can be held against.

Flat braids are named by their total plies, which compare across makers; numbers of square braids do
not, so those are given as a word. The map from diameter to size is derived from what makers use (common
practice, no source). It is a start: the burn test decides.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import msgspec

from pourday.plan.check import height_of
from pourday.plan.model import Mould, Plan
from pourday.plan.volumes import capacity, width_of
from pourday.plan.waxes import own_of, parts_of, waxes_of
from pourday.wax.materials import Wax

PLIES = (15, 18, 24, 30, 42, 60)
"""Flat braids from extra small to extra large."""
_SQUARE = ("smallest", "smallest", "small", "small to medium", "medium to large", "largest")
_BY_DIAMETER = ((0.040, 0, 1), (0.060, 2, 3), (0.080, 3, 4), (0.100, 4, 5))
"""(up to m, smallest, largest) as places in `PLIES`."""
_WIDEST_FOR_ONE = 0.100
_WIDTH_OF_ONE = 0.085
"""m of diameter that one of several wicks serves: estimate."""
_HEAVY_SCENT = 0.06
"""kg per kg wax from which the wick is a size larger: common practice, no source."""
_HIGH_CONGEALING_C = 62.0
"""Above this a wax counts as hard to draw up: estimate."""
_TAIL = (0.100, 0.150)
"""m to cut beyond the mould's height: common practice, no source."""

FAT_WAXES = frozenset({"palm", "soy_container", "soy_pillar", "rapeseed", "coconut_blend"})
"""Families made of hydrogenated plant fats."""
_HARD_TO_DRAW = FAT_WAXES | {"beeswax"}


class WickStart(msgspec.Struct, frozen=True, kw_only=True):
    """Where to start with the wick of one mould."""

    plies: tuple[int, int]
    """Smallest and largest flat braid to try, in plies."""
    square: tuple[str, str]
    """The same span in words for square braids."""
    braid: str
    """Which construction suits: flat or square."""
    count: int
    """How many wicks."""
    cut: tuple[float, float]
    """m to cut each to, least and most."""
    because: tuple[str, ...]
    """What moved it off the plain map, whole sentences; the last one is always the burn test."""

    @property
    def words(self) -> str:
        """One line, such as “flat braid, 30 to 42 ply”."""
        each = f"{self.count} wicks, each " if self.count > 1 else ""
        if self.braid == "square":
            low, high = self.square
            size = low if low == high else f"{low} to {high}"
            return f"{each}square braid, {size}"
        low_ply, high_ply = self.plies
        size = f"{low_ply}" if low_ply == high_ply else f"{low_ply} to {high_ply}"
        return f"{each}flat braid, {size} ply"


def wick_start(mould: Mould, wax: Wax, scent_load: float, hard_share: float = 0.0) -> WickStart:
    """A starting range for one mould (its shape taken as checked), wax and scent load (kg per kg).

    `hard_share` is the share of waxes that are hard to draw (beeswax, plant fats) in the blend. One size up
    each for a blend that is mostly such or congeals above 62 °C, and for scent from 6 % up.
    """
    mean_width = math.sqrt(4 * capacity(mould.shape) / (math.pi * height_of(mould.shape)))
    widest = max(width_of(mould.shape), mean_width)
    count = 1 if widest <= _WIDEST_FOR_ONE else max(2, round((mean_width / _WIDTH_OF_ONE) ** 2))
    served = mean_width / math.sqrt(count)
    low, high = next(((a, b) for upto, a, b in _BY_DIAMETER if served <= upto), (5, 5))
    because = []
    sticky = hard_share >= 0.5
    if sticky or wax.congealing_c > _HIGH_CONGEALING_C:
        low, high = low + 1, high + 1
        because.append("One size up: this wax is harder to draw up than plain paraffin.")
    if scent_load >= _HEAVY_SCENT:
        low, high = low + 1, high + 1
        because.append("One size up: heavy scent feeds the flame poorly.")
    if count > 1:
        because.append("Wide candle: several wicks, spread evenly, so that no wall is left too thick.")
    because.append("The burn test decides: try one size up and one down.")
    low, high = min(low, len(PLIES) - 1), min(high, len(PLIES) - 1)
    height = height_of(mould.shape)
    return WickStart(
        plies=(PLIES[low], PLIES[high]),
        square=(_SQUARE[low], _SQUARE[high]),
        braid="square" if sticky else "flat",
        count=count,
        cut=(height + _TAIL[0], height + _TAIL[1]),
        because=tuple(because),
    )


def wicks_of(
    plan: Plan, wax: Wax | None = None, own: Mapping[str, Wax] | None = None
) -> tuple[WickStart, ...]:
    """A starting range for each mould of the plan's list, at its heaviest scented layer.

    Raises `Trouble` for a wax the table does not know, unless `wax` stands in for the plan's blend.
    """
    known = own_of(plan, own)
    parts = [(wax, 1.0)] if wax else parts_of(plan.blend, known)
    hard = sum(share for each, share in parts if each.kin in _HARD_TO_DRAW) / sum(share for _, share in parts)
    load = max(layer.scent_load for layer in plan.layers)
    usual = wax or waxes_of(plan, own=known)[0]
    return tuple(wick_start(mould, usual, load, hard) for mould in plan.moulds)
