"""The moulds of a folder: what its days said of each, what was learned, and what its owner said."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

from pourday.moulds.memory import MouldMemory, remembered
from pourday.moulds.use import MouldKey, MouldUse
from pourday.reports.kitchen_days import known_kitchen
from pourday.shelf.index import Progress, read_cards
from pourday.store.disk import DISK, Disk
from pourday.store.moulds import MouldNotes


def moulds_of(
    folder: Path, now: float, disk: Disk = DISK, at: Callable[[Progress], None] = lambda _: None
) -> tuple[dict[MouldKey, MouldMemory], list[str]]:
    """(every mould by its key, sentences about what could not be read); `now` in s since the epoch. Raises `Trouble`."""
    uses: list[MouldUse] = []
    for progress in read_cards(folder, disk):
        at(progress)
        uses += [use for card in progress.fresh.values() for use in card.uses]
    notes = MouldNotes(folder, disk)
    return remembered(uses, notes.notes(), walls_of(folder, now, disk)), notes.remarks


def walls_of(folder: Path, now: float, disk: Disk = DISK) -> dict[str, tuple[float, int]]:
    """(factor on the heat loss at the wall, days that taught it) of each mould, by name and material, as `tall, tin`."""
    kitchen = known_kitchen(folder, now, disk)
    if kitchen is None:
        return {}
    return {key: (math.exp(taught.factor.mean), taught.days) for key, taught in kitchen.moulds.items()}
