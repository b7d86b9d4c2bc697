"""The bath is looked at on the way by whoever is at the stove; nothing of it goes on record that was not said."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from pourday.guide.acts.bath_on_the_way import COMES_SOON, with_water
from pourday.guide.acts.stove_reads import WATER_OVERDUE, water_check, water_due
from pourday.session import events as ev

Day = Any  # the `Told` of conftest.py


def lit(day: Day) -> Day:
    """Lit, melted and read, and the water not looked at since."""
    day.at(0, ev.BurnerSet(state="on"))
    for minute, celsius in ((10, 50.0), (18, 70.0), (24, 86.0)):
        day.at(minute, ev.Reading(place="pot", celsius=celsius, typed=f"{celsius}"))
    return day


def water_facts(act: Any) -> list[ev.WaterSeen]:
    return [fact for fact in act.records if isinstance(fact, ev.WaterSeen)]


def test_a_jug_that_is_drawn_shortly_before_the_water_is_due_brings_the_look_with_it(day: Day) -> None:
    lit(day).at(24.5, ev.BurnerSet(state="off"))
    jug = day.act(25, "jug")
    assert water_due(day.state, day.outlook(25)) - day.t(25) < COMES_SOON
    assert "the bath" in jug.says
    (seen,) = water_facts(jug)
    # What is on record is what the sentence asked for.
    assert seen.topped_up is ("Fill the bath up" in jug.says)
    day.at(25, *jug.records)
    assert not [act for act in day.acts(25.5).values() if water_facts(act)], "it was looked at a moment ago"


def test_a_reading_brings_nothing_with_it_and_the_look_stays_an_act_of_its_own(day: Day) -> None:
    """Enter files what was typed and nothing else."""
    day.at(0, ev.BurnerSet(state="on"))
    for minute, celsius in ((10, 35.0), (20, 48.0)):
        day.at(minute, ev.Reading(place="pot", celsius=celsius, typed=f"{celsius}"))
    due = (water_due(day.state, day.outlook(21)) - day.t(0)) / 60 + 0.1
    acts = day.acts(due)
    assert [act for act in acts.values() if act.kind == "water" and act.due <= day.t(due)]
    assert not [act for act in acts.values() if water_facts(act)]


def test_a_look_that_is_nearly_an_alarm_is_not_left_to_another_act(day: Day) -> None:
    lit(day)
    outlook, jug = day.outlook(25), replace(day.act(25, "jug"), due=day.t(24))
    due = water_due(day.state, outlook)
    alone = water_check(day.state, outlook)
    for late, kept in ((0.1, False), (0.6, True)):
        acts = with_water(day.state, outlook, [jug, alone], due + late * WATER_OVERDUE)
        assert (alone in acts) is kept


def test_the_first_lighting_of_a_day_says_nothing_of_a_bath_that_was_just_filled(day: Day) -> None:
    day.at(0, ev.Waived(act="load pot"))
    assert not water_facts(day.act(0.5, "heat on"))
