"""By how much the heat that one mould loses differs from day to day, held against what air that moves through a room does.

Air in a room that nobody calls draughty moves at 0.05 to 0.25 m/s (still air is below 0.2 in ASHRAE 55, the draught model of
ISO 7730 begins at 0.05; both from memory). Forced flow over a plate 0.664 Re^1/2 Pr^1/3, across a cylinder Churchill and
Bernstein (1977); with natural flow it is put together by cubes (Incropera, chapter 9.9). Nothing of the program's heat is
used, but the bench's own solver.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from pourday.learning.factors import SIGMAS
from pourday.learning.kitchen import DAY_SIGMAS
from tests import plain_lines as lines

ROOM_C, RADIUS, HEIGHT = 21.0, 0.033, 0.07
SPEED, RATIO = 0.12, 1.8
"""m/s, and the standard ratio between days: one in ten below 0.057, one in ten above 0.25."""
THERMOMETER = 1.0 / 44
"""A wall thermometer that is off by a kelvin, of 44 between wax and room."""


def on_top(v: np.ndarray) -> np.ndarray:
    """W/(m² K) off a surface of wax at 65 °C in air of so many m/s."""
    k, nu, pr = lines.air((65 + ROOM_C) / 2)
    natural, shines = lines.disc_flux(65.0, ROOM_C, RADIUS, 0.54, 0.95)
    chord = 0.9 * 2 * RADIUS
    forced = 0.664 * np.sqrt(v * chord / nu) * pr ** (1 / 3) * k / chord
    return np.cbrt((natural / (65 - ROOM_C)) ** 3 + forced**3) + shines / (65 - ROOM_C)


def at_the_wall(v: np.ndarray) -> np.ndarray:
    """The same off a wall at 55 °C."""
    k, nu, pr = lines.air((55 + ROOM_C) / 2)
    natural, shines = lines.side_flux(55.0, ROOM_C, HEIGHT, 2 * RADIUS, 0.9)
    reynolds = v * 2 * RADIUS / nu
    turned = (1 + (0.4 / pr) ** (2 / 3)) ** 0.25
    nusselt = (
        0.3 + 0.62 * np.sqrt(reynolds) * pr ** (1 / 3) / turned * (1 + (reynolds / 282000) ** 0.625) ** 0.8
    )
    return np.cbrt((natural / (55 - ROOM_C)) ** 3 + (nusselt * k / (2 * RADIUS)) ** 3) + shines / (
        55 - ROOM_C
    )


@pytest.mark.parametrize(("i", "loses"), [(0, on_top), (1, at_the_wall)])
def test_days_differ_as_much_as_air_in_a_room_makes_them(i: int, loses) -> None:
    speeds = SPEED * RATIO ** np.random.default_rng(0).normal(size=4000)
    spread = math.hypot(float(np.log(loses(speeds)).std()), THERMOMETER)
    assert 0.03 < spread < 0.06
    assert spread < DAY_SIGMAS[i] < 2 * spread, "with room for what stands around it, and not much more"
    assert DAY_SIGMAS[i] < SIGMAS[i] / 2, "kitchens differ by more than one kitchen's days"
