"""The water of the bath: what leaves it as steam, and what a bath that has boiled down does to the wax.

Held against IAPWS-95 (`chemicals`), the ASHRAE evaporation formula for open water, and the simulated kitchen, which
shares no code with the forecast.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from chemicals.iapws import iapws92_dPsat_dT, iapws92_rhol_sat, iapws95_Psat, iapws95_rhog_sat

from pourday.forecast.pot import Guess, PotForecast, PotSetup, after_change, forecast, topped_up
from pourday.forecast.pot_law import STEAM, STEAM_SHARE, USUAL_POT
from pourday.kitchen.pot import Pot
from pourday.wax.materials import family

PILLAR = family("paraffin_pillar")
HOUR = 3600.0
WALL = 0.15 * 9.5
"""W/K of the pot's wall, as `pot_prior.py` has it,"""
OPEN = 0.02
"""and m² of open water."""


def known(**changes: object) -> PotSetup:
    base = {"wax": PILLAR, "kg": 0.3, "mode": "on low", "mode_since": 0.0, "water_kg": 1.5, "water_sd": 0.1}
    return PotSetup(**{**base, "start_c": Guess(80.0, 0.5), "bath_c": Guess(86.0, 1.0), **changes})


@pytest.mark.parametrize("celsius", [70.0, 85.0, 100.0])
def test_the_heat_of_steam_is_that_of_the_steam_tables(celsius: float) -> None:
    """Clapeyron's equation on IAPWS: T dP/dT (1/rho_gas - 1/rho_liquid)."""
    kelvin = celsius + 273.15
    slope, _ = iapws92_dPsat_dT(kelvin)
    latent = kelvin * slope * (1.0 / iapws95_rhog_sat(kelvin) - 1.0 / iapws92_rhol_sat(kelvin))
    assert latent == pytest.approx(STEAM, rel=0.025)


@pytest.mark.parametrize("celsius", [60.0, 75.0, 85.0, 95.0])
def test_a_bath_loses_as_much_steam_as_open_water_by_a_published_formula(celsius: float) -> None:
    """ASHRAE Handbook, Applications, natatoriums: kg/(s m²) = (pw - pa)(0.089 + 0.0782 v)/latent heat, kPa and kJ/kg; from
    memory. Still air above the stove, half full of vapour at 20 °C; it is meant for pools, so a third either way."""
    over = (iapws95_Psat(celsius + 273.15) - 0.5 * iapws95_Psat(293.15)) / 1000.0
    published = OPEN * over * 0.089 / (STEAM / 1000.0)
    above = celsius - 20.0
    lost = USUAL_POT.loss * above * (above / 50.0) ** 0.5
    assert lost * (STEAM_SHARE[0] + STEAM_SHARE[1] * above) / STEAM == pytest.approx(published, rel=0.33)


@pytest.mark.parametrize("above", [30.0, 50.0, 70.0])
def test_wall_and_steam_come_to_what_a_bath_loses(above: float) -> None:
    lost = USUAL_POT.loss * above * (above / 50.0) ** 0.5
    assert lost * (1.0 - STEAM_SHARE[0] - STEAM_SHARE[1] * above) == pytest.approx(WALL * above, rel=0.3)


@pytest.mark.parametrize(("seed", "low"), [(3, 0.2), (4, 0.3), (8, 0.4)])
def test_after_hours_on_a_low_flame_the_water_left_is_within_its_band(seed: int, low: float) -> None:
    """Against the simulated kitchen, read every 20 minutes, whose open water and losses are drawn apart."""
    pot = Pot(PILLAR, 0.3, 1.5, np.random.default_rng(seed))
    pot.truth = replace(pot.truth, low=low, steps=100)
    pot.burner(True)
    while pot.wax_c < 80.0:
        pot.advance(30.0)
    pot.burner(True, low)
    begun, before, readings = pot.seconds, pot.water_kg, [(0.0, pot.wax_c)]
    start = known(start_c=Guess(pot.wax_c, 0.5), bath_c=Guess(pot.water_c, 2.0), water_kg=before)
    for _ in range(9):
        pot.advance(20 * 60.0)
        readings.append((pot.seconds - begun, pot.wax_c))
    view = forecast(start, readings, 3 * HOUR)
    least, likely, most = view.water_at(3 * HOUR)
    assert least - 0.1 <= pot.water_kg <= most + 0.1
    assert before - likely == pytest.approx(before - pot.water_kg, rel=0.5)


def left(setup: PotSetup, gone: float, mode: str) -> PotForecast:
    return forecast(replace(setup, gone_kg=gone, mode=mode), (), 0.0)


def test_a_bath_that_has_boiled_down_heats_faster_and_carries_less_on() -> None:
    cool = known(start_c=Guess(60.0, 0.5), bath_c=Guess(62.0, 1.0))
    full, low = (left(cool, gone, "on heat").reaches(80.0).spread.likely for gone in (0.0, 1.0))
    assert low < 0.7 * full
    hot = known(start_c=Guess(65.0, 0.5), bath_c=Guess(95.0, 1.0), mode_was="off heat", burner_since=-1e5)
    peaks = [max(left(hot, gone, "off heat").at(60.0 * m)[1] for m in range(12)) for gone in (0.0, 1.0)]
    assert peaks[1] < peaks[0] - 2.0


def test_what_has_boiled_away_goes_from_one_stretch_to_the_next_until_it_is_topped_up() -> None:
    view = forecast(known(), (), 0.0)
    assert 0.1 < view.gone_at(2 * HOUR) < 0.6
    later = after_change(view, 2 * HOUR, "on heat")
    assert later.gone_kg == view.gone_at(2 * HOUR)
    again = topped_up(later, Guess(60.0, 15.0))
    assert again.gone_kg == 0.0
    assert again.bath_guess.mean < later.bath_guess.mean - 1.0
    assert forecast(again, (), 2 * HOUR).water_at(2 * HOUR)[1] == pytest.approx(1.5, rel=0.05)


def test_a_bath_that_boils_hard_is_down_to_half_long_before_one_over_a_low_flame() -> None:
    hard = forecast(known(mode="on heat", bath_c=Guess(97.0, 1.0)), (), 0.0).boils_away(0.5)
    soft = forecast(known(), (), 0.0).boils_away(0.5)
    assert 15 * 60.0 < hard < HOUR
    assert soft > 2 * hard
