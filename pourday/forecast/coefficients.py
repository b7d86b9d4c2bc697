"""How fast a mould loses heat: natural convection, radiation, wall, insulation, water bath.

Published correlations: Churchill and Chu (1975) for the upright wall, with Popiel's (2008) factor
for a slender cylinder; McAdams for plates facing up and down (0.54 and 0.27 Ra^1/4); Sutherland's
law for air. Surfaces in W/(m² K), resistances in m² K/W, temperatures in °C, lengths in m.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pourday.plan.model import Material

Array = NDArray[np.float64]

STEFAN_BOLTZMANN = 5.670374e-8
"""W/(m² K⁴), CODATA 2018, cut."""
_KELVIN = 273.15
"""K at 0 °C, by definition."""
_GRAVITY = 9.80665
"""m/s², standard gravity."""
WAX_EMISSIVITY = 0.95
"""Of waxes and other organic surfaces, in the infrared of a room. Thermometer makers say 0.95 of organic surfaces; paper,
paint and oil have 0.90 to 0.97 (Incropera and DeWitt, tables A.11 and A.12, from memory). No figure of a candle wax was
found."""
BATH_MOST = 600.0
"""W/(m² K): the water next to the mould warms up, so more than this is not counted on (estimate)."""


@dataclass(frozen=True)
class Wall:
    """What a mould is made of. Conductivities after EN ISO 10077-2, heats from handbooks."""

    thickness: float
    conductivity: float
    density: float
    cp: float
    emissivity: float

    @property
    def resistance(self) -> float:
        """m² K/W through the wall."""
        return self.thickness / self.conductivity

    @property
    def heat(self) -> float:
        """J/(m² K) that the wall itself takes up."""
        return self.thickness * self.density * self.cp


WALLS: dict[Material, Wall] = {
    "bright metal": Wall(0.0006, 160, 2700, 900, 0.09),
    "dull metal": Wall(0.0006, 160, 2700, 900, 0.90),
    "plastic": Wall(0.002, 0.20, 1200, 1200, 0.90),
    "silicone": Wall(0.006, 0.35, 1200, 1300, 0.90),
    "glass": Wall(0.003, 1.0, 2500, 840, 0.94),
}
"""Typical thicknesses are estimates; the person's own mould may be thicker. Conductivities: EN ISO 10077-2; densities and
heats: handbooks, from memory. Emissivities: aluminium sheet 0.04 to 0.09 polished or as it comes, paint 0.80 to 0.96, glass
0.94 (total-emissivity tables as in manuals of thermal cameras); plastics 0.9 (estimate). A dull metal mould is taken for a
painted or lacquered one; bare oxidised steel has 0.6 to 0.8 and oxidised aluminium only 0.2 to 0.3 in the same tables."""


@dataclass(frozen=True)
class Fluid:
    """Properties at the film temperature; arrays of one shape."""

    conductivity: Array
    viscosity: Array
    """Kinematic, m²/s."""
    prandtl: Array
    expansion: Array
    """1/K."""


def air(celsius: ArrayLike) -> Fluid:
    """Dry air at 1013.25 hPa at temperatures in °C, any shape.

    Sutherland's law for viscosity and conductivity (White, Viscous Fluid Flow); ideal gas for the rest.

    >>> float(air(50.0).conductivity.round(5)), float(air(50.0).prandtl.round(3))
    (0.02807, 0.701)
    """
    t = np.asarray(celsius, dtype=np.float64) + _KELVIN
    mu = 1.716e-5 * (t / 273.15) ** 1.5 * (273.15 + 110.4) / (t + 110.4)
    k = 0.02414 * (t / 273.0) ** 1.5 * (273.0 + 194.0) / (t + 194.0)
    return Fluid(k, mu * 287.05 * t / 101325.0, mu * 1007.0 / k, 1 / t)


_WATER_C = np.array([0.0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100])
_WATER_K = np.array([0.556, 0.579, 0.598, 0.615, 0.629, 0.641, 0.651, 0.659, 0.667, 0.672, 0.677])
_WATER_NU = np.array([1.792, 1.307, 1.004, 0.801, 0.658, 0.554, 0.475, 0.413, 0.365, 0.326, 0.295]) * 1e-6
_WATER_PR = np.array([13.6, 9.46, 7.00, 5.41, 4.32, 3.55, 2.98, 2.55, 2.22, 1.96, 1.76])
_WATER_BETA = np.array([-0.68, 0.88, 2.07, 3.03, 3.85, 4.58, 5.23, 5.84, 6.41, 6.96, 7.50]) * 1e-4
"""Water every 10 K at 1 bar: °C, W/(m K), m²/s, Prandtl number, 1/K. Handbook figures, from memory which;
`tests/forecast/test_coefficients.py` holds viscosity and conductivity to the IAPWS formulations."""


def water(celsius: ArrayLike) -> Fluid:
    """Liquid water at 1 bar at temperatures in °C, any shape.

    Straight lines between handbook figures every 10 K; outside 0 to 100 °C the figures of the nearer end.
    """
    t = np.asarray(celsius, dtype=np.float64)
    k, nu, pr, beta = (np.interp(t, _WATER_C, y) for y in (_WATER_K, _WATER_NU, _WATER_PR, _WATER_BETA))
    return Fluid(k, nu, pr, np.abs(beta))


def rayleigh(fluid: Fluid, length: float, difference: ArrayLike) -> Array:
    """Rayleigh number, how strongly a difference in temperature drives the fluid: g beta |dT| L³ / (nu alpha).

    `length` in m, `difference` between surface and fluid in K, any shape; `fluid` at the temperature
    halfway between the two.
    """
    lift = _GRAVITY * fluid.expansion * np.abs(np.asarray(difference, dtype=np.float64)) * length**3
    return np.asarray(lift * fluid.prandtl / fluid.viscosity**2)


def churchill_chu(ra: ArrayLike, prandtl: ArrayLike, *, laminar: bool) -> Array:
    """Nusselt number of an upright plate in still fluid (Churchill and Chu 1975), any shapes.

    `laminar` takes their relation for laminar flow, the closer one up to Ra 1e9; else the one for all Ra.

    >>> float(churchill_chu(1e8, 0.71, laminar=True).round(1))
    52.1
    """
    ra_, pr = np.asarray(ra, dtype=np.float64), np.asarray(prandtl, dtype=np.float64)
    if laminar:
        return np.asarray(0.68 + 0.670 * ra_**0.25 / (1 + (0.492 / pr) ** (9 / 16)) ** (4 / 9))
    return np.asarray((0.825 + 0.387 * ra_ ** (1 / 6) / (1 + (0.492 / pr) ** (9 / 16)) ** (8 / 27)) ** 2)


def slender(ra: ArrayLike, prandtl: ArrayLike, length: float, diameter: float) -> Array:
    """Factor on a plate's Nusselt number for an upright cylinder of the same height (Popiel 2008).

    The thinner the cylinder, the more its curved layer of warm air gives off. `length` and `diameter` in m.

    >>> float(slender(1e8, 0.71, length=0.15, diameter=0.07).round(3))
    1.041
    """
    grashof = np.maximum(np.asarray(ra, dtype=np.float64) / np.asarray(prandtl), 1.0)
    return np.asarray(1 + 0.3 * (32**0.5 * grashof**-0.25 * length / diameter) ** 0.909)


def upright(surface_c: ArrayLike, air_c: float, height: float, diameter: float) -> Array:
    """W/(m² K) that an upright cylinder gives to still air; temperatures in °C, sizes in m.

    >>> float(upright(60.0, air_c=20.0, height=0.15, diameter=0.07).round(2))
    5.8
    """
    t = np.asarray(surface_c, dtype=np.float64)
    fluid = air((t + air_c) / 2)
    ra = rayleigh(fluid, height, t - air_c)
    nu = churchill_chu(ra, fluid.prandtl, laminar=True) * slender(ra, fluid.prandtl, height, diameter)
    return np.asarray(nu * fluid.conductivity / height)


def facing_up(surface_c: ArrayLike, air_c: float, radius: float) -> Array:
    """W/(m² K) that a warm disc facing up gives to still air; temperatures in °C, `radius` in m.

    Nu = 0.54 Ra^1/4 with area over rim as the length (McAdams; Lloyd and Moran).

    >>> float(facing_up(60.0, air_c=20.0, radius=0.035).round(2))
    9.55
    """
    return _disc(surface_c, air_c, radius, 0.54)


def facing_down(surface_c: ArrayLike, air_c: float, radius: float) -> Array:
    """The same for a disc facing down, half as much: Nu = 0.27 Ra^1/4 (McAdams)."""
    return _disc(surface_c, air_c, radius, 0.27)


def _disc(surface_c: ArrayLike, air_c: float, radius: float, factor: float) -> Array:
    """W/(m² K) of a disc with Nu = factor Ra^1/4."""
    t = np.asarray(surface_c, dtype=np.float64)
    fluid, length = air((t + air_c) / 2), radius / 2
    # Below Ra of about one, heat is conducted into still air: Nu near 1 for this length.
    nu = np.maximum(factor * rayleigh(fluid, length, t - air_c) ** 0.25, 0.5)
    return np.asarray(nu * fluid.conductivity / length)


def radiation(emissivity: float, surface_c: ArrayLike, around_c: float) -> Array:
    """W/(m² K) that a grey surface radiates into a large room: eps sigma (Ts² + Ta²)(Ts + Ta).

    >>> float(radiation(0.95, surface_c=60.0, around_c=20.0).round(2))
    6.64
    """
    ts, ta = np.asarray(surface_c, dtype=np.float64) + _KELVIN, around_c + _KELVIN
    return np.asarray(emissivity * STEFAN_BOLTZMANN * (ts**2 + ta**2) * (ts + ta))


def in_water(surface_c: ArrayLike, water_c: float, height: float) -> Array:
    """W/(m² K) from an upright wall to still water, by Churchill and Chu's relation for all Ra.

    >>> float(in_water(60.0, water_c=40.0, height=0.15).round())
    922.0
    """
    t = np.asarray(surface_c, dtype=np.float64)
    fluid = water((t + water_c) / 2)
    nu = churchill_chu(rayleigh(fluid, height, t - water_c), fluid.prandtl, laminar=False)
    return np.asarray(nu * fluid.conductivity / height)


def recessed(radius: float, depth: float) -> float:
    """Share of the heat of an open surface that still leaves when it lies `depth` m below the rim.

    For radiation between two discs joined by a wall that only sends heat back this is (1 + F)/2
    (Hottel), with F the view factor of equal coaxial discs; taken for convection too (estimate).

    >>> round(recessed(radius=0.035, depth=0.07), 2)
    0.59
    """
    if depth <= 0:
        return 1.0
    x = (radius / depth) ** 2
    s = 2 + 1 / x
    return float((1 + (s - (s * s - 4) ** 0.5) / 2) / 2)
