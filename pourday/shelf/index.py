"""The cards of a whole folder, and the file that remembers them so that only what changed is read again.

The file is a cache: it can be lost, and what stands in it of a file that changed since counts for nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import msgspec

from pourday.errors import Trouble
from pourday.shelf.card import DayCard
from pourday.store import index, names
from pourday.store.candles import read_log
from pourday.store.clean import BadLine, cleaned
from pourday.store.disk import DISK, Disk
from pourday.store.library import session_files
from pourday.store.reading import read_session

SHELF = ".shelf.json"
MADE_BY = 3
"""Raised whenever a card is made otherwise, so that old ones are made anew."""
EVERY = 10
"""Sessions that are read between two words on how far it has come,"""
AT_ONCE = 500
"""and cards that are handed over at once where they are remembered."""

Stamp = tuple[str, int, int]
"""Name of a file, its size in bytes and when it was changed, ns."""


class _Row(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What the file holds of one session: its card, and the files that it was made from."""

    made_by: int
    files: tuple[Stamp, ...]
    card: DayCard


@dataclass(frozen=True, slots=True)
class Progress:
    """How far the reading of a folder has come."""

    done: int
    of: int
    fresh: dict[str, DayCard]
    """By session, those that are known since the last word."""


def cards_of(folder: Path, disk: Disk = DISK) -> dict[str, DayCard]:
    """The card of every session of a folder that can be read, by its name. Raises `Trouble` where the folder cannot."""
    cards: dict[str, DayCard] = {}
    for progress in read_cards(folder, disk):
        cards |= progress.fresh
    return cards


def read_cards(folder: Path, disk: Disk = DISK) -> Iterator[Progress]:
    """The cards of a folder as they become known: first those that are remembered, then those that have to be made.

    Raises `Trouble` where the folder itself cannot be read; a session that cannot be read has no card.
    """
    stamps = _stamps(folder, disk)
    remembered = {row.card.session: row for row in map(_row, index.load(folder, disk, SHELF)) if row}
    rows = {name: row for name, row in remembered.items() if row.files == stamps.get(name)}
    missing = [name for name in stamps if name not in rows]
    known = list(rows)
    for start in range(0, len(known), AT_ONCE):
        part = known[start : start + AT_ONCE]
        yield Progress(start + len(part), len(stamps), {name: rows[name].card for name in part})
    for start in range(0, len(missing), EVERY):
        part = missing[start : start + EVERY]
        made = {name: card for name in part if (card := _card(folder, name, disk)) is not None}
        for name, card in made.items():
            rows[name] = _Row(made_by=MADE_BY, files=stamps[name], card=card)
        yield Progress(len(known) + start + len(part), len(stamps), made)
    if rows != remembered:
        index.save(folder, [msgspec.to_builtins(row) for row in rows.values()], disk, SHELF)


def _stamps(folder: Path, disk: Disk) -> dict[str, tuple[Stamp, ...]]:
    """The files of every session by its name, those of its candles with it, as they are now. Raises `Trouble`."""
    stamps: dict[str, tuple[Stamp, ...]] = {}
    for file in session_files(folder, disk):
        name = file.rpartition(".")[0]
        if not names.is_id(name):
            continue
        try:
            status = disk.stat(folder / file)
        except OSError:
            continue
        batch = name.removesuffix(names.CANDLES)
        stamps[batch] = (*stamps.get(batch, ()), (file, status.st_size, status.st_mtime_ns))
    return {name: tuple(sorted(files)) for name, files in stamps.items()}


def _card(folder: Path, session: str, disk: Disk) -> DayCard | None:
    """The card of one session; None where it cannot be read."""
    from pourday.shelf.making import card_of

    try:
        stored = read_session(folder, session, disk)
        try:
            log = read_log(folder, session, disk)
        except Trouble:
            log = None  # What became of its candles cannot be read; the day itself can.
        return card_of(stored, log)
    except Trouble:
        return None


def _row(document: dict[str, object]) -> _Row | None:
    """A row from its document; None where this program could not have written it."""
    try:
        row = msgspec.convert(document, _Row)
        return msgspec.structs.replace(row, card=cleaned(row.card)) if row.made_by == MADE_BY else None
    except (msgspec.ValidationError, BadLine, ValueError, OverflowError, RecursionError):
        return None
