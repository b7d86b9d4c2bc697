"""The rescue cards that are about one mould: leaks, knocks, a slipped wick, a cold layer, wax that ran out."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from pourday.guide.acts.act import Choice, Question
from pourday.guide.outlook.as_seen import look_of
from pourday.guide.outlook.moulds import MouldOutlook, next_layer_of
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.rescue.card import Card, chosen
from pourday.guide.rescue.options import WaysQuery
from pourday.language import tr
from pourday.plan.pour_order import pours_of
from pourday.session import events as ev
from pourday.session.events import Cue, Fact, Part
from pourday.session.looks import LOOK_SHORT
from pourday.session.state import MouldState, PourAt, State
from pourday.times import clock, mould_key
from pourday.units import show_temperature

JUST_NOW = 900.0
"""Seconds within which a pour on record is the one that a person means. An estimate of ours."""
SHARES = (
    ("3", tr("about three quarters"), 0.75),
    ("2", tr("about half"), 0.5),
    ("1", tr("about a quarter"), 0.25),
)
"""Key, words, and the share of the planned pour that is in. Chosen: as finely as an eye can tell."""
TIP = 70.0
"""°C below which wax may be tipped back out of a mould by gloved hands. An estimate of ours."""
ASIDE = tr("Bath or cloth at the outside only; nothing wet over the rim.")


def mould_cards(state: State, outlook: Outlook, now: float) -> tuple[Card, ...]:
    """The cards of the moulds, with the moulds that they can be about."""
    return (
        _leak_weeping(state),
        _leak_running(state, outlook, now),
        _layer_cold(state),
        _ran_out(state, outlook, now),
        _knocked(state, outlook, now),
        _wick(state, outlook, now),
    )


def _each(state: State, ways: Callable[[str], Choice | None]) -> list[Choice]:
    """One answer for each mould that has wax in it, as `ways` makes it from the letter; None leaves a mould out."""
    letters = [
        x for x in sorted(state.moulds) if state.moulds[x].pours and state.moulds[x].demoulded_at is None
    ]
    return [choice for x in letters if (choice := ways(x)) is not None]


def _leak_weeping(state: State) -> Card:
    """A mould leaks a little: the answer is the mould, and records that its seal weeps."""
    card = Card(
        "leak weeping", "w", tr('leak: it weeps'),
        tr('Tray under it. Press a cold wet cloth or ice on the OUTSIDE at the hole until it freezes off; no more wax in yet.'),
        (tr('Or stand the mould in 15-20 °C water up to the leak. Putty holds only on a dry, wax-free face.'), ASIDE),
        tr('Grams in the tray.'),
    )  # fmt: skip

    def way(letter: str) -> Choice:
        facts: tuple[Fact, ...] = (
            chosen(card, "freeze off", mould=letter),
            ev.SealSeen(mould=letter, weeps=True),
        )
        return Choice(mould_key(letter), tr("{x} weeps", x=letter), facts)

    return card.with_choices(*_each(state, way))


def _leak_running(state: State, outlook: Outlook, now: float) -> Card:
    """A mould leaks fast: cold water above the hole first; which one, and whether that stopped it, or its liquid layers were tipped back or ran out."""
    card = Card(
        "leak running", "r", tr('leak: it runs'),
        tr('Stand the mould in cold water deeper than the hole, NOW: it freezes the leak shut. Hands from under it; do not tip hot wax.'),
        (tr('A pan or a bucket will do; no water over the rim, and hold the mould down by its bar, it may float.'),
         tr('Nothing runs any more: leave it standing there until the layer has a crust, then pour on.'),
         tr('It would not stop: once what is in it is below {temperature}, gloves on, tip it back into its jug; clean, dry, seal and pour this layer anew.', temperature=show_temperature(TIP, state.plan.units))),
        tr('Grams lost; how often it was begun again.'),
    )  # fmt: skip

    def way(letter: str) -> Choice:
        lowest = _lowest_liquid(state, outlook, letter, now)
        pours = [p for p in state.moulds[letter].pours if p.layer >= lowest]
        into = pours[-1].layer
        what = ", ".join(dict.fromkeys(outlook.colour(p.layer) for p in pours))
        kg = outlook.mass(sum(p.kg_best for p in pours))
        stopped = (chosen(card, "freeze off", mould=letter), ev.SealSeen(mould=letter, weeps=True))
        ask = Question(
            tr("{letter}: {what}, at most {kg}:", letter=letter, what=what, kg=kg),
            (
                Choice("c", tr("cold water stopped it"), stopped),
                Choice("t", tr("tipped back into the jug"), _out(card, letter, lowest, "tipped back", into)),
                Choice("o", tr("it ran out into the tray"), _out(card, letter, lowest, "ran out", None)),
            ),
        )
        return Choice(mould_key(letter), tr("{x} runs", x=letter), then=ask)

    return card.with_choices(*_each(state, way))


def _out(card: Card, letter: str, lowest: int, how: str, into: int | None) -> tuple[Fact, ...]:
    """The facts for a mould that lost every layer from `lowest` up; `into` is the layer whose jug took them back."""
    emptied = ev.Emptied(
        mould=letter, from_layer=lowest, how="tipped back" if how == "tipped back" else "ran out", into=into
    )
    return (chosen(card, f"{how}, begun again", mould=letter, layer=lowest), emptied)


def _lowest_liquid(state: State, outlook: Outlook, letter: str, now: float) -> int:
    """The lowest layer with liquid in it, as computed; what is set below it stays in the mould."""
    forecast, mould = outlook.mould(letter), state.moulds[letter]
    if forecast is None:
        return mould.pours[0].layer
    pours = sorted(mould.pours, key=lambda p: p.t)
    liquid = forecast.likely.liquid(forecast.at(now))
    return next(
        (p.layer for p, share in zip(pours, liquid, strict=False) if share > 0.1), mould.pours[-1].layer
    )


def _layer_cold(state: State) -> Card:
    """A layer cooled past its window: which mould, and whether the wax is still tight to the wall."""
    card = Card(
        "layer cold", "c", tr('a layer went cold'),
        tr('Nothing in yet. Hand on the wall, eye along the rim: is the layer still tight to the wall all round?'),
        (tr('A hotter pour alone never mends a layer that has pulled away: it runs down behind it.'),),
        tr('What you see; then the ways are shown with their figures, and the one you choose is recorded.'),
    )  # fmt: skip

    def way(letter: str) -> Choice:
        question = Question(
            tr("{letter} is:", letter=letter),
            (
                Choice("t", tr("tight all round"), (ev.Looked(mould=letter, cue="cold"),)),
                Choice("p", tr("pulled away somewhere"), (ev.Looked(mould=letter, cue="pulled away"),)),
            ),
        )
        return Choice(mould_key(letter), tr("mould {letter}", letter=letter), then=question)

    return card.with_choices(*_each(state, way))


def _ran_out(state: State, outlook: Outlook, now: float) -> Card:
    """The jug was empty before the layer was full: which mould, how much of the layer is in, and how to go on."""
    card = Card(
        "ran out mid-layer", "m", tr('ran out mid-layer'),
        tr('Stop where it stands and do not wait for a new melt at that level: leave it as the layer, or pour more before it skins over.'),
        (tr('A shade mixed again is rarely the same.'),),
        tr('Planned and real grams.'),
    )  # fmt: skip

    def way(letter: str) -> Choice | None:
        running = running_pour(state, letter, now)
        if running is None:
            return None
        layer, part, known = running
        planned = outlook.portion(letter, layer, part)
        choices = []
        for key, label, share in SHARES:
            fact = short_pour(letter, layer, part, planned, share, known)
            missing = outlook.mass(planned * (1 - share))
            then = _after_short(card, state, outlook, letter, running, share, now, fact)
            choices.append(
                Choice(key, tr("{label} is in, {missing} missing", label=label, missing=missing), then=then)
            )
        return Choice(
            mould_key(letter),
            letter,
            then=Question(
                tr("{colour} in {letter}:", colour=outlook.colour(layer), letter=letter), tuple(choices)
            ),
        )

    letters = [x for x in sorted(state.moulds) if state.moulds[x].demoulded_at is None]
    return card.with_choices(*(choice for x in letters if (choice := way(x)) is not None))


Running = tuple[int, Part, PourAt | None]
"""Layer and part of a pour, and the pour itself where it is on record already."""


def running_pour(state: State, letter: str, now: float) -> Running | None:
    """The pour a person means: one just on record, else the one the plan has next. None after the last layer."""
    last = state.moulds[letter].last_pour
    if last is not None and last.part != "top-up" and now - last.t <= JUST_NOW:
        return last.layer, last.part, last
    layer = next_layer_of(state, letter)
    if layer is None:
        return None
    first = next(iter(pours_of(state.plan, letter)), None)
    return layer, "plug" if last is None and first and first.part == "plug" else "layer", None


def short_pour(
    letter: str, layer: int, part: Part, planned: float, share: float, known: PourAt | None
) -> Fact:
    """The fact that a pour stopped at a `share` of what was planned; where it is on record (`known`), its correction."""
    if known is None:
        return ev.Poured(mould=letter, layer=layer, part=part, planned_kg=planned, share=share)
    kg = None if known.kg is None else round(known.kg * share, 6)
    right = ev.Poured(
        mould=letter,
        layer=layer,
        part=part,
        planned_kg=known.planned_kg,
        share=share,
        celsius=known.celsius,
        kg=kg,
    )
    return ev.Corrected(entry=known.seq, fact=right)


def _after_short(
    card: Card,
    state: State,
    outlook: Outlook,
    letter: str,
    running: Running,
    share: float,
    now: float,
    fact: Fact,
) -> Question:
    """What to do about a pour that stopped at a `share` of what was planned; `fact` says so and is filed first."""
    layer, part, known = running
    planned = outlook.portion(letter, layer, part)
    poured = known or PourAt(state.last_seq + 1, now, layer, part, None, planned, None)
    more = Choice(
        "i",
        tr("more of it is in by {clock}, hot", clock=clock(_skin_by(outlook.mould(letter), poured), now)),
        (fact, chosen(card, "second melt before it skins over", mould=letter, layer=layer)),
    )
    plain = Choice(
        "p",
        tr("leave it so for now"),
        (fact, chosen(card, "stopped where it stands", mould=letter, layer=layer)),
    )
    query = WaysQuery(letter, now, replace(poured, share=share), (fact,), (more, plain))
    return query.question(state, outlook)


def _skin_by(forecast: MouldOutlook | None, pour: PourAt) -> float:
    """When what is in has a skin, so that more would show as a line: by the forecast of this pour, else in ten
    minutes (common practice, no source: 10-15 min)."""
    if forecast is not None and forecast.skinned.early > pour.t:
        return min(forecast.skinned.early, pour.t + JUST_NOW)
    return pour.t + 600.0


def _knocked(state: State, outlook: Outlook, now: float) -> Card:
    """A mould was knocked: what to do goes by how its surface looks now; then how much wax is still in it."""
    card = Card(
        "mould knocked", "t", tr('a mould was knocked'),
        tr('Liquid: level it at once, a slant sets within minutes; centre the wick, wipe the wall with a warm tool. Skinned: leave it.'),
        (tr('Cracks in a skin heal in the top-up where they lie under the well.'),),
        tr('How far it tilted, grams spilled.'),
    )  # fmt: skip

    def way(letter: str) -> Choice | None:
        mould = state.moulds[letter]
        last = mould.last_pour
        if last is None:
            return None
        look, _ = _look(state, outlook, letter, now)
        option = tr("level it, centre the wick") if look == "wet" else tr("leave it, check the wick")
        spilled = [
            Choice(
                key,
                tr("{label} of {colour} is still in", label=label, colour=outlook.colour(last.layer)),
                (
                    short_pour(letter, last.layer, last.part, 0.0, share, last),
                    chosen(card, option, mould=letter, layer=last.layer),
                ),
            )
            for key, label, share in SHARES
        ]
        none = Choice(
            "n",
            tr("nothing spilled: {option}", option=option),
            (chosen(card, option, mould=letter, layer=last.layer),),
        )
        return Choice(
            mould_key(letter),
            f"{letter}, {LOOK_SHORT[look]}",
            then=Question(f"{letter}:", (none, *spilled)),
        )

    return card.with_choices(*_each(state, way))


def _look(state: State, outlook: Outlook, letter: str, now: float) -> tuple[Cue, bool]:
    """(how the surface looks, whether that was seen); `wet` where nobody looked and nothing is computed."""
    forecast = outlook.mould(letter)
    mould: MouldState = state.moulds[letter]
    if forecast is None:
        return (mould.look.cue if mould.look else "wet"), mould.look is not None
    return look_of(state, forecast, now)


_WICK: Mapping[Cue, str] = {
    "wet": tr("pull it taut and clamp it again"),
    "skinned": tr("a warm wire beside it, then straighten it"),
    "firm": tr("a warm wire beside it, then straighten it"),
}
_DRILL = tr("drill 2-3 mm and wick it anew when cold")


def _wick(state: State, outlook: Outlook, now: float) -> Card:
    """A wick slipped: what to do in each mould goes by how its surface looks now."""
    card = Card(
        "wick slipped", "i", tr('the wick slipped'),
        tr('While liquid: pull taut, clamp again. Rubbery: push a warm wire beside it and straighten. Set: leave it until cold.'),
        (tr('Set: drill 2-3 mm along its line and wick it anew.'),),
        tr('Which way, and whether it stands in the middle at both ends.'),
    )  # fmt: skip

    def way(letter: str) -> Choice:
        look, seen = _look(state, outlook, letter, now)
        option = _WICK.get(look, _DRILL)
        return Choice(
            mould_key(letter),
            f"{letter}, {'' if seen else '~'}{LOOK_SHORT[look]}: {option}",
            (chosen(card, option, mould=letter),),
        )

    return card.with_choices(*_each(state, way))
