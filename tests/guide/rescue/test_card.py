"""A rescue card says its first move first, defers to others, and what is picked of it goes on record by its name."""

from __future__ import annotations

import pytest

from pourday.guide.rescue.card import DEFERS, Card, chosen
from pourday.guide.rescue.cards_moulds import mould_cards, short_pour
from pourday.session import events as ev

CARD = Card("leak", "l", "a leak", "Cold cloth outside.", ("15 °C water.",), "Grams.")


def test_the_first_move_comes_first_and_whom_to_believe_last():
    assert CARD.text.splitlines() == ["Cold cloth outside.", "15 °C water.", "Record: Grams.", DEFERS]
    picked = chosen(CARD, "freeze off", mould="B", layer=1)
    assert (picked.card, picked.option, picked.mould, picked.layer) == ("leak", "freeze off", "B", 1)
    assert CARD.choice.then.asks == CARD.text


def test_a_card_offers_only_moulds_with_wax_in_them(day):
    empty = mould_cards(day.state, day.outlook(1), day.t(1))
    assert next(c for c in empty if c.id == "leak weeping").choices == ()
    day.melted().plugged(40)
    weeping = next(c for c in mould_cards(day.state, day.outlook(42), day.t(42)) if c.id == "leak weeping")
    facts = [choice.facts for choice in weeping.choices]
    assert [f[-1] for f in facts] == [ev.SealSeen(mould=x, weeps=True) for x in "AB"]
    assert all(isinstance(f[0], ev.RescueChosen) for f in facts)


@pytest.mark.parametrize("share", [0.25, 0.5])
def test_a_short_pour_is_filed_as_far_as_it_went_or_put_right(day, share):
    fresh = short_pour("A", 1, "layer", 0.3, share, None)
    assert (fresh.share, fresh.planned_kg, fresh.layer) == (share, 0.3, 1)
    day.melted().plugged().sealed().first_layers()
    known = day.state.moulds["A"].pours[-1]
    right = short_pour("A", 0, "layer", 0.3, share, known)
    assert isinstance(right, ev.Corrected)
    assert right.entry == known.seq
    assert right.fact.share == share
