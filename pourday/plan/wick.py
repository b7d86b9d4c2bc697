"""A wick to start with: a range of sizes in words every maker's range can be held against.

Flat braids are named by their total plies, which compare across makers; numbers of square braids and cored
wicks do not, so those are given as a word for the place in a maker's range. The map from diameter to size is derived from what makers use (common
practice, no source). It is a start: the burn test decides.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Literal

import msgspec

from pourday.language import tr
from pourday.plan.check import height_of
from pourday.plan.model import Mould, Plan, Shape, WaterFilled
from pourday.plan.own_layers import shares_of
from pourday.plan.volumes import capacity, volume, width_of
from pourday.plan.waxes import own_of, parts_of, waxes_of
from pourday.wax.materials import FAT_WAXES, Wax

PLIES = (15, 18, 24, 30, 42, 60)
"""Flat braids from extra small to extra large."""
IN_WORDS = ("smallest", "small", "medium", "large", "largest")
"""Sizes of square braids and cored wicks: places in a maker's own range."""
_BY_DIAMETER = ((0.040, 0, 1, 0), (0.060, 2, 3, 1), (0.080, 3, 4, 2), (0.100, 4, 5, 3))
"""(up to m, smallest and largest as places in `PLIES`, place in `IN_WORDS`); wider takes the last of each. Estimate,
consistent with common practice: to be tried a size up and down."""
WIDEST_FOR_ONE = 0.115
"""m that one wick still serves; wider candles have several. Estimate: makers step between 100 and 125 mm."""
_WIDTH_OF_ONE = 0.085
"""m of diameter that one of several wicks serves: estimate."""
_HEAVY_SCENT = 0.08
"""kg per kg wax from which the wick is a size larger; 6 % is ordinary. Common practice, no source."""
_HIGH_CONGEALING_C = 62.0
"""Above this a wax counts as hard to draw up: estimate."""
_TAIL = (0.100, 0.150)
"""m to cut beyond the mould's height: common practice, no source."""
_OVER_THE_TOP = (0.020, 0.040)
"""m that a wick on a tab is cut beyond the mould's height, to be held while the wax sets. Common practice, no source."""
VOTIVE = (0.060, 0.070)
"""m, width and height up to which a candle is a votive, whose wick stands on a tab: estimate."""
_BALL_END = 0.12
"""Share of the room in the lowest and the highest sixth of a height under which a mould is a ball. Chosen: a sphere has 0.074
in each, a straight mould 0.167."""

_HARD_TO_DRAW = FAT_WAXES | {"beeswax"}

Braid = Literal["flat", "square", "cored"]


class WickStart(msgspec.Struct, frozen=True, kw_only=True):
    """Where to start with the wick of one mould."""

    plies: tuple[int, int]
    """Smallest and largest flat braid to try, in plies."""
    size: str
    """The same in a word, for square braids and cored wicks."""
    braid: Braid
    """Which construction suits."""
    count: int
    """How many wicks."""
    cut: tuple[float, float]
    """m to cut each to, least and most."""
    because: tuple[str, ...]
    """What moved it off the plain map, whole sentences; the last one is always the burn test."""

    @property
    def words(self) -> str:
        """One line, such as “flat braid, 30 to 42 ply”."""
        each = tr("{count} wicks, each ", count=self.count) if self.count > 1 else ""
        if self.braid != "flat":
            kind = tr("cored wick on a tab") if self.braid == "cored" else tr("square braid")
            return f"{each}{kind}, {self.size}"
        low_ply, high_ply = self.plies
        size = (
            f"{low_ply}"
            if low_ply == high_ply
            else tr("{low_ply} to {high_ply}", low_ply=low_ply, high_ply=high_ply)
        )
        return tr("{each}flat braid, {size} ply", each=each, size=size)


def wick_start(mould: Mould, wax: Wax, scent_load: float, hard_share: float = 0.0) -> WickStart:
    """A starting range for one mould (its shape taken as checked), wax and scent load (kg per kg).

    `hard_share` is the share of waxes that are hard to draw (beeswax, plant fats) in the blend. One size up, and
    never more, for a vessel, for a blend that is mostly such or congeals above 62 °C, or for scent from 8 % up.
    """
    count, because = wick_count(mould)
    served = _mean_width(mould.shape) / math.sqrt(count)
    low, high, word = next(((a, b, c) for upto, a, b, c in _BY_DIAMETER if served <= upto), (5, 5, 4))
    sticky = hard_share >= 0.5
    hard = sticky or wax.congealing_c > _HIGH_CONGEALING_C
    reasons = [
        (mould.stays, tr("in a vessel the pool has to reach the wall, where a pillar keeps one")),
        (hard, tr("this wax is harder to draw up than plain paraffin")),
        (scent_load >= _HEAVY_SCENT, tr("heavy scent feeds the flame poorly")),
    ]
    why = next((words for holds, words in reasons if holds), "")
    if why:
        # Two reasons to go up are no reason to go up twice: what is too large smokes.
        low, high, word = low + 1, high + 1, word + 1
        because.append(tr("One size up: {why}.", why=why))
    if low >= len(PLIES) or word >= len(IN_WORDS):
        because.append(tr("There is hardly a larger one: expect a thick wall, or make a narrower candle."))
    because.append(tr("The burn test decides: try one size up and one down."))
    low, high = min(low, len(PLIES) - 1), min(high, len(PLIES) - 1)
    height, tabbed = height_of(mould.shape), _on_a_tab(mould)
    tail = _OVER_THE_TOP if tabbed else _TAIL
    return WickStart(
        plies=(PLIES[low], PLIES[high]),
        size=IN_WORDS[min(word, len(IN_WORDS) - 1)],
        braid="cored" if tabbed else "square" if sticky else "flat",
        count=count,
        cut=(height + tail[0], height + tail[1]),
        because=tuple(because),
    )


def wanted_wicks(mould: Mould) -> int:
    """How many wicks a candle so wide wants, whatever holes its mould has. A ball has one: its ends are narrow."""
    mean_width = _mean_width(mould.shape)
    if max(width_of(mould.shape), mean_width) <= WIDEST_FOR_ONE or _is_ball(mould.shape):
        return 1
    return max(2, round((mean_width / _WIDTH_OF_ONE) ** 2))


def wick_count(mould: Mould) -> tuple[int, list[str]]:
    """(how many wicks, sentences about it): never more than the mould has holes, where somebody counted."""
    wanted = wanted_wicks(mould)
    holes = None if _on_a_tab(mould) else mould.holes
    if wanted > 1 and holes is None and not _on_a_tab(mould):
        return wanted, [
            tr(
                "Only where the mould has {wanted} holes: count them. Several wicks are spread evenly.",
                wanted=wanted,
            )
        ]
    if holes is not None and 1 <= holes < wanted:
        return holes, [
            tr(
                "Its width asks for {wanted} wicks, the mould has {holes}: a thick wall will stay.",
                wanted=wanted,
                holes=holes,
            )
        ]
    if wanted > 1:
        return wanted, [tr("Wide candle: several wicks, spread evenly, so that no wall is left too thick.")]
    return 1, []


def _on_a_tab(mould: Mould) -> bool:
    """Whether the wick stands on a tab: in a vessel, in a votive, and where the open end is the candle's top."""
    small = width_of(mould.shape) <= VOTIVE[0] and height_of(mould.shape) <= VOTIVE[1]
    return not mould.inverted or small


def _mean_width(shape: Shape) -> float:
    """m, diameter of the straight round mould of the same height and room."""
    return math.sqrt(4 * capacity(shape) / (math.pi * height_of(shape)))


def _is_ball(shape: Shape) -> bool:
    """Whether a mould known by water has hardly any room at both ends, as a sphere has."""
    height, room = height_of(shape), capacity(shape)
    ends = (volume(shape, height / 6), room - volume(shape, height * 5 / 6))
    return isinstance(shape, WaterFilled) and max(ends) < _BALL_END * room


def wicks_of(
    plan: Plan, wax: Wax | None = None, own: Mapping[str, Wax] | None = None
) -> tuple[WickStart, ...]:
    """A starting range for each mould of the plan's list, at the heaviest scented layer it gets.

    Raises `Trouble` for a wax the table does not know, unless `wax` stands in for the plan's blend.
    """
    known = own_of(plan, own)
    parts = [(wax, 1.0)] if wax else parts_of(plan.blend, known)
    hard = sum(share for each, share in parts if each.kin in _HARD_TO_DRAW) / sum(share for _, share in parts)
    usual = wax or waxes_of(plan, own=known)[0]
    return tuple(wick_start(mould, usual, _load(plan, mould), hard) for mould in plan.moulds)


def _load(plan: Plan, mould: Mould) -> float:
    """The heaviest scent load of the layers a mould gets, kg for each kg of wax."""
    gets = zip(plan.layers, shares_of(plan, mould), strict=True)
    return max((layer.scent_load for layer, share in gets if share > 0), default=0.0)


def chosen_wick(plan: Plan, mould: Mould) -> str:
    """What the person chose for a mould, its own or the plan's; empty where nothing was."""
    return mould.wick or plan.wick
