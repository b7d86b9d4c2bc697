"""Too much for one pair of hands, said before the burner is lit: which pours collide, by how much, what eases it."""

from __future__ import annotations

from typing import Any

import pytest

from pourday.demo.scenario import START, two_pillars
from pourday.guide.acts.act import Act
from pourday.guide.advice.agenda import agenda
from pourday.guide.advice.queries import ForecastQuery, Memory, RemainingDay, RemainingDayQuery
from pourday.guide.ahead.alternatives import easing, summary
from pourday.guide.ahead.day import DayForecast, ahead_of_plan
from pourday.plan.model import BlendPart, Cylinder, Layer, Mould, Plan
from pourday.session import events as ev
from pourday.session.quiet_hours import PersonsClock

Day = Any  # the `Told` of conftest.py


def thin(moulds: int, layers: int) -> Plan:
    """Narrow plastic moulds in thin bands: every window is short, and all of them open at about one time."""
    shape = Cylinder(diameter=0.05, height=0.10)
    return Plan(
        room_c=18.0,
        moulds=tuple(Mould(shape=shape, material="plastic") for _ in range(moulds)),
        layers=tuple(Layer(colour=f"colour {i + 1}", scent_load=0.03) for i in range(layers)),
        blend=(BlendPart(wax="paraffin_pillar"),),
    )


@pytest.fixture(scope="module")
def crowd() -> DayForecast:
    return ahead_of_plan(thin(10, 3), START)


@pytest.mark.parametrize(
    ("plan", "enough"),
    [(two_pillars(), True), (thin(1, 6), True), (thin(2, 4), True), (None, False)],
    ids=["two pillars", "one in six bands", "two in four", "ten in three"],
)
def test_a_day_that_is_too_much_is_found_before_it_begins_and_one_that_is_not_is_left_alone(
    plan: Plan | None, enough: bool, request: pytest.FixtureRequest
) -> None:
    found: DayForecast = ahead_of_plan(plan, START) if plan is not None else request.getfixturevalue("crowd")
    if enough:
        assert [found.too_much, *(says for says, _ in easing(found) if says)] == [""]
    else:
        # What eases it is worked out, and held, by tests of their own.
        assert found.too_much.startswith("Too much for one pair of hands")
        assert "after its window closes" in found.too_much


def test_a_clash_names_the_pour_how_late_it_is_and_what_the_hands_do_meanwhile(crowd: DayForecast) -> None:
    for clash in crowd.clashes:
        assert clash.late == pytest.approx(clash.at - clash.closes)
        assert clash.late > 0
        assert all(not set(act.moulds) & set(clash.moulds) for act in clash.meanwhile)
    worst = max(crowd.clashes, key=lambda c: (c.way == 1, c.late))
    assert crowd.outlook.colour(worst.layer) in crowd.too_much
    assert "while you" in crowd.too_much
    assert crowd.too_much in summary(crowd)


def test_what_is_said_to_ease_a_day_really_leaves_fewer_pours_late(crowd: DayForecast) -> None:
    """The stagger is the same day computed again; with every first pour in time for itself, none waits for hands."""
    letters = sorted(course.letter for course in crowd.courses)
    later = {letter: 900.0 * (i // 3) for i, letter in enumerate(letters)}
    eased = ahead_of_plan(thin(10, 3), START, later=later)
    assert len(eased.clashes) < len(crowd.clashes)
    firsts = {c.letter: c.pours[0].t for c in eased.courses}
    assert firsts[letters[-1]] - firsts[letters[0]] > later[letters[-1]] / 2


def heat_on(acts: tuple[Act, ...]) -> Act:
    return next(act for act in acts if act.kind == "heat on")


@pytest.mark.parametrize("lit", [False, True])
def test_the_agenda_shows_it_beside_heat_on_until_the_burner_is_lit(day_of: type, lit: bool) -> None:
    told: Day = day_of(plan=thin(10, 3))
    if lit:
        told.at(1, ev.BurnerSet(state="on")).at(2, ev.BurnerSet(state="off"))
    outlook, now = told.outlook(3), told.t(3)
    acts = agenda(told.state, outlook, now, None, (), "Too much for one pair of hands.")
    shown = [act for act in acts if "Too much" in act.caution]
    assert [act.kind for act in shown] == ([] if lit else ["heat on"])


@pytest.mark.slow  # In the quick suite: what eases it is found above, and test_worker.py has the rest of a day answered.
def test_whoever_thinks_beside_the_screen_finds_it_and_what_eases_it_a_step_at_a_time(day_of: type) -> None:
    told: Day = day_of(plan=thin(10, 3))
    memory = Memory()
    forecast = next(ForecastQuery(told.state, told.t(1)).answers(memory))
    parts = list(RemainingDayQuery(told.t(1), PersonsClock()).answers(memory))
    assert None in parts, "a step that found nothing to tell lets others in"
    says = []
    for day in (RemainingDay(), *(part for part in parts if part is not None)):
        acts = agenda(told.state, forecast.outlook, told.t(1), None, day.steps, day.too_much)
        says.append(heat_on(acts).caution)
    assert says[0].startswith("Stay in the room")
    assert any(s.startswith("Too much") and "Better" not in s for s in says)
    assert says[-1].startswith("Too much")
    assert "Better: " in says[-1] or "Nothing that was tried" in says[-1]
