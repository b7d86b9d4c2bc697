"""What has to be bought for plans, in whole packs."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from pourday.plan.model import Plan
from pourday.stock.balance import GRAIN, LotBalance, StockNow, amount_in
from pourday.stock.lot import Kind, StockUnit
from pourday.stock.taken import Taken, planned


@dataclass(frozen=True, slots=True)
class Purchase:
    """One product that plans need, and how much of it has to be bought. Amounts in `unit`."""

    kind: Kind
    product: str
    """Empty where no plan names it."""
    unit: StockUnit
    needed: float
    free: float
    """What is there and not reserved; 0 where nobody counted."""
    counted: bool
    """Whether anybody ever counted what is there."""
    pack: float | None
    """What one pack holds; None where nobody said."""
    price: float | None
    """For one `unit`."""
    reclaimed: bool = False
    """Won from old candles: there is no more of it to be bought."""

    @property
    def missing(self) -> float:
        """How much has to be bought, in `unit`; 0 where what is there does, but for a grain."""
        missing = self.needed - self.free
        return missing if missing > GRAIN else 0.0

    @property
    def packs(self) -> int | None:
        """Whole packs to buy; None where it is not known what one holds."""
        return None if self.pack is None else math.ceil(self.missing / self.pack - GRAIN)

    @property
    def buy(self) -> float:
        """What is bought, in whole packs where they are known."""
        return self.missing if self.pack is None or self.packs is None else self.packs * self.pack

    @property
    def cost(self) -> float | None:
        """Of what is bought; None without a price."""
        return None if self.price is None else self.buy * self.price


def shopping(plans: Sequence[Plan], now: StockNow) -> tuple[Purchase, ...]:
    """A line for each product that these plans need, in the order they need it. Raises what `weigh_sheet` raises."""
    needs: dict[tuple[Kind, str], list[Taken]] = defaultdict(list)
    for row in (row for plan in plans for row in planned(plan)):
        needs[row.key[:2]].append(row)
    return tuple(_purchase(rows, now) for rows in needs.values())


def _purchase(rows: Sequence[Taken], now: StockNow) -> Purchase:
    first = rows[0]
    lots = now.of(first.kind, first.product)
    unit: StockUnit = lots[0].lot.unit if lots else "pieces" if first.kind == "wick" else "kg"
    lots = [each for each in lots if each.lot.unit == unit]
    if lots:
        needed = sum(amount_in(row, lots[0].lot) for row in rows)
    else:
        needed = sum(row.pieces if unit == "pieces" else row.amount for row in rows)
    return Purchase(
        kind=first.kind,
        product=first.product,
        unit=unit,
        needed=needed,
        free=sum(max(0.0, each.free) for each in lots),
        counted=bool(lots),
        pack=_newest(lots, "pack"),
        price=_newest(lots, "price"),
        reclaimed=any(each.lot.reclaimed is not None for each in lots),
    )


def _newest(lots: Iterable[LotBalance], what: str) -> float | None:
    """What the lot that came last has of this, of those that have it."""
    told = [(each.lot.since or 0.0, getattr(each.lot, what)) for each in lots]
    return max(((since, value) for since, value in told if value is not None), default=(0.0, None))[1]
