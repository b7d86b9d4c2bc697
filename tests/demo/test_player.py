"""The person of the demo: takes time, reads what the simulated kitchen shows, and waits where there is only waiting."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourday.demo.hands import enact
from pourday.demo.player import ENOUGH_WATER, Player
from pourday.demo.scenario import START, two_pillars
from pourday.guide.advice.adviser import Advice, Adviser
from pourday.kitchen.kitchen import Kitchen
from pourday.plan.weigh import weigh_sheet
from pourday.session import events as ev
from pourday.session.events import Entry, Fact
from pourday.session.fold import fold


@pytest.fixture
def kitchen() -> Kitchen:
    return Kitchen(two_pillars(), 1, START)


def advice_after(*facts: Fact) -> Advice:
    facts = (ev.Opened(session="s", program="0"), ev.PlanFixed(plan=two_pillars()), *facts)
    at = ev.moment(START)
    entries = [Entry(seq=n, at=at, logged_at=at, by="person", fact=f) for n, f in enumerate(facts, 1)]
    return Adviser().advise(fold(entries), START)


def test_it_takes_between_its_quickest_and_its_slowest(kitchen):
    player = Player(kitchen, 1, quick=10.0, slow=20.0)
    delays = [player.delay() for _ in range(200)]
    assert 10.0 <= min(delays) < 11.0 < 19.0 < max(delays) <= 20.0
    assert Player(kitchen, 1, quick=10.0, slow=20.0).delay() == delays[0]


def test_it_does_what_is_asked_and_files_what_the_kitchen_shows(kitchen):
    advice = advice_after()
    filed: list[Fact] = []
    assert Player(kitchen, 1).do(advice, filed.append)
    assert filed
    asked = advice.now.act
    assert filed == list(asked.records) or all(isinstance(f, ev.Reading) for f in filed)
    for fact in filed:
        if isinstance(fact, ev.Reading):
            assert fact.celsius == pytest.approx(two_pillars().room_c, abs=3.0)


def test_without_a_word_from_the_guide_it_does_nothing(kitchen):
    filed: list[Fact] = []
    assert not Player(kitchen, 1).do(replace(advice_after(), now=None), filed.append)
    assert filed == []


def test_an_answer_is_one_of_those_that_are_offered(kitchen):
    """Water is topped up only where there is little: the kitchen knows how much."""
    advice = advice_after(ev.BurnerSet(state="on"))
    water = [act for act in advice.acts if act.kind == "water"]
    for act in water:
        filed: list[Fact] = []
        Player(kitchen, 1).do(replace(advice, now=replace(advice.now, act=act)), filed.append)
        assert filed == [ev.WaterSeen(topped_up=kitchen.water_kg < ENOUGH_WATER * kitchen.full_bath)]


@given(st.lists(st.tuples(st.sampled_from((0, 1)), st.sampled_from(("lift", "bath", "bench", "put back")))))
def test_a_jug_that_was_lifted_for_a_minute_stands_again_where_the_record_has_it(moves):
    kitchen = Kitchen(two_pillars(), 1, START)
    sheet = weigh_sheet(kitchen.plan)
    player, on_record = Player(kitchen, 1), {0: "bath", 1: "bath"}
    for layer in on_record:
        kitchen.pot.pour_in(layer, 0.2, 4e5)

    def file(fact: Fact) -> None:
        assert isinstance(fact, ev.JugStands)
        on_record[fact.layer] = fact.where
        assert enact(fact, kitchen, sheet) == ""

    for layer, move in moves:
        if move == "lift":
            player._lift(layer)
            assert not kitchen.pot.jug(layer).in_bath
        elif move == "put back":
            player._lift(None)
        else:
            player._stand(layer, move, file)
            assert on_record[layer] == move
    player._lift(None)
    assert {x: "bath" if kitchen.pot.jug(x).in_bath else "bench" for x in on_record} == on_record
