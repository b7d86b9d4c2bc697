"""What each finished day taught of its kitchen, as it was last worked out. A cache; its loss costs only time."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

import msgspec

from pourday.learning.kitchen import DayTaught
from pourday.store.atomic import write_atomically
from pourday.store.disk import DISK, Disk, read_file

KITCHEN = ".kitchen.json"


class ForecastCheck(msgspec.Struct, frozen=True, kw_only=True):
    """One forecast of a day beside what came, as far as looks bound it."""

    kind: str
    """`look`, `demould` and so on: what was told of."""
    t: float
    """When it was told, seconds since the epoch."""
    how: str
    """`agrees`, `earlier`, `later`, or that nothing can be told."""
    off: float | None
    """ln of the wait that came over the likely one that was told; None where the looks bound it too loosely to say."""


class DayRow(msgspec.Struct, frozen=True, kw_only=True):
    """One file of a session: what it taught, and how its forecasts did."""

    file: str
    size: int
    mtime_ns: int
    counts: bool
    """Whether it may teach: a finished day of a real kitchen."""
    day: DayTaught | None = None
    """None where it taught nothing."""
    checks: tuple[ForecastCheck, ...] = ()


class _Cache(msgspec.Struct, frozen=True, kw_only=True):
    model: str
    rows: tuple[DayRow, ...]


def load_days(folder: Path, model: str, disk: Disk = DISK) -> dict[str, DayRow]:
    """The rows by the name of their file; none where there is no cache, a broken one, or that of another model."""
    try:
        cache = msgspec.json.decode(read_file(disk, folder / KITCHEN), type=_Cache)
    except (OSError, ValueError, RecursionError, msgspec.DecodeError):
        return {}
    return {row.file: row for row in cache.rows} if cache.model == model else {}


def forget_cache(folder: Path, disk: Disk = DISK) -> None:
    """Let everything be worked out anew."""
    save_days(folder, "", [], disk)


def save_days(folder: Path, model: str, rows: list[DayRow], disk: Disk = DISK) -> None:
    """Keep these rows and nothing else. A folder that refuses is no trouble: it is only a cache."""
    with suppress(OSError):
        content = msgspec.json.encode(_Cache(model=model, rows=tuple(rows)))
        write_atomically(folder / KITCHEN, content, disk)
