"""Single parts of the agenda: what goes into the pot later, the next jug, the night and what follows it."""

from __future__ import annotations

import pytest

from pourday.guide.acts.additions import amounts
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


def test_dye_is_said_as_the_scale_shows_it_and_finer_where_it_cannot(day):
    """The scale steps by 1 g: ten steps are a weight, 0.25 g are not one."""
    assert "12 g" in dye_words(day.state, 0.012)
    assert "0.25 g" in dye_words(day.state, 0.00025)
