"""The library's memory: what each file said when it was last read. A cache; its loss costs only time.

It has TinyDB's layout and is no small table: ten thousand rows are decoded in one go, without it.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import TypeVar

import msgspec

from pourday.store.atomic import write_atomically
from pourday.store.disk import DISK, Disk, read_file
from pourday.text import LONGEST_TEXT

INDEX = ".library.json"
MOST_INDEX = 256_000_000
"""Bytes of an index that is read: ten thousand sessions take some ten million."""
_TABLE = "_default"
Row = TypeVar("Row", bound=msgspec.Struct)


def load_rows(folder: Path, kind: type[Row], disk: Disk = DISK, name: str = INDEX) -> list[tuple[Row, bool]]:
    """The rows of the file of this name, each with whether every text in it is surely plain.

    None where there is no index or a broken one, and none that is of no such kind.
    """
    try:
        data = read_file(disk, folder / name, most=MOST_INDEX)
        tables = msgspec.json.decode(data, type=dict[str, dict[str, msgspec.Raw]])
    except (OSError, ValueError, RecursionError):
        return []
    rows: list[tuple[Row, bool]] = []
    decoder = msgspec.json.Decoder(kind)
    for raw in tables.get(_TABLE, {}).values():
        # A cache that something else wrote into: whatever is wrong with a row, its file is the truth.
        with suppress(ValueError, RecursionError):
            rows.append((decoder.decode(raw), _is_plain(bytes(raw))))
    return rows


def _is_plain(row: bytes) -> bool:
    """Whether cleaning would change no text in a row: what holds for nearly all, told at a twentieth of the cost."""
    return (
        row.isascii()
        and b"\\" not in row  # No escape, and by the rules of JSON then no control character either.
        and b"\x7f" not in row
        and not any(space in row for space in (b"  ", b'" ', b' "'))
        and len(row) < LONGEST_TEXT
    )


def save_rows(folder: Path, rows: Sequence[msgspec.Struct], disk: Disk = DISK, name: str = INDEX) -> None:
    """Remember these and nothing else. A folder that refuses is no trouble: it is only a cache."""
    with suppress(OSError, ValueError):
        table = {str(number): row for number, row in enumerate(rows, 1)}
        write_atomically(folder / name, msgspec.json.encode({_TABLE: table}), disk)
