"""How fast jugs of wax cool, beside what is computed for them: in a bath that cools, and out of it.

What is computed is a bath, its pot and all wax in it as one body (`PotLaw`'s usual loss), and a jug out of it that falls towards
the room (`PotLaw`'s air). Each figure is how many times as fast it goes in truth, with the standard deviation of its logarithm
before anything was read; estimates of ours, from the spreads of the figures of `PotLaw` that each is made of. How a jug warms is
the pot's forecast, which learns the burner by itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from pourday.forecast.pot_law import USUAL_POT, WATER_CP

JugFigure = Literal["cooling", "bench"]
WAX_CP: Final = 2300.0
"""J/(kg K) of molten wax: the wax table has 2150 to 2300."""


@dataclass(frozen=True, slots=True)
class JugLaw:
    """What is held to be true of one kitchen's jugs, or of one jug."""

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


def bench_lasts(kg: float) -> float:
    """s after which so much wax out of the bath has 37 % left of its warmth above the room.

    A smaller jug has more skin for its wax and falls faster, by the cube root of its weight.
    """
    return WAX_CP / USUAL_POT.air * float(max(kg, 0.01) ** (1 / 3))
