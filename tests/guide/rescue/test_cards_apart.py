"""The cards of the bench and of cold candles, each asked for by itself."""

from __future__ import annotations

from typing import Any

import pytest

from pourday.guide.rescue.cards_bench import COOLING, bench_cards
from pourday.guide.rescue.cards_candles import candle_cards
from pourday.session import events as ev

Day = Any  # the `Told` of conftest.py


def test_a_burn_comes_first_and_is_cooled_for_twenty_minutes(day: Day):
    """Twenty minutes under cool running water: advice of fire and rescue services and the NHS (from memory)."""
    day.at(5, ev.BurnerSet(state="on"))
    first = bench_cards(day.state, day.outlook(30), day.t(30))[0]
    assert first.id == "burn"
    yes = next(choice for choice in first.choices if choice.key == "y")
    (timer,) = (fact for fact in yes.facts if isinstance(fact, ev.TimerSet))
    assert timer.due.timestamp() - day.t(30) == pytest.approx(COOLING) == 1200
    assert any(isinstance(fact, ev.BurnerSet) and fact.state == "off" for fact in yes.facts)


def test_a_suspect_thermometer_is_held_to_the_ice_point(day: Day):
    """Melting ice is at 0 °C by definition of the old scale; at 900 m water boils near 97 °C (any steam table)."""
    day.melted()
    card = next(
        card
        for card in bench_cards(day.state, day.outlook(30), day.t(30))
        if card.id == "thermometer suspect"
    )
    assert "0 °C" in " ".join(card.figures)


def test_a_candle_that_never_was_poured_neither_sticks_nor_cracks(day: Day):
    assert [card.choices for card in candle_cards(day.melted().state)] == [(), ()]
