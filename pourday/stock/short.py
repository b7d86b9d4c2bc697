"""What the shelf says of a plan: what is short, what was to be used first, and of which wax the scent is not known."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from pourday.language import tr
from pourday.plan.finding import Finding, caution, note, stop
from pourday.plan.model import Plan
from pourday.plan.weigh import WeighSheet
from pourday.stock.amounts import amount_words, product_words
from pourday.stock.balance import GRAIN, LotBalance, StockNow, amount_in
from pourday.stock.lot import LotKey
from pourday.stock.taken import Taken, planned


def short(plan: Plan, now: StockNow, sheet: WeighSheet | None = None) -> tuple[Finding, ...]:
    """Findings about what the plan needs and the shelf has; nothing of a product that nobody counted.

    Wax of which the plan itself says how much is at hand is looked at elsewhere. Raises what `weigh_sheet` raises.
    """
    needs = planned(plan, sheet)
    told = {
        part.wax
        for parts in (plan.blend, *(layer.blend for layer in plan.layers))
        for part in parts
        if part.at_hand is not None
    }
    return (
        *_short(plan, [row for row in needs if not (row.kind == "wax" and row.product in told)], now),
        *_first(plan, needs, now),
        *_unknown(needs, now),
    )


def _short(plan: Plan, needs: list[Taken], now: StockNow) -> Iterator[Finding]:
    """What there is too little of, over all that the plan takes of the same lots."""
    together: dict[tuple[LotKey, ...], list[Taken]] = defaultdict(list)
    for row in needs:
        lots = now.of(row.kind, row.product, row.lot)
        if lots:
            together[tuple(each.lot.key for each in lots)].append(row)
    for rows in together.values():
        lots = now.of(rows[0].kind, rows[0].product, rows[0].lot)
        unit = lots[0].lot.unit
        need = sum(amount_in(row, lots[0].lot) for row in rows)
        free = sum(max(0.0, each.free) for each in lots if each.lot.unit == unit)
        if need <= free + GRAIN:
            continue
        name = product_words(rows[0].kind, rows[0].product)
        reserved = sum(each.reserved for each in lots)
        what = tr(
            "{free} of {name} are free; {needed} are needed.",
            free=amount_words(free, unit, plan.units),
            name=name,
            needed=amount_words(need, unit, plan.units),
        )
        why = tr("{amount_words} are missing.", amount_words=amount_words(need - free, unit, plan.units))
        if reserved > GRAIN:
            why += tr(
                " Days that have begun hold {amount_words} back.",
                amount_words=amount_words(reserved, unit, plan.units),
            )
        level = stop if rows[0].kind == "wax" else caution
        yield level(_about(rows[0]), what, why, tr("Get more (“pourday shopping” lists it), or make less."))


def _first(plan: Plan, needs: tuple[Taken, ...], now: StockNow) -> Iterator[Finding]:
    """Lots that were to be used first, where the plan names another one."""
    for row in needs:
        if not row.lot:
            continue
        for each in now.of(row.kind, row.product):
            if each.lot.use_first and each.free > GRAIN and each.lot.key[2] != row.key[2]:
                left = amount_words(each.free, each.lot.unit, plan.units)
                what = tr(
                    "Of {product_words}, {lot} was to be used first.",
                    product_words=product_words(row.kind, row.product),
                    lot=each.lot.lot or tr("another lot"),
                )
                yield note(
                    _about(row),
                    what,
                    tr("{left} of it are left.", left=left),
                    tr("Name that lot, or leave it for another day."),
                )


def _unknown(needs: tuple[Taken, ...], now: StockNow) -> Iterator[Finding]:
    """Reclaimed wax whose scent nobody knows."""
    seen: set[LotKey] = set()
    for row in needs:
        for each in _meant(row, now):
            if each.lot.reclaimed is not None and not each.lot.reclaimed.scent and each.lot.key not in seen:
                seen.add(each.lot.key)
                what = tr(
                    "What scent is left in {product_words} is not known.",
                    product_words=product_words(row.kind, each.lot.product),
                )
                why = tr(
                    "It counts towards the load, and a scented candle wants another wick than a plain one."
                )
                yield caution(
                    _about(row),
                    what,
                    why,
                    tr("Add little or none, and let a burn test decide about the wick."),
                )


def _meant(row: Taken, now: StockNow) -> list[LotBalance]:
    """The lots of wax a row would be taken from."""
    return now.of("wax", row.product, row.lot)[:1] if row.kind == "wax" else []


def _about(row: Taken) -> str:
    """The row of the form that it is about."""
    return {"wax": "blend", "scent": "scent_lot", "dye": "dye_lot", "wick": "wick"}[row.kind]
