"""The library's memory: what each file said when it was last read. A cache; its loss costs only time.

The one module that loads TinyDB; the library loads it, and what changes a memory.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

from tinydb import TinyDB
from tinydb.storages import Storage

from pourday.store.disk import DISK, Disk, read_file
from pourday.store.tables import Tables, parse_tables, write_tables

INDEX = ".library.json"


class AtomicStorage(Storage):
    """TinyDB's storage, all or nothing; a file that cannot be read counts as an empty one."""

    def __init__(self, path: Path, disk: Disk = DISK) -> None:
        self._path, self._disk = path, disk

    def read(self) -> Tables | None:
        try:
            return parse_tables(read_file(self._disk, self._path))
        except (OSError, ValueError, RecursionError):
            return None

    def write(self, data: Tables) -> None:
        write_tables(self._path, data, self._disk)


def load(folder: Path, disk: Disk = DISK, name: str = INDEX) -> list[dict[str, Any]]:
    """What was remembered in the file of this name; nothing where there is no index or a broken one."""
    try:
        return [dict(document) for document in TinyDB(folder / name, disk, storage=AtomicStorage).all()]
    except Exception:
        # A cache that something else wrote into: whatever is wrong with it, the files are the truth.
        return []


def save(folder: Path, documents: list[dict[str, Any]], disk: Disk = DISK, name: str = INDEX) -> None:
    """Remember these and nothing else. A folder that refuses is no trouble: it is only a cache."""
    with suppress(OSError, ValueError):
        index = TinyDB(folder / name, disk, storage=AtomicStorage)
        index.drop_tables()
        index.insert_multiple(documents)


class _InHand(Storage):
    """TinyDB's storage for tables that were read already and are not yet to be written."""

    def __init__(self, tables: Tables) -> None:
        self.tables = tables

    def read(self) -> Tables:
        return self.tables

    def write(self, data: Tables) -> None:
        self.tables = data


def edited(
    tables: Tables, name: str, drop: Callable[[Mapping[str, Any]], bool], add: Sequence[dict[str, Any]]
) -> Tables:
    """The tables with what `drop` picks taken out of one of them and `add` put in, to be written in one go."""
    hand = _InHand(tables)
    table = TinyDB(storage=lambda: hand).table(name)
    table.remove(lambda document: drop(document))
    table.insert_multiple(add)
    return hand.tables
