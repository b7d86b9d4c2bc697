"""From what was poured to the computed heat: what the solver is asked, what is kept, what is dropped."""

from __future__ import annotations

import msgspec
import pytest

from pourday.demo.scenario import two_pillars
from pourday.forecast.mould import COARSE, likely_early_late
from pourday.guide.advice.adviser import Adviser
from pourday.guide.advice.steps import AdviceSnapshot, AdviceSteps
from pourday.guide.outlook import mould_heat as heat_module
from pourday.guide.outlook.cases import case_of
from pourday.guide.outlook.mould_heat import MouldHeatCache, compute
from pourday.plan.model import Plan
from pourday.plan.weigh import weigh_sheet
from pourday.session import events as ev
from pourday.session.state import State


def case(state: State, letter: str = "A"):
    return case_of(state, weigh_sheet(state.plan), state.moulds[letter])


def poured(mould: str, layer: int, part: ev.Part = "layer", **more: float) -> ev.Poured:
    return ev.Poured(mould=mould, layer=layer, part=part, planned_kg=0.1, **more)


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


# ------------------------------------------------------------------ beside the screen


class Desk:
    """An adviser whose thinking is done elsewhere, and only when it is told to."""

    def __init__(self) -> None:
        self.thinker = AdviceSteps(beside=True)
        self.state = State()
        self.adviser = Adviser(self)

    def ask(self, state: State, now: float) -> bool:
        self.state = state
        self.thinker.ask(state, now)
        return True

    def ask_acts(self, now: float) -> bool:
        self.thinker.ask_acts(now)
        return True

    def ask_rest(self, now: float) -> bool:
        self.thinker.ask_rest(now)
        return True

    def next(self) -> AdviceSnapshot | None:
        """The next thing that is found."""
        while self.thinker.pending:
            found = self.thinker.step()
            if found is not None:
                return found
        return None

    def take(self) -> None:
        found = self.next()
        assert found is not None
        self.adviser.take(found)

    def take_all(self) -> None:
        while (found := self.next()) is not None:
            self.adviser.take(found)


def test_until_the_heat_is_there_the_last_forecast_serves_and_nothing_is_told(day) -> None:
    desk = Desk()
    day.melted().plugged(40)
    first = desk.adviser.advise(day.state, day.t(41))
    assert first.outlook is not None, "the first look of a session is answered at once"
    day.sealed(50).first_layers(51)
    waiting = desk.adviser.advise(day.state, day.t(51))
    assert waiting.outlook is first.outlook
    assert not any(isinstance(fact, ev.Told) for fact in waiting.to_file)
    desk.take()
    there = desk.adviser.advise(day.state, day.t(51))
    assert len(there.outlook.mould("A").heat.case.pours) == 2
    assert any(isinstance(fact, ev.Told) for fact in there.to_file)


def test_while_the_heat_is_awaited_the_agenda_already_knows_the_fact(day) -> None:
    desk = Desk()
    day.melted()
    before = desk.adviser.advise(day.state, day.t(38)).now
    desk.take_all()
    day.jug(39, 0)
    assert desk.adviser.advise(day.state, day.t(39)).now.act.id != before.act.id


def test_a_result_that_comes_too_late_is_dropped(day) -> None:
    desk = Desk()
    day.melted().plugged(40)
    desk.adviser.advise(day.state, day.t(41))
    desk.take_all()
    day.sealed(50)
    desk.adviser.advise(day.state, day.t(50))
    stale = desk.next()
    day.first_layers(51)
    desk.adviser.advise(day.state, day.t(51))
    assert stale is not None
    desk.adviser.take(stale)
    assert desk.adviser.advise(day.state, day.t(51)).outlook.state.last_seq < stale.outlook.state.last_seq
    desk.take()
    assert desk.adviser.advise(day.state, day.t(51)).outlook.state.last_seq == day.state.last_seq


def test_what_goes_wrong_beside_the_screen_is_said_and_the_last_outlook_serves(
    day, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk = Desk()
    day.melted()
    desk.adviser.advise(day.state, day.t(39))
    desk.take_all()
    first = desk.adviser.advise(day.state, day.t(39))

    def broken(*_: object) -> None:
        raise ArithmeticError("a wheel came off")

    monkeypatch.setattr("pourday.guide.advice.steps.try_look_ahead", broken)
    day.plugged(40)
    desk.adviser.advise(day.state, day.t(41))
    desk.take_all()
    assert desk.adviser.advise(day.state, day.t(41)).outlook is first.outlook
    assert "a wheel came off" in desk.adviser.trouble


def test_an_agenda_that_breaks_is_said_and_the_last_one_serves(day, monkeypatch: pytest.MonkeyPatch) -> None:
    desk = Desk()
    day.melted()
    desk.adviser.advise(day.state, day.t(39))
    desk.take_all()
    acts = desk.adviser.advise(day.state, day.t(39)).acts

    def broken(*_: object) -> None:
        raise ArithmeticError("no such act")

    monkeypatch.setattr("pourday.guide.advice.steps.agenda", broken)
    desk.adviser.advise(day.state, day.t(40))
    desk.take_all()
    assert desk.adviser.advise(day.state, day.t(40)).acts == acts
    assert "no such act" in desk.adviser.trouble


def test_a_question_that_was_lost_is_asked_again(day) -> None:
    desk = Desk()
    day.melted()
    desk.adviser.advise(day.state, day.t(39))
    desk.take_all()
    day.jug(39, 0)
    desk.adviser.advise(day.state, day.t(39))
    desk.thinker = AdviceSteps(beside=True)
    desk.adviser.ask_again()
    assert desk.adviser.advise(day.state, day.t(39)).outlook.state.last_seq == day.state.last_seq
    assert desk.thinker.pending


def test_the_fine_answer_comes_after_the_coarse_one(day) -> None:
    desk = Desk()
    day.melted()
    desk.adviser.advise(day.state, day.t(39))
    day.plugged(40)
    desk.adviser.advise(day.state, day.t(41))
    rows = []
    while (found := desk.next()) is not None:
        rows.append(found.outlook.mould("A").likely.after_last_pour.z.size)
    assert rows[0] < rows[-1]


def test_a_pour_that_was_thought_of_is_tried_before_the_fine_answer(day) -> None:
    """What it would do stands in the agenda once it was tried; a question that comes meanwhile drops it."""
    desk = Desk()
    day.melted().plugged(40).sealed(50).first_layers(51)
    day.at(145, *(ev.Looked(mould=x, cue="firm") for x in "AB")).jug(148, 1)
    desk.adviser.advise(day.state, day.t(149))
    found = desk.next()
    assert found is not None
    assert not found.idle
    tried = desk.next()
    assert tried is not None
    assert tried.idle
    assert tried.acts != found.acts
    desk.ask(day.state, day.t(150))
    assert desk.next() is not None


def test_an_old_agenda_is_asked_for_again_and_serves_until_it_is_there(day) -> None:
    desk = Desk()
    day.melted().plugged().sealed().first_layers()
    desk.adviser.advise(day.state, day.t(60))
    desk.take_all()
    old = desk.adviser.advise(day.state, day.t(60)).acts
    later = desk.adviser.advise(day.state, day.t(60.5))
    assert later.acts is old
    desk.take()
    assert desk.adviser.advise(day.state, day.t(60.5)).acts is not old


def test_the_rest_of_the_day_is_worked_out_after_a_quiet_moment(day) -> None:
    desk = Desk()
    day.melted()
    desk.adviser.advise(day.state, day.t(39))
    desk.take_all()
    assert desk.adviser.advise(day.state, day.t(39)).rest is None
    desk.adviser.advise(day.state, day.t(39.1))
    desk.take_all()
    assert desk.adviser.advise(day.state, day.t(39.1)).rest.end is not None


def test_where_nobody_thinks_elsewhere_the_adviser_thinks_itself(
    day, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk = Desk()
    day.melted().plugged(40)
    desk.adviser.advise(day.state, day.t(41))
    monkeypatch.setattr(Desk, "ask", lambda *_: False)
    day.sealed(50).first_layers(51)
    assert len(desk.adviser.advise(day.state, day.t(51)).outlook.mould("A").heat.case.pours) == 2


# ------------------------------------------------------------------ the window, in words


def cool(celsius: float) -> Plan:
    return msgspec.structs.replace(two_pillars(), pour_c=celsius)


def test_a_cool_pour_closes_its_own_window_and_the_words_say_what_would_open_it(day_of) -> None:
    """Pouring cooler closes the window sooner, until it is empty (heat notes: 98, 57, 28 min at 80, 72, 65 °C)."""
    left, advice = [], ""
    for celsius in (85.0, 75.0, 66.0):
        told = day_of(plan=cool(celsius)).melted().plugged().sealed().first_layers(51)
        mould = told.outlook(52).mould("A")
        left.append(mould.closes - told.t(51))
        if mould.empty:
            advice = mould.advice
    assert left == sorted(left, reverse=True)
    assert "no longer melts the edge" in advice
    assert "What would help" in advice


def test_a_late_pour_is_told_what_it_will_do_before_it_is_made(day) -> None:
    day.melted().plugged().sealed().first_layers(51).jug(300, 1)
    day.at(330, ev.Reading(place="jug", celsius=85.0), ev.Looked(mould="A", cue="firm"))
    act = next(a for a in day.acts(331).values() if a.kind == "pour" and "A" in a.moulds)
    assert act.closes < day.t(331)
    assert "A, poured now:" in act.caution


def test_a_pour_in_its_window_has_the_usual_caution_only(day) -> None:
    day.melted().plugged().sealed().first_layers(51)
    minute = (day.outlook(52).mould("A").best - day.t(0)) / 60
    day.jug(minute - 5, 1).at(minute, ev.Looked(mould="A", cue="firm"))
    act = next(a for a in day.acts(minute + 1).values() if a.kind == "pour" and "A" in a.moulds)
    assert "poured now" not in act.caution
