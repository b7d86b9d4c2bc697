"""What a record can tell of one candle: read from what was told, computed where it can be, and silent where it was not."""

from __future__ import annotations

import pathlib
import re

import pytest
from msgspec.structs import replace

import pourday
from pourday.errors import Trouble
from pourday.faults.burn_evidence import BURN_KEYS, burn_evidence
from pourday.faults.change import change_for, in_units
from pourday.faults.day_evidence import day_evidence, plies_in
from pourday.faults.heat import heat_of
from pourday.faults.heat_evidence import heat_evidence
from pourday.faults.reading import evidence_of
from pourday.faults.record import CandleRecord, EarlierDay
from pourday.faults.table import causes, fault_named, faults
from pourday.faults.weigh import diagnose
from pourday.forecast.fuse import contact_c, window
from pourday.plan.model import Cylinder, Layer, Mould
from pourday.session import events as ev
from pourday.session.fold import fold
from pourday.store.reading import read_session
from tests.faults.days import DAY, START, WrittenDay, pillar
from tests.faults.written import WAIT, topped, usual_day


def values(rows):
    return {row.key: row.value for row in rows}


def day_values(day, **more):
    return values(day_evidence(day.record(**more), "any"))


def test_a_seam_comes_to_the_contact_temperature_of_two_bodies():
    """Carslaw and Jaeger's two half-spaces, by the function that has its own test; the edge is cooler after a longer wait."""
    short, long = (usual_day(WrittenDay(), wait=wait).record() for wait in (90.0, 200.0))
    edges = []
    for record in (short, long):
        seam = heat_of(record.batch, record.sheet, record.mould_state).weakest()
        assert seam is not None
        wax = seam.into.wax
        assert seam.seam_c(85.0) == pytest.approx(float(contact_c(85.0, seam.edge_c, wax, wax)))
        edges.append(seam.edge_c)
    assert edges[0] > edges[1]


@pytest.mark.parametrize(
    ("lip", "value"),
    [(74.0, "much colder"), (79.0, "colder"), (85.0, "as planned"), (92.0, "hotter"), (None, "")],
)
def test_the_lip_is_held_against_what_this_wax_is_usually_poured_at(lip, value):
    assert values(heat_evidence(usual_day(WrittenDay(), lip=lip).record(), "seam"))["lip"] == value


def test_a_jug_read_just_before_a_pour_tells_its_temperature():
    day = WrittenDay()
    day.tell(ev.Reading(place="jug", celsius=70.0), at=150)
    assert values(heat_evidence(usual_day(day, lip=None).record(), "seam"))["lip"] == "much colder"


def test_a_cold_pour_in_time_is_not_called_late():
    rows = values(heat_evidence(usual_day(WrittenDay(), lip=66.0).record(), "seam"))
    assert (rows["timing"], rows["remelt"]) == ("in time", "none")


def test_a_candle_of_one_colour_has_no_seam_to_tell_of():
    plan = pillar(layers=(Layer(colour="cream"),))
    day = WrittenDay(plan).pour(0, 45, 85.0)
    assert not {"timing", "remelt", "cue"} & set(values(heat_evidence(day.record(), "seam")))


def test_a_top_up_made_early_finds_much_liquid_and_much_is_owed():
    early = values(heat_evidence(topped(usual_day(WrittenDay()), after=35).record(), "top-up"))
    late = values(heat_evidence(topped(usual_day(WrittenDay()), after=260).record(), "top-up"))
    assert (early["liquid"], late["liquid"]) == ("much", "little")
    assert early["owed"] == "much"
    assert late["owed"] != "much"


def test_how_fast_it_set_is_told_only_where_a_look_bounds_it():
    day = usual_day(WrittenDay(), wait=150, cue=None)
    assert values(heat_evidence(day.record(), "any"))["pace"] == ""
    day.tell(ev.Looked(mould="A", cue="firm"), at=45 + 12)
    assert values(heat_evidence(day.record(), "any"))["pace"] == "faster"


def test_a_surface_read_far_below_the_computed_one_says_that_it_cools_faster():
    day = usual_day(WrittenDay(), wait=150, cue=None)
    day.tell(ev.Reading(place="surface", mould="A", celsius=41.0, means="infrared"), at=45 + 40)
    assert values(heat_evidence(day.record(), "any"))["pace"] == "faster"


def test_nothing_told_is_nothing_recorded():
    blank = day_values(WrittenDay(pillar(blend=pillar().blend, wick="")).pour(0, 45))
    for key in (
        "room",
        "swing",
        "bath",
        "water",
        "peak",
        "mould",
        "weeps",
        "holes",
        "lot",
        "rested",
        "release_used",
    ):
        assert blank[key] == "", key


def test_room_bath_and_mould_are_read():
    day = WrittenDay()
    day.tell(
        ev.Reading(place="room", celsius=13.0), ev.Reading(place="surface", mould="A", celsius=7.0), at=5
    )
    day.tell(ev.Reading(place="room", celsius=18.0), ev.Reading(place="bath", celsius=99.5), at=40)
    rows = day_values(day.pour(0, 45, 85.0))
    assert (rows["room"], rows["swing"], rows["mould"]) == ("cold", "swings", "cold")
    assert (rows["bath"], rows["water"]) == ("not over the boil", "boiled hard")


def test_a_high_kitchen_boils_colder():
    """At 2500 m water boils at 91.7 °C (standard atmosphere); 98 °C is over it there."""
    day = WrittenDay(pillar(altitude=2500.0))
    day.tell(ev.Reading(place="bath", celsius=98.0), at=5)
    assert day_values(day.pour(0, 45))["bath"] == "over the boil"


@pytest.mark.parametrize(
    ("lots", "value"),
    [
        (("sack 1",), "same"),
        (("sack 0",), "new"),
        ((), ""),
        (("sack 0", "sack 1"), "same"),
        (("sack 1", "sack 0"), "new"),
    ],
)
def test_the_lot_is_held_against_the_day_before_it(lots, value):
    days = tuple(
        EarlierDay(f"{n}", START - (9 - n) * DAY, {"paraffin_pillar": lot}) for n, lot in enumerate(lots)
    )
    assert day_values(WrittenDay().pour(0, 45), earlier=days)["lot"] == value


def test_scent_is_held_against_wax_and_sheet_and_by_eye_is_not_known():
    def scent(load: float, **plan: object) -> str:
        layers = (Layer(scent_load=load, scent_by_eye=bool(plan.pop("by_eye", False))),)
        return day_values(WrittenDay(pillar(layers=layers, **plan)).pour(0, 45))["scent"]

    assert [scent(load) for load in (0.0, 0.02, 0.045, 0.06)] == ["none", "moderate", "near", "over"]
    assert scent(0.04, scent_limit=0.03) == "over"
    assert scent(0.04, by_eye=True) == ""


def test_a_bar_that_was_left_out_is_told_from_one_nobody_ticked():
    day = WrittenDay().tell(ev.Prepared(item="seal", mark="waived"), ev.Prepared(item="level", mark="done"))
    rows = day_values(day.pour(0, 45))
    assert (rows["seal_ready"], rows["level"], rows["wick_set"]) == ("left out", "done", "")


def test_wax_over_the_rim_and_weights_tell_how_full_it_is():
    day = topped(usual_day(WrittenDay()), share=2.0)
    assert day_values(day)["fill"] == "over"
    day.tell(ev.Spilled(mould="A", kg=0.028))
    rows = day_values(day)
    assert (rows["fill"], rows["spilled"]) == ("as planned", "over the rim")


def test_a_narrow_candle_is_long_enough_in_its_mould_sooner():
    thin = Mould(shape=Cylinder(diameter=0.03, height=0.1), material="bright metal")
    day = topped(usual_day(WrittenDay(pillar(moulds=(thin,)))), after=30)
    assert day_values(day)["rested"] == "long enough"
    day = usual_day(WrittenDay()).top_up(200, 1.0, 88.0).out(260)
    assert day_values(day)["rested"] == "too short"


def test_the_number_of_plies_is_read_from_a_wicks_name():
    assert [plies_in(name) for name in ("36 ply", "flat braid, 24-ply", "two of 18 plies", "CD 12", "")] == [
        36, 24, 18, None, None
    ]  # fmt: skip


def test_of_a_candle_that_never_burned_only_its_wick_is_known():
    rows = values(burn_evidence(topped(usual_day(WrittenDay())).record()))
    assert rows == {"wick": "within"} | dict.fromkeys(BURN_KEYS, "")


def test_burns_tell_of_pool_flame_air_and_age():
    day = topped(usual_day(WrittenDay()))
    lit = ev.CandleLit(mould="A", trimmed=0.012, draught="some")
    day.burned(3, 4, lit, across=0.066, across_other=0.05, flame=0.055, wall=0.002, mushroom=True)
    rows = values(burn_evidence(day.record()))
    assert rows == {
        "wick": "within", "pool": "wide", "lopsided": "lopsided", "flame": "tall", "fades": "", "knob": "a knob", "trim": "long",
        "air": "some", "hours_lit": "long enough", "age": "cured",
    }  # fmt: skip


def test_what_was_weighed_into_the_jug_outranks_the_plan():
    day = WrittenDay(pillar(layers=(Layer(scent_load=0.03),)))
    day.tell(ev.JugMade(layer=0), ev.JugWeighed(layer=0, kg=0.5), at=20)
    day.tell(ev.JugDosed(layer=0, what="scent", kg=0.035, celsius=61.0), at=22)
    rows = day_values(day.pour(0, 45))
    assert (rows["scent"], rows["scent_heat"]) == ("over", "cool")


@pytest.mark.parametrize(("read", "value"), [(106.0, "is off"), (100.5, "reads right"), (97.0, "reads low")])
def test_a_check_of_the_thermometer_tells_how_far_it_is_off(read, value):
    check = ev.ThermometerCheck(water="boiling", read_c=read, should_c=100.0)
    assert day_values(WrittenDay().tell(ev.Equipped(checks=(check,))).pour(0, 45))["checked"] == value


def test_any_record_is_weighed_or_refused_in_a_sentence_however_far_it_got():
    """A real day of the program's own, cut off again and again; and every fault of the table on the whole of it."""
    stored = read_session(pathlib.Path(pourday.__file__).parents[1] / "sessions", "2026-10-25-demo-a")
    names = sorted(faults())
    for upto in (20, 90, 150, len(stored.entries)):
        state = fold(stored.entries[:upto])
        if not state.moulds["A"].pours:
            with pytest.raises(Trouble, match="Nothing was poured into A"):
                CandleRecord(state, "A")
            continue
        record = CandleRecord(state, "A")
        for name in names if upto == len(stored.entries) else names[::9]:
            diagnosis = diagnose(record, fault_named(name))
            assert sum(cause.odds for cause in diagnosis.causes) == pytest.approx(1.0)
            assert change_for(record, diagnosis).says.endswith(".")


def test_every_change_of_the_table_is_told_in_the_units_of_the_plan():
    us = pillar(units="us")
    for cause in causes().values():
        said = in_units(cause.change, us)
        assert "{" not in said
        assert not re.search(r"\d (°C|mm)\b", said), said


def test_a_mould_that_a_revision_took_away_is_refused():
    day = usual_day(WrittenDay())
    other = replace(day.plan, moulds=(replace(day.plan.moulds[0], count=0), Mould(name="other")))
    day.tell(ev.PlanRevised(plan=replace(other, moulds=other.moulds[:1])))
    with pytest.raises(Trouble, match="no mould A"):
        day.record()


def test_what_does_not_concern_a_fault_is_left_out_of_what_a_record_tells():
    record = topped(usual_day(WrittenDay())).record()
    seam, rings, tunnel = (
        evidence_of(record, fault_named(name)) for name in ("join split", "rings", "tunnelling")
    )
    assert {"timing", "remelt", "cue"} <= set(seam)
    assert not {"timing", "remelt", "cue"} & (set(rings) | set(tunnel))
    assert all(key == one.key for key, one in seam.items())


def test_a_look_that_found_a_layer_carrying_says_how_fast_it_set_at_the_slowest():
    """Firm two minutes before the next pour: it took no longer than that to carry, as a share of the computed wait."""
    heat = usual_day(WrittenDay()).record().heat
    (seam,) = heat.seams
    poured_s = seam.run.case.pours[-1].at_s
    computed = window(seam.run, seam.run.case.pours[-1].celsius).opens_s - poured_s
    assert heat.pace == (0.0, pytest.approx((WAIT - 2) * 60 / computed))
