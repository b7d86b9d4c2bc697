"""The rescue cards of a candle that is cold: it will not come out, or it has a crack. Common practice, no source."""

from __future__ import annotations

from pourday.guide.acts.act import Choice, Question
from pourday.guide.rescue.card import Card, chosen
from pourday.language import tr
from pourday.plan.own_layers import stays
from pourday.session.state import State
from pourday.times import mould_key

COLD = tr("nothing liquid in it, wall cold to the hand")


def candle_cards(state: State) -> tuple[Card, ...]:
    """The cards of the candles, with the moulds that they can be about."""
    return (_stuck(state), _crack(state))


def _stuck(state: State) -> Card:
    """A candle will not come out of its mould."""
    card = Card(
        "stuck candle", "x", tr('candle is stuck'),
        tr('Wait: most slip out by themselves once they are cold all through ({cold}). No levering, no pulling at the wick.', cold=COLD),
        (tr('Is the seal off, the wick free, the rim clear of wax? Turn it over, tap the wall all round, let it slide.'),
         tr('Cold all through: 15 minutes in the fridge, out, tap; again if need be. Never the freezer: it crazes the skin.'),
         tr('Last of all: hot water over the outside for a few seconds. It dulls the skin. Not on a mould with liquid wax in it.')),
        tr('How it came out, and the marks it kept.'),
    )  # fmt: skip
    ways = (
        ("w", tr("leave it, try later")),
        ("f", tr("15 minutes in the fridge")),
        ("o", tr("hot water over the outside")),
    )
    poured = [x for x in sorted(state.moulds) if state.moulds[x].pours and not stays(state.plan, x)]
    letters = [x for x in poured if state.moulds[x].demoulded_at is None]
    return card.with_choices(*(_about(card, letter, ways) for letter in letters))


def _crack(state: State) -> Card:
    """A candle has a crack."""
    card = Card(
        "crack", "v", tr('a crack'),
        tr('Look how deep it goes. A hairline is a flaw of the skin; one that opens, or goes round, may let the candle break or run.'),
        (tr('A dip in hot water for a second or two closes hairlines only, and dulls them.'),
         tr('A deeper one: keep it as the test candle, watched on a plate, or melt it again. Not to be given away.'),
         tr('Mostly it was the cold: a fridge, a draught, cold water too early. Cool the next one more slowly.')),
        tr('Where it runs, how long, and how the candle was cooled.'),
    )  # fmt: skip
    ways = (
        ("w", tr("hairline: dipped in hot water")),
        ("t", tr("keep it as a test candle")),
        ("m", tr("melt it for another day")),
    )
    letters = [x for x in sorted(state.moulds) if state.moulds[x].pours]
    return card.with_choices(*(_about(card, letter, ways) for letter in letters))


def _about(card: Card, letter: str, ways: tuple[tuple[str, str], ...]) -> Choice:
    """One mould as an answer, leading to the (key, way) that can be taken with it."""
    choices = tuple(Choice(key, way, (chosen(card, way, mould=letter),)) for key, way in ways)
    return Choice(
        mould_key(letter), tr("mould {letter}", letter=letter), then=Question(f"{letter}:", choices)
    )
