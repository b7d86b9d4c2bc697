"""Moulds on the bench as solids of heat: size, wall, and what still air takes from them.

A mould is treated as a cylinder with its own volume-to-wall ratio: the radius is twice the cross-section
over its perimeter, and every ring carries the true cross-section's share of wax.
Convection by the usual simplified laminar relations for air (textbook, from memory): 1.42 (dT/L)^0.25
for an upright wall, 1.32 (dT/L)^0.25 for a face looking up, in W/m²K; radiation 4 eps sigma Tm³.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pourday.kitchen.truth import Floats, near
from pourday.plan import volumes
from pourday.plan.model import (
    Cylinder,
    Hexagon,
    Material,
    Mould,
    Rectangle,
    Shape,
    Square,
    Tapered,
    WaterFilled,
)

_STEFAN_BOLTZMANN = 5.670e-8
"""W/(m² K⁴), CODATA 2018, rounded."""
# Figures of its own: a kitchen that took those of the forecasts would agree with them by descent.
_EMISSIVITY: dict[Material, float] = {
    "bright metal": 0.10,
    "dull metal": 0.75,
    "plastic": 0.9,
    "silicone": 0.9,
    "glass": 0.95,
}
"""Estimates between the ends of what emissivity tables have of each."""
_WALL: dict[Material, tuple[float, float]] = {
    "bright metal": (4e-6, 1460.0),
    "dull metal": (4e-6, 1460.0),
    "plastic": (0.010, 2900.0),
    "silicone": (0.014, 7200.0),
    "glass": (0.003, 6000.0),
}
"""m²K/W and J/m²K of 0.6 mm aluminium, 2 mm polycarbonate, 5 mm silicone, 3 mm glass (EN ISO 10077-2
conductivities; heat per area is thickness x density x about 800 to 1200 J/kgK)."""


@dataclass(frozen=True, slots=True)
class Shell:
    """The inside of a mould for the heat model. m, m²."""

    radius: float
    area: float
    """True cross-section, the mean where it is not the same all the way up."""
    height: float
    shape: Shape | None = None
    """The true inside, for levels; None where it is the same all the way up."""

    @property
    def crowd(self) -> float:
        """The true cross-section over the circle of `radius`; 1 for a round mould."""
        return self.area / (math.pi * self.radius**2)

    def volume(self, level: float) -> float:
        """m³ up to a level, m above the inside bottom; beyond the rim there is no more."""
        if self.shape is not None:
            return volumes.volume(self.shape, level)
        return self.area * min(max(level, 0.0), self.height)

    def height_for(self, volume: float) -> float:
        """m at which that many m³ stand."""
        if self.shape is not None:
            return volumes.height_for(self.shape, volume)
        return min(max(volume / self.area, 0.0), self.height)


def shell(mould: Mould) -> Shell:
    """The cylinder that stands for a mould. Water-filled moulds are taken as round."""
    match mould.shape:
        case Cylinder(diameter=d, height=h):
            area, perimeter = math.pi * d * d / 4, math.pi * d
        case Tapered(diameter_low=a, diameter_rim=b, height=h):
            area, perimeter = math.pi * (a * a + a * b + b * b) / 12, math.pi * (a + b) / 2
        case Square(side=a, height=h):
            area, perimeter = a * a, 4 * a
        case Rectangle(width=a, depth=b, height=h):
            area, perimeter = a * b, 2 * (a + b)
        case Hexagon(across_flats=a, height=h):
            area, perimeter = a * a * math.sqrt(3) / 2, 2 * math.sqrt(3) * a
        case WaterFilled(points=points):
            h = points[-1].height
            area = volumes.capacity(mould.shape) / h
            perimeter = 2 * math.sqrt(math.pi * area)
    uneven = isinstance(mould.shape, (Tapered, WaterFilled))
    return Shell(2 * area / perimeter, area, h, mould.shape if uneven else None)


@dataclass(frozen=True, slots=True)
class MouldTruth:
    """Hidden figures of one mould on one bench."""

    emissivity: float
    side: float
    """Factor on the wall's convection."""
    top: float
    """Factor on what the open surface loses."""
    base: float
    """W/m²K through the bottom to the bench."""
    wall: float
    """m²K/W"""
    wall_heat: float
    """J/m²K"""
    pulls_at: float
    """K below the solidus at which the set edge comes off the wall."""
    hand: float
    """°C below which a hand calls the wall cold."""
    bad_seal: bool
    sticky: float
    """About 1; how hard the mould holds on."""


def draw_mould(mould: Mould, rng: np.random.Generator) -> MouldTruth:
    """One mould as it truly is: typical figures of its material, each off by what moulds differ (estimates)."""
    wall, heat = _WALL[mould.material]
    return MouldTruth(
        emissivity=min(_EMISSIVITY[mould.material] * near(rng, 0.1), 1.0),
        side=near(rng, 0.15),
        top=near(rng, 0.15),
        base=6.0 * near(rng, 0.2),
        wall=wall * near(rng, 0.1),
        wall_heat=heat * near(rng, 0.1),
        pulls_at=float(rng.uniform(17.0, 22.0)),
        hand=float(rng.uniform(30.0, 32.0)),
        bad_seal=bool(rng.random() < 0.06),
        sticky=near(rng, 0.1),
    )


def radiation(emissivity: float, celsius: Floats | float, room_c: float) -> Floats | float:
    """W/m²K of a grey surface to the room around it."""
    surface, room = celsius + 273.15, room_c + 273.15
    return emissivity * _STEFAN_BOLTZMANN * (surface**2 + room**2) * (surface + room)


def upright(celsius: Floats, room_c: float, length: float) -> Floats:
    """W/m²K of free convection from an upright wall of that length in still air: 1.42 (dT/L)^(1/4), the simplified relation for
    air at 1 bar (handbook, from memory)."""
    return np.asarray(1.42 * (np.maximum(np.abs(celsius - room_c), 0.1) / length) ** 0.25)


def facing_up(celsius: float, room_c: float, diameter: float) -> float:
    """W/m²K of free convection from a warm disc facing up: 1.32 (dT/L)^(1/4), the simplified relation for air at 1 bar
    (handbook, from memory); its length is area over perimeter."""
    return float(1.32 * (max(abs(celsius - room_c), 0.1) / (diameter / 4)) ** 0.25)
