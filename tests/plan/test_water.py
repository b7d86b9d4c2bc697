"""Water and altitude, against steam tables and the standard atmosphere."""

from __future__ import annotations

import pytest
from chemicals.iapws import iapws95_Tsat
from fluids.atmosphere import ATMOSPHERE_1976

from pourday.plan.check import BadField
from pourday.plan.water import bath_reach, boiling_at_pressure_c, boiling_c, pressure_at


@pytest.mark.parametrize("altitude", [-400, 0, 250, 1000, 1609, 2500, 3000, 5500])
def test_boiling_point_agrees_with_a_steam_table_library(altitude: float) -> None:
    """IAPWS-95 and the 1976 atmosphere from `chemicals` and `fluids`: other formulas, same water."""
    pascal = ATMOSPHERE_1976(altitude).P
    assert pressure_at(altitude) == pytest.approx(pascal, rel=1e-6)
    assert boiling_c(altitude) == pytest.approx(iapws95_Tsat(pascal) - 273.15, abs=0.02)


@pytest.mark.parametrize(
    ("altitude", "celsius"),
    [
        (0, 99.974),
        (500, 98.313),
        (1000, 96.649),
        (1500, 94.984),
        (2000, 93.317),
        (2500, 91.648),
        (3000, 89.977),
    ],
)
def test_boiling_point_by_altitude(altitude: float, celsius: float) -> None:
    """U.S. Standard Atmosphere 1976 with IAPWS-95, worked out outside the program. Independent."""
    assert boiling_c(altitude) == pytest.approx(celsius, abs=0.05)


@pytest.mark.parametrize(("altitude", "celsius"), [(1000, 96.5), (2000, 93.1), (3000, 89.8)])
def test_boiling_point_agrees_with_a_published_altitude_table(altitude: float, celsius: float) -> None:
    """A table from a web page: a second opinion only."""
    assert boiling_c(altitude) == pytest.approx(celsius, abs=0.3)


@pytest.mark.parametrize(
    ("hectopascal", "celsius"),
    [
        (950, 98.18),
        (970, 98.76),
        (980, 99.04),
        (1000, 99.61),
        (1013.25, 99.97),
        (1030, 100.43),
        (1040, 100.71),
    ],
)
def test_boiling_point_by_weather(hectopascal: float, celsius: float) -> None:
    """IAPWS-95 saturation, worked out outside the program. Independent."""
    assert boiling_at_pressure_c(hectopascal * 100) == pytest.approx(celsius, abs=0.03)


@pytest.mark.parametrize(("megapascal", "kelvin"), [(0.1, 372.755919), (1, 453.035632), (10, 584.149488)])
def test_the_published_check_values_of_the_formula_are_met(megapascal: float, kelvin: float) -> None:
    """Table 36 of IAPWS R7-97, the release that publishes the formula (values from memory)."""
    assert boiling_at_pressure_c(megapascal * 1e6) + 273.15 == pytest.approx(kelvin, abs=1e-5)


def test_a_bath_reaches_less_the_higher_it_stands() -> None:
    """92 °C for palm wax over a plain water bath: at the coast yes, at 1500 m perhaps, at 2500 m no.

    The 2 to 5 K the wax stays below the water are an estimate.
    """
    assert [bath_reach(altitude).reaches(92) for altitude in (0, 1500, 2500)] == ["yes", "perhaps", "no"]


@pytest.mark.parametrize("altitude", [float("nan"), 9000, -1000])
def test_an_altitude_nobody_cooks_at_is_refused(altitude: float) -> None:
    with pytest.raises(BadField) as caught:
        boiling_c(altitude)
    assert caught.value.field == "altitude"
