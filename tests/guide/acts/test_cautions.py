"""Whose word outranks ours is said where it is new, once a day an act, so that it is read; what can hurt is said each time."""

from __future__ import annotations

import pytest

from pourday.demo.scenario import two_pillars
from pourday.guide.acts.cautions import DEFERS, HEATING, POURING, heat, hot_wax
from pourday.guide.acts.jug_acts import SCENT
from pourday.guide.rescue.card import DEFERS as CARD
from pourday.guide.rescue.cards_stove import cards
from pourday.guide.rescue.fire import fire_text
from pourday.session import events as ev

NEXT_DAY = 24 * 60.0


@pytest.fixture
def poured(day):
    return (
        day.at(0, ev.BurnerSet(state="on"))
        .at(30, ev.JugMade(layer=0))
        .at(31, ev.Poured(mould="A", layer=0, part="layer"))
    )


def test_the_first_of_a_kind_on_a_day_says_whose_word_counts_and_the_second_does_not(day):
    assert hot_wax(day.state, "layer").endswith(DEFERS)
    assert heat(day.state).endswith(DEFERS)
    day.at(0, ev.BurnerSet(state="on")).at(30, ev.JugMade(layer=0))
    day.at(31, ev.Poured(mould="A", layer=0, part="layer"))
    assert hot_wax(day.state, "layer") == POURING
    assert hot_wax(day.state, "top-up") == f"{POURING} {DEFERS}"
    assert heat(day.state) == HEATING


def test_another_day_says_it_again(poured):
    poured.at(NEXT_DAY, ev.Noted(text="the morning after"))
    assert hot_wax(poured.state, "layer").endswith(DEFERS)
    assert heat(poured.state).endswith(DEFERS)


def test_scent_fire_and_every_rescue_card_say_it_each_time(poured):
    assert "supplier's sheet" in SCENT
    assert "emergency services outrank" in fire_text()[-1]
    assert two_pillars().layers
    for card in cards(poured.state, poured.outlook(40), poured.t(40)):
        assert card.text.endswith(CARD)
