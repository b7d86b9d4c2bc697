"""What lies hours ahead in the agenda, and what it rests on when the plan changes meanwhile."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest
from msgspec.structs import replace

from pourday.demo.scenario import two_pillars
from pourday.guide.advice.adviser import Adviser
from pourday.guide.advice.agenda import agenda
from pourday.guide.advice.far import still_ahead
from pourday.guide.ahead.day import forecast_day
from pourday.plan.model import Layer, Plan
from pourday.session import events as ev

Day = Any  # the `Told` of conftest.py


def four() -> Plan:
    return replace(
        two_pillars(), layers=tuple(Layer(colour=c, scent_load=0.04, dye_load=0.001) for c in "rgbw")
    )


def listed(day: Day, minute: float) -> list[Any]:
    """The agenda with the rest of the day worked out."""
    state, outlook, now = day.state, day.outlook(minute), day.t(minute)
    return list(agenda(state, outlook, now, None, forecast_day(state, outlook, now).steps))


def test_every_kind_of_act_of_a_day_stands_in_the_agenda_with_its_time_and_its_reason(day_of: type) -> None:
    """The list of the whole day, from the burner being lit to the burn test."""
    told = day_of(plan=four()).at(0, ev.BurnerSet(state="on"))
    acts = listed(told, 1)
    kinds = {act.kind for act in acts}
    assert kinds >= {
        "read", "water", "heat off", "jug", "plug", "pour", "heat on", "top-up", "demould", "cure",
    }  # fmt: skip
    assert all(act.why for act in acts)
    timed = [act for act in acts if act.due < float("inf")]
    assert [act.due for act in timed] == sorted(act.due for act in timed)
    for act in timed:
        if act.window is not None and act.kind != "read":
            assert act.window.early <= act.due <= act.window.late, act.id
    pours = {(act.layer, letter) for act in acts if act.kind == "pour" for letter in act.moulds}
    assert pours == {(layer, letter) for layer in range(4) for letter in "AB"}


@pytest.mark.parametrize("minute", [53, *(pytest.param(m, marks=pytest.mark.slow) for m in (80, 100))])
def test_no_pour_stands_before_the_look_that_it_waits_for(day_of: type, minute: float) -> None:
    told = day_of(plan=four()).melted().plugged().sealed().first_layers()
    acts = listed(told, minute)
    for look in (act for act in acts if act.kind == "look"):
        pour = next(act for act in acts if act.kind == "pour" and look.moulds in act.moulds)
        assert pour.due >= look.due, (look.id, pour.id)


def test_the_first_layer_stands_behind_the_look_underneath(day_of: type) -> None:
    """A rest of the day that was worked out a while ago has the pour sooner than the plug now says."""
    told = day_of().melted().at(30, ev.BurnerSet(state="off"))
    steps = forecast_day(told.state, told.outlook(30), told.t(30)).steps
    told.plugged(38)
    acts = agenda(told.state, told.outlook(39), told.t(39), None, steps)
    under = [act.due for act in acts if act.kind == "look under"]
    pours = [act.due for act in acts if act.kind == "pour" and act.layer == 0]
    assert under
    assert pours
    assert min(pours) > max(under)


def test_what_is_done_again_and_again_is_listed_again_beside_the_next_one(day_of: type) -> None:
    told = day_of(plan=four()).melted().plugged().sealed().first_layers()
    lit = [act.due for act in listed(told, 53) if act.kind == "heat on"]
    # Over a low flame the jugs of several colours wait in one go; what comes hours later is lit for anew.
    assert len(lit) >= 2
    assert all(later - before > 15 * 60 for before, later in pairwise(lit))


class Slow:
    """Somebody who thinks elsewhere and has not answered yet."""

    def ask(self, _question: object, _then: object, _over: object = None) -> int:
        return 1

    def drop(self, number: int) -> None:
        pass


def test_a_plan_that_changed_is_thought_about_at_once_and_not_put_before_the_old_outlook(day: Day) -> None:
    day.melted().plugged().sealed().first_layers()
    adviser = Adviser(Slow())
    assert adviser.advise(day.state, day.t(53)).outlook.sheet.jugs[-1].layer == 1
    day.at(54, ev.PlanRevised(plan=four(), why="more colours"))
    assert adviser.advise(day.state, day.t(54)).outlook.sheet.jugs[-1].layer == 3


def test_a_mould_that_a_revision_took_off_the_bench_asks_for_nothing(day: Day) -> None:
    day.melted().plugged().sealed().first_layers()
    plan = replace(day.plan, moulds=day.plan.moulds[:1])
    day.at(54, ev.PlanRevised(plan=plan, why="B is given up"))
    assert not [a for a in day.acts(55).values() if "B" in a.moulds]


def test_after_a_look_that_came_too_early_the_pour_stands_behind_the_next_look(day_of: type) -> None:
    told = day_of(plan=four()).melted().plugged().sealed().first_layers()
    first = next(a for a in listed(told, 53) if a.kind == "look" and a.moulds == "B")
    minute = (first.due - told.t(0)) / 60
    told.at(minute, ev.Looked(mould="B", cue="skinned"))
    acts = listed(told, minute + 0.5)
    again = next(a for a in acts if a.kind == "look" and a.moulds == "B")
    pour = next(a for a in acts if a.kind == "pour" and "B" in a.moulds)
    assert pour.due > again.due > first.due


def test_what_was_done_since_the_day_was_worked_out_is_not_waited_for(day_of: type) -> None:
    """Until the rest of the day is worked out anew the last one serves: a burner that was lit is not lit again by it."""
    told = day_of()
    then = told.state
    steps = forecast_day(then, told.outlook(0), told.t(0)).steps
    assert {step.kind for step in still_ahead(steps, then, then)} >= {"heat on", "jug", "plug", "pour"}
    lights = [step for step in steps if step.kind == "heat on"]
    told.at(1, ev.BurnerSet(state="on"))
    left = still_ahead(steps, then, told.state)
    assert [step for step in left if step.kind == "heat on"] == lights[1:]
    told.at(20, ev.BurnerSet(state="low")).at(25, ev.BurnerSet(state="on"))
    assert still_ahead(steps, then, told.state) == left, "turned low and up again it is not lit anew"
    told.at(30, ev.BurnerSet(state="off")).jug(38, 0).at(40, *(poured(x, "plug") for x in "AB"))
    kinds = [(step.kind, step.layer) for step in still_ahead(steps, then, told.state)]
    assert ("jug", 0) not in kinds
    assert ("jug", 1) in kinds
    assert "plug" not in {kind for kind, _ in kinds}
    told.at(50, poured("A", "layer"))
    hot = told.at(51, ev.AlarmRaised(alarm="ceiling", says="too hot"), by="program").state
    assert [s for s in still_ahead(steps, then, hot) if s.kind == "heat on"] == lights[2:], "read it first"
    pours = [s for s in still_ahead(steps, then, told.state) if s.kind == "pour" and s.layer == 0]
    assert pours, "B has still to get it"


def poured(mould: str, part: ev.Part) -> ev.Poured:
    return ev.Poured(mould=mould, layer=0, part=part, planned_kg=0.03)


class Later:
    """A backend that answers nothing."""

    def ask(self, *_: Any) -> int:
        return 1

    def drop(self, _: int) -> None:
        pass


def test_what_comes_next_is_not_said_by_figures_from_before_the_last_fact(day_of: type) -> None:
    told = day_of().at(0, ev.Waived(act="load pot"))
    adviser = Adviser(Later())
    first = adviser.advise(told.state, told.t(0.1))
    assert first.now.word == "HEAT ON"
    told.at(1, ev.BurnerSet(state="on"))
    now = adviser.advise(told.state, told.t(1.1)).now
    assert (now.word, now.next, now.time.text) == ("WAIT", "", "")
    assert now.says == "Working out what comes next."
    # A reading may put off the burner that was to be lit: it is not told to be lit and then to wait.
    told.at(30, ev.Reading(place="pot", celsius=86.0), ev.BurnerSet(state="off"))
    cold = adviser.advise(told.state, told.t(30.1)).now
    assert cold.word != "HEAT ON"
    told.at(31, ev.Noted(text="a note changes no forecast"), by="program")
    here = Adviser()
    waits = here.advise(told.state, told.t(32)).now
    assert waits.says != "Working out what comes next.", "here it is worked out at once"


def test_what_a_probe_reads_does_not_take_the_word_away(day_of: type) -> None:
    told = day_of().at(0, ev.BurnerSet(state="on"), ev.Reading(place="pot", celsius=30.0))
    adviser = Adviser(Later())
    before = adviser.advise(told.state, told.t(1)).now
    assert before.word == "WAIT"
    for minute in range(2, 5):
        told.at(minute, ev.Reading(place="pot", celsius=30.0 + minute, probe="clip"), by="probe")
        now = adviser.advise(told.state, told.t(minute + 0.1)).now
        assert now.says != "Working out what comes next."
    told.at(5, ev.Reading(place="pot", celsius=36.0))
    assert adviser.advise(told.state, told.t(5.1)).now.says == "Working out what comes next."
