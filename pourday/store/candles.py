"""The record of what became of a batch's candles, beside the batch's own: `2026-11-25-a-candles`.

A session like any other, with its own journal and lock. The batch's file is only read for it, whether it is finished or
open in another window; so a test that begins weeks later rewrites nothing.
"""

from __future__ import annotations

from pathlib import Path

from pourday.errors import Trouble
from pourday.language import tr
from pourday.session import events as ev
from pourday.session.state import State
from pourday.store import names
from pourday.store.disk import DISK, Disk, because, read_file, set_aside
from pourday.store.journal import EmptyJournal
from pourday.store.live import LiveSession
from pourday.store.lock import InUse, Lock
from pourday.store.reading import is_there, read_session


def read_log(folder: Path, batch: str, disk: Disk = DISK) -> State | None:
    """What became of the candles of a batch; None where nothing was said yet. Raises `Trouble`."""
    name = names.candles_of(batch)
    try:
        return read_session(folder, name, disk).state if _has(folder, name, disk) else None
    except EmptyJournal:
        return None


def open_log(folder: Path, batch: State, *, now: float, disk: Disk = DISK) -> LiveSession:
    """The record of the candles of a batch, carried on or begun. Raises `Trouble`.

    It holds the batch's plan, so that it can be read without the batch's own file.
    """
    name = names.candles_of(batch.session)
    live = _carried_on(folder, name, now, disk)
    if live is None:
        live = LiveSession.create(folder, name, now=now, demo=batch.demo, batch=batch.session, disk=disk)
    # A kill may have come between the opening and the plan.
    if not live.readonly and live.state.plan != batch.plan:
        live.file(ev.PlanDrafted(plan=batch.plan), now=now, by="program")
    return live


def _carried_on(folder: Path, name: str, now: float, disk: Disk) -> LiveSession | None:
    """The record as it was left; None where there is none, or a kill left one that nothing was ever confirmed in.

    Such a stump is set aside, for another day's name is chosen freely and this one is not. Raises `Trouble`.
    """
    if not _has(folder, name, disk):
        return None
    try:
        return LiveSession.open(folder, name, now=now, disk=disk)
    except EmptyJournal as empty:
        path = names.journal_path(folder, name)
        try:
            lock = Lock.take(names.lock_path(folder, name), disk)
        except (InUse, OSError):
            raise empty from None
        try:
            set_aside(disk, folder, f"{name}.torn", read_file(disk, path))
            disk.remove(path)
        except OSError as error:
            raise Trouble(
                tr("{name} is empty and could not be set aside.", name=path.name), because(error)
            ) from None
        finally:
            lock.release()
        return None


def _has(folder: Path, session: str, disk: Disk) -> bool:
    """Whether a session of this name has a file. Raises `Trouble` where that cannot be found out."""
    paths = (names.journal_path(folder, session), names.record_path(folder, session))
    return any(is_there(path, disk) for path in paths)
