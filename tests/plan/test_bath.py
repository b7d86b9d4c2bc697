"""How much water a bath holds: as told, else by the size of its pot."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from pourday.demo.scenario import two_pillars
from pourday.plan.bath import bath_water, usual_bath
from pourday.plan.model import Plan


def test_what_was_told_counts() -> None:
    """1.5 l of water at 20 °C are 1.497 kg (CRC Handbook)."""
    kg, told = bath_water(two_pillars())
    assert (kg, told) == (pytest.approx(1.497, abs=0.001), True)


def test_a_pot_of_twice_the_size_has_a_bath_that_grows_as_its_surface_does() -> None:
    """Similar bodies: area goes as volume^(2/3), 1.587 for twice."""
    plan = replace(two_pillars(), bath=None)
    small, large = (usual_bath(replace(plan, pot=volume)) for volume in (0.002, 0.004))
    assert large / small == pytest.approx(1.587, abs=0.001)
    assert 0.001 <= small <= 0.003


def test_a_plan_that_cannot_be_weighed_out_has_a_usual_bath_all_the_same() -> None:
    assert bath_water(Plan(moulds=(), layers=())) == (pytest.approx(1.75, abs=0.01), False)
