"""What a day takes off the shelf: by its plan while it goes on, by its record once it is over."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

import msgspec

from pourday.errors import Trouble
from pourday.plan.bench import bench
from pourday.plan.model import BlendPart, Plan, Product
from pourday.plan.products import weighed_out
from pourday.plan.weigh import WeighSheet, weigh_sheet
from pourday.plan.wick import chosen_wick, wicks_of
from pourday.session import events as ev
from pourday.session.events import Entry
from pourday.session.fold import effective
from pourday.session.state import State
from pourday.stock.lot import Kind, LotKey, lot_key


class Taken(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    """What a day takes of one product and lot."""

    kind: Kind
    product: str
    """Of a wax its id; empty where the day does not name it."""
    lot: str = ""
    """Empty where the day does not name it: then it may be any."""
    amount: float
    """kg; of a wick m."""
    pieces: int = 0
    """Of a wick, how many."""
    sure: bool = True
    """Weighed, or counted; False for what is only planned, or was not weighed."""

    @property
    def key(self) -> LotKey:
        """The lot that it was taken from, as `lot_key` writes it."""
        return lot_key(self.kind, self.product, self.lot)


def planned(plan: Plan, sheet: WeighSheet | None = None) -> tuple[Taken, ...]:
    """What a plan needs: wax, scent, dye and wick. Raises what `weigh_sheet` raises."""
    sheet = sheet or weigh_sheet(plan)
    rows = [Taken(kind="wax", product=n.wax, lot=n.lot, amount=n.kg, sure=False) for n in sheet.waxes]
    for jug in sheet.jugs:
        for kind, kg in (("scent", jug.scent), ("dye", jug.dye)):
            rows += _doses_planned(plan, jug.layer, kind, kg)
    rows += _wicks(plan, [standing.letter for standing in bench(plan)])
    return _summed(row for row in rows if row.amount > 0)


def taken(state: State, entries: Sequence[Entry], *, over: bool) -> tuple[Taken, ...]:
    """What a day takes off the shelf: planned until it is `over`, then what its record says.

    What was put in and not weighed counts as planned, and is not `sure`. Nothing of a demo, of a day that has not
    begun, and of one whose plan cannot be weighed out.
    """
    if state.fixed_plan is None or state.demo or state.batch:
        return ()
    try:
        sheet = weigh_sheet(state.plan)
        if not over:
            return planned(state.plan, sheet)
        poured = sorted(letter for letter, mould in state.moulds.items() if mould.pours)
        rows = [*_wax_used(state, sheet, entries), *_doses_used(state, sheet), *_wicks(state.plan, poured)]
        return _summed(row for row in rows if row.amount > 0)
    except Trouble:
        return ()


def _wax_used(state: State, sheet: WeighSheet, entries: Sequence[Entry]) -> Iterator[Taken]:
    """Wax that was drawn into jugs, and what stayed in the pot it was drawn from."""
    plan = state.plan
    drawn = [draw for draw in _draws(entries) if 0 <= draw.layer < len(plan.layers)]
    for draw in drawn:
        kg = next((kg for kg in (draw.kg, draw.planned_kg) if kg is not None), sheet.jug(draw.layer).wax)
        parts = plan.layers[draw.layer].blend or plan.blend
        yield from _blended(parts, kg, sure=draw.kg is not None)
    left = state.left_over.get(None)
    for parts in dict.fromkeys(plan.layers[draw.layer].blend for draw in drawn):
        weighed = left if not parts else None
        yield from _blended(
            parts or plan.blend, plan.vessel_keeps if weighed is None else weighed, sure=weighed is not None
        )


class _Draw(msgspec.Struct):
    """Wax that was drawn for a jug, kg, as it was weighed and as it was told to be."""

    layer: int
    kg: float | None
    planned_kg: float | None


def _draws(entries: Sequence[Entry]) -> list[_Draw]:
    """Every time wax was drawn, with what it weighed without scent and dye."""
    draws: list[_Draw] = []
    newest: dict[int, _Draw] = {}
    for entry in effective(entries):
        match entry.fact:
            case ev.JugMade(layer=layer, kg=kg, planned_kg=told):
                newest[layer] = _Draw(layer, kg, told)
                draws.append(newest[layer])
            case ev.JugWeighed(layer=layer, kg=kg):
                if layer not in newest:
                    newest[layer] = _Draw(layer, kg, None)
                    draws.append(newest[layer])
                newest[layer].kg = kg
    return draws


def _blended(parts: Sequence[BlendPart], kg: float, *, sure: bool) -> Iterator[Taken]:
    """The waxes of `kg` of a blend."""
    whole = sum(part.share for part in parts)
    for part in parts:
        if whole > 0:
            yield Taken(kind="wax", product=part.wax, lot=part.lot, amount=kg * part.share / whole, sure=sure)


def _doses_used(state: State, sheet: WeighSheet) -> Iterator[Taken]:
    """Scent and dye as they went into the jugs; of a jug that was made and of which nobody told, as planned."""
    for layer, jug in sorted(state.jugs.items()):
        if not 0 <= layer < len(sheet.jugs):
            continue
        wanted = sheet.jug(layer)
        for kind, kg in (("scent", wanted.scent), ("dye", wanted.dye)):
            doses = [dose.fact for dose in jug.doses if dose.fact.what == kind]
            if not doses:
                yield from _doses_planned(state.plan, layer, kind, kg)
            for dose in doses:
                weight = dose.kg if dose.kg is not None else dose.planned_kg
                if weight is None:
                    weight = kg / len(doses)
                sure = dose.kg is not None
                if dose.product:
                    yield _dose(kind, dose.product, dose.lot, weight, sure=sure)
                else:
                    yield from _doses_planned(state.plan, layer, kind, weight, sure=sure)


def _doses_planned(plan: Plan, layer: int, kind: str, kg: float, *, sure: bool = False) -> Iterator[Taken]:
    """`kg` of the scent or dye of a layer, by the names that the plan has for it."""
    named = plan.layers[layer].scents if kind == "scent" else plan.layers[layer].dyes
    usual = plan.scent_lot if kind == "scent" else plan.dye_lot
    for product, part in weighed_out(kg, named or (Product(name=usual),)):
        yield _dose(kind, product.name, product.lot, part, sure=sure)


def _dose(kind: str, product: str, lot: str, kg: float, *, sure: bool) -> Taken:
    return Taken(kind="scent" if kind == "scent" else "dye", product=product, lot=lot, amount=kg, sure=sure)


def _wicks(plan: Plan, letters: Sequence[str]) -> Iterator[Taken]:
    """The wicks of these moulds, each cut as long as it is said to be cut at most."""
    starts = {id(mould): start for mould, start in zip(plan.moulds, wicks_of(plan), strict=True)}
    for standing in bench(plan):
        if standing.letter in letters:
            start = starts[id(standing.mould)]
            name = chosen_wick(plan, standing.mould)
            yield Taken(
                kind="wick",
                product=name,
                amount=start.count * start.cut[1],
                pieces=start.count,
                sure=bool(name),
            )


def _summed(rows: Iterable[Taken]) -> tuple[Taken, ...]:
    """A row for each product and lot, in the order they came."""
    same: dict[LotKey, list[Taken]] = defaultdict(list)
    for row in rows:
        same[row.key].append(row)
    return tuple(
        msgspec.structs.replace(
            rows[0],
            amount=sum(row.amount for row in rows),
            pieces=sum(row.pieces for row in rows),
            sure=all(row.sure for row in rows),
        )
        for rows in same.values()
    )
