"""The pot as two lumps, wax and bath, stepped forward for many guesses at once.

    wax    dh/dt + metal dT/dt = k (T_env - T(h)) - top (T - room)    W/kg; T_env bath, or room for a jug in air
    bath   B dTb/dt = flame - kg k (Tb - T) - lost, never above its cap (simmer or boiling); B = pot + cp water
    lost   loss (Tb - room)^1.5, of which the steam's share leaves as water: d(water)/dt = -share lost / latent heat
    capped what is over at the cap boils away: d(water)/dt = -surplus / latent heat
    seen   T + tip (Tb - T)

`k` is UA per kg of wax, in the bath smaller while the wax is solid (pieces touch the wall in few places,
molten wax wets it and circulates): k (contact + (1 - contact) molten share). A bath that has boiled down holds less
heat: it is hotter the sooner over a flame, and carries less on without one. The wax goes through its melting range by the
enthalpy curve, and the metal it stands in goes along with it. Every array has the members of the ensemble as its last axis.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
import numpy.typing as npt

from pourday.forecast.pot_law import STEAM, STEAM_SHARE, WATER_CP
from pourday.wax import enthalpy
from pourday.wax.materials import Wax

Mode = Literal["on heat", "on low", "off heat", "in air"]
Floats = npt.NDArray[np.float64]

_CELLS = 8192
"""Cells of a table: some 0.04 K each outside the melting range."""
_LOSS_REFERENCE_K = 50.0
"""K above the room for which `Members.loss` is given. Chosen."""
_LEAST_HEAT = 500.0
"""J/kg; below it the chord would be finer than the table, and the tangent serves. Chosen."""
_LEAST_WATER = 0.1
"""kg below which no bath is reckoned: what holds then, a dry pot, is none of this law. An estimate of ours."""
_AIR_REFERENCE_K = 40.0
"""K above the room for which `Members.rate` of a jug in air is given. Chosen."""
_AIR_EXPONENT = 0.2
"""Derived: natural convection goes as dT^(1/4) and radiation rises a little with the mean temperature; half and half of each
gives about this exponent for the sum."""


@dataclass(frozen=True, slots=True, eq=False)
class Table:
    """T(h) and the latent share of dh on an even grid of h, so a look-up is one multiplication."""

    low: float
    per_cell: float
    nodes: Floats
    celsius: Floats
    latent_share: Floats
    ends: Floats
    """How far towards the liquid (1) or solid (-1) end of the melting range; 0 outside it."""
    slope: Floats
    """dT/dh, K kg/J."""
    rows: Floats
    """celsius, latent_share, molten share, ends and dT/dh (K kg/J) in one array (5, cells)."""
    curve: enthalpy.Curve

    def index(self, h: Floats) -> npt.NDArray[np.intp]:
        """The cell of each specific enthalpy, J/kg; beyond the ends where it lies outside the table."""
        return ((h - self.low) * self.per_cell).astype(np.intp)

    def temperature(self, h: Floats) -> Floats:
        """°C at specific enthalpies J/kg; any shape, linear between the nodes."""
        return np.interp(h, self.nodes, self.celsius)

    def enthalpy(self, celsius: Floats) -> Floats:
        """J/kg at temperatures °C; any shape."""
        return self.curve.heat_at(celsius)


@lru_cache(maxsize=32)
def table(wax: Wax) -> Table:
    """The look-up table of one wax or blend, from its enthalpy curve; cached, so not to be written to."""
    curve = enthalpy.curve(wax)
    low, high = float(curve.heat[0]), float(curve.heat[-1])
    nodes = low + (np.arange(_CELLS) + 0.5) * (high - low) / _CELLS
    celsius = curve.celsius_at(nodes)
    slope = np.maximum(np.gradient(celsius, nodes), 1e-9)
    solid = curve.set_at(celsius)
    sensible = solid * wax.cp_solid + (1.0 - solid) * wax.cp_liquid
    share = np.clip(1.0 - sensible * slope, 0.0, 1.0)
    ends = (1.0 - 2.0 * solid) * share
    rows = np.stack([celsius, share, 1.0 - solid, ends, slope])
    return Table(low, _CELLS / (high - low), nodes, celsius, share, ends, slope, rows, curve)


@dataclass(frozen=True, slots=True, eq=False)
class Members:
    """One guess of everything unknown per entry; all of shape (n,)."""

    start_h: Floats
    """J/kg at the start of the grid, on the curve of the table."""
    bath_c: Floats
    """Bath at the start of the grid."""
    rate: Floats
    """k of the molten wax, W/(kg K)."""
    contact: Floats
    """k of the solid wax over that of the molten."""
    tip: Floats
    """How far the probe's tip feels the wall: share of the difference between bath and wax."""
    kg: Floats
    """Wax in the bath, in pot and jugs together."""
    power: Floats
    """W that the full flame gives the bath, once the hob is hot."""
    flame: Floats
    """Share of the full flame that burns now,"""
    was: Floats
    """and that burned before the burner was switched."""
    lag: Floats
    """s, how slowly the hob warms up and dies away."""
    burning: Floats
    """s since the burner was switched, at the start of the grid."""
    cap_c: Floats
    """Hottest the bath gets."""
    pot_heat: Floats
    """J/K of the pot that holds the bath."""
    full: Floats
    """kg of water in a full bath,"""
    water: Floats
    """and in it at the start of the grid."""
    loss: Floats
    """W/K out of the bath at 50 K above the room; it grows as the square root of that, evaporation taking over."""
    top: Floats
    """Loss of the wax's open top in the bath, W/(kg K)."""
    metal: Floats
    """Heat capacity of the vessel, J/K per kg of wax in it."""
    latent: Floats
    """Latent heat of this lot over the table's."""
    shift: Floats
    """This lot's melting range above the table's, K."""
    width: Floats
    """How much further its ends lie from its middle, K."""
    room_c: Floats
    later: Floats
    """Factor on k from the last reading on: draught, lid and stirring will not stay just as they were."""


@dataclass(frozen=True, slots=True, eq=False)
class Path:
    """What the members do over time; arrays of shape (times, n), `times` itself (times,)."""

    times: Floats
    """s, rising."""
    h: Floats
    """Specific enthalpy of the wax, J/kg."""
    celsius: Floats
    """The wax, °C; what a thermometer reads lies `Members.tip` of the way to the bath."""
    bath_c: Floats
    water: Floats
    """kg in the bath."""


def run(
    tab: Table,
    members: Members,
    mode: Mode,
    times: Floats,
    before: Path | None = None,
) -> Path:
    """Step the members over `times` (s, rising) in one mode of the burner.

    They begin at their own start, or where `before` ended; then with the heat transfer changed by
    `Members.later`, for what nobody measured can change. Returns the path at exactly these times.
    """
    if before is None:
        h, bath, water = members.start_h, members.bath_c, members.water
        rate, begun = members.rate, float(times[0])
    else:
        h, bath, water = before.h[-1], before.bath_c[-1], before.water[-1]
        rate, begun = members.rate * members.later, float(before.times[0])
    shape = (len(times), len(h))
    hs, baths, waters = np.empty(shape), np.empty(shape), np.empty(shape)
    hs[0], baths[0], waters[0] = h, bath, water
    steps = np.diff(times).tolist()
    if mode == "in air":
        in_air = _AirStep(tab, members, rate)
        for i, dt in enumerate(steps, start=1):
            hs[i] = h = in_air(h, dt)
        baths[:], waters[:] = bath, water
    else:
        step, flames = _BathStep(tab, members, rate), _flames(members, times, begun)
        for i, dt in enumerate(steps, start=1):
            h, bath, water = step(h, bath, water, dt, flames[i - 1])
            hs[i], baths[i], waters[i] = h, bath, water
    return Path(times, hs, celsius_of(tab, members, hs), baths, waters)


def _flames(m: Members, times: Floats, begun: float) -> Floats:
    """Mean of what the hob gives the bath in each step, W, shape (steps, n).

    The hob goes from what it gave to what it will give exponentially with `Members.lag`; `begun` is the first time of
    the path, at which the burner had stood as it stands for `Members.burning`.
    """
    to_come = m.lag * np.exp(-((times - begun)[:, None] + m.burning) / m.lag)
    fading = (to_come[:-1] - to_come[1:]) / np.diff(times)[:, None]
    return np.asarray(m.power * (m.flame + (m.was - m.flame) * fading))


def celsius_of(tab: Table, members: Members, h: Floats) -> Floats:
    """Wax temperature of members at enthalpies (..., n), °C."""
    return celsius_at_cell(tab, members, tab.index(h))


def celsius_at_cell(tab: Table, members: Members, cell: npt.NDArray[np.intp]) -> Floats:
    """Wax temperature of members, °C, where the cells of the table are known already; any shape (..., n)."""
    ends = tab.ends.take(cell, mode="clip")
    return np.asarray(tab.celsius.take(cell, mode="clip") + members.shift + members.width * ends)


class _BathStep:
    """One step of wax, bath and the water that is left in it.

    The heat that crosses is dt k ((1 - w) drop now + w drop then), the drop then by the chord of the
    enthalpy curve; w = (3 + x) / (6 + x) goes from the midpoint to the end as x, the step over the time
    constant, grows. Second order, and steady however long the step; the water, which changes by some per cent at most in
    one, is taken as it was when the step began.
    """

    def __init__(self, tab: Table, m: Members, rate: Floats) -> None:
        self.tab, self.m = tab, m
        self.solid = rate * m.contact
        self.wetting = rate - self.solid
        self.half_wetting = 0.5 * self.wetting
        self.extra = m.latent - 1.0
        self.half_extra = 0.5 * self.extra
        self.loss = m.loss / _LOSS_REFERENCE_K**0.5

    def __call__(
        self, h: Floats, bath: Floats, water: Floats, dt: float, flame: Floats
    ) -> tuple[Floats, Floats, Floats]:
        m = self.m
        holds = m.pot_heat + WATER_CP * water
        over = dt / holds
        each, given, losing = m.kg / holds, over * flame, over * self.loss
        celsius, share, molten, slope = self._look(h)
        drop, above, warm = bath - celsius, bath - m.room_c, celsius - m.room_c
        topping = dt * m.top
        # A rough step first: it says where on the curve the step ends and whether the bath reaches its cap.
        heavy = 1.0 + self.extra * share + m.metal * slope
        k = dt * (self.solid + self.wetting * molten)
        heat = k * drop / (1.0 + 0.6 * k * (slope / heavy + each * (bath < m.cap_c)))
        gained = (heat - topping * warm) / heavy
        free_then = bath + given - losing * above * np.sqrt(np.maximum(above, 0.0)) - each * heat
        capped = free_then > m.cap_c
        celsius_then, share_then, molten_then, _ = self._look(h + gained)
        # Then the step proper, everything at its middle, the curve by its chord.
        moved = celsius_then - celsius
        chord = np.where(np.abs(gained) > _LEAST_HEAT, moved / gained, slope)
        heavy += self.half_extra * (share_then - share) + m.metal * (chord - slope)
        slope = chord / heavy
        k = dt * (self.solid + self.half_wetting * (molten + molten_then))
        above += 0.5 * (np.minimum(free_then, m.cap_c) - bath)
        top = topping * (warm + 0.5 * moved)
        lost = losing * above * np.sqrt(np.maximum(above, 0.0))
        free = given - lost
        rise = np.where(capped, m.cap_c - bath, free)
        sharing = each * ~capped
        x = k * (slope + sharing)
        late = (3.0 + x) / (6.0 + x)
        heat = k * (drop + late * (rise + slope * top)) / (1.0 + late * x)
        boiled = lost * (STEAM_SHARE[0] + STEAM_SHARE[1] * above)
        boiled += capped * np.maximum(free - rise - heat * each, 0.0)
        return (
            h + (heat - top) / heavy,
            np.minimum(bath + rise - heat * sharing, m.cap_c),
            np.maximum(water - boiled * (holds / STEAM), _LEAST_WATER),
        )

    def _look(self, h: Floats) -> tuple[Floats, Floats, Floats, Floats]:
        """(°C, latent share, molten share, dT/dh in K kg/J) at enthalpies in J/kg, each of shape (n,)."""
        celsius, share, molten, ends, slope = self.tab.rows.take(self.tab.index(h), axis=1, mode="clip")
        return celsius + self.m.shift + self.m.width * ends, share, molten, slope


class _AirStep:
    """One step of a jug in the room: Heun's method, second order; such a jug is slow."""

    def __init__(self, tab: Table, m: Members, rate: Floats) -> None:
        self.tab, self.m = tab, m
        self.rate = rate * _AIR_REFERENCE_K**-_AIR_EXPONENT
        self.extra = m.latent - 1.0

    def slope(self, h: Floats) -> Floats:
        """dh/dt at enthalpies, W/kg."""
        cell = self.tab.index(h)
        drop = self.m.room_c - celsius_at_cell(self.tab, self.m, cell)
        heavy = 1.0 + self.extra * self.tab.latent_share.take(cell, mode="clip")
        heavy += self.m.metal * self.tab.slope.take(cell, mode="clip")
        return np.asarray(self.rate * drop * np.abs(drop) ** _AIR_EXPONENT / heavy)

    def __call__(self, h: Floats, dt: float) -> Floats:
        first = self.slope(h)
        return h + 0.5 * dt * (first + self.slope(h + dt * first))


def at_times(values: Floats, grid: Floats, when: Floats) -> Floats:
    """`values` of shape (times, n), given at the times `grid`, read off at the times `when`: (len(when), n).

    By straight lines; before the first and after the last time as it is there.

    >>> at_times(np.array([[20.0], [30.0]]), np.array([0.0, 60.0]), np.array([30.0, 90.0])).tolist()
    [[25.0], [30.0]]
    """
    place = np.clip(np.searchsorted(grid, when, side="right") - 1, 0, len(grid) - 2)
    share = np.clip((when - grid[place]) / (grid[place + 1] - grid[place]), 0.0, 1.0)[:, None]
    return np.asarray(values[place] * (1.0 - share) + values[place + 1] * share)


def grid_through(start: float, when: Floats, longest: float) -> Floats:
    """Times from `start` through every one of `when` (rising), no further than `longest` apart; all in s.

    >>> grid_through(0.0, np.array([100.0, 130.0]), longest=60.0).tolist()
    [0.0, 50.0, 100.0, 130.0]
    """
    # Not by `np.unique`, which loads all of `numpy.ma`: 12 ms of the first forecast of a start.
    nodes = sorted({start, *when.tolist()})
    parts = [np.linspace(a, b, math.ceil((b - a) / longest) + 1)[:-1] for a, b in itertools.pairwise(nodes)]
    return np.concatenate([*parts, nodes[-1:]])
