"""What the simulated kitchen knows and the person does not: the true wax of the day.

A lot is drawn around the table's figures with about the scatter two lots of "the same" wax show
(1.5 K, 15 % in latent heat, 2 % in density at the two-sigma edge), so that a forecast made from the
table is neither perfect nor hopeless. The curve is a table of enthalpy, melted share and
volume on a grid of one kelvin; a blend is the weighted mean of its parts' curves.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pourday.errors import Trouble
from pourday.language import tr
from pourday.plan.model import BlendPart
from pourday.wax.materials import Wax, families

Floats = NDArray[np.float64]

COLDEST_C = -40
"""First knot of the curves; they run from here by one kelvin to 130 °C and then in one line to 450 °C. Chosen."""
GRID_C: Floats = np.concatenate([np.arange(COLDEST_C, 131, dtype=np.float64), [450.0]])
"""Knots of the curves, °C. Chosen."""
_SOLID_EXPANSION = 1.0e-3
"""1/K by volume below the solidus: pattern wax grows 1-1.5 % in length over 20 K (published: “Crown pattern waxes: a study of
their behavior on heating and cooling”, abstract), which is 1.5e-3 to 2.2e-3; pillar waxes are taken somewhat stiffer
(estimate)."""


def near(rng: np.random.Generator, spread: float) -> float:
    """A factor around one: log-normal, `spread` its relative standard deviation, cut at two and a half of them."""
    return float(np.exp(spread * np.clip(rng.standard_normal(), -2.5, 2.5)))


@dataclass(frozen=True, slots=True, eq=False)
class Lot:
    """One lot of wax as it truly is. Arrays have the length of `GRID_C`; SI, °C."""

    solidus_c: float
    liquidus_c: float
    enthalpy: Floats
    """J/kg, zero at 0 °C."""
    melted: Floats
    """Share of the main latent heat taken up, 0 to 1."""
    volume: Floats
    """m³/kg"""
    conductivity_solid: float
    conductivity_liquid: float
    """W/(m K), still."""
    swirl: float
    """How many times better liquid wax carries heat when it circulates in a mould."""
    knots: tuple[float, ...]
    """`enthalpy` as plain floats, for the scalar pot."""

    def enthalpy_at(self, celsius: Floats | float) -> Floats:
        """J/kg at temperatures in °C, any shape."""
        return np.asarray(np.interp(celsius, GRID_C, self.enthalpy))

    def celsius_at(self, enthalpy: Floats | float) -> Floats:
        """°C at enthalpies in J/kg, any shape."""
        return np.asarray(np.interp(enthalpy, self.enthalpy, GRID_C))

    def melted_at(self, celsius: Floats | float) -> Floats:
        """Share (0 to 1) that is melted at temperatures in °C, any shape."""
        return np.asarray(np.interp(celsius, GRID_C, self.melted))

    def volume_at(self, celsius: Floats | float) -> Floats:
        """m³/kg at temperatures in °C, any shape."""
        return np.asarray(np.interp(celsius, GRID_C, self.volume))

    @property
    def density(self) -> float:
        """kg/m³ midway between the hot and the cold wax, which the heat model of a mould uses."""
        return float(2.0 / (self.volume_at(80.0) + self.volume_at(20.0)))

    @property
    def shrinkage(self) -> float:
        """Share of its hot volume (80 °C) that the wax has lost at 20 °C."""
        return float(1.0 - self.volume_at(20.0) / self.volume_at(80.0))


def _taken_up(low: float, peak: float, high: float) -> Floats:
    """Share of a heat that is spread as a triangle over low..high, at every knot of the grid."""
    rise, fall = max(peak - low, 1e-6), max(high - peak, 1e-6)
    below = (np.clip(GRID_C, low, peak) - low) ** 2 / (rise * (high - low))
    above = 1.0 - (high - np.clip(GRID_C, peak, high)) ** 2 / (fall * (high - low))
    return np.asarray(np.where(peak > GRID_C, below, above))


def draw_lot(wax: Wax, rng: np.random.Generator) -> Lot:
    """One true lot of a wax; the same generator state gives the same lot."""
    shift = 0.7 * float(np.clip(rng.standard_normal(), -2.0, 2.0))
    width, latent, heat, carry, dense = (near(rng, s) for s in (0.12, 0.06, 0.03, 0.05, 0.01))
    peak = wax.peak_c + shift
    low, high = peak - (wax.peak_c - wax.solidus_c) * width, peak + (wax.liquidus_c - wax.peak_c) * width
    melted = _taken_up(low, peak, high)
    cp = heat * (wax.cp_solid + (wax.cp_liquid - wax.cp_solid) * melted)
    sensible = np.concatenate([[0.0], np.cumsum(np.diff(GRID_C) * (cp[1:] + cp[:-1]) / 2)])
    # A fat's softer crystals give off their heat far below where it sets.
    soft = np.clip((GRID_C - wax.soft_from_c) / (high - wax.soft_from_c), 0.0, 1.0)
    enthalpy = sensible + latent * wax.latent_main * (wax.soft_share * soft + (1 - wax.soft_share) * melted)
    if wax.transition_low_c is not None and wax.transition_high_c is not None:
        first, last = wax.transition_low_c + shift, wax.transition_high_c + shift
        enthalpy = enthalpy + latent * wax.latent_transition * _taken_up(first, (first + last) / 2, last)
    solid = wax.density_solid * (1 - _SOLID_EXPANSION * (np.minimum(GRID_C, high) - 22.0))
    liquid = wax.density_liquid * (
        1 - wax.liquid_expansion * (np.clip(GRID_C, low, 250.0) - wax.density_liquid_at_c)
    )
    return _lot(
        low,
        high,
        enthalpy,
        melted,
        ((1 - melted) / solid + melted / liquid) / dense,
        (wax.conductivity_solid * carry, wax.conductivity_liquid * carry, float(rng.uniform(1.3, 2.2))),
    )


def _lot(
    solidus: float,
    liquidus: float,
    enthalpy: Floats,
    melted: Floats,
    volume: Floats,
    carrying: tuple[float, float, float],
) -> Lot:
    """A lot with its enthalpy counted from 0 °C; `carrying` is conductivity set and liquid, and swirl."""
    zeroed = enthalpy - np.interp(0.0, GRID_C, enthalpy)
    return Lot(solidus, liquidus, zeroed, melted, volume, *carrying, tuple(float(x) for x in zeroed))


def draw_blend(
    parts: Sequence[BlendPart], rng: np.random.Generator, own: Mapping[str, Wax] | None = None
) -> Lot:
    """The true lot of a blend: each part drawn, then their curves averaged by weight.

    `own` are waxes besides the table's, by id. Raises `Trouble` for a wax that is in neither, or
    a blend whose shares come to nothing.
    """
    shelf = {**families(), **(own or {})}
    total = sum(part.share for part in parts)
    if total <= 0:
        raise Trouble(tr("There is no wax in the blend."), instead=tr("Give at least one wax a share."))
    for part in parts:
        if part.wax not in shelf:
            raise Trouble(
                tr("The kitchen has no wax called “{wax}”.", wax=part.wax),
                instead=tr("It has {shelf}.", shelf=", ".join(shelf)),
            )
    lots = [draw_lot(shelf[part.wax], rng) for part in parts]
    weights = [part.share / total for part in parts]

    def mean(values: Sequence[Floats] | Sequence[float]) -> Floats:
        return np.asarray(sum(w * np.asarray(v) for w, v in zip(weights, values, strict=True)))

    return _lot(
        float(mean([lot.solidus_c for lot in lots])),
        float(mean([lot.liquidus_c for lot in lots])),
        mean([lot.enthalpy for lot in lots]),
        mean([lot.melted for lot in lots]),
        mean([lot.volume for lot in lots]),
        (
            float(mean([lot.conductivity_solid for lot in lots])),
            float(mean([lot.conductivity_liquid for lot in lots])),
            float(mean([lot.swirl for lot in lots])),
        ),
    )
