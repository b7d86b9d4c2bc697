"""What is due with the candles of a folder, by the cards of its sessions."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from pourday.burn.due import CandleDue, in_order
from pourday.language import tr
from pourday.shelf.index import read_cards

Looking = Callable[[str, int, int], None]


def due_in(
    folder: Path, now: float, at: Looking = lambda _name, _done, _all: None
) -> tuple[tuple[CandleDue, ...], tuple[str, ...]]:
    """What is due across all sessions of a folder, in order, and sentences about files that could not be read.

    Demos are left out. `at` is told how many records were looked into and how many there are. Raises `Trouble` where
    the folder cannot be read.
    """
    rows: list[CandleDue] = []
    remarks: list[str] = []
    for progress in read_cards(folder):
        at(tr("the records"), progress.looked_at, progress.of)
        rows += [row for card in progress.fresh.values() for row in card.due]
        remarks += [summary.trouble for summary in progress.listed if summary.trouble]
    return in_order(tuple(rows), now), tuple(remarks)
