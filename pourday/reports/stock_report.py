"""The stock, a shopping list and what candles cost: as text, and as plain data."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from pourday.language import figures, ntr, tr
from pourday.stock.amounts import amount_words, price_words, product_words
from pourday.stock.balance import LotBalance, StockNow, Uncounted
from pourday.stock.cost import DayCost
from pourday.stock.lot import KINDS, Kind, LotKey, bare_unit
from pourday.stock.shopping import Purchase
from pourday.times import local, utc_text
from pourday.units import Units, show_temperature

HOW = tr(
    "One line puts it right: pourday stock scent orange 85 g. Another one adds: pourday stock add wax palm 10 kg lot A12 paid 64."
)
EMPTY = tr("Nothing was counted yet.")


def stock_text(now: StockNow, units: Units, names: Mapping[str, str]) -> list[str]:
    """What is there of each lot, what is reserved, and what days took that nobody counted; `names` of waxes by id."""
    lines: list[str] = []
    for kind in KINDS:
        rows = [each for each in now.lots if each.lot.kind == kind]
        if rows:
            lines += ["", kind.capitalize()]
            for each in rows:
                lines += _lot_lines(each, units, names)
    if now.uncounted:
        lines += ["", tr("Used or planned by days, and never counted")]
        lines += [f"  {uncounted_words(each, units, names)}" for each in now.uncounted]
    return [*(lines[1:] or [EMPTY]), "", HOW]


def told_text(key: LotKey, now: StockNow, units: Units, names: Mapping[str, str]) -> list[str]:
    """What a line came to: the lot as it is now, or that it is gone."""
    for each in now.lots:
        if each.lot.key == key:
            return [each.lot.kind.capitalize(), *_lot_lines(each, units, names)]
    return [tr("Forgotten.")]


def _lot_lines(each: LotBalance, units: Units, names: Mapping[str, str]) -> list[str]:
    lot = each.lot
    about = "" if each.sure else "~"
    name = name_words(lot.kind, lot.product, names) + (f", {lot.lot}" if lot.lot else "")
    parts = [f"  {name}: {about}{amount_words(each.there, lot.unit, units)}"]
    if each.reserved:
        parts.append(tr("{amount_words} reserved", amount_words=amount_words(each.reserved, lot.unit, units)))
    if lot.use_first:
        parts.append(tr("use first"))
    if lot.price is not None:
        parts.append(price_words(lot.price, lot.unit, units))
    parts.append(tr("counted {when:%Y-%m-%d}", when=local(lot.counted_at)))
    lines = ["; ".join(parts)]
    if each.there < 0:
        lines.append(tr("    More was taken than was ever counted. Count it."))
    if lot.reclaimed is not None:
        lines += [f"    {says}" for says in reclaimed_words(each, units)]
    return [*lines, f"    {lot.note}"] if lot.note else lines


def reclaimed_words(each: LotBalance, units: Units) -> list[str]:
    """Sentences about wax won from old candles; none of what was bought."""
    was = each.lot.reclaimed
    if was is None:
        return []
    low, high = (
        None if t is None else show_temperature(t, units) for t in (was.melts_from_c, was.melts_to_c)
    )
    melts = (
        tr(
            "It melts from {low} to {high}.",
            low=low or tr("an unknown heat"),
            high=high or tr("an unknown heat"),
        )
        if low or high
        else ""
    )
    sets = (
        ""
        if was.sets_c is None
        else tr("It sets at {temperature}.", temperature=show_temperature(was.sets_c, units))
    )
    hot = (
        ""
        if was.heat_cycles is None
        else tr("It has been melted {heat_cycles} times.", heat_cycles=was.heat_cycles)
    )
    cleaned = (
        tr("Cleaned: {cleaned}.", cleaned=", ".join(was.cleaned))
        if was.cleaned
        else tr("Nobody said how it was cleaned.")
    )
    says = [
        tr(
            "Reclaimed from {came_from}. {cleaned}",
            came_from=was.came_from or tr("old candles"),
            cleaned=cleaned,
        ),
        " ".join(part for part in (melts or tr("Where it melts is not known."), sets, hot) if part),
        tr("Scent: {scent}.", scent=was.scent or tr("unknown"))
        + ("" if was.scent else tr(" Allow for it with wick and load.")),
    ]
    return says


def uncounted_words(each: Uncounted, units: Units, names: Mapping[str, str]) -> str:
    """What days took of a product that nobody counted."""
    name = name_words(each.kind, each.product, names) + (f", {each.lot}" if each.lot else "")
    unit = bare_unit(each.kind)
    used = sum(use.amount for use in each.uses if use.over)
    held = sum(use.amount for use in each.uses if not use.over)
    said = [tr("{amount_words} used", amount_words=amount_words(used, unit, units))] if used else []
    said += [tr("{amount_words} reserved", amount_words=amount_words(held, unit, units))] if held else []
    return f"{name}: {', '.join(said)}"


def name_words(kind: Kind, product: str, names: Mapping[str, str]) -> str:
    """A product by its name; of a wax the name that goes with its id."""
    return names.get(product, product_words(kind, product)) if kind == "wax" else product_words(kind, product)


def stock_data(now: StockNow) -> dict[str, Any]:
    """The same as plain data; amounts in each lot's unit, times as UTC."""
    return {
        "lots": [
            {
                "kind": each.lot.kind,
                "product": each.lot.product,
                "lot": each.lot.lot,
                "unit": each.lot.unit,
                "there": each.there,
                "reserved": each.reserved,
                "free": each.free,
                "weighed": each.sure,
                "counted": each.lot.counted,
                "counted_utc": utc_text(each.lot.counted_at),
                "delivered": [{"amount": d.amount, "utc": utc_text(d.at)} for d in each.lot.deliveries],
                "price": each.lot.price,
                "pack": each.lot.pack,
                "since_utc": None if each.lot.since is None else utc_text(each.lot.since),
                "use_first": each.lot.use_first,
                "note": each.lot.note,
                "reclaimed": _reclaimed_data(each),
                "uses": [_use_data(use) for use in each.uses],
            }
            for each in now.lots
        ],
        "uncounted": [
            {
                "kind": each.kind,
                "product": each.product,
                "lot": each.lot,
                "unit": bare_unit(each.kind),
                "uses": [_use_data(use) for use in each.uses],
            }
            for each in now.uncounted
        ],
    }


def _reclaimed_data(each: LotBalance) -> Any:
    import msgspec

    return None if each.lot.reclaimed is None else msgspec.to_builtins(each.lot.reclaimed)


def _use_data(use: Any) -> dict[str, Any]:
    return {"session": use.session, "amount": use.amount, "over": use.over, "weighed": use.sure}


# -- shopping ---------------------------------------------------------------------------------------------


def shopping_text(rows: Sequence[Purchase], units: Units, names: Mapping[str, str]) -> list[str]:
    """What to buy, then what is there already."""
    buy = [row for row in rows if row.missing]
    lines = [tr("To buy")] if buy else [tr("Nothing has to be bought.")]
    for row in buy:
        lines.append(f"  {_purchase_words(row, units, names)}")
    costs = [row.cost for row in buy]
    known = [cost for cost in costs if cost is not None]
    if known:
        rest = "" if len(known) == len(costs) else tr(" without what has no price")
        lines.append(tr("  together {sum:.2f}{rest}", sum=sum(known), rest=rest))
    there = [row for row in rows if not row.missing]
    if there:
        lines += ["", tr("Enough is there")]
        lines += [
            tr(
                "  {name}: {needed} needed, {free} free",
                name=name_words(row.kind, row.product, names),
                needed=amount_words(row.needed, row.unit, units),
                free=amount_words(row.free, row.unit, units),
            )
            for row in there
        ]
    return lines


def _purchase_words(row: Purchase, units: Units, names: Mapping[str, str]) -> str:
    name = name_words(row.kind, row.product, names)
    needed, free = (amount_words(x, row.unit, units) for x in (row.needed, row.free))
    have = tr("{free} free", free=free) if row.counted else tr("never counted")
    packs = row.packs
    if row.reclaimed:
        buy = tr(
            "{amount_words} missing; there is no more of it, so take another wax",
            amount_words=amount_words(row.missing, row.unit, units),
        )
    elif row.pack is not None and packs is not None:
        buy = ntr(
            "{packs} pack of {amount_words}",
            "{packs} packs of {amount_words}",
            packs,
            packs=packs,
            amount_words=amount_words(row.pack, row.unit, units),
        )
    else:
        buy = amount_words(row.missing, row.unit, units)
    cost = "" if row.cost is None or row.reclaimed else figures(", {cost:.2f}", cost=row.cost)
    return tr(
        "{name}: {buy}{cost} ({needed} needed, {have})",
        name=name,
        buy=buy,
        cost=cost,
        needed=needed,
        have=have,
    )


def shopping_data(rows: Sequence[Purchase]) -> dict[str, Any]:
    """The same as plain data."""
    return {
        "purchases": [
            {
                "kind": row.kind,
                "product": row.product,
                "unit": row.unit,
                "needed": row.needed,
                "free": row.free,
                "counted": row.counted,
                "missing": row.missing,
                "pack": row.pack,
                "packs": row.packs,
                "buy": row.buy,
                "cost": row.cost,
            }
            for row in rows
        ]
    }


# -- what candles cost ------------------------------------------------------------------------------------


def cost_text(cost: DayCost, units: Units, names: Mapping[str, str]) -> list[str]:
    """What each candle costs, and what of it has no price."""
    lines = [
        tr(
            "{letter}: {total:.2f} (in it {material:.2f}, wick {wick:.2f}, lost {lost:.2f})",
            letter=each.letter,
            total=each.total,
            material=each.material,
            wick=each.wick,
            lost=each.lost,
        )
        for each in cost.candles
    ]
    lines = lines or [tr("No candle came of this day.")]
    lines.append(tr("All of it: {total:.2f}", total=cost.total))
    for row in cost.unpriced:
        unit = bare_unit(row.kind)
        name = name_words(row.kind, row.product, names)
        lines.append(
            tr(
                "Without a price: {name}, {amount_words}.",
                name=name,
                amount_words=amount_words(row.amount, unit, units),
            )
        )
    return lines


def cost_data(cost: DayCost) -> dict[str, Any]:
    """The same as plain data."""
    return {
        "candles": [
            {"letter": c.letter, "material": c.material, "wick": c.wick, "lost": c.lost, "total": c.total}
            for c in cost.candles
        ],
        "total": cost.total,
        "unpriced": [
            {"kind": row.kind, "product": row.product, "lot": row.lot, "amount": row.amount}
            for row in cost.unpriced
        ],
    }
