"""What the adviser asks of whoever thinks beside the screen, and how answers come back: in parts, late, light, or not at all."""

from __future__ import annotations

import pickle
from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest

from pourday.guide.acts.act import awaits
from pourday.guide.acts.menu import menu
from pourday.guide.advice.adviser import Adviser
from pourday.guide.advice.agenda import agenda
from pourday.guide.advice.queries import (
    Failed,
    Forecast,
    ForecastQuery,
    Memory,
    PourQuery,
    Query,
    RemainingDayQuery,
    RescueQuery,
    nothing,
)
from pourday.guide.outlook.mould_heat import PourTrials
from pourday.guide.outlook.mould_now import mould_now
from pourday.guide.rescue.cards_stove import card_question
from pourday.guide.rescue.options import option_question
from pourday.session import events as ev
from tests.guide.facts import poured

# ------------------------------------------------------------------ beside the screen


class Later:
    """A backend that answers a part at a time, and only when it is told to."""

    def __init__(self) -> None:
        self.memory = Memory()
        self.asked: dict[int, tuple[Query[object], Iterator[object], Callable[[object], None]]] = {}
        self.over: dict[int, Callable[[], None]] = {}
        self.many = 0

    def ask(self, question, then, over=nothing) -> int:
        self.many += 1
        self.asked[self.many] = question, question.answers(self.memory), then
        self.over[self.many] = over
        return self.many

    def drop(self, number: int) -> None:
        self.asked.pop(number, None)

    def questions(self, kind: type) -> list[object]:
        return [question for question, _, _ in self.asked.values() if isinstance(question, kind)]

    def next(self, kind: type = object) -> object:
        """The next part of an answer to a question of this kind; None where nothing is left to answer."""
        for number, (question, answers, then) in list(self.asked.items()):
            if not isinstance(question, kind):
                continue
            try:
                for part in answers:
                    if part is not None:
                        then(part)
                        return part
            except ArithmeticError as broken:
                then(Failed(str(broken)))
            self.asked.pop(number, None)
            self.over[number]()
        return None

    def stands(self) -> Forecast:
        """The next forecast that is not provisional."""
        while (part := self.next(ForecastQuery)).provisional:
            pass
        return part

    def all(self) -> None:
        while self.next() is not None:
            pass


@pytest.fixture
def backend() -> Later:
    return Later()


@pytest.fixture
def adviser(backend: Later) -> Adviser:
    return Adviser(backend)


def test_until_the_heat_is_there_the_last_forecast_serves_and_nothing_is_told(day, backend, adviser) -> None:
    day.melted().plugged(40)
    first = adviser.advise(day.state, day.t(41))
    assert first.outlook is not None, "the first look of a session is answered at once"
    assert first.outlook.mould("A").why.startswith("Roughly computed"), "keys wait for it"
    assert adviser.waits
    assert not any(isinstance(fact, ev.Told) for fact in first.to_file)
    day.sealed(50).first_layers(51)
    waiting = adviser.advise(day.state, day.t(51))
    assert waiting.outlook is first.outlook
    assert not any(isinstance(fact, ev.Told) for fact in waiting.to_file)
    backend.stands()
    there = adviser.advise(day.state, day.t(51))
    assert len(there.outlook.mould("A").heat.case.pours) == 2
    assert there.outlook.state == day.state
    assert any(isinstance(fact, ev.Told) for fact in there.to_file)


def test_a_rough_forecast_is_shown_as_one_and_nothing_is_put_on_record_by_it(day, backend, adviser) -> None:
    """Until the coarse one comes; the pot, which changes less, stands meanwhile as it was forecast half a minute before."""
    day.melted().plugged(40).sealed(50)
    adviser.advise(day.state, day.t(50.5))
    backend.all()
    known = adviser.advise(day.state, day.t(50.5)).outlook
    day.first_layers(51)
    adviser.advise(day.state, day.t(51))
    assert backend.next(ForecastQuery).provisional
    rough = adviser.advise(day.state, day.t(51))
    assert len(rough.outlook.mould("A").heat.case.pours) == 2
    assert rough.outlook.mould("A").why.startswith("Roughly computed")
    assert rough.outlook.pot.setup == known.pot.setup
    assert adviser.waits
    assert not any(isinstance(fact, ev.Told) for fact in rough.to_file)
    assert not backend.stands().provisional
    there = adviser.advise(day.state, day.t(51))
    assert there.outlook.mould("A").why.startswith("Computed")
    here = day.outlook(51)
    assert there.outlook.pot.setup == here.pot.setup
    assert there.outlook.mould("A").opens == here.mould("A").opens
    assert rough.outlook.mould("A").opens.likely - day.t(51) == pytest.approx(
        here.mould("A").opens.likely - day.t(51), rel=0.1
    )
    assert not adviser.waits
    assert any(isinstance(fact, ev.Told) for fact in there.to_file)


def test_a_fact_that_changes_no_mould_is_never_answered_roughly(day, backend, adviser) -> None:
    """A reading of the pot: all that is computed of the moulds stands, so the pot's forecast is made anew at once."""
    day.melted().plugged(40)
    adviser.advise(day.state, day.t(41))
    backend.all()
    day.at(42, ev.Reading(place="pot", celsius=71.0, typed="71"))
    adviser.advise(day.state, day.t(42))
    answer = backend.next(ForecastQuery)
    assert not answer.provisional
    assert answer.outlook.pot.at(day.t(42)) == day.outlook(42).pot.at(day.t(42))
    assert backend.next(ForecastQuery) is None


def test_while_the_heat_is_awaited_the_agenda_already_knows_the_fact(day, backend, adviser) -> None:
    day.melted()
    before = adviser.advise(day.state, day.t(38)).now
    backend.all()
    day.jug(39, 0)
    assert adviser.advise(day.state, day.t(39)).now.act.id != before.act.id


def test_nobody_is_sent_to_look_at_a_surface_that_new_wax_has_just_covered(day, backend, adviser) -> None:
    """Until the new forecast is there, the old one says of each mould that its plug carries: it is under the layer."""
    day.melted().plugged(40).sealed(50)
    adviser.advise(day.state, day.t(79))
    backend.all()
    day.first_layers(80)
    waiting = adviser.advise(day.state, day.t(80)).now
    assert not (waiting.act.kind in ("look", "pour", "relief") and set(waiting.act.moulds) & set("AB"))
    backend.stands()
    there = adviser.advise(day.state, day.t(80)).now
    assert there.act.kind != "look" or there.act.due > day.t(80)


def test_the_agenda_goes_on_with_the_clock_and_is_not_made_twice_in_a_second(day, backend, adviser) -> None:
    day.melted().plugged().sealed().first_layers()
    adviser.advise(day.state, day.t(60))
    backend.all()
    there = adviser.advise(day.state, day.t(60))
    assert adviser.advise(day.state, day.t(60)) is there
    assert adviser.advise(day.state, day.t(60.5)).acts is not there.acts


def test_a_question_about_an_older_state_is_dropped(day, backend, adviser) -> None:
    day.melted().plugged(40)
    adviser.advise(day.state, day.t(41))
    backend.all()
    day.sealed(50)
    adviser.advise(day.state, day.t(50))
    day.first_layers(51)
    adviser.advise(day.state, day.t(51))
    assert [question.state for question in backend.questions(ForecastQuery)] == [day.state]
    backend.stands()
    assert adviser.advise(day.state, day.t(51)).outlook.state.last_seq == day.state.last_seq


def test_an_outlook_that_grew_old_is_asked_for_anew_but_never_before_the_last_answer_is_there(
    day, backend, adviser
) -> None:
    """In a demo a minute passes between two looks: no question may be dropped for the next one."""
    day.melted().plugged(40)
    for minute in (41, 43, 45):
        adviser.advise(day.state, day.t(minute))
    assert [question.now for question in backend.questions(ForecastQuery)] == [day.t(41)]
    backend.all()
    adviser.advise(day.state, day.t(47))
    assert [question.now for question in backend.questions(ForecastQuery)] == [day.t(47)]


def test_what_goes_wrong_beside_the_screen_is_said_and_the_last_outlook_serves(
    day, backend, adviser, monkeypatch: pytest.MonkeyPatch
) -> None:
    day.melted()
    adviser.advise(day.state, day.t(39))
    backend.all()
    first = adviser.advise(day.state, day.t(39))

    def broken(*_: object) -> None:
        raise ArithmeticError("a wheel came off")

    monkeypatch.setattr("pourday.guide.advice.queries.try_look_ahead", broken)
    day.plugged(40)
    adviser.advise(day.state, day.t(41))
    backend.all()
    assert adviser.advise(day.state, day.t(41)).outlook.pot is first.outlook.pot
    assert "a wheel came off" in adviser.trouble


def test_an_agenda_that_breaks_is_said_and_the_last_one_serves(
    day, backend, adviser, monkeypatch: pytest.MonkeyPatch
) -> None:
    day.melted()
    adviser.advise(day.state, day.t(39))
    backend.all()
    acts = adviser.advise(day.state, day.t(39)).acts

    def broken(*_: object) -> None:
        raise ArithmeticError("no such act")

    monkeypatch.setattr("pourday.guide.advice.adviser.agenda", broken)
    assert adviser.advise(day.state, day.t(40)).acts == acts
    assert "no such act" in adviser.trouble


def test_what_was_lost_is_asked_again_and_nothing_is_taken_for_known_there(day, backend, adviser) -> None:
    day.melted().plugged(40)
    adviser.advise(day.state, day.t(41))
    backend.all()
    day.sealed(50)
    adviser.advise(day.state, day.t(50))
    assert backend.questions(ForecastQuery)[0].known
    backend.asked.clear()
    backend.memory = Memory()
    adviser.ask_again()
    adviser.advise(day.state, day.t(50))
    assert backend.questions(ForecastQuery)[0].known == frozenset()
    backend.all()
    assert adviser.advise(day.state, day.t(50)).outlook.state.last_seq == day.state.last_seq


def test_each_answer_is_finer_than_the_one_before(day, backend, adviser) -> None:
    day.melted()
    adviser.advise(day.state, day.t(39))
    day.plugged(40)
    adviser.advise(day.state, day.t(41))
    rows = []
    while (found := backend.next(ForecastQuery)) is not None:
        rows.append(found.outlook.mould("A").likely.after_last_pour.z.size)
    assert len(rows) == 3
    assert rows == sorted(set(rows))


def test_heat_that_is_known_is_not_sent_again(day, backend, adviser) -> None:
    day.melted().plugged(40)
    adviser.advise(day.state, day.t(41))
    backend.all()
    before = adviser.advise(day.state, day.t(41)).outlook.mould("B").heat
    day.at(50, ev.SealSeen(mould="A", weeps=False)).at(51, poured("A", 0))
    adviser.advise(day.state, day.t(51))
    answer = backend.next(ForecastQuery)
    assert {letter: mould.heat is not None for letter, mould in answer.outlook.moulds.items()} == {
        "A": True,
        "B": False,
    }
    assert adviser.advise(day.state, day.t(51)).outlook.mould("B").heat is before


def test_a_pour_that_was_thought_of_stands_in_the_agenda_once_it_was_tried(day, backend, adviser) -> None:
    day.melted().plugged(40).sealed(50).first_layers(51)
    day.at(145, *(ev.Looked(mould=x, cue="firm") for x in "AB")).jug(148, 1)
    adviser.advise(day.state, day.t(149))
    backend.stands()
    before = adviser.advise(day.state, day.t(149))
    tried = backend.questions(PourQuery)
    assert tried
    adviser.advise(day.state, day.t(149))
    assert backend.questions(PourQuery) == tried, "none is asked for twice"
    while backend.next(PourQuery) is not None:
        pass
    there = adviser.advise(day.state, day.t(149))
    assert there.acts != before.acts
    here = Adviser().advise(day.state, day.t(149))
    assert [act.why for act in there.acts] == [act.why for act in here.acts]


def test_the_rest_of_the_day_is_worked_out_after_a_quiet_moment(day, backend, adviser) -> None:
    day.melted()
    adviser.advise(day.state, day.t(39))
    backend.all()
    assert adviser.advise(day.state, day.t(39)).rest is None
    adviser.advise(day.state, day.t(39.1))
    backend.all()
    assert adviser.advise(day.state, day.t(39.1)).rest.end is not None
    adviser.advise(day.state, day.t(39.2))
    assert not backend.questions(RemainingDayQuery), "it serves while nothing changes that it rests on"


def test_without_a_backend_all_is_worked_out_at_once(day) -> None:
    adviser = Adviser()
    day.melted().plugged(40)
    adviser.advise(day.state, day.t(41))
    day.sealed(50).first_layers(51)
    assert len(adviser.advise(day.state, day.t(51)).outlook.mould("A").heat.case.pours) == 2


# ------------------------------------------------------------------ the ways out, beside the screen


def asks_for_ways(day) -> None:
    day.melted().plugged(40).sealed(50).first_layers(51)
    day.at(400, ev.Looked(mould="A", cue="pulled away"))


def test_what_the_sentence_asks_is_worked_out_before_it_is_opened(day, backend, adviser) -> None:
    asks_for_ways(day)
    adviser.advise(day.state, day.t(401))
    backend.all()
    question = adviser.advise(day.state, day.t(401.1)).now.act.question
    assert not awaits(question)
    here = option_question(day.state, backend.memory.outlook, "A", day.t(401))
    assert list(question.choices) == list(here.choices)


def test_answers_that_are_not_there_yet_are_put_in_when_they_come(day, backend, adviser) -> None:
    asks_for_ways(day)
    question = adviser.advise(day.state, day.t(401)).now.act.question
    adviser.work_out(question)
    assert awaits(question)
    backend.all()
    assert not awaits(question)
    assert question.choices[-1].key == "l"


def test_a_question_that_stays_open_gets_the_answers_that_a_later_one_asked_for(
    day, backend, adviser
) -> None:
    asks_for_ways(day)
    question = adviser.advise(day.state, day.t(401)).now.act.question
    adviser.work_out(question)
    adviser.advise(day.state, day.t(401.5))
    backend.all()
    assert not awaits(question)
    assert not backend.questions(RescueQuery)


def test_answers_serve_however_long_they_took_and_are_asked_for_once(day, backend, adviser) -> None:
    """In a demo an hour passes in a few seconds."""
    asks_for_ways(day)
    adviser.advise(day.state, day.t(401))
    adviser.advise(day.state, day.t(430))
    adviser.advise(day.state, day.t(460))
    assert len(backend.questions(RescueQuery)) == 1
    backend.all()
    assert not awaits(adviser.advise(day.state, day.t(462)).now.act.question)
    assert awaits(adviser.advise(day.state, day.t(470)).now.act.question), (
        "figures of an hour ago do not serve"
    )
    assert len(backend.questions(RescueQuery)) == 1


def test_answers_that_were_lost_are_asked_for_again(day, backend, adviser) -> None:
    asks_for_ways(day)
    question = adviser.advise(day.state, day.t(401)).now.act.question
    adviser.work_out(question)
    backend.asked.clear()
    adviser.ask_again()
    adviser.advise(day.state, day.t(401))
    backend.all()
    assert not awaits(question)


# ------------------------------------------------------------------ what a screen gets


def test_the_light_heat_says_all_that_the_whole_one_says(day, backend) -> None:
    """Agenda, first act, questions at any time and how the moulds stand are the same from what goes through the pipe."""
    day.melted().plugged().sealed().first_layers().at(170, ev.Looked(mould="A", cue="firm")).jug(172, 1)
    for minute in (60, 173, 260, 600):
        query = ForecastQuery(day.state, day.t(minute), frozenset())
        pot = None
        for answer in query.answers(backend.memory):
            # A part brings the pot only where an earlier one has not.
            light = pickle.loads(pickle.dumps(answer)).whole(day.state, {}, pot).outlook
            pot = light.pot
            if not answer.provisional:
                break
        whole = day.outlook(minute)
        now, state = day.t(minute), day.state
        light = replace(light, trials=PourTrials(lambda *_: None))
        whole = replace(whole, trials=PourTrials(lambda *_: None))
        assert agenda(state, light, now) == agenda(state, whole, now)
        for letter in "AB":
            one, other = mould_now(state, light, letter, now), mould_now(state, whole, letter, now)
            assert one.says == other.says
            assert one.liquid == pytest.approx(other.liquid, abs=1e-4)
        assert card_question(state, light, now) == card_question(state, whole, now)
        first = agenda(state, whole, now)[0]
        assert menu(state, light, first, now) == menu(state, whole, first, now)
