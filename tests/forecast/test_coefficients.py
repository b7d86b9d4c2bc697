"""Heat coefficients agree with published figures and with the `ht`, `fluids` and `chemicals` libraries."""

from __future__ import annotations

import chemicals
import ht
import numpy as np
import pytest
from fluids.atmosphere import ATMOSPHERE_1976

from pourday.forecast import coefficients as co
from pourday.forecast.mould_outside import through


def test_radiation_at_room_temperature_is_that_of_the_building_standard():
    """5.42 W/(m² K) goes with EN ISO 6946 (eps 0.95, 20 °C; quoted in Energies 14(18) 5953, 2021)."""
    assert co.radiation(0.95, 20.0, 20.0) == pytest.approx(5.42, abs=0.03)


@pytest.mark.parametrize(("emissivity", "expected"), [(0.9, 6.29), (0.1, 0.70)])
def test_radiation_at_60_to_20(emissivity, expected):
    """4 eps sigma Tm³ with sums, worked by hand."""
    assert co.radiation(emissivity, 60.0, 20.0) == pytest.approx(expected, abs=0.01)


def test_air_at_40_is_as_in_handbooks():
    """k 0.0273 W/(m K), nu 1.692e-5 m²/s, Pr 0.703."""
    a = co.air(40.0)
    assert float(a.conductivity) == pytest.approx(0.0273, rel=0.005)
    assert float(a.viscosity) == pytest.approx(1.692e-5, rel=0.005)
    assert float(a.prandtl) == pytest.approx(0.703, rel=0.01)


@pytest.mark.parametrize("celsius", [0.0, 20.0, 45.0, 70.0])
def test_air_follows_the_standard_atmospheres_viscosity_and_conductivity(celsius):
    """US Standard Atmosphere 1976 formulas in `fluids`."""
    a, t = co.air(celsius), celsius + 273.15
    rho = 101325 / (287.05 * t)
    assert float(a.viscosity) * rho == pytest.approx(ATMOSPHERE_1976.viscosity(t), rel=0.005)
    assert float(a.conductivity) == pytest.approx(ATMOSPHERE_1976.thermal_conductivity(t), rel=0.015)


@pytest.mark.parametrize("celsius", [12.0, 25.0, 43.0, 68.0])
def test_water_follows_the_international_formulations(celsius):
    """IAPWS-95 density and the IAPWS viscosity and conductivity formulas in `chemicals`."""
    w, t = co.water(celsius), celsius + 273.15
    rho = chemicals.iapws95_rho(t, 101325.0)
    step = (chemicals.iapws95_rho(t + 0.5, 101325.0) - chemicals.iapws95_rho(t - 0.5, 101325.0)) / rho
    assert float(w.viscosity) == pytest.approx(chemicals.mu_IAPWS(t, rho) / rho, rel=0.02)
    assert float(w.conductivity) == pytest.approx(chemicals.k_IAPWS(t, rho), rel=0.01)
    assert float(w.expansion) == pytest.approx(-step, rel=0.03)


@pytest.mark.parametrize("ra", [1e5, 1e7, 8e8])
@pytest.mark.parametrize("pr", [0.7, 5.0])
def test_churchill_and_chu_is_that_of_the_ht_library(ra, pr):
    """`ht` has the general relation of Churchill and Chu (1975)."""
    expected = ht.Nu_vertical_plate_Churchill(pr, ra / pr)
    assert co.churchill_chu(ra, pr, laminar=False) == pytest.approx(expected, rel=1e-6)


def test_an_upright_wall_of_150_mm_at_60_in_air_of_20():
    """Ra 1.04e7; laminar 5.43, general 5.73, with the slender factor for 70 mm 5.80 W/(m² K), worked apart."""
    fluid = co.air(40.0)
    ra = co.rayleigh(fluid, 0.15, 40.0)
    assert ra == pytest.approx(1.04e7, rel=0.02)
    scale = fluid.conductivity / 0.15
    assert co.churchill_chu(ra, fluid.prandtl, laminar=True) * scale == pytest.approx(5.43, rel=0.02)
    assert co.churchill_chu(ra, fluid.prandtl, laminar=False) * scale == pytest.approx(5.73, rel=0.02)
    assert co.upright(60.0, 20.0, 0.15, 0.07) == pytest.approx(5.80, rel=0.02)


def test_a_mould_at_40_loses_more_than_a_tall_room_wall():
    """EN ISO 6946 gives 2.50 W/(m² K) for room walls; a mould is shorter and hotter."""
    assert 4.0 < co.upright(40.0, 20.0, 0.15, 0.07) < 5.5


@pytest.mark.parametrize("difference", [15.0, 40.0])
def test_discs_follow_mcadams_as_in_the_ht_library(difference):
    radius, surface = 0.06, 20 + difference
    fluid = co.air((surface + 20) / 2)
    grashof = co.rayleigh(fluid, radius / 2, difference) / fluid.prandtl
    for ours, up in ((co.facing_up, True), (co.facing_down, False)):
        nu = ht.Nu_horizontal_plate_McAdams(float(fluid.prandtl), float(grashof), buoyancy=up)
        assert ours(surface, 20.0, radius) == pytest.approx(nu * fluid.conductivity / (radius / 2), rel=1e-6)


def test_still_water_takes_heat_as_text_books_say():
    """0.15 m wall, 40 °C in 20 °C water: 717 W/(m² K) worked apart with Churchill and Chu, within 10 %."""
    assert co.in_water(40.0, 20.0, 0.15) == pytest.approx(717, rel=0.10)
    assert co.rayleigh(co.water(30.0), 0.15, 20.0) == pytest.approx(1.7e9, rel=0.10)


@pytest.mark.parametrize(
    ("material", "thickness", "expected"),
    [("plastic", 0.002, 0.0100), ("silicone", 0.010, 0.0286), ("glass", 0.003, 0.0030), ("bright metal", 0.0006, 3.75e-6)],
)  # fmt: skip
def test_walls_resist_as_with_the_standards_conductivities(material, thickness, expected):
    """Conductivities of EN ISO 10077-2:2003."""
    assert thickness / co.WALLS[material].conductivity == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize(
    ("film", "walls", "expected"),
    [(10, (0.0100, 0.0286, 0.0030, 3.75e-6), (9.09, 7.78, 9.71, 10.0)), (400, (0.0100, 0.0286, 0.0030, 3.75e-6), (80.0, 32.2, 181.8, 399.4))],
)  # fmt: skip
def test_wall_and_film_add_up(film, walls, expected):
    """Resistances in series, worked by hand."""
    found = [through(lambda t: np.full_like(t, film), w, 20.0) for w in walls]
    assert [float(each[0]) for each in found] == pytest.approx(expected, rel=0.002)


def test_a_disc_deep_in_a_well_sends_less_heat_out():
    """Equal coaxial discs one radius apart see 0.382 of each other: (3 - sqrt 5)/2 (Howell's catalogue)."""
    assert co.recessed(0.04, 0.0) == 1.0
    assert co.recessed(0.04, 0.04) == pytest.approx((1 + (3 - 5**0.5) / 2) / 2, rel=1e-9)
    depths = np.array([co.recessed(0.04, d) for d in (0.01, 0.05, 0.2, 2.0)])
    assert np.all(np.diff(depths) < 0)
    assert depths[-1] == pytest.approx(0.5, abs=0.01)
