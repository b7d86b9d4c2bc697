"""What a person would see and feel at a mould: the words, from the true field.

The limits are estimates: a surface still looks wet while less than half of it is solid; a crust of two
and a half millimetres, right to the wick, takes no fingerprint; the rest follows the hand on the wall.
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from pourday.kitchen.moulds import Filling, reach

Look = Literal["wet", "skinned", "firm", "cold", "pulled"]
Release = Literal["drops out", "needs a tap", "stuck"]

WET_BELOW = 0.5
"""Solid share of the surface, area mean, below which it looks wet (estimate)."""
FIRM = 0.0025
"""m of crust that takes no fingerprint (estimate)."""
CRUST = 0.9
"""Solid share that counts as crust (estimate)."""
_EDGE_SOLID = 0.999
"""Solid share of the edge from which it is set (estimate)."""


def look(filling: Filling, room_c: float) -> Look:
    """How the surface of a mould that is not empty looks and feels."""
    solid = 1 - filling.melted
    top = filling.pours[-1]
    wall = float(np.average(filling.celsius[top:, -1], weights=filling.heights[top:]))
    edge_solid = bool((solid[top:, -1] >= _EDGE_SOLID).all())
    if edge_solid and wall < filling.lot.solidus_c - filling.truth.pulls_at:
        return "pulled"
    if float(solid[-1] @ filling.ring_share) < WET_BELOW or solid[-1, -1] < WET_BELOW:
        return "wet"
    if edge_solid and wall < max(filling.truth.hand, room_c + 2.0):
        return "cold"
    return "firm" if crust(filling) >= FIRM else "skinned"


def crust(filling: Filling) -> float:
    """m of set wax from the surface down, where it is thinnest."""
    solid, heights = (1 - filling.melted)[::-1], filling.heights[::-1]
    return min(reach(heights, ring, CRUST) for ring in solid.T)


def can_weep(filling: Filling) -> bool:
    """Whether a bad seal would let wax out at the wick hole: while the bottom has not set."""
    return bool(filling.melted[0, 0] > 0.5)


def release(filling: Filling, silicone: bool) -> Release:
    """What happens when the mould is turned over: contraction since the edge set, against how it sticks. The limits are
    estimates."""
    if float(filling.celsius.max()) > filling.lot.solidus_c - 5.0:
        return "stuck"
    if silicone:
        return "drops out"
    outer = float(np.average(filling.celsius[:, -1], weights=filling.heights))
    fallen = (filling.lot.solidus_c - outer) / filling.truth.pulls_at
    freedom = fallen * (filling.lot.shrinkage / 0.12) ** 0.5 / filling.truth.sticky
    if freedom >= 1.15:
        return "drops out"
    return "needs a tap" if freedom >= 0.7 else "stuck"
