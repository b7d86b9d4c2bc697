"""How fast jugs of wax warm and cool, beside what is computed for them: in a bath over either flame, in one that cools, and out of it.

What is computed is a bath, its pot and all wax in it as one body (`PotLaw`'s usual flame and loss), and a jug out of it that
falls towards the room. Each figure is how many times as fast it goes in truth, with the standard deviation of its logarithm
before anything was read; estimates of ours, from the spreads of the figures of `PotLaw` that each is made of.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from pourday.forecast.pot_law import USUAL_POT, WATER_CP

JugFigure = Literal["full", "low", "cooling", "bench"]
WAX_CP: Final = 2300.0
"""J/(kg K) of molten wax: the wax table has 2150 to 2300."""
ON_BENCH: Final = 3600.0
"""s after which 1 kg on the bench has 37 % left of its warmth above the room: 1 K a minute at 80 °C in a room of 20 °C
(common practice, no source). A smaller jug has more skin for its wax and falls faster, by the cube root of its weight."""


@dataclass(frozen=True, slots=True)
class JugLaw:
    """What is held to be true of one kitchen's jugs, or of one jug."""

    full: float = 1.0
    """Heat that it takes up over the full flame, over the usual,"""
    full_sd: float = 0.45  # estimate
    low: float = 1.0
    """over the low one,"""
    low_sd: float = 0.45  # estimate
    cooling: float = 1.0
    """what it loses in a bath, lit or not,"""
    cooling_sd: float = 0.4  # estimate
    bench: float = 1.0
    """and out of it."""
    bench_sd: float = 0.35  # estimate


USUAL_JUG: Final = JugLaw()
"""Jugs of a kitchen of which nothing is known."""


def bath_lasts(water_kg: float, wax_kg: float) -> float:
    """s after which a bath with so much wax in it has 37 % left of its warmth above the room, by the usual loss."""
    return (water_kg * WATER_CP + USUAL_POT.pot_heat + wax_kg * WAX_CP) / USUAL_POT.loss


def flame_lifts(low: bool) -> float:
    """K above the room at which the usual flame gives a bath what it loses."""
    return USUAL_POT.power * (USUAL_POT.low if low else 1.0) / USUAL_POT.loss


def bench_lasts(kg: float) -> float:
    """s after which so much wax out of the bath has 37 % left of its warmth above the room."""
    return ON_BENCH * float(max(kg, 0.01) ** (1 / 3))
