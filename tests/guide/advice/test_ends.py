"""What lies further ahead in the agenda, and the act that ends a day at the stove."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from pourday.forecast.spread import Quantiles
from pourday.guide.acts.act import Act
from pourday.guide.advice.day_end import day_end
from pourday.guide.advice.far import far_acts, with_dates
from pourday.session import events as ev
from pourday.session.quiet_hours import PersonsClock


@dataclass(frozen=True)
class Step:
    id: object
    kind: str
    at: Quantiles
    moulds: str = "A"
    layer: int | None = 1
    word: str = "POUR A"
    says: str = "Pour it."
    why: str = ""
    closes: float | None = None


def step(day, minute: float, kind: str = "pour", **more) -> Step:
    at = day.t(minute)
    an_id = next(iter(day.acts(1).values())).id
    return Step(an_id, kind, Quantiles(at - 60, at, at + 60), **more)


def any_act(day) -> Act:
    return next(iter(day.acts(1).values()))


def test_what_no_act_stands_for_yet_is_listed_and_cannot_be_filed(day):
    (act,) = far_acts([step(day, 200)], [], day.t(1))
    assert (act.kind, act.due, act.records) == ("pour", day.t(200), ())


def test_what_stands_already_or_is_past_is_not_listed_twice(day):
    there = replace(any_act(day), kind="pour", moulds="A", layer=1, due=day.t(190))
    assert far_acts([step(day, 200)], [there], day.t(1)) == []
    assert far_acts([step(day, 200)], [], day.t(300)) == []
    assert far_acts([step(day, 200, "look")], [], day.t(1)) == []


def test_nothing_is_poured_before_the_look_it_waits_for(day):
    look = replace(any_act(day), kind="look", moulds="A", due=day.t(250))
    (act,) = far_acts([step(day, 200)], [look], day.t(1))
    assert act.due > look.due


def test_an_act_that_waits_for_heat_stands_where_the_day_ahead_has_it(day):
    waiting = replace(any_act(day), kind="pour", moulds="A", layer=1, due=math.inf)
    (dated,) = with_dates([step(day, 200)], [waiting], day.t(1))
    assert dated.due >= day.t(200)
    assert with_dates([], [waiting], day.t(1)) == [waiting]


def test_who_has_to_leave_is_told_what_can_still_be_done_and_turns_the_burner_off(day):
    day.at(0, ev.BurnerSet(state="on"))
    steps = [step(day, 60), step(day, 400, moulds="B")]
    persons = PersonsClock(hard_stop=day.t(200))
    (end,) = day_end(day.state, day.outlook(1), [], persons, day.t(1), steps)
    assert ev.BurnerSet(state="off") in end.records
    assert end.closes == day.t(200)
    well, left = end.says.index("into A"), end.says.index("into B")
    assert "time for" in end.says[:well]
    assert "Leave for tomorrow" in end.says[well:left]


def test_without_an_end_or_without_anything_left_the_day_is_not_ended(day):
    leaving, awake = PersonsClock(hard_stop=day.t(200)), PersonsClock(quiet_from=0.0, quiet_to=0.0)
    assert day_end(day.state, day.outlook(1), [], leaving, day.t(1), []) == []
    assert day_end(day.state, day.outlook(1), [], awake, day.t(1), [step(day, 400)]) == []
