"""What stands between the wax of one mould and its surroundings, as tables over temperature."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from pourday.forecast import coefficients as co
from pourday.forecast.mould_case import Around, Array, Case

SPACING = 5.0
NODES_C = np.arange(-10.0, 131.0, SPACING)
"""Temperatures of the wall (or of the open wax) at which the tables have their values."""


def _through(film: Callable[[Array], Array], resistance: float, around_c: float) -> Array:
    """Coefficient from a node at `NODES_C` through a resistance and a film that depends on its own surface."""
    surface = NODES_C.copy()
    for _ in range(8 if resistance > 1e-4 else 1):
        flow = (NODES_C - around_c) / (resistance + 1 / film(surface))
        surface = NODES_C - flow * resistance
    return np.asarray(1 / (resistance + 1 / film(surface)))


def wall_of(case: Case) -> tuple[float, float]:
    """Resistance (m² K/W) and heat (J/(m² K)) of the mould's wall; nothing where the films are given."""
    vessel = case.vessel
    if vessel.films is not None:
        return 0.0, 0.0
    wall = co.WALLS[vessel.material]
    scale = (vessel.wall or wall.thickness) / wall.thickness
    return wall.resistance * scale, wall.heat * scale


def side_dry(case: Case, around: Around) -> Array:
    """W/(m² K) from the middle of the side wall to the room, at `NODES_C`."""
    vessel, room = case.vessel, around.room_c
    if vessel.films is not None:
        return np.full(
            NODES_C.size, vessel.films.side * case.surface_scale * vessel.side_factor * around.draught
        )
    scale = case.surface_scale * vessel.side_factor * around.draught
    return _through(
        lambda t: scale * (co.upright(t, room, vessel.height, 2 * vessel.radius) + _shine(case, t, room)),
        wall_of(case)[0] / 2 + vessel.insulation,
        room,
    )


def side_wet(case: Case, around: Around) -> Array:
    """The same to a water bath."""
    vessel, bath = case.vessel, around.bath_c if around.bath_c is not None else around.room_c
    half = wall_of(case)[0] / 2 + vessel.insulation
    return _through(
        lambda t: case.surface_scale * np.minimum(co.in_water(t, bath, vessel.height), co.BATH_MOST),
        half,
        bath,
    )


def base(case: Case, around: Around) -> Array:
    """The same from the middle of the base; a bath wets it whatever its level."""
    vessel, room = case.vessel, around.room_c
    if around.bath_c is not None and around.bath_level > 0:
        return side_wet(case, around)
    scale = case.surface_scale * vessel.side_factor * around.draught
    if vessel.films is not None:
        return np.full(NODES_C.size, vessel.films.base * scale)
    return _through(
        lambda t: scale * (co.facing_down(t, room, vessel.radius) + _shine(case, t, room)),
        wall_of(case)[0] / 2 + vessel.insulation,
        room,
    )


def top(case: Case, around: Around, fill: float) -> Array:
    """W/(m² K) from open wax at a fill height (m) to the room, at `NODES_C`."""
    vessel, room = case.vessel, around.room_c
    scale = case.surface_scale * vessel.top_factor * around.draught
    if vessel.films is not None:
        return np.full(NODES_C.size, vessel.films.top * scale)
    out = co.facing_up(NODES_C, room, vessel.radius) + co.radiation(co.WAX_EMISSIVITY, NODES_C, room)
    return np.asarray(out * scale * co.recessed(vessel.radius, vessel.height - fill))


def _shine(case: Case, surface_c: Array, room_c: float) -> Array:
    covered = case.vessel.insulation > 0
    return co.radiation(0.9 if covered else co.WALLS[case.vessel.material].emissivity, surface_c, room_c)
