"""Rescue cards: what went wrong, the first move, the figures, what to put on record. One question holds them all.

All rows are common practice, no source, but for figures worked out from plan and forecast. Cautions defer
to the supplier's sheet, local rules and the emergency services; fire has its own card.
"""

from __future__ import annotations

from collections.abc import Callable

from msgspec.structs import replace

from pourday.guide.acts.act import Choice, Question
from pourday.guide.acts.dye import dye_question
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.outlook.wax_left import DISCARD, heat_warning, in_moulds, left_out_of, wax_left
from pourday.guide.rescue.card import ONLY_BATH, Card, burner_off, chosen
from pourday.guide.rescue.cards_bench import bench_cards
from pourday.guide.rescue.cards_candles import candle_cards
from pourday.guide.rescue.cards_moulds import mould_cards
from pourday.language import tr
from pourday.plan.model import Layer, Plan
from pourday.plan.replan import rest_sheet
from pourday.session import events as ev
from pourday.session.state import State
from pourday.times import clock, span
from pourday.units import show_share

__all__ = ["Card", "card_question", "cards"]

SMOKE_SAFE = 90.0
"""°C below which a covered pot that smoked may be opened (common practice, no source)."""
DRY_SAFE = 80.0
"""°C of the wax below which a pot that ran dry has cooled enough for warm water. An estimate of ours."""
SETTLES = 20 * 60.0
"""s in which water sinks out of warm wax (common practice, no source: 15-30 min)."""
TOO_FAR = 120.0
"""°C from which overheated wax is not to be used again (common practice, no source)."""


def cards(state: State, outlook: Outlook, now: float) -> tuple[Card, ...]:
    """Every card with the figures of this moment: a burn, then the stove and its kitchen, then moulds, jugs and candles."""
    stove = (
        _smoking(state, outlook, now),
        _overheated(state, outlook, now),
        _dry_boiler(state, outlook, now),
        _water_in_wax(state, outlook, now),
        _wax_set(state, outlook),
    )
    burn, *bench = bench_cards(state, outlook, now)
    jugs = (_colour(state, outlook), _scent(state, outlook))
    return (burn, *stove, *bench, *mould_cards(state, outlook, now), *jugs, *candle_cards(state))


def card_question(state: State, outlook: Outlook, now: float) -> Question:
    """All cards as one question; picking one shows it whole, and what is done about it goes on record."""
    return Question(tr("What went wrong:"), tuple(card.choice for card in cards(state, outlook, now)))


def _pot_now(state: State, outlook: Outlook, now: float) -> str:
    """How hot the pot is, in a sentence: as just read, else as computed; empty where neither is known."""
    read = state.last_reading("pot", doubted=True)
    if read is not None and now - read.t < 180:
        return tr("The pot read {degrees}.", degrees=outlook.degrees(read.celsius))
    if outlook.pot is None:
        return ""
    low, likely, high = outlook.pot.at(now)
    return tr(
        "Pot ~{likely} ({low} to {high}), not read.",
        likely=outlook.degrees(likely),
        low=outlook.degrees(low),
        high=outlook.degrees(high),
    )


def _still_wanted(state: State, outlook: Outlook) -> str:
    """What the moulds still need once the pot's wax is gone."""
    inventory = wax_left(state)
    short = rest_sheet(state.plan, in_moulds(state), replace(inventory, pot=0.0), left_out_of(state)).short
    return (
        tr("What is still to be poured needs {mass} of fresh wax then.", mass=outlook.mass(short))
        if short > 0
        else ""
    )


def _smoking(state: State, outlook: Outlook, now: float) -> Card:
    """The wax smokes: heat off; whether it was smoke, so that the wax is out, or only a haze."""
    first = tr(
        "HEAT OFF. Slide the lid on from your side. Do not move the pot. NO WATER. Open a window, stay out of the smoke."
    )
    figures = (
        tr(
            "Leave it covered until it reads below {degrees}; the wax is not used again.",
            degrees=outlook.degrees(SMOKE_SAFE),
        ),
        _pot_now(state, outlook, now),
        _still_wanted(state, outlook),
    )
    card = Card(
        "smoking", "u", tr('wax smokes'), first, figures,
        tr('Peak temperature if it was read; the wax is discarded. If it flames: the fire card, e.'),
    )  # fmt: skip
    done = chosen(card, DISCARD)
    return card.with_choices(
        Choice("y", tr("heat off, covered; that wax is out"), (*burner_off(state), done)),
        Choice(
            "n", tr("only a haze: heat off, watched"), (*burner_off(state), chosen(card, "heat off, watch"))
        ),
    )


def _overheated(state: State, outlook: Outlook, now: float) -> Card:
    """The pot passed its ceiling: let it fall by itself, or, far above, throw the wax away."""
    peak = max((r.celsius for r in state.readings if r.place == "pot"), default=None)
    falls = outlook.cool_at(outlook.pour_c, now) if state.burner == "off" else None
    scented = any(layer.scent_load > 0 for layer in state.plan.layers)
    figures = (
        tr("Ceiling {degrees}", degrees=outlook.degrees(outlook.ceiling_c))
        + (
            tr(", highest reading {degrees}.", degrees=outlook.degrees(peak))
            if peak is not None
            else tr(", never read.")
        ),
        tr(
            "Back at {degrees} about {clock}.",
            degrees=outlook.degrees(outlook.pour_c),
            clock=clock(falls, now),
        )
        if falls and falls > now
        else "",
        tr(
            "Plain paraffin below {degrees} is usually usable; soy and beeswax yellow",
            degrees=outlook.degrees(TOO_FAR),
        )
        + (tr("; scent already in it gets weaker.") if scented else "."),
    )
    first = tr(
        "Burner off, and leave the pot where it stands: hot wax is not lifted out of its bath. Lid within reach; it cools by itself."
    )
    card = Card(
        "overheated",
        "o",
        tr("too hot"),
        first,
        figures,
        tr("The peak, and how long it was above the ceiling."),
    )
    return card.with_choices(
        Choice("y", tr('heat off, let it fall'), (*burner_off(state), chosen(card, "let it fall"))),
        Choice("x", tr('it passed {degrees}: that wax is out', degrees=outlook.degrees(TOO_FAR)), (*burner_off(state), chosen(card, DISCARD))),
    )  # fmt: skip


def _dry_boiler(state: State, outlook: Outlook, now: float) -> Card:
    """The bath boiled away: off, and left to cool before water goes in; no hand tells whether it has."""
    first = tr(
        "Burner off. NO WATER into a hot dry pot, and no hand on it. Leave all of it as it stands for half an hour, and until the wax reads below {degrees}.",
        degrees=outlook.degrees(DRY_SAFE),
    )
    figures = (
        _pot_now(state, outlook, now),
        tr("Then fill it with warm water, from the side, face away."),
        tr(
            "Wax above {degrees} is itself the sign: water cannot get it there.",
            degrees=outlook.degrees(outlook.boiling_c),
        ),
    )
    card = Card(
        "boiler dry", "b", tr("bath ran dry"), first, figures, tr("The peak; when it was last seen full.")
    )
    return card.with_choices(
        Choice("y", tr("off, left to cool"), (*burner_off(state), chosen(card, "cool, then fill")))
    )


def _water_in_wax(state: State, outlook: Outlook, now: float) -> Card:
    """Water got into the wax: let it sink, set the wax and dry it, or throw it away."""
    first = tr("Do not heat it fast: water under wax spits at its boiling point. Lid near, face away.")
    settle = tr(
        "Hold {least} to {most} for 15-30 min: water sinks; pour off and leave the last part.",
        least=outlook.degrees(70),
        most=outlook.degrees(80),
    )
    figures = (
        _pot_now(state, outlook, now),
        settle,
        tr("Cloudy wax or a wet wick makes a candle spit: burn-test it."),
    )
    card = Card(
        "water in wax",
        "a",
        tr("water in the wax"),
        first,
        figures,
        tr("Rescued or discarded, and how many grams."),
    )
    timer = ev.TimerSet(name="water has sunk", due=ev.moment(now + SETTLES))
    return card.with_choices(
        Choice(
            "y",
            tr("settle {span}, pour off", span=span(SETTLES)),
            (chosen(card, "settle and pour off"), timer),
        ),
        Choice(
            "b",
            tr("let it set, lift the block, dry its underside"),
            (*burner_off(state), chosen(card, "set and dry")),
        ),
        Choice("x", tr("that wax is out"), (*burner_off(state), chosen(card, DISCARD))),
    )


def _wax_set(state: State, outlook: Outlook) -> Card:
    """A jug or the pot set: which one; a jug of scent or dye is warned of further heat."""
    first = tr("Jug back into the simmering bath, slowly, until clear. {only_bath}", only_bath=ONLY_BATH)
    warnings = tuple(
        f"{outlook.colour(layer)}: {said}."
        for layer in sorted(state.jugs)
        if (said := heat_warning(state, layer))
    )
    figures = (
        tr(
            "15-25 min for 500 g; then {degrees}, stir, check a colour drop.",
            degrees=outlook.degrees(outlook.pour_c),
        ),
        tr("Scented: one re-melt is tolerable; add no scent by guess."),
        *warnings,
    )
    card = Card(
        "wax set in the jug",
        "j",
        tr("wax set in a jug"),
        first,
        figures,
        tr("One heat cycle more for that jug."),
    )
    choices = [
        Choice(
            str(layer + 1),
            f"{outlook.colour(layer)}, {outlook.mass(wax_left(state).jugs.get(layer, 0.0))}",
            (chosen(card, "melt it again", layer=layer), ev.JugSeen(layer=layer, has_set=True)),
        )
        for layer in sorted(state.jugs)
    ]
    pot = Choice("p", tr("it is the pot that set"), (chosen(card, "melt the pot again"),))
    return card.with_choices(*choices, pot)


# -- colour and scent ---------------------------------------------------------------------------------


def _layers(state: State, outlook: Outlook) -> list[tuple[int, str]]:
    """The colours that exist by now, the newest first; the first of the plan where there is none."""
    drawn = sorted(state.jugs, reverse=True) or [0]
    return [(i, outlook.colour(i)) for i in drawn if i < len(state.plan.layers)]


def _revised(plan: Plan, index: int, why: str, layer: Layer) -> ev.PlanRevised:
    """The plan with another layer in the place of number `index`."""
    layers = (*plan.layers[:index], layer, *plan.layers[index + 1 :])
    return ev.PlanRevised(plan=replace(plan, layers=layers), why=why)


def _colour(state: State, outlook: Outlook) -> Card:
    """A colour came out wrong: make it darker, paler, or plan it as it is."""
    first = tr(
        "Hold the jug; chill a drop on white paper. Darker can be made, paler only with plain wax, never by its opposite dye."
    )
    card = Card(
        "wrong colour", "k", tr('wrong colour'), first, (tr('Molten wax looks darker than the candle will be.'),),
        tr('Every addition, weighed; the candle as made, not as planned.'),
    )  # fmt: skip

    def ways(layer: int, name: str) -> Question:
        planned = state.plan.layers[layer]
        as_made = replace(planned, colour=tr("{name}, off shade", name=name)[:80])
        keep = _revised(state.plan, layer, tr("{name} came out another shade", name=name), as_made)
        return Question(
            f"{name}:",
            (
                Choice(
                    "m",
                    tr("make it darker: a little dye at a time, each weighed"),
                    then=dye_question(state, outlook, layer, (chosen(card, "darker", layer=layer),)),
                ),
                Choice(
                    "p",
                    tr("paler: plain wax, as far as the jug takes it"),
                    (chosen(card, "paler", layer=layer),),
                ),
                Choice("k", tr("keep it; plan it as made"), (chosen(card, "keep it", layer=layer), keep)),
            ),
        )

    return card.with_choices(*_by_colour(_layers(state, outlook), ways))


def _by_colour(layers: list[tuple[int, str]], ways: Callable[[int, str], Question]) -> list[Choice]:
    """One answer for each colour, (layer, name), leading to the question that `ways` asks about it."""
    return [Choice(str(layer + 1), name, then=ways(layer, name)) for layer, name in layers]


def _scent(state: State, outlook: Outlook) -> Card:
    """Scent was forgotten or doubled: which colour; where doubled, how much plain wax thins it to what this wax holds."""
    first = tr(
        "Forgotten: leave that layer unscented and do not double the next. Doubled: no pour before it is diluted."
    )
    limit = min(x for x in (state.plan.scent_limit, outlook.wax.scent_max) if x is not None)
    card = Card(
        "scent", "f", tr('scent forgotten or doubled'), first, (tr('This wax holds {share} at most.', share=show_share(limit)),),
        tr('The real load of the layer.'),
    )  # fmt: skip

    def ways(layer: int, name: str) -> Question:
        planned = state.plan.layers[layer]
        plain = _revised(
            state.plan, layer, tr("scent forgotten in {name}", name=name), replace(planned, scent_load=0.0)
        )
        load = min(2 * planned.scent_load, limit)
        jug = wax_left(state).jugs.get(layer, 0.0)
        add = plain_wax_for(jug, 2 * planned.scent_load, load)
        real = _revised(
            state.plan, layer, tr("scent doubled in {name}", name=name), replace(planned, scent_load=load)
        )
        dilute = (
            tr(
                "doubled: stir in {mass} of plain wax, then {share}",
                mass=outlook.mass(add),
                share=show_share(load),
            )
            if add > 0
            else tr("doubled: {share} is still held", share=show_share(load))
        )
        answers = [
            Choice(
                "n",
                tr("forgotten: it stays unscented"),
                (chosen(card, "leave unscented", layer=layer), plain),
            ),
            Choice("p", dilute, (chosen(card, "dilute", layer=layer), real)),
            Choice("o", tr("doubled: that jug is out"), (chosen(card, DISCARD, layer=layer),)),
        ]
        return Question(f"{name}:", tuple(answers if planned.scent_load > 0 else answers[:1]))

    return card.with_choices(*_by_colour(_layers(state, outlook), ways))


def plain_wax_for(kg: float, load: float, wanted: float) -> float:
    """kg of plain wax that bring `kg` of scented wax from one scent load down to another.

    Loads are kg of scent for each kg of wax; nothing where it is low enough already.
    """
    if wanted <= 0 or load <= wanted:
        return 0.0
    wax = kg / (1 + load)
    return wax * (load / wanted - 1)
