"""Wax that nobody knows, in a session of its own: an ordinary one, with its journal, lock and undo.

What came of it goes where it outlasts the session: among the own waxes, and on the shelf.
"""

from __future__ import annotations

from pathlib import Path

from pourday.plan.model import Plan
from pourday.session import events as ev
from pourday.stock.lot import StockLot, more
from pourday.store.disk import DISK, Disk
from pourday.store.live import LiveSession
from pourday.store.memories import Memories
from pourday.store.stock import Stock
from pourday.times import local
from pourday.wax.materials import Wax


def begin_heap(folder: Path, kitchen: Plan, *, now: float, disk: Disk = DISK) -> LiveSession:
    """A new session for it; `kitchen` is an empty plan with units, scale and altitude. Raises `Trouble`."""
    live = LiveSession.begin(folder, f"{local(now):%Y-%m-%d}-wax", now=now, heap=True, disk=disk)
    live.file(ev.PlanDrafted(plan=kitchen), now=now, by="program")
    return live


def keep_heap(folder: Path, wax: Wax, lot: StockLot | None, disk: Disk = DISK) -> None:
    """Put what came of it among the own waxes and, where it was weighed, on the shelf. Raises `Trouble`.

    A kill may come between this and the end of the session, which then asks for it again: what is there already stays.
    """
    Memories(folder, disk).keep_wax(wax)
    if lot is None:
        return

    def once(old: StockLot | None) -> StockLot:
        there = [] if old is None else [old.counted_at, *(each.at for each in old.deliveries)]
        return old if old is not None and lot.counted_at in there else more(old, lot)

    Stock(folder, disk).change(lot.key, once)
