"""Single parts of the agenda: what goes into the pot later, the next jug, the night and what follows it."""

from __future__ import annotations

import pytest

from pourday.guide.acts.additions import amounts
from pourday.guide.acts.menu import menu
from pourday.guide.acts.mould_end import WIDE, WIDE_RESTS, comes_out, release_question
from pourday.guide.acts.wording import dye_words
from pourday.session import events as ev
from pourday.session.quiet_hours import PersonsClock
from pourday.times import local


def test_amounts_are_said_as_a_person_lists_them(day):
    outlook = day.outlook(1)
    assert amounts(outlook, [("soy", 0.043)]) == "43 g soy"
    three = amounts(outlook, [("soy", 0.043), ("palm", 0.174), ("beeswax", 0.02)])
    assert three == "43 g soy, 174 g palm and 20 g beeswax"


def at_hour(day, hour: float) -> float:
    """That hour of the day the fixture begins."""
    start = local(day.t(0)).replace(hour=0, minute=0, second=0, microsecond=0)
    return start.timestamp() + hour * 3600.0


def test_a_votive_that_is_cold_in_the_afternoon_comes_out_the_same_evening(day):
    """Common practice, no source: six hours at the least; overnight is the advice for pillars."""
    persons = PersonsClock(22.0, 7.0)
    poured, cold = at_hour(day, 14.5), at_hour(day, 16.0)
    assert comes_out(persons, poured, cold, 0.0225) == at_hour(day, 20.5)
    assert comes_out(persons, poured, cold, 0.038) == at_hour(day, 31.0)
    assert comes_out(persons, at_hour(day, 17.0), cold, 0.0225) == at_hour(day, 31.0), "not at 23:00"
    assert comes_out(persons, poured, at_hour(day, 21.0), 0.0225) == at_hour(day, 21.0)


@pytest.mark.parametrize("radius", [0.035, WIDE / 2, 0.06])
def test_a_candle_is_taken_off_cold_and_a_wide_one_after_a_whole_day(day, radius):
    persons = PersonsClock()
    last, cold = day.t(60), day.t(60) + 4 * 3600
    at = comes_out(persons, last, cold, radius)
    assert at >= cold
    assert at >= persons.overnight(last)
    if 2 * radius > WIDE:
        assert at >= last + WIDE_RESTS


def test_how_it_came_out_is_one_of_three_words_of_the_record():
    facts = [choice.facts[0] for choice in release_question("B").choices]
    assert {fact.release for fact in facts} == {"dropped out", "needed a tap", "stuck"}
    assert {fact.mould for fact in facts} == {"B"}
    assert all(isinstance(fact, ev.Demoulded) for fact in facts)


def test_one_answer_says_how_several_came_out_and_one_key_leads_to_each_by_itself():
    question = release_question("ABC")
    out = next(choice for choice in question.choices if choice.key == "o")
    assert [fact.mould for fact in out.facts] == ["A", "B", "C"]
    *_, apart = question.choices
    assert apart.facts == ()
    asked, then = [], apart.then
    while then is not None:
        asked += [fact.mould for fact in then.choices[0].facts]
        then = then.choices[0].then
    assert asked == ["A", "B", "C"]


def test_one_that_was_stuck_is_taken_off_by_itself(day):
    day.melted().plugged().sealed().first_layers().second_layers().topped_up()
    assert day.now(1440).word == "DEMOULD A B"
    day.at(1440, ev.Demoulded(mould="A", release="stuck"), ev.Demoulded(mould="B", release="stuck"))
    assert day.now(1441).word == "DEMOULD A"
    assert "15 minutes in the fridge" in day.now(1441).says
    day.at(1450, ev.Demoulded(mould="B", release="dropped out"))
    assert day.now(1451).word == "DEMOULD A"


def test_dye_is_said_as_the_scale_shows_it_and_finer_where_it_cannot(day):
    """The scale steps by 1 g: ten steps are a weight, 0.25 g are not one."""
    assert "12 g" in dye_words(day.state, 0.012)
    assert "0.25 g" in dye_words(day.state, 0.00025)


def test_a_dye_that_was_added_later_is_said_from_the_menu(day):
    """The drop is looked at with the jug; what is found too pale after it has its words there."""
    day.melted().at(38, *day.act(38, "jug").records)
    assert not [act for act in day.acts(38.5).values() if act.kind == "drop"]
    asks = menu(day.state, day.outlook(38.5), day.now(38.5).act, day.t(38.5))
    added = next(choice for choice in asks.choices if choice.label == "dye added")
    tenth = added.then.choices[0]
    day.at(39, *tenth.facts)
    assert day.state.plan.layers[0].dye_load == pytest.approx(1.1 * 0.0008)
