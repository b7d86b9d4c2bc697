"""How a mould stands: by the heat that was computed, and by what somebody saw, which outranks it."""

from __future__ import annotations

import pytest

from pourday.forecast.mould import COARSE
from pourday.guide.outlook.absence import LEAST, absence, burner_question_skipped, last_gap, lit_on_leaving
from pourday.guide.outlook.as_seen import HAND, core_c, crust, look_of, marks, surface_c
from pourday.guide.outlook.mould_heat import MouldHeatCache
from pourday.guide.outlook.mould_now import mould_now
from pourday.guide.outlook.moulds import hottest_allowed_c, mould_outlooks, on_bench
from pourday.learning.factors import posterior
from pourday.session import events as ev
from pourday.wax.materials import family


def test_the_looks_of_a_layer_come_in_the_order_in_which_wax_cools(waiting):
    forecast = waiting.outlook(60).moulds["A"]
    seen = marks(forecast.heat.spread.likely, 80.0)
    assert 0 < seen.skin <= seen.firm <= seen.cold <= seen.pulled


def test_wax_cools_from_the_outside_and_its_crust_only_grows(waiting):
    likely = waiting.outlook(60).moulds["A"].heat.spread.likely
    start = likely.case.pours[-1].at_s
    times = [start + minutes * 60 for minutes in (10, 30, 60, 90)]
    assert all(core_c(likely, t) >= surface_c(likely, t) - 0.5 for t in times)
    grown = [crust(likely, t) for t in times]
    assert grown == sorted(grown)
    cores = [core_c(likely, t) for t in times]
    assert cores == sorted(cores, reverse=True)


def test_what_a_hand_found_outranks_what_was_computed(waiting):
    computed, seen = look_of(waiting.state, waiting.outlook(56).moulds["A"], waiting.t(56))
    assert (computed, seen) == ("wet", False)
    waiting.at(56, ev.Looked(mould="A", cue="cold"))
    assert look_of(waiting.state, waiting.outlook(56).moulds["A"], waiting.t(56)) == ("cold", True)
    now = mould_now(waiting.state, waiting.outlook(56), "A", waiting.t(56))
    assert (now.look, now.seen) == ("cold", True)
    assert now.surface_c[1] == pytest.approx(HAND, abs=3.0)


def test_a_window_is_not_yet_then_open_then_missed(waiting):
    state, outlook = waiting.state, waiting.outlook(52)
    forecast = outlook.moulds["A"]
    windows = [
        mould_now(state, outlook, "A", t).window
        for t in (waiting.t(52), forecast.best, (forecast.closes or 0) + 3600)
    ]
    assert windows[0] == "not yet"
    assert windows[1] == "open"
    assert windows[2] == "missed"


def test_an_empty_mould_stands_for_nothing_and_one_the_plan_dropped_is_not_on_the_bench(day):
    assert mould_now(day.state, day.outlook(1), "A", day.t(1)) is None
    assert mould_outlooks(day.state, day.outlook(1).sheet, MouldHeatCache(), COARSE, posterior([])) == {}
    assert on_bench(day.state) == {"A", "B"}


def test_a_mould_is_never_filled_hotter_than_it_stands(day):
    mould, wax = day.plan.moulds[0], family("paraffin_pillar")
    assert hottest_allowed_c(mould, wax) <= wax.max_working_c
    limited = type(mould)(**{f: getattr(mould, f) for f in mould.__struct_fields__} | {"limit_c": 60.0})
    assert hottest_allowed_c(limited, wax) <= 60.0


def test_a_short_absence_is_none_and_a_long_one_lasts_until_somebody_says_so(waiting):
    waiting.at(60, ev.GapSeen(cause="asleep", seconds=LEAST / 2))
    assert last_gap(waiting.state) is None
    waiting.at(90, ev.GapSeen(cause="asleep", seconds=1200.0))
    gap = absence(waiting.state, waiting.t(91))
    assert gap is not None
    assert gap.end - gap.start == pytest.approx(1200.0)
    waiting.at(92, ev.CameBack())
    assert absence(waiting.state, waiting.t(93)) is None
    assert last_gap(waiting.state) == gap
    assert not burner_question_skipped(waiting.state)


def test_a_burner_nobody_knows_of_was_lit_when_somebody_last_knew(day):
    day.at(0, ev.BurnerSet(state="on"))
    assert not lit_on_leaving(day.state)
    day.at(30, ev.Reopened(program="0", away=1200.0))
    assert lit_on_leaving(day.state)
