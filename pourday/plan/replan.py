"""Planning what is still to be poured once the day did not go by the plan.

Nothing here changes what was poured: the heights of what stands in a mould follow from what went in, and
only what lies above is planned anew. The plan the day began with stays as it was; these are new plans.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Mapping, Sequence
from typing import Literal

import msgspec
from msgspec.structs import replace

from pourday.errors import Trouble
from pourday.language import tr
from pourday.plan.check import height_of
from pourday.plan.model import Layer, Mould, Plan
from pourday.plan.own_layers import layers_of, mould_of, shares_of
from pourday.plan.pour_order import NOTHING, LeftOut, Part, ToPour, pours_left
from pourday.plan.volumes import fill_height, height_for, volume
from pourday.plan.weigh import WeighSheet, set_density, stays_on_jug, wax_in, waxes_of, weigh_sheet

Revision = Literal["stop here", "new heights", "leave out", "melt again"]
"""Stop at what stands; the remaining layers over the height (and wax) left; the same without the next
layer; the wax out of the mould and in again."""

THINNEST = 0.006
"""m: a band lower than this is not worth its seam (common practice, no source: 6-12 mm at least)."""
_SAME = 1e-4
"""m that a ruler at a mould cannot tell from nothing. Estimate."""


class InMould(msgspec.Struct, frozen=True, kw_only=True):
    """One pour as it went in."""

    layer: int
    kg: float
    part: Part = "layer"


class WaxInventory(msgspec.Struct, frozen=True, kw_only=True):
    """Wax that is not in a mould. kg."""

    pot: float
    jugs: dict[int, float] = {}
    """By layer: coloured and scented already."""


class RestLine(msgspec.Struct, frozen=True, kw_only=True):
    """What one colour still needs. kg."""

    layer: int
    colour: str
    wanted: float
    """Pours and top-ups to come, and what stays on the jug."""
    in_jug: float
    draw: float
    """To draw from the pot, scent and dye included."""
    wax: float
    scent: float
    dye: float
    short: float
    """Of `draw`, what the pot has not got."""


class RestSheet(msgspec.Struct, frozen=True, kw_only=True):
    """The weigh sheet of what is still to be poured, from what is really left."""

    lines: tuple[RestLine, ...]
    pot: float
    """kg in the pot before any of it."""
    pot_after: float

    @property
    def short(self) -> float:
        """kg of wax that are missing altogether."""
        return sum(line.short for line in self.lines)


def level_after(plan: Plan, letter: str, pours: Sequence[InMould], sheet: WeighSheet | None = None) -> float:
    """m above the inside bottom where the hot surface of the last of these pours stood."""
    return max(_levels(plan, letter, pours, sheet or weigh_sheet(plan)).values(), default=0.0)


def _levels(plan: Plan, letter: str, pours: Sequence[InMould], sheet: WeighSheet) -> dict[int, float]:
    """Level of each layer that was poured, on what had set below it, as the weigh sheet reckons it."""
    mould, ours, waxes = mould_of(plan, letter), sheet.mould(letter), waxes_of(plan, sheet.wax)
    scale = min(1.0, ours.finished / ours.estimate)
    filled, levels = 0.0, dict[int, float]()
    for pour in pours:
        if pour.part == "top-up":
            continue
        wax, celsius, kg = waxes[pour.layer], ours.pours[pour.layer].pour_c, pour.kg / scale
        room = filled + kg / wax.density_at(celsius)
        filled += kg / set_density(wax, celsius)
        levels[pour.layer] = max(height_for(mould.shape, room), max(levels.values(), default=0.0))
    return levels


def replan(
    plan: Plan,
    letter: str,
    way: Revision,
    poured: Mapping[str, Sequence[InMould]],
    left: WaxInventory | None = None,
) -> Plan:
    """The plan with this mould planned anew from what stands in it.

    `poured` has the pours of every mould, `left` the wax to do with: given, the remaining layers of this
    mould end as low as it takes. Raises `Trouble` where this way leads nowhere.
    """
    match way:
        case "stop here":
            return _stop_here(plan, letter, poured[letter])
        case "new heights":
            return _fitted(plan, letter, poured, left, frozenset())
        case "leave out":
            done = {pour.layer for pour in poured[letter]}
            following = [i for i in layers_of(plan, letter) if i not in done]
            return _fitted(plan, letter, poured, left, frozenset(following[:1]))
        case "melt again":
            return _melt_again(plan, letter, poured[letter])


def _stop_here(plan: Plan, letter: str, pours: Sequence[InMould]) -> Plan:
    """The plan in which this mould gets no further layer, its line where the wax stands."""
    levels = _levels(plan, letter, pours, weigh_sheet(plan))
    if max(levels.values(), default=0.0) < _SAME:
        raise Trouble(
            tr("Nothing stands in {letter} yet.", letter=letter), instead=tr("Leave the mould out, or pour.")
        )
    return _with_levels(plan, letter, levels, max(levels.values()))


def _fitted(
    plan: Plan,
    letter: str,
    poured: Mapping[str, Sequence[InMould]],
    left: WaxInventory | None,
    without: frozenset[int],
) -> Plan:
    """The remaining layers of this mould by their planned proportions, up to the line or as far as the wax
    goes."""
    whole = _over_the_rest(plan, letter, poured[letter], without, None)
    if left is None or rest_sheet(whole, poured, left).short <= 0:
        return whole
    stands = level_after(plan, letter, poured[letter])

    def fits(top: float) -> bool:
        tried = _over_the_rest(plan, letter, poured[letter], without, top)
        return rest_sheet(tried, poured, left).short <= 0

    if stands + THINNEST > fill_height(mould_of(plan, letter)) or not fits(stands + THINNEST):
        raise Trouble(
            tr("The wax that is left does not make another band in {letter}.", letter=letter),
            instead=tr("Stop at this height, or melt more wax."),
        )
    top = _highest(fits, stands + THINNEST, fill_height(mould_of(plan, letter)))
    return _over_the_rest(plan, letter, poured[letter], without, top)


def _highest(fits: Callable[[float], bool], low: float, high: float) -> float:
    """The highest level that fits, m, where `low` does, to a hundredth of a millimetre."""
    while high - low > 1e-5:
        middle = (low + high) / 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low


def _over_the_rest(
    plan: Plan, letter: str, pours: Sequence[InMould], without: frozenset[int], top: float | None
) -> Plan:
    """The layers still to come, but those `without`, between what stands in the mould and `top` (m; None: its line).

    In the proportions they are planned in. Raises `Trouble` where there is none, or no room for any.
    """
    mould = mould_of(plan, letter)
    levels = _levels(plan, letter, pours, weigh_sheet(plan))
    low = max(levels.values(), default=0.0)
    high = fill_height(mould) if top is None else top
    shares = shares_of(plan, mould)
    last = max(levels, default=-1)
    ahead = [i for i, share in enumerate(shares) if share > 0 and i > last and i not in without]
    if not ahead or high - low < _SAME:
        raise Trouble(
            tr("There is nothing left to pour into {letter}.", letter=letter),
            instead=tr("Stop at this height."),
        )
    whole, line = sum(shares[i] for i in ahead), low
    for i in ahead:
        line += (high - low) * shares[i] / whole
        levels[i] = line
    return _with_levels(plan, letter, levels, high)


def _with_levels(plan: Plan, letter: str, levels: Mapping[int, float], top: float) -> Plan:
    """The plan with this mould's layers reaching these levels, m, and its fill line at `top`."""
    mould = mould_of(plan, letter)
    shares, below = [0.0] * len(plan.layers), 0.0
    for layer, level in sorted(levels.items()):
        shares[layer] = round(max(level - below, 1e-5), 5)
        below = level
    full = volume(mould.shape, fill_height(mould))
    weight = mould.set_weight and mould.set_weight * volume(mould.shape, top) / full
    rim = height_of(mould.shape)
    return change_mould(
        plan, letter, shares=tuple(shares), below_rim=round(max(0.0, rim - top), 5), set_weight=weight
    )


def change_mould(plan: Plan, letter: str, **changes: object) -> Plan:
    """The plan with one mould of the bench changed; its fellows of the same kind stay as they are."""
    moulds: list[Mould] = []
    typed = {k: v for k, v in plan.typed.items() if not k.startswith("moulds.")}
    wanted, before = ord(letter) - ord("A"), 0
    mould_of(plan, letter)
    for index, mould in enumerate(plan.moulds):
        within = wanted - before
        before += mould.count
        if 0 <= within < mould.count:
            # Its fellows before it and after it stay rows of their own, so that letters do not move.
            parts = (within, 1, mould.count - within - 1)
            pieces = [replace(mould, count=n) for n in parts]
            pieces[1] = changed = replace(pieces[1], **changes)
            pieces = [piece for piece in pieces if piece.count]
        else:
            pieces, changed = [mould], None
        for piece in pieces:
            changed_fields = (
                {*changes, "count"} if piece is changed else {"count"} if len(pieces) > 1 else set[str]()
            )
            typed |= _typed_of(plan, index, len(moulds), changed_fields)
            moulds.append(piece)
    return replace(plan, moulds=tuple(moulds), typed=typed)


def _typed_of(plan: Plan, old: int, new: int, gone: Container[str]) -> dict[str, str]:
    """What was typed for a mould, under its new number, without what no longer holds."""
    start = f"moulds.{old}."
    return {
        f"moulds.{new}.{k.removeprefix(start)}": v
        for k, v in plan.typed.items()
        if k.startswith(start) and k.removeprefix(start) not in gone
    }


def _melt_again(plan: Plan, letter: str, pours: Sequence[InMould]) -> Plan:
    """The plan with all wax of a mould melted and poured into it again.

    Of one colour it is that colour again, and the plan stays as it is. Several colours become a layer of their own,
    their mix, which goes in last: as high as there is wax for it.
    """
    inside = sorted({pour.layer for pour in pours})
    if len(inside) < 2:
        return plan
    kg = sum(pour.kg for pour in pours)
    mixed = len(plan.layers)
    mix = mixed_layer(plan, pours)
    grown = replace(
        plan, layers=(*plan.layers, mix), moulds=tuple(_same_layers(plan, m) for m in plan.moulds)
    )
    fill, shares = fill_height(mould_of(grown, letter)), shares_of(grown, mould_of(grown, letter))
    rest = [i for i in layers_of(plan, letter) if i not in inside]

    def over(line: float) -> Plan:
        """The colours still to come up to a line, the mix above them; the mix alone up to it without any."""
        if not rest:
            return _with_levels(grown, letter, {mixed: line}, line)
        levels, below = dict[int, float](), 0.0
        for i in rest:
            below += line * shares[i] / sum(shares[k] for k in rest)
            levels[i] = below
        return _with_levels(grown, letter, {**levels, mixed: fill}, fill)

    def enough(line: float) -> bool:
        ours = weigh_sheet(over(line)).mould(letter)
        plug = ours.plug.kg if ours.plug and ours.plug.layer == mixed else 0.0
        return ours.pours[mixed].kg + ours.top_up.kg + plug <= kg

    if not rest:
        return over(_highest(enough, THINNEST, fill))
    # The more of the others below it, the less of the mix.
    return over(_highest(lambda line: not enough(line), THINNEST, fill - THINNEST))


def mixed_layer(plan: Plan, pours: Sequence[InMould]) -> Layer:
    """The colour that melting these layers together gives: name and swatch only; its scent and dye are in it."""
    inside = sorted({pour.layer for pour in pours})
    names = [plan.layers[i].colour or tr("layer {i}", i=i + 1) for i in inside]
    kgs = [sum(p.kg for p in pours if p.layer == i) for i in inside]
    total = sum(kgs) or 1.0
    colours = [int(plan.layers[i].swatch[1:], 16).to_bytes(3, "big") for i in inside]
    mean = (
        round(sum(kg * colour[part] for kg, colour in zip(kgs, colours, strict=True)) / total)
        for part in range(3)
    )
    return Layer(
        colour=tr("{names}, melted together", names=tr(" and ").join(names)),
        swatch="#" + "".join(f"{x:02x}" for x in mean),
        blend=plan.layers[inside[0]].blend,
    )


def _same_layers(plan: Plan, mould: Mould) -> Mould:
    """A mould that goes on as planned although the plan got a layer more."""
    return replace(mould, shares=(*shares_of(plan, mould), 0.0))


def rest_sheet(
    plan: Plan,
    poured: Mapping[str, Sequence[InMould]],
    left: WaxInventory,
    left_out: Mapping[str, LeftOut] | None = None,
) -> RestSheet:
    """What each colour still needs, from the wax that is really left; the pot goes to the earlier layers first.

    `left_out` has what the person decided not to pour, by mould.
    """
    sheet, out = weigh_sheet(plan), left_out or {}
    wanted_pours = [
        (to_pour, _planned_kg(sheet, m.letter, to_pour, poured.get(m.letter, ())))
        for m in sheet.moulds
        for to_pour in pours_left(plan, m.letter, _made(poured.get(m.letter, ())), out.get(m.letter, NOTHING))
    ]
    pot, lines = left.pot, []
    for index, layer in enumerate(plan.layers):
        bare = sum(kg for to_pour, kg in wanted_pours if to_pour.layer == index)
        wanted = bare + stays_on_jug(plan, bare)
        in_jug = left.jugs.get(index, 0.0)
        draw = max(0.0, wanted - in_jug)
        wax = wax_in(draw, layer, plan.scent_basis)
        short = max(0.0, wax - pot)
        pot = max(0.0, pot - wax)
        lines.append(
            RestLine(
                layer=index, colour=layer.colour or tr('layer {index}', index=index + 1), wanted=wanted, in_jug=in_jug, draw=draw,
                wax=wax, scent=wax * layer.scent_load, dye=wax * layer.dye_load, short=short,
            )
        )  # fmt: skip
    return RestSheet(lines=tuple(lines), pot=left.pot, pot_after=pot)


def _made(pours: Sequence[InMould]) -> list[ToPour]:
    """The pours that are in a mould, without their weights."""
    return [ToPour(pour.layer, pour.part) for pour in pours]


def _planned_kg(sheet: WeighSheet, letter: str, pour: ToPour, made: Sequence[InMould]) -> float:
    """kg of one pour as the sheet has it; of a top-up what earlier ones have left of it."""
    ours = sheet.mould(letter)
    if pour.part == "top-up":
        return max(0.0, ours.top_up.kg - sum(each.kg for each in made if each.part == "top-up"))
    return ours.plug.kg if pour.part == "plug" and ours.plug else ours.pours[pour.layer].kg


def orders(plan: Plan, letter: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """(colours as they are poured, colours of the finished candle from top to base) of one mould."""
    names = tuple(plan.layers[i].colour or tr("layer {i}", i=i + 1) for i in layers_of(plan, letter))
    return names, names if mould_of(plan, letter).inverted else tuple(reversed(names))
