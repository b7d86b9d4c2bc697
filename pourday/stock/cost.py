"""What a candle costs: wax, scent, dye and wick, with what was lost on the way."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pourday.plan.model import BlendPart, Plan
from pourday.plan.weigh import weigh_sheet
from pourday.session.state import State
from pourday.stock.balance import StockNow, amount_in
from pourday.stock.taken import Taken


@dataclass(frozen=True, slots=True)
class CandleCost:
    """What one candle costs, in what the person pays with."""

    letter: str
    material: float
    """Wax, scent and dye that are in it."""
    lost: float
    """Its part of what was drawn and is in no candle: drips, vessels, left over, candles that failed."""
    wick: float

    @property
    def total(self) -> float:
        """Material, what was lost of it, and wick, in what the person pays with."""
        return self.material + self.lost + self.wick


@dataclass(frozen=True, slots=True)
class DayCost:
    """What a day's candles cost."""

    candles: tuple[CandleCost, ...]
    total: float
    """Of all that has a price."""
    unpriced: tuple[Taken, ...]
    """What has none, and is in no sum."""


def day_cost(rows: Sequence[Taken], candles: Mapping[str, float], plan: Plan, now: StockNow) -> DayCost:
    """What each of the candles (kg by letter) costs, of all that a day took (`rows`).

    Prices are those of the lots, else those of the plan. Wicks are shared out evenly.
    """
    prices = {id(row): price_of(row, plan, now) for row in rows}
    poured = [row for row in rows if row.kind != "wick"]
    material = sum(prices[id(row)] or 0.0 for row in poured)
    kg, in_candles = sum(row.amount for row in poured), sum(candles.values())
    wicks = sum(prices[id(row)] or 0.0 for row in rows if row.kind == "wick")
    costs = []
    for letter, weight in sorted(candles.items()):
        whole = material * weight / in_candles if in_candles > 0 else 0.0
        inside = min(whole, material * weight / kg) if kg > 0 else 0.0
        costs.append(CandleCost(letter, inside, whole - inside, wicks / len(candles)))
    return DayCost(tuple(costs), material + wicks, tuple(row for row in rows if prices[id(row)] is None))


def price_of(row: Taken, plan: Plan, now: StockNow) -> float | None:
    """What the amount of a row costs; None where nobody said what was paid."""
    for each in now.of(row.kind, row.product, row.lot):
        if each.lot.price is not None:
            return each.lot.price * amount_in(row, each.lot)
    if row.kind == "wax":
        parts: list[BlendPart] = [*plan.blend, *(part for layer in plan.layers for part in layer.blend)]
        told = [
            p.price_per_kg
            for p in parts
            if (p.wax, p.lot) == (row.product, row.lot) and p.price_per_kg is not None
        ]
        return told[0] * row.amount if told else None
    if row.kind == "scent" and plan.scent_price_per_kg is not None:
        return plan.scent_price_per_kg * row.amount
    return None


def candles_of_day(state: State) -> dict[str, float]:
    """kg of each candle that came of a day, by letter: as it was weighed, else as planned. Raises what `weigh_sheet` raises.

    While the day goes on, all that it is to bring.
    """
    sheet = weigh_sheet(state.plan)
    over = state.finished_at is not None
    return {
        mould.letter: weighed if (weighed := _weighed(state, mould.letter)) is not None else mould.finished
        for mould in sheet.moulds
        if not state.given_up(mould.letter)
        and (not over or (mould.letter in state.moulds and state.came_out(mould.letter)))
    }


def _weighed(state: State, letter: str) -> float | None:
    """kg that a candle weighed; None where nobody weighed it."""
    mould = state.moulds.get(letter)
    return None if mould is None else mould.candle_kg
