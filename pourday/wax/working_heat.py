"""The temperatures a wax is worked at: how hot it is melted, poured, and never heated above."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

from pourday.wax.blend import merged_parts
from pourday.wax.materials import FAT_WAXES, Wax

Material = Literal["bright metal", "dull metal", "plastic", "silicone", "glass"]

_PLACE_IN_RANGE: dict[Material, float] = {
    "bright metal": 0.5,
    "dull metal": 0.5,
    "plastic": 0.2,
    "silicone": 0.2,
    "glass": 0.0,
}
"""Where in the wax's own pour range to start: metal chills the wax and wants it hotter, plastic and
silicone keep it warm, glass cracks. Common practice, no source for the figures."""
_ROOM_C = 20.0
"""Room that pour ranges are quoted for: hardly any sheet names one. Estimate."""
_PER_ROOM_K = -0.5
"""K of pour temperature for each K the room is above 20 °C. One published soy table falls by 1.1; half
of it is used, for other waxes quote no room at all. Estimate."""

MOLTEN_MARGIN = 10.0
"""K above the liquidus before a wax counts as wholly molten: what the cooling-curve standard asks
(ASTM D87: 8 K, and 10 K for an unknown wax) before it trusts a melt."""
FLOWS_ABOVE = 5.0
"""K above congealing under which a pour sets at the wall before it is level. Estimate."""
FAT_ABOVE = 15.0
"""K above congealing at which plant fats want to be poured at least, against bloom (US 8500826 B2)."""
CRYSTALS_GONE = 80.0
"""°C that plant fats are heated to first, so that no old crystal is left to grow from: 75-85 °C (common practice, no
source); that all crystals have to be destroyed is said in US 8500826 B2."""
UNDER_CEILING = 2.0
"""K that the target of the pot stays under the working ceiling: what a burner runs past its mark. Estimate."""
JUG_LOSS = 3.0
"""K a jug loses between pot and lip: estimate."""


def pour_temperature(
    wax: Wax, material: Material, room_c: float, asked_c: float | None = None, limit_c: float | None = None
) -> float:
    """°C to pour at, as an offset from the congealing point, to whole degrees.

    The offset comes from the wax's own pour range, the mould material and the room; the result keeps
    within that range, under what the mould stands (`limit_c`) and under what the wax is heated to. What a
    person asked for (`asked_c`) is taken as asked. Never less than the wax can be poured at, whatever was asked and
    whatever the mould stands: findings say what speaks against it.

    >>> from pourday.wax.materials import family
    >>> [pour_temperature(family("paraffin_pillar"), mould, 20.0) for mould in ("bright metal", "silicone")]
    [85.0, 82.0]
    """
    if asked_c is not None:
        return max(asked_c, pourable_c(wax))
    congealing = wax.congealing_c
    least, most = wax.pour_min_c - congealing, wax.pour_max_c - congealing
    if wax.kin in FAT_WAXES:
        least = min(max(least, FAT_ABOVE), most)
    offset = least + _PLACE_IN_RANGE[material] * (most - least) + _PER_ROOM_K * (room_c - _ROOM_C)
    celsius = float(round(congealing + min(max(offset, least), most)))
    most = min(wax.max_working_c - UNDER_CEILING, math.inf if limit_c is None else limit_c)
    return max(min(celsius, most), pourable_c(wax))


def pourable_c(wax: Wax) -> float:
    """°C, whole degrees, below which a wax sets at the wall before it is level: no pour is asked for below it."""
    return float(math.ceil(wax.congealing_c + FLOWS_ABOVE))


def melt_to_c(parts: Sequence[tuple[Wax, float]], pour: float) -> float:
    """°C to heat to: every part molten with a margin, old crystals of plant fats gone, and hot enough to be
    poured at `pour`; always under the lowest working ceiling of the parts. Raises `Trouble` as `blend` does.
    """
    merged = merged_parts(parts)
    molten = max(wax.liquidus_c for wax, _ in merged) + MOLTEN_MARGIN
    if any(wax.kin in FAT_WAXES for wax, _ in merged):
        molten = max(molten, CRYSTALS_GONE)
    return min(max(molten, pour + JUG_LOSS), ceiling_c(parts) - UNDER_CEILING)


def ceiling_c(parts: Sequence[tuple[Wax, float]]) -> float:
    """°C, the lowest working ceiling of the parts. Raises `Trouble` as `blend` does."""
    return min(wax.max_working_c for wax, _ in merged_parts(parts))
