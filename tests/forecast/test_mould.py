"""Layers in moulds: what a forecast says, that no heat is lost, and that it can go on from a kept field."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from pourday.errors import Trouble
from pourday.forecast import mould as mo
from pourday.forecast.mould_run import run_all
from pourday.wax.enthalpy import curve
from pourday.wax.materials import families, family

PARAFFIN, BEESWAX, SOY = family("paraffin_pillar"), family("beeswax"), family("soy_pillar")
ROOM = (mo.Around(20.0),)
MATERIALS = ["bright metal", "dull metal", "plastic", "silicone", "glass"]


def three(wax=PARAFFIN, celsius=85.0):
    return (
        mo.PourInto(0.0, celsius, wax, height=0.025),
        mo.PourInto(2700.0, celsius, wax, height=0.100),
        mo.PourInto(7200.0, celsius, wax, height=0.025),
    )


def base(wax=PARAFFIN, celsius=85.0, vessel=None, around=ROOM, **keywords):
    pour = mo.PourInto(0.0, celsius, wax, height=0.025)
    return mo.simulate(vessel or mo.RoundMould(0.0375, 0.15), [pour], around, grid=mo.COARSE, **keywords)


@pytest.mark.parametrize("material", MATERIALS)
def test_heat_closes_to_a_millionth_whatever_the_mould(material):
    """Heat brought = heat kept + heat that arrived outside, each summed on its own."""
    o = mo.simulate(mo.RoundMould(0.038, 0.16, material), three(), ROOM, grid=mo.COARSE)
    assert o.energy_error < 1e-6


def test_what_the_surroundings_got_is_what_the_wax_held():
    """Closure by the enthalpy curve itself: a candle of one wax from 85 °C to its end, wall heat left out."""
    vessel = mo.RoundMould(0.03, 0.10, films=mo.Films(9, 6, 10))
    pour = mo.PourInto(0.0, 85.0, PARAFFIN, mass=0.2)
    case = mo.Case(vessel, (pour,), ROOM)
    run = run_all([case], mo.COARSE, None, None)[0]
    s = mo.simulate_all([case], grid=mo.COARSE)[0].section(1e9)
    weight = np.diff(s.z)[:, None] * np.diff(s.r**2)
    c = curve(PARAFFIN)
    left = float((c.heat_at(s.celsius) * weight).sum() / weight.sum())
    assert run.lost == pytest.approx(0.2 * (float(c.heat_at(85.0)) - left), rel=1e-6)


def test_heat_closes_through_a_bath_and_a_change_of_room():
    around = (mo.Around(20.0), mo.Around(20.0, 120.0, bath_c=16.0, bath_level=0.10), mo.Around(24.0, 5000.0))
    o = mo.simulate(mo.RoundMould(0.038, 0.16, "plastic"), three(), around, grid=mo.COARSE)
    assert o.energy_error < 1e-6


@pytest.mark.parametrize(
    "wax", [w for w in families().values() if w.mould_suitable != "no"], ids=lambda w: w.id
)
def test_every_wax_gives_its_events_in_order(wax):
    o = base(wax, wax.pour_max_c)
    t = o.layers[0].times
    for name in ("skin", "firm", "set"):
        assert t[f"{name}_edge"] < t[name] < t[f"{name}_axis"]
    assert t["skin"] < t["firm"] < t["set"] <= t["crust_2mm"] <= t["crust_5mm"] <= t["solid"] + 1
    assert t["solid"] < o.demould_s


def test_going_on_from_the_kept_field_changes_nothing():
    case = mo.Case(mo.RoundMould(0.038, 0.16), three(), ROOM)
    whole = mo.simulate_all([case], grid=mo.COARSE)[0]
    again = mo.simulate_all([case], grid=mo.COARSE, start=[whole.after_last_pour])[0]
    assert again.layers[0].surface is None
    assert again.layers[-1].times == pytest.approx(whole.layers[-1].times)
    assert again.demould_s == pytest.approx(whole.demould_s)


def test_a_batch_says_what_each_mould_alone_says():
    """Different sizes, pour times and numbers of layers share one array without touching each other."""
    cases = [
        mo.Case(mo.RoundMould(0.038, 0.16), three(), ROOM),
        mo.Case(mo.RoundMould(0.025, 0.12, "silicone"), three(BEESWAX, 75.0)[:1], (mo.Around(24.0),)),
        mo.Case(mo.RoundMould(0.045, 0.10, "glass"), (mo.PourInto(900.0, 72.0, SOY, height=0.08),), ROOM),
    ]
    for together, case in zip(mo.simulate_all(cases), cases, strict=True):
        alone = mo.simulate_all([case])[0]
        assert together.demould_s == pytest.approx(alone.demould_s, rel=0.004)
        for a, b in zip(together.layers, alone.layers, strict=True):
            for name in ("skin", "set", "crust_5mm", "solid"):
                if a.times[name] is not None and b.times[name] is not None:
                    assert a.times[name] - a.poured_s == pytest.approx(b.times[name] - b.poured_s, rel=0.01)


def test_late_follows_likely_follows_early():
    spread = mo.likely_early_late([mo.Case(mo.RoundMould(0.038, 0.16), three()[:1], ROOM)], grid=mo.COARSE)[0]
    for event in mo.EVENTS:
        early, likely, late = spread.times(0, event)
        assert early < likely < late
    assert spread.demould_s[0] < spread.demould_s[1] < spread.demould_s[2]
    assert spread.likely.demould_s == pytest.approx(
        base(vessel=mo.RoundMould(0.038, 0.16)).demould_s, rel=0.01
    )


def test_shapes_of_what_can_be_drawn():
    o = base()
    s = o.section(1800.0)
    assert s.celsius.shape == s.solid.shape == (s.z.size - 1, s.r.size - 1)
    assert (s.z[0], s.z[-1]) == (0.0, pytest.approx(0.025))
    assert s.celsius[-1, -1] < s.celsius[s.z.size // 2, 0]
    assert o.liquid(0.0) == pytest.approx([1.0])
    assert 0.1 < o.liquid(1800.0)[0] < 0.9
    assert o.liquid(o.solid_s + 60)[0] < 1e-3


# ------------------------------------------------------------------ what moves the times, and which way


def test_a_bath_cools_faster_and_a_wrapping_slower():
    plain = mo.simulate(mo.RoundMould(0.038, 0.16), three(), ROOM, grid=mo.COARSE)
    bath = (mo.Around(20.0), mo.Around(20.0, 120.0, bath_c=18.0, bath_level=0.14))
    cooled = mo.simulate(mo.RoundMould(0.038, 0.16), three(), bath, grid=mo.COARSE)
    wrapped = mo.simulate(mo.RoundMould(0.038, 0.16, insulation=0.2), three(), ROOM, grid=mo.COARSE)
    assert cooled.solid_s < 0.75 * plain.solid_s
    assert wrapped.solid_s > 1.2 * plain.solid_s


def test_bright_metal_keeps_heat_longest_in_air():
    """No radiation: about half the loss of a plastic mould."""
    demould = {m: base(vessel=mo.RoundMould(0.0375, 0.15, m)).demould_s for m in MATERIALS}
    assert max(demould, key=demould.get) == "bright metal"
    assert demould["bright metal"] > 1.25 * demould["dull metal"]


def test_a_warmed_mould_delays_the_first_skin_at_the_edge():
    for material in ("silicone", "glass"):
        cold = base(vessel=mo.RoundMould(0.0375, 0.15, material)).layers[0].times["skin_edge"]
        warm = base(vessel=mo.RoundMould(0.0375, 0.15, material, warm_c=60.0)).layers[0].times["skin_edge"]
        assert warm > cold + 30


def test_a_learned_factor_moves_what_it_should():
    """The top moves the skin, the side the solid-through time of a tall pour."""
    tall = (mo.PourInto(0.0, 85.0, PARAFFIN, height=0.14),)
    plain, top, side = (
        mo.simulate(mo.RoundMould(0.0375, 0.15, **k), tall, ROOM, grid=mo.COARSE)
        for k in ({}, {"top_factor": 1.3}, {"side_factor": 1.3})
    )
    skin = [o.layers[0].times["skin_axis"] for o in (plain, top, side)]
    assert skin[1] < 0.85 * skin[0]
    assert skin[2] == pytest.approx(skin[0], rel=0.05)
    assert side.solid_s < 0.90 * plain.solid_s
    assert top.solid_s == pytest.approx(plain.solid_s, rel=0.05)


# ------------------------------------------------------------------ makers' rules (common practice, no source)


def test_a_75_mm_pillar_is_ready_after_a_night_but_not_before_about_six_hours():
    """Common practice, no source: at least six hours, usually overnight."""
    for material in MATERIALS:
        pours = (mo.PourInto(0.0, 85.0, PARAFFIN, height=0.140),)
        o = mo.simulate(mo.RoundMould(0.0375, 0.15, material), pours, ROOM)
        assert 5.5 < o.demould_s / 3600 < 14


def test_the_next_inch_waits_about_an_hour_or_two():
    """Common practice, no source: from a firm surface to one with a crust, one to two hours an inch."""
    t = base().layers[0].times
    assert 40 < t["firm"] / 60 < 120
    assert 60 < t["crust_2mm"] / 60 < 140


def test_the_first_thin_skin_shows_within_a_quarter_to_half_an_hour():
    """Common practice, no source: edge ring or half-solid surface of a freshly filled pillar."""
    o = mo.simulate(mo.RoundMould(0.0375, 0.15), (mo.PourInto(0.0, 85.0, PARAFFIN, height=0.14),), ROOM)
    assert 4 < o.layers[0].times["skin_edge"] / 60 < 30
    assert 8 < o.layers[0].times["skin"] / 60 < 30


# ------------------------------------------------------------------ volumes and shapes


def test_the_whole_shrinkage_is_that_of_the_two_densities():
    """Density of a stearic mix, 848 at 70 °C and 940 cold: 9.8 % (data sheet arithmetic)."""
    wax = family("stearic_commercial")
    pour = mo.PourInto(0.0, 70.0, wax, mass=0.5)
    o = mo.simulate(mo.RoundMould(0.0375, 0.15), [pour], ROOM, grid=mo.COARSE)
    assert o.volume(0.0) == pytest.approx(0.5 / 848, rel=0.005)
    assert o.volume(o.demould_s) == pytest.approx(0.5 / 940, rel=0.005)


def test_the_well_is_a_part_of_the_shrinkage():
    o = mo.simulate(mo.RoundMould(0.0375, 0.15), three(), ROOM, grid=mo.COARSE)
    whole = o.volume(7200.0) - o.volume(o.demould_s)
    assert 0.2 * whole < o.well < whole


def test_a_layer_by_mass_is_the_layer_by_height():
    p = mo.PourInto(0.0, 85.0, PARAFFIN, height=0.03)
    q = replace(p, height=0.0, mass=p.density * math.pi * 0.04**2 * 0.03)
    assert q.height_in(0.04) == pytest.approx(0.03)


@pytest.mark.parametrize(
    ("vessel", "pours"),
    [
        (mo.RoundMould(0.0, 0.1), three()),
        (mo.RoundMould(0.04, 0.1), ()),
        (mo.RoundMould(0.04, 0.1), three()[::-1]),
        (mo.RoundMould(0.04, 0.1), (mo.PourInto(0.0, 80.0, PARAFFIN),)),
        (mo.RoundMould(0.04, 0.1), (mo.PourInto(0.0, float("nan"), PARAFFIN, height=0.02),)),
        (mo.RoundMould(0.04, 0.1), (mo.PourInto(0.0, 400.0, PARAFFIN, height=0.02),)),
    ],
)
def test_what_cannot_be_computed_is_said_in_words(vessel, pours):
    with pytest.raises(Trouble):
        mo.simulate(vessel, pours, ROOM)


def test_a_forecast_that_ends_before_it_begins_is_refused():
    with pytest.raises(Trouble):
        base(until_s=0.0)


def test_a_forecast_up_to_a_time_stops_there():
    o = base(until_s=1800.0)
    assert o.snaps[-1].at_s == pytest.approx(1800.0)
    assert o.demould_s is None
    assert o.layers[0].times["skin"] is not None
    assert o.layers[0].times["crust_5mm"] is None


@pytest.mark.parametrize("material", ["bright metal", "silicone", "glass"])
def test_a_rough_run_is_near_a_fine_one(material):
    """Within a tenth, a fraction of the spread it stands beside; the fine grid is held against a converged one in the benches."""
    vessel = mo.RoundMould(0.038, 0.16, material)
    rough, fine = (mo.simulate(vessel, three(), ROOM, grid=grid) for grid in (mo.ROUGH, mo.FINE))
    for event in ("skin", "firm", "crust_2mm"):
        since = [o.layers[-1].times[event] - o.layers[-1].poured_s for o in (rough, fine)]
        assert since[0] == pytest.approx(since[1], rel=0.1)
    assert rough.solid_s == pytest.approx(fine.solid_s, rel=0.05)
    assert rough.demould_s == pytest.approx(fine.demould_s, rel=0.05)
