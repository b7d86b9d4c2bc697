"""From what was poured to the computed heat: what the solver is asked, what is kept, what is dropped."""

from __future__ import annotations

import pytest

from pourday.forecast.mould import COARSE, likely_early_late
from pourday.guide.advice.adviser import Adviser
from pourday.guide.outlook import mould_heat as heat_module
from pourday.guide.outlook.cases import case_of
from pourday.guide.outlook.mould_heat import MouldHeatCache, compute
from pourday.plan.weigh import weigh_sheet
from pourday.session import events as ev
from pourday.session.state import State
from tests.guide.facts import poured


def case(state: State, letter: str = "A"):
    return case_of(state, weigh_sheet(state.plan), state.moulds[letter])


# ------------------------------------------------------------------ what the solver is asked


def test_a_pour_goes_in_as_the_jug_was_read_just_before(day) -> None:
    day.melted().plugged(40).sealed().at(50, ev.Reading(place="jug", celsius=79.0)).first_layers(51)
    zero, found = case(day.state)
    assert zero == day.t(40)
    assert [p.at_s for p in found.pours] == [0.0, 660.0]
    planned = weigh_sheet(day.plan).pour("A", 0).pour_c
    assert [p.celsius for p in found.pours] == [planned, 79.0]


def test_an_old_reading_of_the_jug_says_nothing_of_a_later_pour(day) -> None:
    day.melted().plugged(40).at(41, ev.Reading(place="jug", celsius=79.0)).first_layers(55)
    assert case(day.state)[1].pours[1].celsius == weigh_sheet(day.plan).pour("A", 0).pour_c


def test_what_was_read_at_the_lip_outranks_the_jug(day) -> None:
    day.melted().plugged(40).sealed().at(50, ev.Reading(place="jug", celsius=79.0))
    day.at(51, poured("A", 0, celsius=77.5))
    assert case(day.state)[1].pours[1].celsius == 77.5


def test_a_weighed_pour_is_as_much_thicker_as_it_was_heavier(day) -> None:
    day.melted().plugged(40).sealed().first_layers(51)
    planned = case(day.state)[1].pours[1].height
    kg = weigh_sheet(day.plan).pour("A", 0).kg
    day.at(52, ev.Weighed(mould="A", what="pour", kg=kg * 1.2))
    assert case(day.state)[1].pours[1].height == pytest.approx(1.2 * planned)


def test_the_room_is_as_it_was_read_over_the_day(day) -> None:
    day.at(5, ev.Reading(place="room", celsius=23.0)).melted().plugged(40)
    day.at(100, ev.Reading(place="room", celsius=18.0))
    found = case(day.state)[1]
    assert found.at(0.0).room_c == 23.0
    assert found.at(3599.0).room_c == 23.0
    assert found.at(3601.0).room_c == 18.0


def test_a_slip_of_the_keys_does_not_stop_the_forecast(day) -> None:
    """A jug of 300 °C is computed as the hottest wax there can be, not refused."""
    day.melted().plugged(40).sealed().at(50, ev.Reading(place="jug", celsius=300.0)).first_layers(51)
    assert case(day.state)[1].pours[1].celsius < 150
    assert set(day.outlook(52).moulds) == {"A", "B"}


# ------------------------------------------------------------------ what is kept


def test_going_on_from_the_last_pour_gives_what_the_whole_run_gives(day) -> None:
    """The same times within half a per cent, whether the plug is computed again or not."""
    day.melted().plugged(40).sealed()
    before = {"A": case(day.state)}
    known = compute(before, {}, COARSE)
    day.first_layers(51)
    after = {"A": case(day.state)}
    assert known["A"].kept_for(after["A"][1]) is not None
    went_on = compute(after, known, COARSE)["A"].spread
    whole = likely_early_late([after["A"][1]], grid=COARSE)[0]
    for event in ("skin", "firm", "crust_2mm"):
        assert went_on.times(1, event) == pytest.approx(whole.times(1, event), rel=0.005)
    assert went_on.demould_s == pytest.approx(whole.demould_s, rel=0.005)


def test_a_pour_taken_back_is_computed_from_the_start(day) -> None:
    day.melted().plugged(40).sealed().first_layers(51)
    known = compute({"A": case(day.state)}, {}, COARSE)
    last = max(e.seq for e in day.entries if isinstance(e.fact, ev.Poured) and e.fact.mould == "A")
    day.at(52, ev.Undone(entry=last))
    assert known["A"].kept_for(case(day.state)[1]) is None


def test_nothing_is_computed_again_while_nothing_changes(day, monkeypatch: pytest.MonkeyPatch) -> None:
    calls: list[list[str]] = []
    real = heat_module.compute

    def counted(wanted, known, grid):
        calls.append(sorted(wanted))
        return real(wanted, known, grid)

    monkeypatch.setattr(heat_module, "compute", counted)
    book = MouldHeatCache()
    day.melted().plugged(40)
    wanted = {x: case(day.state, x) for x in "AB"}
    book.moulds(wanted)
    book.moulds(wanted)
    assert calls == [["A", "B"]]
    day.at(50, ev.SealSeen(mould="A", weeps=False)).at(51, poured("A", 0))
    book.moulds({x: case(day.state, x) for x in "AB"})
    assert calls == [["A", "B"], ["A"]]


def test_what_cannot_be_computed_is_said_and_the_day_goes_on(day, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise FloatingPointError("no such heat")

    day.melted().plugged(40)
    monkeypatch.setattr(heat_module, "compute", broken)
    adviser = Adviser()
    advice = adviser.advise(day.state, day.t(41))
    assert "could not be computed: no such heat" in adviser.trouble
    assert advice.now is not None
