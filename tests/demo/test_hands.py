"""Where the record goes one way and the simulated kitchen another, it says so in a sentence."""

from __future__ import annotations

import pytest

from pourday.demo.hands import enact
from pourday.demo.scenario import START, two_pillars
from pourday.kitchen.kitchen import Kitchen
from pourday.plan.weigh import weigh_sheet
from pourday.session import events as ev
from pourday.session.events import Fact

SHEET = weigh_sheet(two_pillars())


@pytest.fixture
def kitchen() -> Kitchen:
    found = Kitchen(two_pillars(), 1, START)
    assert enact(ev.BurnerSet(state="on"), found, SHEET) == ""
    found.advance(START + 30 * 60)
    return found


def test_a_jug_is_drawn_as_the_sheet_has_it(kitchen: Kitchen) -> None:
    assert enact(ev.JugMade(layer=0), kitchen, SHEET) == ""
    assert kitchen.jug_kg(0) == pytest.approx(SHEET.jug(0).total)


def test_a_jug_drawn_twice_gets_what_there_is_and_says_so(kitchen: Kitchen) -> None:
    made = ev.JugMade(layer=0)
    said = [enact(made, kitchen, SHEET) for _ in range(4)]
    assert said[0] == ""
    assert said[-1] == "The simulated kitchen cannot follow: There were only 0 g in its pot."
    # All but what clings to the pan.
    assert kitchen.jug_kg(0) == pytest.approx(SHEET.total - kitchen.wax_kg)
    assert kitchen.wax_kg == pytest.approx(two_pillars().vessel_keeps, rel=0.26)


def test_more_than_the_jug_holds_cannot_be_poured(kitchen: Kitchen) -> None:
    enact(ev.JugMade(layer=0), kitchen, SHEET)
    kilos = SHEET.jug(0).total + 0.05
    assert "There were only" in enact(ev.Poured(mould="A", layer=0, part="layer", kg=kilos), kitchen, SHEET)
    # All but what clings to the jug and its spoon.
    assert kitchen.jug_kg(0) == pytest.approx(two_pillars().vessel_keeps, rel=0.26)


def test_a_jug_is_melted_again_only_by_the_bath(kitchen: Kitchen) -> None:
    again = ev.JugReheated(layer=0)
    assert "There is no jug" in enact(again, kitchen, SHEET)
    enact(ev.JugMade(layer=0), kitchen, SHEET)
    enact(ev.BurnerSet(state="off"), kitchen, SHEET)
    kitchen.advance(START + 12 * 3600)
    assert "not molten yet" in enact(again, kitchen, SHEET)
    enact(ev.BurnerSet(state="on"), kitchen, SHEET)
    kitchen.advance(START + 13 * 3600)
    assert enact(again, kitchen, SHEET) == ""


def test_wax_taken_out_of_a_mould_again_goes_into_its_jug_or_is_set_aside(kitchen: Kitchen) -> None:
    enact(ev.JugMade(layer=0), kitchen, SHEET)
    melted, left = kitchen.everywhere_kg, kitchen.jug_kg(0)
    for into, in_jug, aside in ((0, left, 0.0), (None, left - 0.1, 0.1)):
        assert enact(ev.Poured(mould="A", layer=0, part="layer", kg=0.1), kitchen, SHEET) == ""
        out: Fact = ev.Emptied(mould="A", from_layer=0, how="tipped back", into=into)
        assert enact(out, kitchen, SHEET) == ""
        assert kitchen.weigh("A") == 0.0
        assert kitchen.jug_kg(0) == pytest.approx(in_jug)
        assert kitchen.set_aside_kg == pytest.approx(aside)
    assert kitchen.everywhere_kg == pytest.approx(melted)
    assert "still empty" in enact(out, kitchen, SHEET)


def test_a_surface_said_to_be_warmed_is_warm(kitchen: Kitchen) -> None:
    enact(ev.JugMade(layer=0), kitchen, SHEET)
    enact(ev.Poured(mould="A", layer=0, part="layer", kg=0.15), kitchen, SHEET)
    kitchen.advance(kitchen.now + 3 * 3600)
    warm = ev.RescueChosen(card="layer cold", option="warm and pour", mould="A", warm_to_c=55.0)
    assert kitchen.true("surface", "A") < 50.0
    assert enact(warm, kitchen, SHEET) == ""
    assert kitchen.true("surface", "A") == pytest.approx(55.0, abs=2.0)
