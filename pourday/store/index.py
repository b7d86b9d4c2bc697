"""The library's memory: what each file said when it was last read. A cache; its loss costs only time.

The one module that loads TinyDB, and only the library loads it.
"""

from __future__ import annotations

import json
from contextlib import suppress
from pathlib import Path
from typing import Any

import msgspec
from tinydb import TinyDB
from tinydb.storages import Storage

from pourday.store.atomic import write_atomically
from pourday.store.disk import DISK, Disk, read_file

INDEX = ".library.json"


class AtomicStorage(Storage):
    """TinyDB's storage, all or nothing; a file that cannot be read counts as an empty one."""

    def __init__(self, path: Path, disk: Disk = DISK) -> None:
        self._path, self._disk = path, disk

    def read(self) -> dict[str, dict[str, Any]] | None:
        try:
            data = msgspec.json.decode(read_file(self._disk, self._path))
        except (OSError, ValueError, RecursionError):
            return None
        if isinstance(data, dict) and all(isinstance(table, dict) for table in data.values()):
            return data
        return None

    def write(self, data: dict[str, dict[str, Any]]) -> None:
        write_atomically(self._path, json.dumps(data, allow_nan=False).encode(), self._disk)


def load(folder: Path, disk: Disk = DISK) -> list[dict[str, Any]]:
    """What was remembered; nothing where there is no index or a broken one."""
    try:
        return [dict(document) for document in TinyDB(folder / INDEX, disk, storage=AtomicStorage).all()]
    except Exception:
        # A cache that something else wrote into: whatever is wrong with it, the files are the truth.
        return []


def save(folder: Path, documents: list[dict[str, Any]], disk: Disk = DISK) -> None:
    """Remember these and nothing else. A folder that refuses is no trouble: it is only a cache."""
    with suppress(OSError, ValueError):
        index = TinyDB(folder / INDEX, disk, storage=AtomicStorage)
        index.drop_tables()
        index.insert_multiple(documents)
