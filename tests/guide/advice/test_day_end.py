"""What lies further ahead in the agenda, and the act that ends a day at the stove."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from pourday.forecast.spread import Quantiles
from pourday.guide.acts.act import Act, Urgency
from pourday.guide.acts.durations import LOOK_TO_TOP_UP
from pourday.guide.advice.agenda import agenda
from pourday.guide.advice.day_end import day_end
from pourday.guide.advice.far import far_acts, with_dates
from pourday.guide.advice.now import what_now
from pourday.guide.ahead.day import forecast_day
from pourday.guide.outlook.room import left_inside, next_top_up, top_up_soonest
from pourday.session import events as ev
from pourday.session.quiet_hours import LAST_THINGS, PersonsClock


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


def test_a_lighting_that_the_agenda_would_have_before_its_next_act_is_no_line_of_the_day_ahead(day):
    """The day ahead was worked out before the last reading: what the flame does until then the agenda knows better."""
    look = replace(any_act(day), kind="look", moulds="A", due=day.t(100))
    assert far_acts([step(day, 50, "heat on", moulds="")], [look], day.t(1)) == []
    (act,) = far_acts([step(day, 150, "heat on", moulds="")], [look], day.t(1))
    assert act.due == day.t(150)


def test_a_line_of_the_day_ahead_is_never_told_as_due_however_soon_it_comes(day):
    """Who has just said something is told a minute early: of an act, and not of a line that files nothing."""
    state, outlook = day.at(0, ev.WatchAnswered()).state, day.outlook(0.1)
    (line,) = far_acts([step(day, 0.4, "heat on", moulds="")], [], day.t(0.1))
    assert what_now(state, outlook, [line], day.t(0.1)).act.kind == "wait"
    act = replace(line, urgency=Urgency.USUAL)
    assert what_now(state, outlook, [act], day.t(0.1)).act.kind == "heat on"


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


def in_layers(day):
    """Both moulds with both layers in, nothing topped up."""
    return day.melted().plugged().sealed().first_layers().second_layers(150)


def test_a_mould_that_is_not_topped_up_any_more_today_is_told_its_hidden_hollow_and_what_to_do(day):
    """Makers keep 5 to 10 % of a paraffin pillar back for its hollow (common practice, no source)."""
    in_layers(day)
    steps = [step(day, 285, "top-up", moulds="A"), step(day, 380, "top-up", moulds="A")]
    (end,) = day_end(day.state, day.outlook(160), [], PersonsClock(hard_stop=day.t(200)), day.t(160), steps)
    assert "A (about" in end.says
    ml = float(end.says.split("(about ")[1].split(" ml")[0])
    whole = 3.14159 * 3.75**2 * 14.4
    assert 0.04 * whole < ml < 0.10 * whole
    assert (
        "hidden hollow: when you are back open it with a hot rod, warm the mould to 45-50 °C, and fill it"
        in end.says
    )
    assert "lid on the jug of cream" in end.says


def test_a_top_up_before_bed_leaves_a_smaller_hollow_and_the_last_one_none(day):
    in_layers(day)
    outlook = day.outlook(160)
    whole, later, last = (
        left_inside(outlook, "A", None if minute is None else day.t(minute)) for minute in (None, 285, 420)
    )
    assert whole is not None
    assert later is not None
    assert last is not None
    assert whole[0] > later[0] > 0
    assert whole[1] > later[1] > 0
    assert last[0] < later[0]


def test_no_hollow_is_told_of_a_mould_whose_layer_waits_for_tomorrow_too(day):
    day.melted().plugged().sealed().first_layers()
    steps = [step(day, 400, moulds="A"), step(day, 500, "top-up", moulds="A")]
    (end,) = day_end(day.state, day.outlook(60), [], PersonsClock(hard_stop=day.t(200)), day.t(60), steps)
    assert "hollow" not in end.says


def test_before_the_last_layer_is_in_the_hollow_is_at_most_what_is_kept_back(day):
    day.melted().plugged().sealed().first_layers()
    steps = [step(day, 150, moulds="A"), step(day, 400, "top-up", moulds="A")]
    (end,) = day_end(day.state, day.outlook(60), [], PersonsClock(hard_stop=day.t(200)), day.t(60), steps)
    kept = day.outlook(60).mass(day.outlook(60).sheet.top_up("A").kg)
    assert f"{kept} of wax) sets over a hidden hollow" in end.says
    assert "A (up to" in end.says


def test_who_goes_before_the_top_up_is_due_is_sent_to_it_sooner_where_a_crust_carries(day):
    """Filled early it sinks again, but less is missing in the end than with nothing filled (common practice, no source)."""
    in_layers(day)
    now = 160
    outlook = day.outlook(now)
    due = next_top_up(outlook, "A")
    assert due is not None
    soonest = top_up_soonest(outlook, "A")
    last = soonest + LOOK_TO_TOP_UP + 120
    assert last < due.likely
    leaves = PersonsClock(hard_stop=last + LAST_THINGS)
    acts = agenda(day.state, outlook, day.t(now), leaves)
    look = next(act for act in acts if act.kind == "look" and "A" in act.moulds)
    assert soonest < look.due < last
    assert left_inside(outlook, "A", last)[0] < left_inside(outlook, "A")[0]
    ahead = forecast_day(day.state, outlook, day.t(now), clock=leaves)
    assert any(s.kind == "top-up" and "A" in s.moulds and s.at.likely <= last for s in ahead.steps)
