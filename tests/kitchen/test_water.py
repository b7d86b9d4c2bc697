"""Water of the bath against the `chemicals` steam tables (IAPWS-95) and the standard atmosphere.

The Antoine equation is the simple kind of formula: 0.1 K is what it can keep down to 700 hPa."""

import pytest
from chemicals.iapws import iapws95_Psat, iapws95_rhog_sat, iapws95_Tsat
from fluids.atmosphere import ATMOSPHERE_1976

from pourday.kitchen import water

# US Standard Atmosphere 1976 with IAPWS-95, m and °C.
BOILS = [
    (0, 99.974),
    (500, 98.313),
    (1000, 96.649),
    (1500, 94.984),
    (2000, 93.317),
    (2500, 91.648),
    (3000, 89.977),
]


@pytest.mark.parametrize(("altitude", "celsius"), BOILS)
def test_boiling_point_falls_with_altitude_as_the_tables_say(altitude: float, celsius: float) -> None:
    assert water.boiling_point(water.air_pressure(altitude)) == pytest.approx(celsius, abs=0.1)


@pytest.mark.parametrize("altitude", [0, 700, 1800, 4000])
def test_air_pressure_is_the_standard_atmosphere(altitude: float) -> None:
    assert water.air_pressure(altitude) == pytest.approx(ATMOSPHERE_1976(altitude).P, rel=1e-3)


@pytest.mark.parametrize("pascal", [70e3, 95e3, 104e3])
def test_boiling_point_by_pressure_is_the_steam_table(pascal: float) -> None:
    assert water.boiling_point(pascal) == pytest.approx(iapws95_Tsat(pascal) - 273.15, abs=0.1)


@pytest.mark.parametrize("celsius", [20, 50, 80, 99])
def test_vapour_is_the_steam_table_within_two_percent(celsius: float) -> None:
    kelvin = celsius + 273.15
    assert water.vapour_pressure(celsius) == pytest.approx(iapws95_Psat(kelvin), rel=0.01)
    assert water.vapour_density(celsius) == pytest.approx(iapws95_rhog_sat(kelvin), rel=0.02)
