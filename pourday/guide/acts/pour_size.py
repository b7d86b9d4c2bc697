"""How much each pour of an act takes at its moment, and what it says: grams, their spread, and the line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from msgspec.structs import replace as with_fields

from pourday.guide.acts.act import Act
from pourday.guide.acts.mould_acts import how_hot
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.outlook.room import Amount, amount, runs_to, shut_in
from pourday.language import ntr, tr
from pourday.plan.own_layers import stays
from pourday.session import events as ev
from pourday.session.events import Fact
from pourday.times import letters

POURS = ("plug", "pour", "top-up")
TELLS = 0.05
"""Share of an amount from which on its spread is worth saying. An estimate of ours."""


def sized(act: Act, outlook: Outlook, now: float) -> Act:
    """A pour with the weights that fit its moulds when it is made, and its sentence; any other act as it is."""
    if act.kind not in POURS:
        return act
    at = max(now, act.due) if act.due < float("inf") else now
    amounts = {
        fact.mould: amount(outlook, fact.mould, fact.layer, fact.part, at)
        for fact in act.records
        if isinstance(fact, ev.Poured)
    }
    facts: list[Fact] = []
    for fact in act.records:
        if isinstance(fact, ev.Poured):
            if act.kind == "pour" and shut_in(outlook, fact.mould, at):
                facts.append(ev.Relieved(mould=fact.mould))
            facts.append(with_fields(fact, planned_kg=_on_scale(outlook, amounts[fact.mould])))
        else:
            facts.append(fact)
    act = replace(act, records=tuple(facts))
    says = _top_up_says(act, outlook, amounts, at) if act.kind == "top-up" else _says(act, outlook, amounts)
    if not _goes_back(act, outlook):
        return replace(act, says=says)
    back = ev.JugStands(layer=act.layer or 0, where="bath")
    return replace(
        act, says=tr("{says} Then stand the jug back in the bath.", says=says), records=(*act.records, back)
    )


def _goes_back(act: Act, outlook: Outlook) -> bool:
    """Whether the jug of a pour is out of the bath, and something will still be poured from it."""
    state, layer = outlook.state, act.layer or 0
    jug = state.jugs.get(layer)
    if jug is None or jug.where == "bath" or jug.has_set:
        return False
    for letter in state.moulds:
        coming = state.remaining(letter)
        # The first of them is the pour of this act, where it goes into that mould.
        after_it = coming[1:] if letter in act.moulds else coming
        if any(pour.layer == layer for pour in after_it):
            return True
    return False


def _on_scale(outlook: Outlook, fill: Amount) -> float:
    """kg in steps of the person's scale; a planned portion is so already."""
    step = outlook.state.plan.scale_step
    return fill.kg if fill.planned else round(round(fill.kg / step) * step, 6)


def _mass(outlook: Outlook, fill: Amount) -> str:
    """`about 205 g (190-220 g)`, or the plain weight of what is only planned or sure enough."""
    if fill.planned:
        return outlook.mass(fill.kg)
    if fill.high - fill.low < TELLS * max(fill.kg, 1e-9):
        return tr("about {mass}", mass=outlook.mass(fill.kg))
    low, high = outlook.mass(fill.low), outlook.mass(fill.high)
    unit = high.rpartition(" ")[2]
    return tr(
        "about {mass} ({low}-{high})", mass=outlook.mass(fill.kg), low=low.removesuffix(f" {unit}"), high=high
    )


def _alike(
    outlook: Outlook, amounts: dict[str, Amount], lines: dict[str, str]
) -> list[tuple[tuple[str, str], list[str]]]:
    """Moulds that take the same to the same line, together: eight votives are one amount and one height."""
    together: dict[tuple[str, str], list[str]] = {}
    for letter, fill in amounts.items():
        together.setdefault((_mass(outlook, fill), lines[letter]), []).append(letter)
    return list(together.items())


def _into(moulds: Sequence[str], mass: str) -> str:
    """`about 54 g into A`, `about 54 g each into A, B and C`."""
    return ntr(
        "{mass} into {moulds}",
        "{mass} each into {moulds}",
        len(moulds),
        mass=mass,
        moulds=letters("".join(moulds)),
    )


def _says(act: Act, outlook: Outlook, amounts: dict[str, Amount]) -> str:
    """The sentence of a plug or a layer; holes come first where wax has sunk under a crust."""
    assert act.layer is not None
    first = act.kind == "plug"
    lines = {x: "" if first else outlook.length(fill.below_rim) for x, fill in amounts.items()}
    parts = [
        _into(alike, mass)
        + (
            ntr(
                ", to the line {length} below its rim",
                ", to the line {length} below their rims",
                len(alike),
                length=line,
            )
            if line
            else ""
        )
        for (mass, line), alike in _alike(outlook, amounts, lines)
    ]
    holes = [fact.mould for fact in act.records if isinstance(fact, ev.Relieved)]
    said = tr(
        "{first} {colour} at {how_hot}: {parts}.",
        first=tr("Plug") if first else tr("Pour"),
        colour=outlook.colour(act.layer),
        how_hot=how_hot(outlook, act),
        parts="; ".join(parts),
    )
    if holes:
        said = tr(
            "Open 2-4 holes through the crust of {holes} first, the wax below has sunk. {said}",
            holes=letters("".join(holes)),
            said=said,
        )
    return said


def _top_up_says(act: Act, outlook: Outlook, amounts: dict[str, Amount], at: float) -> str:
    """The sentence of a top-up: the holes, how hot, how much into each mould and how high."""
    state = outlook.state
    heights = {letter: _how_high(outlook, letter, fill) for letter, fill in amounts.items()}
    parts = [f"{_into(alike, mass)}, {height}" for (mass, height), alike in _alike(outlook, amounts, heights)]
    pulled = [x for x in amounts if (look := state.moulds[x].look) is not None and look.cue == "pulled away"]
    gap = (
        ntr(
            " {pulled} has pulled away: only the well, nothing down the gap.",
            " {pulled} have pulled away: only the well, nothing down the gap.",
            len(pulled),
            pulled=letters("".join(pulled)),
        )
        if pulled
        else ""
    )
    return tr(
        "{holes} and fill holes and well at {how_hot}: {parts}.{gap}",
        holes=_holes(outlook, list(amounts), at),
        how_hot=how_hot(outlook, act),
        parts="; ".join(parts),
        gap=gap,
    )


def _holes(outlook: Outlook, moulds: Sequence[str], at: float) -> str:
    """How the hollow is opened: holes down to the liquid, or a hot rod where none is left."""
    deep = max((runs_to(outlook, letter, at) for letter in moulds), default=0.0)
    if deep <= 0:
        return tr(
            "Open the hollow of {moulds} from the base with a hot rod, warm it",
            moulds=letters("".join(moulds)),
        )
    return tr(
        "Open 2-4 holes in {moulds} down to the liquid, {length} at most,",
        moulds=letters("".join(moulds)),
        length=outlook.length(deep),
    )


def _how_high(outlook: Outlook, letter: str, fill: Amount) -> str:
    """How high a top-up may go: under the line in a mould, level with it where it is the candle's own top."""
    if stays(outlook.state.plan, letter):
        return tr(
            "level with its line and in one go: it is the candle's own top, so leave it still and smooth"
        )
    return tr("to {length} below its rim, never above", length=outlook.length(fill.below_rim))
