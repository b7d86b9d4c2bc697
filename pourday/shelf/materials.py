"""What is there of the materials of a folder: its lots, and what its days took off them."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from pathlib import Path

from pourday.shelf.card import DayCard
from pourday.shelf.index import Progress, read_cards
from pourday.stock.balance import DayTook, StockNow, stock_now
from pourday.store.disk import DISK, Disk
from pourday.store.stock import Stock


def materials_of(
    folder: Path,
    disk: Disk = DISK,
    at: Callable[[Progress], None] = lambda _: None,
    without: Collection[str] = (),
) -> tuple[StockNow, list[str]]:
    """(the stock as it is now, sentences about what of its file could not be read). Raises `Trouble`.

    `at` is told how far the reading of the records has come; sessions in `without` take nothing.
    """
    cards: dict[str, DayCard] = {}
    for progress in read_cards(folder, disk):
        at(progress)
        cards |= progress.fresh
    stock = Stock(folder, disk)
    return stock_now(
        stock.lots(), days_of(card for card in cards.values() if card.session not in without)
    ), stock.remarks


def days_of(cards: Iterable[DayCard]) -> list[DayTook]:
    """What each day took or reserves, of those that have begun."""
    return [
        DayTook(card.session, card.begun, card.finished, card.takes)
        for card in cards
        if card.begun is not None and card.takes
    ]
