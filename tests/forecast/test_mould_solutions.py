"""The mould's heat agrees with exact solutions of heat conduction, with and without freezing."""

from __future__ import annotations

from dataclasses import replace

import msgspec
import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import erf, erfc, j0, j1

from pourday.forecast import mould as mo
from pourday.wax.enthalpy import Curve
from pourday.wax.materials import family

NONE = 1e-9
"""W/(m² K) of a face that is as good as closed."""
K, RHO, CP = 0.24, 900.0, 2100.0
SAME = msgspec.structs.replace(
    family("stearic_commercial"), density_solid=RHO, density_liquid=RHO, liquid_expansion=0.0,
    conductivity_solid=K, conductivity_liquid=K, cp_solid=CP, cp_liquid=CP,
)  # fmt: skip
POINTS = np.array([-100.0, -90.0, 250.0])
PLAIN = Curve(POINTS, CP * POINTS, np.array([1.0, 0.0, 0.0]), np.array([1.0, 0.0, 0.0]))
"""A substance that does not freeze: one heat capacity throughout."""
EXACT = mo.Resolution(0.0008, 0.0008, 0.0008, 0.0016, 0.05, 0.02, 0.5, 30.0)


def plain_mould(radius, height, films, until_s, start_c=80.0, room_c=20.0):
    pour = mo.PourInto(0.0, start_c, SAME, height=height, curve=PLAIN)
    return mo.simulate(
        mo.RoundMould(radius, height, films=mo.Films(*films)),
        [pour],
        mo.Around(room_c),
        grid=EXACT,
        until_s=until_s,
    )


def plate_series(bi, fo, place):
    """Plane wall with convection, half-thickness 1 (Carslaw and Jaeger; Incropera eq. 5.42)."""
    roots = [
        brentq(lambda z: z * np.sin(z) - bi * np.cos(z), n * np.pi + 1e-9, n * np.pi + np.pi / 2)
        for n in range(40)
    ]
    z = np.array(roots)
    c = 4 * np.sin(z) / (2 * z + np.sin(2 * z))
    return float(np.sum(c * np.exp(-(z**2) * fo) * np.cos(z * place)))


def cylinder_series(bi, fo, place):
    """Long cylinder with convection, radius 1 (Incropera eq. 5.50)."""
    grid = np.linspace(1e-6, 130, 20000)
    value = grid * j1(grid) - bi * j0(grid)
    at = np.flatnonzero(np.sign(value[1:]) != np.sign(value[:-1]))
    z = np.array([brentq(lambda x: x * j1(x) - bi * j0(x), grid[i], grid[i + 1]) for i in at[:35]])
    c = 2 / z * j1(z) / (j0(z) ** 2 + j1(z) ** 2)
    return float(np.sum(c * np.exp(-(z**2) * fo) * j0(z * place)))


def cells(section):
    """Places that a cell's mean stands for: middle height, and the radius that halves the ring's area."""
    return (section.z[1:] + section.z[:-1]) / 2, np.sqrt((section.r[1:] ** 2 + section.r[:-1] ** 2) / 2)


@pytest.mark.parametrize("at_s", [600.0, 1800.0, 5400.0])
def test_a_plane_wall_with_convection_follows_the_series(at_s):
    half, h = 0.02, 12.0
    s = plain_mould(0.03, 2 * half, (NONE, h, h), at_s).section(at_s)
    z, _ = cells(s)
    fo = K / RHO / CP * at_s / half**2
    for i in (0, len(z) // 4, len(z) // 2, len(z) - 1):
        exact = 20 + 60 * plate_series(h * half / K, fo, (z[i] - half) / half)
        assert s.celsius[i, 0] == pytest.approx(exact, abs=0.1)


@pytest.mark.parametrize("at_s", [600.0, 1800.0, 5400.0])
def test_a_long_cylinder_with_convection_follows_the_series(at_s):
    radius, h = 0.03, 9.0
    s = plain_mould(radius, 0.02, (h, NONE, NONE), at_s).section(at_s)
    _, r = cells(s)
    fo = K / RHO / CP * at_s / radius**2
    for j in (0, len(r) // 2, len(r) - 1):
        exact = 20 + 60 * cylinder_series(h * radius / K, fo, r[j] / radius)
        assert s.celsius[0, j] == pytest.approx(exact, abs=0.1)


@pytest.mark.parametrize(("place", "rise"), [("plate", (0.8603, 1.1191)), ("cylinder", (1.2558, 1.2071))])
def test_the_middle_follows_the_published_one_term_solution(place, rise):
    """zeta and C at Bi = 1 of Incropera and DeWitt, table 5.1, good for Fo above 0.2."""
    zeta, c = rise
    length, at_s = 0.02, 3000.0
    h = K / length
    if place == "plate":
        s = plain_mould(0.03, 2 * length, (NONE, h, h), at_s).section(at_s)
        found = float(np.interp(length, cells(s)[0], s.celsius[:, 0]))
    else:
        s = plain_mould(length, 0.02, (h, NONE, NONE), at_s).section(at_s)
        r2 = cells(s)[1] ** 2
        found = float(s.celsius[0, 0] - (s.celsius[0, 1] - s.celsius[0, 0]) / (r2[1] - r2[0]) * r2[0])
    fo = K / RHO / CP * at_s / length**2
    assert fo > 0.2
    assert found == pytest.approx(20 + 60 * c * np.exp(-(zeta**2) * fo), abs=0.1)


def test_a_short_cylinder_is_the_product_of_wall_and_cylinder():
    """Product solution for convection on all faces (Carslaw and Jaeger)."""
    radius, half, h, at_s = 0.03, 0.035, 9.0, 3600.0
    s = plain_mould(radius, 2 * half, (h, h, h), at_s).section(at_s)
    z, r = cells(s)
    a = K / RHO / CP * at_s
    for i in (0, len(z) // 3, len(z) // 2):
        for j in (0, len(r) - 1):
            wall = plate_series(h * half / K, a / half**2, (z[i] - half) / half)
            exact = 20 + 60 * wall * cylinder_series(h * radius / K, a / radius**2, r[j] / radius)
            assert s.celsius[i, j] == pytest.approx(exact, abs=0.1)


def test_two_bodies_that_touch_meet_at_the_contact_temperature():
    """(e1 T1 + e2 T2)/(e1 + e2), two half-spaces (Carslaw and Jaeger), unlike waxes that do not freeze."""
    other = msgspec.structs.replace(SAME, conductivity_solid=0.12, conductivity_liquid=0.12)
    vessel = mo.RoundMould(0.03, 0.2, films=mo.Films(NONE, NONE, NONE))
    pours = [
        mo.PourInto(0.0, 20.0, SAME, height=0.05, curve=PLAIN),
        mo.PourInto(10.0, 80.0, other, height=0.05, curve=PLAIN),
    ]
    s = mo.simulate(vessel, pours, mo.Around(20), grid=EXACT, until_s=70.0).section(70.0)
    e1, e2 = (np.sqrt(k * RHO * CP) for k in (0.12, K))
    i = int(np.searchsorted(s.layer, 1))
    z, _ = cells(s)
    below = s.celsius[i - 1, 0] + (s.celsius[i - 1, 0] - s.celsius[i - 2, 0]) / (z[i - 1] - z[i - 2]) * (
        s.z[i] - z[i - 1]
    )
    assert below == pytest.approx((e1 * 80 + e2 * 20) / (e1 + e2), abs=0.1)


def neumann(k_s, k_l, c_s, c_l, latent, cold, melt, hot):
    """Root of Neumann's two-phase similarity solution (Carslaw and Jaeger, 11.2): front = 2 lambda sqrt(a_s t)."""
    a_s, a_l = k_s / RHO / c_s, k_l / RHO / c_l
    ratio = np.sqrt(a_s / a_l)

    def balance(x):
        solid = np.exp(-(x**2)) / erf(x)
        liquid = (
            k_l * ratio * (hot - melt) * np.exp(-((x * ratio) ** 2)) / (k_s * (melt - cold) * erfc(x * ratio))
        )
        return solid - liquid - x * latent * np.sqrt(np.pi) / (c_s * (melt - cold))

    return brentq(balance, 1e-3, 3.0), a_s


@pytest.mark.parametrize(("cold", "hot"), [(20.0, 60.5), (20.0, 85.0), (45.0, 80.0)])
def test_a_freezing_front_runs_as_in_neumanns_solution(cold, hot):
    """Front of a pure substance within 0.5 % at three times, from the base into deep liquid."""
    wax = msgspec.structs.replace(
        SAME, solidus_c=59.98, peak_c=60.0, liquidus_c=60.02, latent_main=190e3,
        conductivity_liquid=0.16, cp_liquid=2300.0,
    )  # fmt: skip
    root, a_s = neumann(K, 0.16, CP, 2300.0, 190e3, cold, 60.0, hot)
    vessel = mo.RoundMould(0.02, 0.12, films=mo.Films(NONE, 1e6, NONE))
    pour = mo.PourInto(0.0, hot, wax, height=0.12)
    grid = mo.Resolution(0.002, 0.001, 0.00025, 0.002, 0.02, 0.02, 0.5, 20.0)
    o = mo.simulate(vessel, [pour], mo.Around(cold), grid=grid, until_s=6000.0)
    for at_s in (2000.0, 4000.0, 6000.0):
        s = o.section(at_s)
        front = float((s.solid[:, 0] * np.diff(s.z)).sum())
        assert front == pytest.approx(2 * root * np.sqrt(a_s * at_s), rel=0.005)


def test_halving_cells_and_steps_brings_the_middle_nearer_to_the_series():
    radius, h, at_s = 0.03, 9.0, 1800.0
    exact = 20 + 60 * cylinder_series(h * radius / K, K / RHO / CP * at_s / radius**2, 0.0)
    errors = []
    for n in (1, 2, 4):
        grid = replace(EXACT, wall=0.005 / n, widest=0.005 / n, step=0.1 / n, step_most=120.0 / n)
        pour = mo.PourInto(0.0, 80.0, SAME, height=0.02, curve=PLAIN)
        vessel = mo.RoundMould(radius, 0.02, films=mo.Films(h, NONE, NONE))
        s = mo.simulate(vessel, [pour], mo.Around(20.0), grid=grid, until_s=at_s).section(at_s)
        r2 = cells(s)[1] ** 2
        middle = s.celsius[0, 0] - (s.celsius[0, 1] - s.celsius[0, 0]) / (r2[1] - r2[0]) * r2[0]
        errors.append(abs(float(middle) - exact))
    assert errors[1] < errors[0] / 2.5
    assert errors[2] < errors[1] / 2.5
