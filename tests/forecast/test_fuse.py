"""The pour window opens on strength, closes on cold, can be empty, and says what would open it."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from pourday.errors import Trouble
from pourday.forecast import fuse
from pourday.forecast import mould as mo
from pourday.forecast.remelt import remelt, verdict
from pourday.wax.enthalpy import curve
from pourday.wax.materials import family

PARAFFIN = family("paraffin_pillar")


@pytest.fixture(scope="module")
def inch():
    """An inch of pillar paraffin in a painted metal mould."""
    pour = mo.PourInto(0.0, 85.0, PARAFFIN, height=0.025)
    return mo.simulate(mo.RoundMould(0.0375, 0.15, "dull metal"), [pour], mo.Around(20.0))


def test_the_edge_opens_the_window_of_a_wrapped_mould_and_the_mean_that_of_a_bare_one():
    """Of 288 cases (4 walls, 3 radii, 2 heights, 3 waxes, bare or wrapped) the edge came last in 138."""
    pour = mo.PourInto(0.0, 82.0, PARAFFIN, height=0.025)
    for side, edge_last in ((1.0, False), (0.3, True)):
        vessel = mo.RoundMould(0.03, 0.15, "dull metal", side_factor=side)
        run = mo.simulate_all([mo.Case(vessel, (pour,), (mo.Around(20.0),))], grid=mo.COARSE)[0]
        s = fuse.top_surface(run)
        edge = fuse.rises(s.at_s, s.edge_solid, fuse.LIMITS.carry_edge)
        mean = fuse.rises(s.at_s, s.mean_solid, fuse.LIMITS.carry_mean)
        assert (edge > mean) is edge_last
        assert fuse.opens_s(run) == max(edge, mean)


def test_alike_bodies_meet_halfway():
    """e1 = e2: the mean of the two (Carslaw and Jaeger)."""
    assert fuse.effusivity(0.25, 900, 2000) == pytest.approx(np.sqrt(0.25 * 900 * 2000))
    same = family("stearic_commercial")
    e1 = float(fuse.effusivity(0.172, same.density_at(57.0), 2280))
    e2 = float(fuse.effusivity(0.26, 940, 1800))
    assert fuse.contact_c(80.0, 20.0, same, same) == pytest.approx((80 * e1 + 20 * e2) / (e1 + e2))


def test_contact_lies_between_and_rises_with_both():
    t = fuse.contact_c([70.0, 80.0, 80.0], [20.0, 20.0, 40.0], PARAFFIN, PARAFFIN)
    assert 20 < t[0] < t[1] < t[2] < 80


def test_a_hot_pour_has_an_open_window_in_order(inch):
    w = fuse.window(inch, 85.0)
    assert not w.empty
    assert w.bleeds_until_s < w.opens_s <= w.best_s < w.closes_s
    assert w.open_at(w.best_s)
    assert not w.open_at(w.opens_s - 60)
    assert not w.open_at(w.closes_s + 60)
    assert fuse.what_would_open(w) == []


def test_a_hotter_pour_closes_later_and_opens_the_same(inch):
    windows = [fuse.window(inch, t) for t in (75.0, 80.0, 85.0)]
    closes = [w.closes_s for w in windows]
    assert closes == sorted(closes)
    assert len({w.opens_s for w in windows}) == 1


def test_a_cool_pour_has_an_empty_window_and_is_told_what_would_open_it(inch):
    w = fuse.window(inch, 65.0)
    assert w.empty
    assert w.best_s is None
    assert not w.open_at(w.opens_s)
    ways = fuse.what_would_open(w, lambda c: f"{c:.0f} degrees")
    assert len(ways) == 3
    assert "degrees or hotter" in ways[0]
    assert "no longer melts the edge" in fuse.why(w)


def test_the_hotter_pour_that_is_advised_does_open_the_window(inch):
    w = fuse.window(inch, 65.0)
    assert not fuse.window(inch, w.hotter_c).empty


def test_a_surface_warmed_as_advised_is_half_melted_on_contact(inch):
    w = fuse.window(inch, 68.0)
    half = curve(PARAFFIN).celsius_where_set(0.5)
    assert fuse.contact_c(68.0, w.warm_to_c, PARAFFIN, PARAFFIN) == pytest.approx(half)


def test_hotter_than_mould_or_wax_stand_is_not_advised(inch):
    w = fuse.window(inch, 65.0, hottest_c=70.0)
    assert w.hotter_c is None
    assert not any("hotter" in way for way in fuse.what_would_open(w))


def test_wax_colder_than_the_melting_point_is_to_be_heated(inch):
    w = fuse.window(inch, 50.0)
    assert w.warm_to_c is None
    assert any("colder than" in way for way in fuse.what_would_open(w))


def test_a_layer_that_pulls_early_closes_the_window_for_that_reason(inch):
    w = fuse.window(inch, 92.0, limits=replace(fuse.LIMITS, pulled=5.0))
    assert w.closed_by == "pulled"
    assert w.closes_s == w.pulled_s
    assert "wall" in fuse.why(w)


def test_the_closed_form_and_the_computed_pour_agree_on_when_the_edge_gets_too_cold(inch):
    """Contact below the half-melted temperature: then the pour as computed no longer melts half of anything."""
    cold = fuse.window(inch, 85.0).cold_s
    before, after = remelt(inch, [mo.PourInto(cold * f, 85.0, PARAFFIN, height=0.05) for f in (0.8, 1.5)])
    assert before.soft_edge > 3 * after.soft_edge
    assert before.soft_edge > 5e-4
    assert after.edge == 0


def test_a_later_pour_melts_less_and_for_less_long(inch):
    found = remelt(inch, [mo.PourInto(m * 60.0, 85.0, PARAFFIN, height=0.05) for m in (30, 60, 90, 120, 240)])
    for name in ("soft_edge", "soft_axis", "axis", "edge_lasts", "axis_lasts"):
        values = [getattr(r, name) for r in found]
        assert all(a >= b - 1e-9 for a, b in pairwise(values)), name
    assert found[0].edge_lasts > 0
    assert all(r.edge <= r.soft_edge and r.axis <= r.soft_axis for r in found)


def test_remelt_side_by_side_is_remelt_alone(inch):
    pours = [mo.PourInto(m * 60.0, 85.0, PARAFFIN, height=0.05) for m in (30, 200)]
    for together, pour in zip(remelt(inch, pours), pours, strict=True):
        alone = remelt(inch, [pour])[0]
        assert together.soft_edge == pytest.approx(alone.soft_edge, abs=2e-5)
        assert together.soft_axis == pytest.approx(alone.soft_axis, abs=2e-4)


@pytest.mark.parametrize(
    ("minutes", "celsius", "outcome"),
    [(5, 85, "bleeds"), (30, 85, "soft line"), (70, 85, "welds"), (115, 85, "weak seam"), (150, 90, "behind"), (600, 55, "no weld")],
)  # fmt: skip
def test_what_a_pour_will_do_is_said_before_it_is_made(inch, minutes, celsius, outcome):
    v = verdict(inch, mo.PourInto(minutes * 60.0, float(celsius), PARAFFIN, height=0.05))
    assert v.outcome == outcome
    assert v.words.endswith(".")


def test_a_pour_before_the_last_one_is_refused(inch):
    with pytest.raises(Trouble):
        remelt(inch, [mo.PourInto(-60.0, 85.0, PARAFFIN, height=0.05)])


def test_the_next_wax_may_be_another(inch):
    other = fuse.window(inch, 85.0, family("beeswax"))
    same = fuse.window(inch, 85.0)
    assert other.opens_s == same.opens_s
    assert other.closes_s != same.closes_s
