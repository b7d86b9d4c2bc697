"""Pan and jug of the simulated kitchen: heat in is heat kept, and what has set does not pour."""

from __future__ import annotations

import math

import pytest

from pourday.errors import Trouble
from pourday.kitchen.vessel import PIECES_LAST, Vessel


def test_a_kilogram_warms_as_its_heat_capacity_says(plain_lot):
    """2000 J/kgK and 500 J/K of metal: 25 kJ are 10 K."""
    vessel = Vessel(plain_lot(cp=2000.0), 500.0, 20.0)
    vessel.add(1.0, vessel.enthalpy_at(20.0))
    vessel.take(25_000.0)
    assert vessel.celsius == pytest.approx(30.0)


def test_melting_takes_the_latent_heat_and_no_degrees(plain_lot):
    """180 kJ/kg over one kelvin about 60.5 °C."""
    vessel = Vessel(plain_lot(cp=2000.0, latent=180_000.0), 0.0, 60.0)
    vessel.add(1.0, vessel.enthalpy_at(60.0))
    vessel.take(90_000.0)
    assert 60.0 < vessel.celsius < 61.0
    assert vessel.melted == pytest.approx(0.5, abs=0.02)
    vessel.take(92_000.0)
    assert vessel.celsius == pytest.approx(61.0, abs=0.1)


def test_cold_pieces_melt_in_by_their_time_and_bring_their_heat(plain_lot):
    vessel = Vessel(plain_lot(), 0.0, 80.0)
    vessel.add(1.0, vessel.enthalpy_at(80.0))
    vessel.drop_in(0.5, 20.0)
    energy = vessel.energy
    vessel.melt_in(PIECES_LAST)
    assert vessel.pieces == pytest.approx(0.5 / math.e)
    vessel.melt_in(50 * PIECES_LAST)
    assert (vessel.pieces, vessel.wax_kg) == (0.0, pytest.approx(1.5))
    assert vessel.energy == pytest.approx(energy)
    assert vessel.celsius == pytest.approx(60.0)


def test_no_more_is_taken_than_there_is_and_nothing_that_has_set(plain_lot):
    vessel = Vessel(plain_lot(latent=180_000.0), 0.0, 80.0)
    vessel.add(0.3, vessel.enthalpy_at(80.0))
    with pytest.raises(Trouble, match="only 300 g of molten wax here, not 400 g"):
        vessel.remove(0.4)
    assert vessel.remove(0.1) == pytest.approx(vessel.enthalpy_at(80.0))
    assert (vessel.kg, vessel.celsius) == (pytest.approx(0.2), pytest.approx(80.0))
    vessel.take(vessel.kg * (vessel.enthalpy_at(40.0) - vessel.enthalpy_at(80.0)))
    with pytest.raises(Trouble, match="has set and will not pour"):
        vessel.remove(0.1)


def test_what_clings_does_not_pour_and_a_hair_too_much_is_told_in_tenths(plain_lot):
    vessel = Vessel(plain_lot(), 0.0, 80.0, keeps=0.010)
    vessel.add(0.6184, vessel.enthalpy_at(80.0))
    with pytest.raises(Trouble, match=r"only 608\.4 g of molten wax here, not 608\.5 g"):
        vessel.remove(0.60846)
    vessel.remove(0.6084)
    assert vessel.pourable == pytest.approx(0.0)
    assert vessel.kg == pytest.approx(0.010)
