"""The rescue cards about a person, the kitchen and its tools: a burn, wax on the hob, a power cut, a thermometer nobody trusts.

First aid: see `fire.py`. The others are common practice, no source, but for the ice point.
"""

from __future__ import annotations

from pourday.guide.acts.act import Choice
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.rescue.card import Card, burner_off, chosen
from pourday.guide.rescue.fire import BURN_FIRST, BURN_MORE
from pourday.language import tr
from pourday.session import events as ev
from pourday.session.state import State

COOLING = 20 * 60.0
"""s of cool running water on a burn (Kent Fire and Rescue Service)."""


def bench_cards(state: State, outlook: Outlook, now: float) -> tuple[Card, ...]:
    """The cards of the bench, what hurts a person first."""
    return (_burn(state, now), _spilled(state), _power_cut(state), _thermometer(state, outlook))


def _burn(state: State, now: float) -> Card:
    """Somebody is burnt: water first; the burner and a timer of twenty minutes by the same answer."""
    card = Card(
        "burn", "n", tr('somebody is burnt'), BURN_FIRST, BURN_MORE,
        tr('What burnt, where, and how long it was cooled.'),
    )  # fmt: skip
    timer = ev.TimerSet(name="burn: enough water", due=ev.moment(now + COOLING))
    return card.with_choices(
        Choice("y", tr('burner off, cooling it: time 20 minutes'), (*burner_off(state), chosen(card, "cooling"), timer)),
        Choice("c", tr('burner off, help was called'), (*burner_off(state), chosen(card, "help called"))),
        Choice("w", tr('it was cooled and covered'), (chosen(card, "cooled and covered"),)),
    )  # fmt: skip


def _spilled(state: State) -> Card:
    """Wax ran over the hob."""
    card = Card(
        "spill on the hob", "1", tr('wax on the hob'),
        tr('Burner off. Hands and cloths away: no wiping near a flame or on a hot ring. Let it set, then scrape it off.'),
        (tr('What is left comes off with paper while it is hand-warm. None of it goes down a drain.'),
         tr('Do not light that burner again before it is clean: wax left in it smokes, and can catch fire.')),
        tr('Grams, if they were many: “something else happened”, o, then spilled.'),
    )  # fmt: skip
    return card.with_choices(
        Choice(
            "y",
            tr("burner off, scraped once it has set"),
            (*burner_off(state), chosen(card, "scrape when set")),
        )
    )


def _power_cut(state: State) -> Card:
    """The power is gone: nothing may come on by itself while nobody is there."""
    card = Card(
        "power cut", "p", tr('power cut'),
        tr('Turn the hob off at its knob, so that it does not come on by itself. Lids on pot and jugs; leave the moulds alone.'),
        (tr('No camping stove or grill indoors: carbon monoxide, and a flame beside scented wax.'),
         tr('A hood that stands still draws nothing: open a window over a gas hob. A layer that waits too long shows as “cold”; its ways are under r.'),
         tr('When the power is back: look at every mould, light the burner yourself, melt once more what has set.')),
        tr('When it went and when it came back.'),
    )  # fmt: skip
    return card.with_choices(
        Choice("y", tr("hob off, all left as it stands"), (*burner_off(state), chosen(card, "hob off, wait")))
    )


def _thermometer(state: State, outlook: Outlook) -> Card:
    """A thermometer is not to be believed: heat off until it is checked against ice."""
    card = Card(
        "thermometer suspect", "l", tr('thermometer suspect'),
        tr('Burner off until you can trust one. Stir, tip clear of wall and bottom, read again; then a second thermometer.'),
        (tr('In crushed ice stirred with a little water it has to show {ice}, in boiling water here {boiling}.', ice=outlook.degrees(0.0), boiling=outlook.degrees(outlook.boiling_c)),
         tr("Without any: wax that skins at the pot's wall is at about {degrees}.", degrees=outlook.degrees(outlook.wax.congealing_c)),
         tr('An infrared one sees the surface only, and reads shiny metal wrong.')),
        tr('How far it is off, and which readings were taken with it.'),
    )  # fmt: skip
    return card.with_choices(
        Choice("y", tr('burner off until it is checked'), (*burner_off(state), chosen(card, "heat off, check it"))),
        Choice("r", tr('checked: it reads right'), (chosen(card, "it reads right"),)),
        Choice("o", tr('it is off: another one from now on'), (chosen(card, "another thermometer"),)),
    )  # fmt: skip
