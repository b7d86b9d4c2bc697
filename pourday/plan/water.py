"""How hot a water bath gets where the stove stands, and how hot the wax in it gets."""

from __future__ import annotations

import math
from typing import Literal

import msgspec

from pourday.language import tr
from pourday.plan.check import number

BELOW_WATER = (2.0, 5.0)
"""K the wax stays below boiling water: estimate, no measurement behind it."""

# IAPWS Industrial Formulation 1997, region 4, backward equation (release R7-97(2012), table 34).
_N = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
)
"""IAPWS Industrial Formulation 1997, region 4, backward equation (release R7-97(2012), table 34)."""


def pressure_at(altitude: float) -> float:
    """Pa of the air at an altitude in m: U.S. Standard Atmosphere 1976, lowest layer (to 11 km).

    Weather moves it by 3 % either way, and the boiling point by 0.9 K. Raises `BadField` outside
    -500 to 6000 m.
    """
    number("altitude", tr("The altitude"), altitude, -500, 6000)
    # Geometric height to geopotential, with the earth radius of the standard.
    geopotential = 6_356_766 * altitude / (6_356_766 + altitude)
    return 101_325 * math.pow(1 - 0.0065 * geopotential / 288.15, 9.80665 * 0.0289644 / (8.31432 * 0.0065))


def boiling_at_pressure_c(pascal: float) -> float:
    """°C at which water boils under a pressure in Pa: IAPWS-IF97, equation 31, good to 22 MPa."""
    n1, n2, n3, n4, n5, n6, n7, n8, n9, n10 = _N
    beta = math.pow(pascal / 1e6, 0.25)
    e = beta * beta + n3 * beta + n6
    f = n1 * beta * beta + n4 * beta + n7
    g = n2 * beta * beta + n5 * beta + n8
    d = 2 * g / (-f - math.sqrt(f * f - 4 * e * g))
    return (n10 + d - math.sqrt((n10 + d) ** 2 - 4 * (n9 + n10 * d))) / 2 - 273.15


def boiling_c(altitude: float) -> float:
    """°C at which water boils at an altitude in m, in standard weather. Raises `BadField`."""
    return boiling_at_pressure_c(pressure_at(altitude))


class BathReach(msgspec.Struct, frozen=True):
    """What a double boiler can do at one altitude, °C."""

    boiling_c: float
    sure_c: float
    """The wax gets this hot over gently boiling water."""
    best_c: float
    """The wax gets no hotter than this while there is water in the pot."""

    def reaches(self, target_c: float) -> Literal["yes", "perhaps", "no"]:
        """Whether the wax gets to a target over this bath."""
        if target_c <= self.sure_c:
            return "yes"
        return "perhaps" if target_c <= self.best_c else "no"


def bath_reach(altitude: float) -> BathReach:
    """What a water bath reaches at an altitude in m. Raises `BadField`."""
    boiling = boiling_c(altitude)
    near, far = BELOW_WATER
    return BathReach(boiling_c=boiling, sure_c=boiling - far, best_c=boiling - near)
