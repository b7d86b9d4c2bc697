"""The wrong colour, another mould, a spill: each said at the menu in two keys, and what follows goes by it."""

from __future__ import annotations

from typing import Any

from msgspec.structs import replace

from pourday.demo.scenario import two_pillars
from pourday.guide.acts.menu import menu
from pourday.guide.acts.mishaps import mishaps
from pourday.guide.outlook.balance import balance_words, wax_balance
from pourday.guide.outlook.wax_left import wax_left
from pourday.plan.model import Layer
from pourday.session import events as ev
from tests.guide.conftest import poured

Day = Any  # the `Told` of conftest.py
PLAN = replace(two_pillars(), layers=tuple(Layer(colour=c) for c in ("red", "green", "blue")))


def _say(day: Day, minute: float, *keys: str) -> None:
    outlook = day.outlook(minute)
    acts = list(day.acts(minute).values())
    question = menu(day.state, outlook, acts[0], day.t(minute))
    for key in keys:
        choice = next(c for c in question.choices if c.key == key)
        question = choice.then or question
    day.at(minute, *choice.facts)


def _green_in_a(day_of: type) -> Day:
    day = day_of(plan=PLAN).melted().jug(38, 0).jug(39, 1)
    day.at(40, poured("A", 0, "plug")).at(50, poured("A", 0))
    return day.at(150, ev.Poured(mould="A", layer=1, part="layer", planned_kg=0.15))


def test_before_there_is_wax_nothing_can_have_gone_wrong(day: Day) -> None:
    assert mishaps(day.state, day.outlook(0)) == []


def test_the_wrong_colour_is_put_right_in_two_keys_and_the_colours_change_places(day_of: type) -> None:
    day = _green_in_a(day_of)
    _say(day, 151, "c", "3")
    pour = day.state.moulds["A"].pours[-1]
    assert (pour.layer, pour.instead_of, pour.planned_kg) == (2, 1, 0.15)
    assert day.state.remaining("A")[0] == (1, "layer")
    _say(day, 152, "c", "2")
    assert day.state.moulds["A"].pours[-1].instead_of is None
    assert day.state.remaining("A")[0] == (2, "layer")


def test_a_pour_that_went_into_another_mould_is_taken_out_of_the_first(day_of: type) -> None:
    day = _green_in_a(day_of)
    _say(day, 151, "m", "b")
    assert [p.layer for p in day.state.moulds["A"].pours] == [0, 0]
    assert [p.layer for p in day.state.moulds["B"].pours] == [1]


def test_spilled_wax_is_missing_where_it_came_from_and_in_the_balance(day_of: type) -> None:
    day = _green_in_a(day_of)
    before, whole = wax_left(day.state), wax_balance(day.state)
    _say(day, 151, "x", "2", "4")
    after, now = wax_left(day.state), wax_balance(day.state)
    assert round(before.jugs[1] - after.jugs[1], 6) == 0.06
    assert round(now.spilled, 6) == 0.06
    assert abs(now.missing - whole.missing) < 1e-9
    assert "60 g spilled" in balance_words(day.state)


def test_wax_that_ran_over_a_rim_is_not_in_the_mould(day_of: type) -> None:
    day = _green_in_a(day_of)
    _say(day, 151, "x", "a", "2")
    assert round(day.state.moulds["A"].pours[-1].kg_best, 6) == 0.135
    assert round(day.state.moulds["A"].pours[-1].kg_left, 6) == 0.15


def test_a_balance_that_does_not_close_says_what_would_close_it(day_of: type) -> None:
    day = _green_in_a(day_of)
    assert wax_balance(day.state).explained
    day.at(160, ev.LeftOver(kg=0.0), ev.LeftOver(layer=1, kg=0.0))
    assert not wax_balance(day.state).explained
    assert "weigh what is left" in balance_words(day.state)
