"""Whoever asks anew before the better answer has come is never served a pot of long ago."""

from __future__ import annotations

import pytest

from pourday.guide.advice.queries import ForecastQuery, Memory
from pourday.session import events as ev
from pourday.session.events import Fact
from tests.session.test_readings import NOON, state_of

MELT: list[tuple[float, Fact]] = [
    (1, ev.BurnerSet(state="on")),
    (10, ev.Reading(place="pot", celsius=60.0, typed="60")),
    (30, ev.Reading(place="pot", celsius=88.0, typed="88")),
    (31, ev.Poured(mould="A", layer=0, part="layer", planned_kg=0.2)),
]


def test_a_pot_cools_though_every_answer_is_cut_short() -> None:
    """Ten hours after a burner went off a kilogram of wax is as warm as the room, however often somebody asks."""
    said, memory = list(MELT), Memory()
    for minute in (32.0, 33.0, 100.0, 640.0):
        said.append((minute, ev.BurnerSet(state="off") if minute == 33.0 else ev.Noted(text="and again")))
        now = NOON + 60 * minute
        answer = next(ForecastQuery(state_of(*said), now, frozenset()).answers(memory))
        assert answer.provisional
        assert answer.outlook is not None
        pot = answer.outlook.pot
        assert pot is not None
        assert now - pot.now < 60.0
    assert pot.at(now)[1] == pytest.approx(20.0, abs=2.0)
    assert pot.at(now)[2] < 25.0


def test_within_a_minute_the_last_pot_serves_a_rough_answer() -> None:
    """So that the first answer after a pour comes at once."""
    said, memory = list(MELT), Memory()
    numbers = []
    for minute in (32.0, 32.5):
        said.append((minute, ev.Noted(text="and again")))
        answer = next(ForecastQuery(state_of(*said), NOON + 60 * minute, frozenset()).answers(memory))
        assert answer.outlook is not None
        assert answer.outlook.pot is not None
        numbers.append(answer.outlook.pot.number)
    assert numbers[0] == numbers[1]
