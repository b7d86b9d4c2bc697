"""What stands between the wax of one mould and its surroundings (wall, wrapping, air, water), as tables.

A surface loses the more per kelvin the hotter it is. Tables hold the coefficient in W/(m² K) at every
temperature of `NODES_C`, so that the solver reads it off at each step without working it out.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache

import numpy as np

from pourday.forecast import coefficients as co
from pourday.forecast.mould_case import Around, Array, RoundMould

SPACING = 5.0
"""K between two temperatures of a table. Chosen: coefficients bend little over so much."""
NODES_C = np.arange(-10.0, 131.0, SPACING)
"""Temperatures of the wall (or of the open wax) at which the tables have their values. Chosen."""


def through(film: Callable[[Array], Array], resistance: float, around_c: float) -> Array:
    """W/(m² K) from a place at each of `NODES_C` through a resistance (m² K/W) and then a film to `around_c`.

    `film` gives the coefficient of the surface from its temperature. That surface is cooler than the
    place behind the resistance, so both are found by turns; eight settle it to eight digits.
    """
    surface = NODES_C.copy()
    for _ in range(8 if resistance > 1e-4 else 1):
        flow = (NODES_C - around_c) / (resistance + 1 / film(surface))
        surface = NODES_C - flow * resistance
    return np.asarray(1 / (resistance + 1 / film(surface)))


def wall_of(vessel: RoundMould) -> tuple[float, float]:
    """(resistance in m² K/W, heat it takes up in J/(m² K)) of the mould's wall; zeros where films are given."""
    if vessel.films is not None:
        return 0.0, 0.0
    wall = co.WALLS[vessel.material]
    scale = (vessel.wall or wall.thickness) / wall.thickness
    return wall.resistance * scale, wall.heat * scale


def sheets_of(vessel: RoundMould) -> tuple[float, ...]:
    """Shares of the wall's thickness that are computed as sheets of their own, from the wax outwards.

    In a wall that insulates, hot wax first warms the inside alone: as one lump a silicone mould has its
    first skin at the edge a quarter of a minute late, a thick one a whole. None where the films are given.
    """
    if vessel.films is not None:
        return ()
    resistance = wall_of(vessel)[0]
    return next(shares for most, shares in _SHEETS if resistance <= most)


_SHEETS = ((1e-3, (1.0,)), (0.025, (0.35, 0.65)), (math.inf, (0.2, 0.3, 0.5)))
"""Up to what resistance (m² K/W) a wall is cut how; metal, a hundredth of the first, has one temperature at once. Chosen."""


def _outer_half(vessel: RoundMould) -> float:
    """m² K/W from the middle of the outermost sheet through the wrapping."""
    sheets = sheets_of(vessel)
    return wall_of(vessel)[0] * sheets[-1] / 2 + vessel.insulation if sheets else vessel.insulation


@lru_cache(maxsize=256)
def side_dry(vessel: RoundMould, around: Around, surface_scale: float) -> Array:
    """W/(m² K) from the middle of the side wall's outermost sheet to the room, at `NODES_C`."""
    room, scale = around.room_c, surface_scale * vessel.side_factor * around.draught
    if vessel.films is not None:
        return np.full(NODES_C.size, vessel.films.side * scale)
    return through(
        lambda t: scale * (co.upright(t, room, vessel.height, 2 * vessel.radius) + _shine(vessel, t, room)),
        _outer_half(vessel),
        room,
    )


def side_wet(vessel: RoundMould, around: Around, surface_scale: float) -> Array:
    """The same from the side wall to the water of a bath."""
    bath = around.bath_c if around.bath_c is not None else around.room_c
    return through(
        lambda t: surface_scale * np.minimum(co.in_water(t, bath, vessel.height), co.BATH_MOST),
        _outer_half(vessel),
        bath,
    )


def under_water(z: Array, around: Around) -> Array:
    """Share (0 to 1) of each row that stands in the bath; `z` are the rows' edges in m, shape (rows + 1,)."""
    if around.bath_c is None:
        return np.zeros(z.size - 1)
    return np.asarray(np.clip((around.bath_level - z[:-1]) / np.diff(z), 0.0, 1.0))


def at_the_water_line(
    dry: Array, wet: Array, share: float, height: float, around: Around
) -> tuple[Array, float]:
    """The one row that stands half in water and half in air: its coefficients at `NODES_C`, and the °C it feels.

    `dry` and `wet` are the coefficients to air and water, `share` of it (0 to 1) stands in the bath,
    `height` is the row's in m. Each part loses the heat of its own wax, which comes from half the row's
    height away at most; without that the wet part would seem to cool the whole row.
    """
    bath_c = around.bath_c if around.bath_c is not None else around.room_c
    own = height / 2 / _WAX_K
    in_bath, in_air = share / (1 / wet + own), (1 - share) / (1 / dry + own)
    weight = float(np.interp(_WALL_C, NODES_C, in_bath / (in_bath + in_air)))
    return 1 / (1 / (in_bath + in_air) - own), around.room_c + weight * (bath_c - around.room_c)


_WAX_K = 0.2
"""W/(m K), about that of any wax: the wax table has 0.15 to 0.26."""
_WALL_C = 50.0
"""About where a wall is while it matters (estimate)."""


@lru_cache(maxsize=256)
def base(vessel: RoundMould, around: Around, surface_scale: float) -> Array:
    """W/(m² K) from the base's outermost sheet to room or bath; a bath wets it whatever its level."""
    if around.bath_c is not None and around.bath_level > 0:
        return side_wet(vessel, around, surface_scale)
    room, scale = around.room_c, surface_scale * vessel.side_factor * around.draught
    if vessel.films is not None:
        return np.full(NODES_C.size, vessel.films.base * scale)
    return through(
        lambda t: scale * (co.facing_down(t, room, vessel.radius) + _shine(vessel, t, room)),
        _outer_half(vessel),
        room,
    )


def top(vessel: RoundMould, around: Around, surface_scale: float, fill: float) -> Array:
    """W/(m² K) from open wax at a fill height (m) to the room, at `NODES_C`."""
    room, scale = around.room_c, surface_scale * vessel.top_factor * around.draught
    if vessel.films is not None:
        return np.full(NODES_C.size, vessel.films.top * scale)
    out = co.facing_up(NODES_C, room, vessel.radius) + co.radiation(co.WAX_EMISSIVITY, NODES_C, room)
    return np.asarray(out * scale * co.recessed(vessel.radius, vessel.height - fill))


def _shine(vessel: RoundMould, surface_c: Array, room_c: float) -> Array:
    """W/(m² K) that the outside radiates; a wrapping shines like cloth or card (0.9; emissivity tables of handbooks,
    from memory), whatever the mould."""
    emissivity = 0.9 if vessel.insulation > 0 else co.WALLS[vessel.material].emissivity
    return co.radiation(emissivity, surface_c, room_c)
