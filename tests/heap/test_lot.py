"""What comes of wax that nobody knew: where it sets, what it can be, its ceiling, its density, its lot."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pourday.curve.families import families_of
from pourday.heap.lot import (
    HEAP_MOST_C,
    as_wax,
    clues_of,
    density_of,
    last_reading,
    odds_of,
    plan_with,
    stock_lot,
    wax_of,
)
from pourday.heap.words import curve_says, enough_says, odds_says
from pourday.plan.findings import findings
from pourday.plan.model import Layer, Plan
from pourday.plan.weigh import weigh_sheet
from pourday.reports.heap_report import heap_report
from pourday.session import events as ev
from pourday.session.heap import CoolingAt, HeapState, StepAt
from pourday.session.state import State
from pourday.wax.blend import uncertainty
from pourday.wax.materials import CURVE, WORDS, family

T = 1.8e9
FALL = [76 - 0.6 * i for i in range(30)]


def with_curve(plateau_c: float = 58.5, step: float = 0.1, **more: object) -> HeapState:
    """A heap whose tin fell to a plateau, stayed there for twenty minutes and fell on."""
    fall = [c for c in (80 - 0.5 * i for i in range(100)) if c > plateau_c + 0.3]
    celsius = [
        *fall,
        *(plateau_c - 0.002 * i for i in range(80)),
        *(plateau_c - 0.3 * i for i in range(1, 60)),
    ]
    rounded = np.round(np.array(celsius) / step) * step
    readings = tuple((T + 15.0 * n, float(c)) for n, c in enumerate(rounded))
    curve = CoolingAt(T, ev.CoolingBegun(around_c=20.0), readings, ev.CoolingEnded(curve="plateau"))
    return replace(HeapState(steps={"a heap": StepAt(T, "done")}, curves=(curve,), name="Ends"), **more)  # type: ignore[arg-type]


def test_a_plateau_is_where_the_wax_of_the_lot_sets():
    wax = as_wax(with_curve(58.5), "Ends", 0.001, 98.0)
    assert wax.congealing_c == pytest.approx(58.5, abs=0.3)
    assert (wax.confidence, wax.kin) == (CURVE, "paraffin_pillar")
    assert wax.scent_max == 0.0


def test_a_coarse_thermometer_leaves_it_wider_than_a_fine_one():
    fine, coarse = (as_wax(with_curve(step=step), "Ends", 0.001, 98.0) for step in (0.1, 1.0))
    assert uncertainty([(fine, 1.0)]).temperature_k < uncertainty([(coarse, 1.0)]).temperature_k


def test_without_a_curve_it_is_as_wide_as_all_that_it_can_be():
    wax = as_wax(HeapState(), "Sack", 0.001, 98.0)
    assert wax.confidence == WORDS
    assert wax.congealing_max_c - wax.congealing_min_c > 15


def test_look_and_smell_narrow_what_it_can_be():
    honey = HeapState(seen=ev.WaxSeen(smell="honey", surface="dull and opaque", nail="marks"))
    assert odds_of(honey, 0.001)[0].family == "beeswax"
    wax = as_wax(honey, "Yellow", 0.001, 98.0)
    assert (wax.congealing_min_c, wax.congealing_max_c) == (61.0, 64.0)


def test_it_is_heated_no_hotter_than_all_that_it_may_be_bears_nor_than_a_bath_can():
    assert as_wax(with_curve(), "Ends", 0.001, 98.0).max_working_c == HEAP_MOST_C
    sack = replace(with_curve(), steps={"clean wax": StepAt(T, "done")})
    assert as_wax(sack, "Sack", 0.001, 98.0).max_working_c <= 93.0
    high = as_wax(sack, "Sack", 0.001, 82.6)
    assert high.max_working_c == 82.0
    assert high.pour_max_c <= 82.0


def test_density_by_the_water_it_pushes_aside():
    """Archimedes: 45 g that push 50 g of water aside have nine tenths of its density; 998 kg/m³ at 20 °C (CRC Handbook)."""
    block = HeapState(dry_kg=0.045, water_kg=0.050)
    density = density_of(block, 0.001)
    assert density is not None
    assert density.likely == pytest.approx(0.9 * 998.0)
    assert density.low < density.likely < density.high
    finer = density_of(block, 0.0001)
    assert finer is not None
    assert finer.high - finer.low < (density.high - density.low) / 2
    assert density_of(HeapState(dry_kg=0.045, water_kg=0.2), 0.001) is None
    assert density_of(HeapState(dry_kg=0.045), 0.001) is None
    assert (
        as_wax(replace(with_curve(), dry_kg=0.045, water_kg=0.05), "E", 0.001, 98.0).density_solid
        == density.likely
    )
    assert clues_of(block, 0.001).density == density.likely


def test_the_lot_says_what_was_done_and_leaves_the_scent_unknown():
    steps = {name: StepAt(T, "done") for name in ("a heap", "sorted", "molten", "wicks out", "settled")}
    steps["strained"] = StepAt(T, "left out")
    heap = with_curve(
        steps=steps, came_kg=1.3, clean_kg=1.2, water=ev.WaterTested(came="dry"), seen=ev.WaxSeen(melted=1)
    )
    state = State(session="2026-11-30-wax-a", heap=heap, opened_at=T)
    lot = stock_lot(state, as_wax(heap, "Ends", 0.001, 98.0))
    assert lot is not None
    assert lot.reclaimed is not None
    assert (lot.product, lot.lot, lot.counted) == ("own-ends", "2026-11-30-wax-a", 1.2)
    assert lot.reclaimed.cleaned == ("sorted", "heated to 80 °C", "wicks out", "settled", "dry")
    assert (lot.reclaimed.scent, lot.reclaimed.heat_cycles, lot.reclaimed.heap) == ("", 2, 1.3)
    assert lot.reclaimed.sets_c == pytest.approx(58.5, abs=0.3)
    assert (
        stock_lot(replace(state, heap=replace(heap, clean_kg=None)), as_wax(heap, "Ends", 0.001, 98.0))
        is None
    )


def test_a_plan_of_the_lot_can_be_weighed_out_and_says_that_its_scent_is_unknown():
    plan = plan_with(State(session="2026-11-30-wax-a", heap=with_curve(clean_kg=1.2)))
    assert weigh_sheet(plan).wax.congealing_c == pytest.approx(58.5, abs=0.3)
    assert plan.blend[0].at_hand == 1.2
    said = " ".join(f"{each.what} {each.why} {each.do}" for each in findings(plan))
    assert "scent" in said.lower()
    assert "small" in said
    scented = Plan(blend=plan.blend, own=plan.own, layers=(Layer(scent_load=0.06),))
    assert any("scent" in each.what.lower() for each in findings(scented))
    assert not any("Nobody knows how much scent" in each.what for each in findings(Plan()))


def test_words_say_what_was_read_and_how_surely():
    says = curve_says(last_reading(with_curve(58.5)), "metric")
    assert says.startswith("It sets at 58.")
    assert "four times in five" in says
    assert curve_says(None, "metric") == "Too few readings: this curve says nothing."
    assert "°F" in curve_says(last_reading(with_curve(58.5)), "us")
    assert enough_says("") == ""
    assert enough_says("set").startswith("Enough is seen")
    assert odds_says(odds_of(with_curve(63.0, seen=ev.WaxSeen(smell="honey")), 0.001)).startswith(
        "It can be: beeswax"
    )
    assert family("beeswax").short_name == "beeswax"


def test_the_report_tells_all_of_it_and_what_was_not_noted():
    heap = with_curve(clean_kg=1.2, seen=ev.WaxSeen(melted=1))
    told = "\n".join(heap_report(State(session="2026-11-30-wax-a", heap=heap, opened_at=T)))
    assert "as it came         not noted" in told
    assert "clean              1200 g" in told
    assert "once, as far as is known" in told
    assert "It sets at 58." in told
    assert "“Ends”: it sets between 58." in told
    assert "heated to 85.0 °C at most" in told
    bare = "\n".join(heap_report(State(session="x", heap=HeapState(), opened_at=T)))
    assert "It can be" in bare


def test_a_curve_alone_makes_a_wax_as_well():
    heap = with_curve(54.0)
    reading = last_reading(heap)
    assert reading is not None
    wax = wax_of("Sack", reading, families_of(reading), 98.0)
    assert wax.congealing_c == pytest.approx(54.0, abs=0.3)
    assert wax.scent_max > 0
    assert wax_of("Sack", reading, families_of(reading), 98.0, {"max_working_c": 70.0}).max_working_c == 70.0
