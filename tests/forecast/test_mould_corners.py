"""Odd moulds: very thin, thin, wide, drained, hot, begun in the middle; right where they can be computed, refused in
words where not."""

from __future__ import annotations

import math
from dataclasses import replace

import msgspec
import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import j0, j1

from pourday.errors import Trouble
from pourday.forecast import fuse
from pourday.forecast import mould as mo
from pourday.forecast.remelt import remelt
from pourday.wax.enthalpy import Curve
from pourday.wax.materials import families, family

PARAFFIN = family("paraffin_pillar")
VESSEL = mo.RoundMould(0.038, 0.16)
TWO = (mo.PourInto(0.0, 85.0, PARAFFIN, height=0.025), mo.PourInto(4000.0, 80.0, PARAFFIN, height=0.05))
ROOM = (mo.Around(20.0),)
K, RHO, CP = 0.24, 900.0, 2100.0
SAME = msgspec.structs.replace(
    PARAFFIN, density_solid=RHO, density_liquid=RHO, liquid_expansion=0.0,
    conductivity_solid=K, conductivity_liquid=K, cp_solid=CP, cp_liquid=CP,
)  # fmt: skip
POINTS = np.array([-100.0, -90.0, 250.0])
PLAIN = Curve(POINTS, CP * POINTS, np.array([1.0, 0.0, 0.0]), np.array([1.0, 0.0, 0.0]))
"""A substance that does not freeze: one heat capacity throughout."""


def coarse(pours=TWO, around=ROOM, vessel=VESSEL, **more):
    return mo.simulate(vessel, pours, around, grid=mo.COARSE, **more)


def plain(radius, height, films, around, until_s, grid=mo.FINE):
    pour = mo.PourInto(0.0, 80.0, SAME, height=height, curve=PLAIN)
    return mo.simulate(
        mo.RoundMould(radius, height, films=mo.Films(*films)), [pour], around, grid=grid, until_s=until_s
    ).section(until_s)


def plate(bi, fo, place):
    """Plane wall with convection, half-thickness 1 (Carslaw and Jaeger; Incropera eq. 5.42)."""
    z = np.array(
        [
            brentq(lambda x: x * np.sin(x) - bi * np.cos(x), n * np.pi + 1e-9, n * np.pi + np.pi / 2)
            for n in range(40)
        ]
    )
    c = 4 * np.sin(z) / (2 * z + np.sin(2 * z))
    return float(np.sum(c * np.exp(-(z**2) * fo) * np.cos(z * place)))


# ------------------------------------------------------------------ sizes


@pytest.mark.parametrize("grid", [mo.COARSE, mo.FINE])
@pytest.mark.parametrize("height", [0.001, 0.003])
def test_a_plug_of_a_millimetre_cools_like_the_lump_it_is(grid, height):
    """One temperature throughout (Biot number below 0.07): T = room + (T0 - room) exp(-h A t / m c)."""
    radius, side, base, top, at_s = 0.038, 5.0, 6.0, 10.0, 120.0
    s = plain(radius, height, (side, base, top), ROOM, at_s, grid)
    rate = (base + top + side * 2 * height / radius) / (RHO * CP * height)
    areas = np.diff(s.r**2)
    mean = float((s.celsius * np.diff(s.z)[:, None] * areas).sum() / height / areas.sum())
    slowed = rate / (1 + top * height / (3 * K))
    assert 20 + 60 * math.exp(-rate * at_s) - 0.05 < mean < 20 + 60 * math.exp(-slowed * at_s) + 0.05


@pytest.mark.parametrize("grid", [mo.COARSE, mo.FINE])
@pytest.mark.parametrize("height", [0.0005, 0.001, 0.003, 0.005])
def test_a_thin_first_layer_has_a_whole_future_and_can_be_poured_on(grid, height):
    o = mo.simulate(VESSEL, [mo.PourInto(0.0, 85.0, PARAFFIN, height=height)], ROOM, grid=grid)
    assert o.solid_s is not None
    assert o.demould_s > o.solid_s
    assert o.energy_error < 1e-6
    (found,) = remelt(o, [mo.PourInto(600.0, 85.0, PARAFFIN, height=0.05)])
    assert found.soft_axis == pytest.approx(height)


@pytest.mark.parametrize("grid", [mo.COARSE, mo.FINE])
@pytest.mark.parametrize("radius", [0.005, 0.010])
def test_a_taper_follows_the_series_of_a_long_cylinder(grid, radius):
    """Convection on the side alone, at the axis, one term of Incropera eq. 5.50 (Fo above 0.2)."""
    h, at_s = 9.0, 400.0
    bi, fo = h * radius / K, K / RHO / CP * at_s / radius**2
    zeta = brentq(lambda x: x * j1(x) - bi * j0(x), 1e-6, 2.4)
    c = 2 / zeta * j1(zeta) / (j0(zeta) ** 2 + j1(zeta) ** 2)
    s = plain(radius, 0.03, (h, 1e-9, 1e-9), ROOM, at_s, grid)
    place = math.sqrt((s.r[1] ** 2 + s.r[0] ** 2) / 2) / radius
    assert fo > 0.2
    assert s.celsius[0, 0] == pytest.approx(
        20 + 60 * c * math.exp(-(zeta**2) * fo) * j0(zeta * place), abs=0.3
    )


def test_a_taper_in_a_mould_has_a_whole_future():
    for radius in (0.005, 0.0125):
        o = coarse(vessel=mo.RoundMould(radius, 0.16))
        assert TWO[1].at_s < o.solid_s < o.demould_s
        assert o.energy_error < 1e-6


def test_a_bowl_of_100_mm_radius_with_a_closed_side_is_a_plane_wall():
    half, h, at_s = 0.02, 12.0, 1800.0
    s = plain(0.1, 2 * half, (1e-9, h, h), ROOM, at_s)
    z = (s.z[1:] + s.z[:-1]) / 2
    fo = K / RHO / CP * at_s / half**2
    for i in (0, len(z) // 2, len(z) - 1):
        for j in (0, s.celsius.shape[1] - 1):
            exact = 20 + 60 * plate(h * half / K, fo, (z[i] - half) / half)
            assert s.celsius[i, j] == pytest.approx(exact, abs=0.15)


# ------------------------------------------------------------------ what stands around it


def test_a_room_that_changes_on_the_way_adds_its_own_series():
    """Linear, so the answer to each step of the room adds up (Duhamel's theorem; Carslaw and Jaeger)."""
    half, h, changed, at_s = 0.02, 12.0, 900.0, 2700.0
    s = plain(0.03, 2 * half, (1e-9, h, h), (mo.Around(20.0), mo.Around(40.0, changed)), at_s)
    z, a = (s.z[1:] + s.z[:-1]) / 2, K / RHO / CP / half**2
    for i in (0, len(z) // 2, len(z) - 1):
        first, since = (plate(h * half / K, a * t, (z[i] - half) / half) for t in (at_s, at_s - changed))
        assert s.celsius[i, 0] == pytest.approx(20 + 60 * first + 20 * (1 - since), abs=0.15)


@pytest.mark.parametrize("drained", [3000.0, 4000.0])
def test_a_pour_after_the_bath_was_drained_stands_in_the_room(drained):
    """From the heat as it was kept just after the pour the bath makes no difference any more."""
    bath = mo.Around(20.0, 100.0, bath_c=16.0, bath_level=0.10)
    around = (*ROOM, bath, mo.Around(20.0, drained))
    whole = coarse(around=around)
    assert whole.energy_error < 1e-6
    after = coarse(around=ROOM, start=whole.after_last_pour)
    assert after.solid_s == pytest.approx(whole.solid_s, rel=1e-9)
    assert after.demould_s == pytest.approx(whole.demould_s, rel=1e-9)
    assert coarse(around=(*ROOM, bath)).solid_s < 0.75 * whole.solid_s


def test_water_above_the_wax_cools_no_more_than_water_at_its_height():
    levels = [coarse(around=(mo.Around(20.0, 0.0, bath_c=16.0, bath_level=x),)) for x in (0.0751, 0.3)]
    assert levels[0].solid_s == levels[1].solid_s
    assert levels[0].energy_error < 1e-6


@pytest.mark.parametrize("room_c", [52.0, 75.0, 120.0])
def test_in_a_room_as_hot_as_the_wax_it_never_sets_and_is_never_ready(room_c):
    o = coarse(around=(mo.Around(room_c),))
    assert o.solid_s is None
    assert o.demould_s is None
    assert o.well is None
    w = fuse.window(o, 85.0)
    assert w.opens_s is None
    assert fuse.why(w) == "The surface does not get to carry the next colour in the time computed."


def test_a_hot_spell_only_delays():
    hot = coarse(around=(*ROOM, mo.Around(75.0, 5000.0), mo.Around(20.0, 30000.0)))
    assert hot.solid_s > 30000.0
    assert hot.demould_s > hot.solid_s
    assert hot.energy_error < 1e-6


# ------------------------------------------------------------------ times


def test_two_pours_in_the_same_second_are_one_pour():
    apart = coarse([TWO[0], replace(TWO[1], at_s=0.0, celsius=85.0)])
    one = coarse([replace(TWO[0], height=0.075)])
    for name in ("skin", "firm", "set"):
        assert apart.layers[1].times[name] == pytest.approx(one.layers[0].times[name], rel=0.003)
    assert apart.solid_s == pytest.approx(one.solid_s, rel=0.003)
    assert apart.layers[0].surface is None
    later = coarse([TWO[0], TWO[1], TWO[1]])
    assert later.energy_error < 1e-6
    assert later.after_last_pour.at_s == TWO[1].at_s


@pytest.mark.parametrize("until_s", [1e-6, 0.5, 4000.0, 4000.5])
def test_a_forecast_ends_where_it_is_told_to_even_inside_the_first_step(until_s):
    o = coarse(until_s=until_s)
    assert o.snaps[-1].at_s == pytest.approx(until_s, rel=1e-12)
    assert len(o.layers) == (2 if until_s > 4000 else 1)
    assert o.energy_error < 1e-6


@pytest.mark.parametrize("until_s", [math.nan, math.inf, -1.0])
def test_a_forecast_without_an_end_is_refused(until_s):
    with pytest.raises(Trouble, match="end"):
        coarse(until_s=until_s)


def test_every_wax_of_the_table_can_lie_on_every_other():
    names = [family(n) for n in families()]
    for under, over in zip(names, [*names[1:], names[0]], strict=True):
        o = coarse([replace(TWO[0], wax=under), replace(TWO[1], wax=over)])
        assert o.energy_error < 1e-6
        assert o.solid_s is not None


# ------------------------------------------------------------------ from kept heat


def test_heat_that_was_kept_of_another_mould_or_of_other_pours_is_refused():
    kept = coarse().after_last_pour
    others = (
        ((VESSEL, TWO[:1]), "other pours"),
        ((VESSEL, (TWO[0], replace(TWO[1], height=0.06))), "other pours"),
        ((mo.RoundMould(0.05, 0.16), TWO), "another mould"),
    )
    for (vessel, pours), words in others:
        with pytest.raises(Trouble, match=words):
            coarse(pours, vessel=vessel, start=kept)


def test_a_forecast_cannot_begin_after_a_pour_that_is_missing_in_it():
    begun = coarse(TWO[:1]).field_at(5000.0)
    with pytest.raises(Trouble, match="still to come"):
        coarse(start=begun)


def test_kept_heat_of_unlike_rings_is_refused_together_and_right_alone():
    cases = [mo.Case(VESSEL, TWO, ROOM), mo.Case(mo.RoundMould(0.05, 0.16), TWO, ROOM)]
    whole = [mo.simulate_all([case], grid=mo.COARSE)[0] for case in cases]
    with pytest.raises(Trouble, match="rings"):
        mo.simulate_all(cases, grid=mo.COARSE, start=[o.after_last_pour for o in whole])
    for case, o in zip(cases, whole, strict=True):
        again = mo.simulate_all([case], grid=mo.COARSE, start=[o.after_last_pour])[0]
        assert again.solid_s == pytest.approx(o.solid_s, rel=1e-9)


def test_heat_kept_on_a_coarse_grid_goes_on_on_a_fine_one():
    kept = coarse().after_last_pour
    fine = mo.simulate(VESSEL, TWO, ROOM, grid=mo.FINE, start=kept)
    assert fine.energy_error < 1e-6
    assert fine.solid_s == pytest.approx(mo.simulate(VESSEL, TWO, ROOM).solid_s, rel=0.02)


# ------------------------------------------------------------------ what is no number

NO = math.nan


@pytest.mark.parametrize(
    "case",
    [
        *(mo.Case(replace(VESSEL, **{name: NO}), TWO) for name in
          ("radius", "height", "wall", "insulation", "warm_c", "side_factor", "top_factor")),
        mo.Case(replace(VESSEL, wall=-0.001), TWO),
        mo.Case(replace(VESSEL, top_factor=-1.0), TWO),
        mo.Case(replace(VESSEL, radius=math.inf), TWO),
        mo.Case(replace(VESSEL, films=mo.Films(NO, 1.0, 1.0)), TWO),
        *(mo.Case(VESSEL, (replace(TWO[0], **{name: x}),)) for name in ("at_s", "celsius", "height")
          for x in (NO, math.inf)),
        *(mo.Case(VESSEL, TWO, (mo.Around(20.0), replace(mo.Around(20.0, 60.0, bath_c=18.0), **{name: NO})))
          for name in ("room_c", "from_s", "bath_c", "bath_level", "draught")),
        mo.Case(VESSEL, TWO, (mo.Around(20.0, 500.0), mo.Around(24.0))),
        mo.Case(VESSEL, TWO, ()),
        mo.Case(VESSEL, TWO, width_scale=NO),
        mo.Case(VESSEL, TWO, surface_scale=0.0),
    ],
)  # fmt: skip
def test_what_is_no_number_is_refused_in_words(case):
    with pytest.raises(Trouble):
        mo.simulate_all([case], grid=mo.COARSE)


def test_a_pour_at_no_time_is_refused():
    with pytest.raises(Trouble, match="Give the time"):
        remelt(coarse(), [mo.PourInto(NO, 85.0, PARAFFIN, height=0.02)])


def test_no_moulds_have_no_future():
    assert mo.simulate_all([]) == []
    assert mo.likely_early_late([]) == []
