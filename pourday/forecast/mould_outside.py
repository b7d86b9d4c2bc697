"""What stands between the wax of one mould and its surroundings, as tables over temperature."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

import numpy as np

from pourday.forecast import coefficients as co
from pourday.forecast.mould_case import Around, Array, Vessel

SPACING = 5.0
NODES_C = np.arange(-10.0, 131.0, SPACING)
"""Temperatures of the wall (or of the open wax) at which the tables have their values."""
KEPT = 256
"""Tables of each kind that are kept: a forecast goes on from the same moulds again and again."""


def through(film: Callable[[Array], Array], resistance: float, around_c: float) -> Array:
    """Coefficient from a node at `NODES_C` through a resistance and a film that depends on its own surface."""
    surface = NODES_C.copy()
    for _ in range(8 if resistance > 1e-4 else 1):
        flow = (NODES_C - around_c) / (resistance + 1 / film(surface))
        surface = NODES_C - flow * resistance
    return np.asarray(1 / (resistance + 1 / film(surface)))


def wall_of(vessel: Vessel) -> tuple[float, float]:
    """Resistance (m² K/W) and heat (J/(m² K)) of the mould's wall; nothing where the films are given."""
    if vessel.films is not None:
        return 0.0, 0.0
    wall = co.WALLS[vessel.material]
    scale = (vessel.wall or wall.thickness) / wall.thickness
    return wall.resistance * scale, wall.heat * scale


@lru_cache(maxsize=KEPT)
def side_dry(vessel: Vessel, around: Around, surface_scale: float) -> Array:
    """W/(m² K) from the middle of the side wall to the room, at `NODES_C`. Not to be changed: kept."""
    room, scale = around.room_c, surface_scale * vessel.side_factor * around.draught
    if vessel.films is not None:
        return np.full(NODES_C.size, vessel.films.side * scale)
    return through(
        lambda t: scale * (co.upright(t, room, vessel.height, 2 * vessel.radius) + _shine(vessel, t, room)),
        wall_of(vessel)[0] / 2 + vessel.insulation,
        room,
    )


@lru_cache(maxsize=KEPT)
def side_wet(vessel: Vessel, around: Around, surface_scale: float) -> Array:
    """The same to a water bath."""
    bath = around.bath_c if around.bath_c is not None else around.room_c
    return through(
        lambda t: surface_scale * np.minimum(co.in_water(t, bath, vessel.height), co.BATH_MOST),
        wall_of(vessel)[0] / 2 + vessel.insulation,
        bath,
    )


@lru_cache(maxsize=KEPT)
def base(vessel: Vessel, around: Around, surface_scale: float) -> Array:
    """The same from the middle of the base; a bath wets it whatever its level."""
    if around.bath_c is not None and around.bath_level > 0:
        return side_wet(vessel, around, surface_scale)
    room, scale = around.room_c, surface_scale * vessel.side_factor * around.draught
    if vessel.films is not None:
        return np.full(NODES_C.size, vessel.films.base * scale)
    return through(
        lambda t: scale * (co.facing_down(t, room, vessel.radius) + _shine(vessel, t, room)),
        wall_of(vessel)[0] / 2 + vessel.insulation,
        room,
    )


@lru_cache(maxsize=KEPT)
def top(vessel: Vessel, around: Around, surface_scale: float, fill: float) -> Array:
    """W/(m² K) from open wax at a fill height (m) to the room, at `NODES_C`."""
    room, scale = around.room_c, surface_scale * vessel.top_factor * around.draught
    if vessel.films is not None:
        return np.full(NODES_C.size, vessel.films.top * scale)
    out = co.facing_up(NODES_C, room, vessel.radius) + co.radiation(co.WAX_EMISSIVITY, NODES_C, room)
    return np.asarray(out * scale * co.recessed(vessel.radius, vessel.height - fill))


def _shine(vessel: Vessel, surface_c: Array, room_c: float) -> Array:
    emissivity = 0.9 if vessel.insulation > 0 else co.WALLS[vessel.material].emissivity
    return co.radiation(emissivity, surface_c, room_c)
