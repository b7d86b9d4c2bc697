"""What is there of each lot, by what was counted and what days took since: nothing of it is kept, so nothing can be lost.

A day that has begun reserves what its plan needs; one that is over took what its record says. What a day took that had
begun before a lot was counted was off the shelf by then, and is not taken off again.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

from pourday.stock.lot import Kind, StockLot
from pourday.stock.taken import Taken
from pourday.text import plain

GRAIN = 1e-9
"""kg, m or pieces below which nothing is missing."""


@dataclass(frozen=True, slots=True)
class DayTook:
    """What one day takes off the shelf."""

    session: str
    begun: float
    """s since the epoch."""
    over: bool
    """Whether it took it, or only reserves it."""
    rows: tuple[Taken, ...]


@dataclass(frozen=True, slots=True)
class Use:
    """What one day takes of one lot, in the unit of that lot."""

    session: str
    amount: float
    over: bool
    sure: bool


@dataclass(frozen=True, slots=True)
class LotBalance:
    """A lot and what days take of it."""

    lot: StockLot
    uses: tuple[Use, ...] = ()

    @property
    def there(self) -> float:
        """What should stand on the shelf; below zero where more was taken than was ever counted."""
        return self.lot.came - sum(use.amount for use in self.uses if use.over)

    @property
    def reserved(self) -> float:
        """What days need that have begun and are not over."""
        return sum(use.amount for use in self.uses if not use.over)

    @property
    def free(self) -> float:
        """What a new day can have."""
        return self.there - self.reserved

    @property
    def sure(self) -> bool:
        """Whether all that was taken was weighed."""
        return all(use.sure for use in self.uses if use.over)


@dataclass(frozen=True, slots=True)
class Uncounted:
    """A product and lot that days take and nobody ever counted."""

    kind: Kind
    product: str
    lot: str
    uses: tuple[Use, ...]
    """kg; of a wick m."""


@dataclass(frozen=True, slots=True)
class StockNow:
    """All lots with what is there of them, and what days took that stands on no shelf."""

    lots: tuple[LotBalance, ...] = ()
    uncounted: tuple[Uncounted, ...] = ()

    def of(self, kind: Kind, product: str, lot: str = "") -> list[LotBalance]:
        """The lots that a plan may mean which names this product and lot, the one to be used first in front."""
        return _fitting(self.lots, Taken(kind=kind, product=product, lot=lot, amount=0.0))


@dataclass(slots=True)
class _Account:
    """A lot while days are taken off it."""

    lot: StockLot
    uses: list[Use] = field(default_factory=list)

    def free(self) -> float:
        return self.lot.came - sum(use.amount for use in self.uses)


_Held = TypeVar("_Held", _Account, LotBalance)


def stock_now(lots: Iterable[StockLot], days: Iterable[DayTook]) -> StockNow:
    """What is there of each lot after these days."""
    accounts = [_Account(lot) for lot in lots]
    nowhere: dict[tuple[Kind, str, str], list[Use]] = defaultdict(list)
    for day in sorted(days, key=lambda day: (day.begun, day.session)):
        for row in day.rows:
            fitting = _fitting(accounts, row)
            if not fitting:
                use = Use(day.session, row.amount, day.over, row.sure)
                nowhere[(row.kind, plain(row.product), plain(row.lot))].append(use)
                continue
            # One that was counted after the day began is what was left once the day had taken what it needs.
            open_ = [account for account in fitting if account.lot.counted_at <= day.begun]
            if open_:
                _take(open_, row, day)
    return StockNow(
        tuple(LotBalance(account.lot, tuple(account.uses)) for account in accounts),
        tuple(Uncounted(*key, tuple(uses)) for key, uses in nowhere.items()),
    )


def _take(accounts: Sequence[_Account], row: Taken, day: DayTook) -> None:
    """Take a row off lots in turn, as far as each goes; what is missing stands with the first."""
    left = amount_in(row, accounts[0].lot)
    for account in accounts:
        part = min(left, max(0.0, account.free()))
        if part > GRAIN and account.lot.unit == accounts[0].lot.unit:
            account.uses.append(Use(day.session, part, day.over, row.sure))
            left -= part
    if left > GRAIN:
        accounts[0].uses.append(Use(day.session, left, day.over, row.sure))


def amount_in(row: Taken, lot: StockLot) -> float:
    """What is taken, in the unit of a lot."""
    return float(row.pieces) if lot.unit == "pieces" else row.amount


def _fitting(held: Iterable[_Held], row: Taken) -> list[_Held]:
    """The lots that a row may mean: the one it names, else those of its product in the order they are used."""
    kind, product, lot = row.key
    same = [each for each in held if _is_product(each.lot, kind, product)]
    named = [each for each in same if lot and each.lot.key[2] == lot]
    if lot and not named:
        # A reel or a sack that was counted without its lot may be any.
        named = [each for each in same if not each.lot.lot]
        return named
    return named or sorted(
        same, key=lambda each: (not each.lot.use_first, each.lot.since or 0.0, each.lot.key)
    )


def _is_product(lot: StockLot, kind: Kind, product: str) -> bool:
    """Whether a lot is of a product; a wick is named in free words, which may begin with its name."""
    key = lot.key
    if key[0] != kind or not product:
        return False
    return key[1] == product or (kind == "wick" and product.startswith(f"{key[1]} "))
