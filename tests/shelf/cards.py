"""All cards of a folder at once; the program takes them as they become known."""

from __future__ import annotations

from pathlib import Path

from pourday.shelf.card import DayCard
from pourday.shelf.index import read_cards
from pourday.store.disk import DISK, Disk


def cards_of(folder: Path, disk: Disk = DISK) -> dict[str, DayCard]:
    """The card of every session of a folder that can be read, by its name. Raises `Trouble` where the folder cannot."""
    cards: dict[str, DayCard] = {}
    for progress in read_cards(folder, disk):
        cards |= progress.fresh
    return cards
