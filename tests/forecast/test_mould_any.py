"""Whatever is poured into whatever mould: heat closes, nothing is hotter than what it came from, events keep order."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pourday.forecast import mould as mo
from pourday.forecast.coefficients import WALLS
from pourday.wax.materials import families, family

PARAFFIN = family("paraffin_pillar")
VESSEL = mo.RoundMould(0.038, 0.16)
waxes = st.sampled_from(list(families().values()))
quiet = settings(
    max_examples=12,
    deadline=None,
    derandomize=True,
    database=None,
    suppress_health_check=[HealthCheck.too_slow],
)


@st.composite
def pours(draw):
    """Up to four layers from a film to a hand's breadth, seconds to hours apart, solid slush to hot."""
    out, at_s = [], 0.0
    for _ in range(draw(st.integers(1, 4))):
        wax = draw(waxes)
        celsius = draw(st.floats(wax.solidus_c - 5, wax.liquidus_c + 40))
        out.append(
            mo.PourInto(at_s, celsius, wax, height=draw(st.sampled_from([0.0005, 0.002, 0.01, 0.04, 0.12])))
        )
        at_s += draw(st.sampled_from([0.0, 1.0, 30.0, 600.0, 9000.0]))
    return tuple(out)


@st.composite
def cases(draw):
    layers = draw(pours())
    room = mo.Around(draw(st.floats(12, 75)), draught=draw(st.sampled_from([1.0, 2.0])))
    around = [room]
    if draw(st.booleans()):
        level = draw(st.floats(0, 0.2))
        around.append(
            replace(room, from_s=draw(st.floats(0, 5000)), bath_c=draw(st.floats(4, 60)), bath_level=level)
        )
    vessel = mo.RoundMould(
        draw(st.sampled_from([0.004, 0.015, 0.04, 0.15])), 0.3, draw(st.sampled_from(sorted(WALLS))),
        insulation=draw(st.sampled_from([0.0, 0.3])), warm_c=draw(st.none() | st.floats(5, 90)),
        wall=draw(st.sampled_from([None, 0.0003, 0.02])),
    )  # fmt: skip
    return mo.Case(vessel, layers, tuple(around))


@quiet
@given(cases())
def test_heat_closes_and_stays_between_what_it_came_from(case):
    """Maximum principle of heat conduction: no point colder or hotter than all that was there before."""
    o = mo.simulate_all([case], grid=mo.COARSE)[0]
    # 1.3e-6 was found for half a millimetre of wax in a rod 8 mm wide, cold from the start: rounding of steps, no leak.
    assert o.energy_error < 5e-6
    met = [case.vessel.warm_c, *(p.celsius for p in case.pours)]
    met += [c for a in case.around for c in (a.room_c, a.bath_c)]
    low, high = (f(c for c in met if c is not None) for f in (min, max))
    for snap in o.snaps[:: max(1, len(o.snaps) // 6)]:
        s = o.section(snap.at_s)
        assert np.isfinite(s.celsius).all()
        assert low - 0.2 < s.celsius.min()
        assert s.celsius.max() < high + 0.2
        assert s.solid.min() >= 0
        assert s.solid.max() <= 1


@quiet
@given(cases())
def test_events_come_after_the_pour_and_in_their_order(case):
    o = mo.simulate_all([case], grid=mo.COARSE)[0]
    for layer in o.layers:
        t = {k: math.inf if x is None else x for k, x in layer.times.items()}
        assert all(x >= layer.poured_s for x in t.values())
        for place in ("_edge", "", "_axis"):
            assert t[f"skin{place}"] <= t[f"firm{place}"] <= t[f"set{place}"]
        assert t["crust_2mm"] <= t["crust_5mm"]
        if layer.surface is not None:
            finite = (layer.surface.mean_c, layer.surface.edge_solid, layer.surface.crust)
            assert all(np.isfinite(a).all() for a in finite)
    if o.demould_s is not None:
        assert o.solid_s is not None
        assert o.demould_s >= o.solid_s


def test_wax_poured_onto_liquid_wax_lies_on_it_and_both_set():
    """Half a minute apart and of two kinds: the lower one is still wholly liquid."""
    first = mo.PourInto(0.0, 85.0, PARAFFIN, height=0.03)
    o = mo.simulate(VESSEL, [first, mo.PourInto(30.0, 75.0, family("beeswax"), height=0.03)], grid=mo.COARSE)
    assert o.liquid(30.0)[0] > 0.95
    assert o.layers[0].times["skin"] is None
    assert o.energy_error < 1e-6
    assert 30 < o.layers[1].times["skin"] < o.solid_s


def test_a_top_up_of_a_few_grams_sets_within_minutes_on_a_cold_candle():
    top_up = mo.PourInto(30000.0, 85.0, PARAFFIN, mass=0.004)
    o = mo.simulate(VESSEL, [mo.PourInto(0.0, 85.0, PARAFFIN, height=0.10), top_up], grid=mo.COARSE)
    assert o.layers[1].times["set"] - top_up.at_s < 600
    assert o.layers[1].times["crust_2mm"] is None
    assert o.energy_error < 1e-6


@pytest.mark.parametrize("over", [-8.0, 0.0])
def test_wax_poured_as_slush_has_its_skin_sooner_than_hot_wax(over):
    """At the liquidus the skin is minutes away; half set it is there at once."""
    slush, hot = (
        mo.simulate(VESSEL, [mo.PourInto(0.0, c, PARAFFIN, height=0.05)], grid=mo.COARSE)
        .layers[0]
        .times["skin"]
        for c in (PARAFFIN.liquidus_c + over, 85.0)
    )
    assert slush < hot / 2
    assert (slush == 0) == (over < -5)


def test_a_row_at_the_water_line_counts_by_the_share_of_it_that_is_wet():
    """Water rising by a tenth of a row makes no jump: the heat left after half an hour falls evenly with it."""
    left = []
    for level in np.linspace(0.030, 0.040, 11):
        around = (mo.Around(20.0, bath_c=16.0, bath_level=float(level)),)
        pour = mo.PourInto(0.0, 85.0, PARAFFIN, height=0.08)
        f = mo.simulate(VESSEL, [pour], around, grid=mo.COARSE, until_s=1800.0).snaps[-1].field()
        left.append(float((f.heat * np.diff(f.z)[:, None] * np.diff(f.r**2)).sum()))
    steps = -np.diff(left)
    assert (steps > 0).all()
    assert steps.max() < 1.5 * steps.mean()


def test_inside_of_a_thick_silicone_wall_warms_before_its_outside():
    """Two sheets: a few seconds after the pour the inner one has taken up most of the heat."""
    pour = mo.PourInto(0.0, 80.0, PARAFFIN, height=0.05)
    o = mo.simulate(mo.RoundMould(0.03, 0.06, "silicone"), [pour], until_s=20.0)
    side = o.snaps[-1].field().side_c[5]
    assert side.shape == (2,)
    assert side[0] > side[1] + 10
