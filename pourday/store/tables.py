"""A file of small tables as TinyDB lays them out, read and written whole.

Reading needs no TinyDB, so that a first screen need not load it.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import msgspec

from pourday.language import tr
from pourday.store.atomic import write_atomically
from pourday.store.disk import DISK, Disk

Tables = dict[str, dict[str, dict[str, Any]]]
"""Documents by their number (a text of digits), by the name of their table."""

_LONGEST_NUMBER = 15
"""Digits of a document number; a longer one counts nothing."""


def parse_tables(data: bytes) -> Tables:
    """The tables in these bytes. Raises `ValueError` or `RecursionError` where they are none."""
    tables = msgspec.json.decode(data)
    if not isinstance(tables, dict) or not all(_is_table(table) for table in tables.values()):
        raise ValueError(tr("What it holds are no tables"))
    return tables


def _is_table(table: object) -> bool:
    return isinstance(table, dict) and all(
        key.isascii() and key.isdigit() and len(key) <= _LONGEST_NUMBER and isinstance(document, dict)
        for key, document in table.items()
    )


def write_tables(path: Path, tables: Tables, disk: Disk = DISK) -> None:
    """Put them in the place of what stands there, all or nothing. Raises `OSError`, `ValueError` for NaN."""
    write_atomically(path, json.dumps(tables, allow_nan=False).encode(), disk)
