"""The cards of a whole folder, and the file that remembers them so that only what changed is read again.

The file is a cache: it can be lost, and what stands in it of a file that changed since counts for nothing.
"""

from __future__ import annotations

import os
from collections.abc import Collection, Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path

import msgspec

from pourday.errors import Trouble
from pourday.shelf.card import DayCard
from pourday.store import index, names
from pourday.store.candles import read_log
from pourday.store.clean import BadLine, cleaned
from pourday.store.disk import DISK, Disk
from pourday.store.library import Summary, broken, remember, session_files, summary_of
from pourday.store.reading import StoredSession, read_path
from pourday.text import plain

SHELF = ".shelf.json"
MADE_BY = 5
"""Raised whenever a card is made differently: cards made before count for nothing then."""
EVERY = 10
"""So many sessions are read between two reports of how far the reading has come,"""
AT_ONCE = 500
"""and so many remembered cards are handed over in one go."""

LONG_NAME = 52
"""Letters from which the name of a session may be cut off in the name of its candles' record."""

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
    listed: tuple[Summary, ...] = ()
    """What the list says of the files that were read since."""

    @property
    def looked_at(self) -> int:
        """How many were done before the one that was just read."""
        return max(0, self.done - 1)


def read_cards(folder: Path, disk: Disk = DISK, unlisted: Collection[str] = ()) -> Iterator[Progress]:
    """The cards of a folder as they become known: first those that are remembered, then those that have to be made.

    Sessions with a file in `unlisted` are read in any case, and what the list says of all that were read is taken into
    the library's index. Raises `Trouble` where the folder itself cannot be read; a session that cannot be read has no
    card.
    """
    stamps = _stamps(folder, disk)
    wanted = {_batch(name) for name in unlisted}
    remembered = {
        row.card.session: row
        for row in (_row(each) for each, _ in index.load_rows(folder, _Row, disk, SHELF))
        if row
    }
    rows = {name: row for name, row in remembered.items() if row.files == stamps.get(name)}
    missing = [name for name in stamps if name not in rows or name in wanted]
    known = [name for name in rows if name not in wanted]
    for start in range(0, len(known), AT_ONCE):
        part = known[start : start + AT_ONCE]
        yield Progress(start + len(part), len(stamps), {name: rows[name].card for name in part})
    listed: dict[str, tuple[os.stat_result, Summary]] = {}
    try:
        for start in range(0, len(missing), EVERY):
            part = missing[start : start + EVERY]
            made: dict[str, DayCard] = {}
            told: list[Summary] = []
            for name in part:
                card, read = _card(folder, name, stamps[name], disk)
                told += [summary for _, summary in read.values()]
                listed |= read
                rows.pop(name, None)
                if card is None:
                    continue
                made[name] = card
                # Where a file is broken nobody knows what is due; and it is read and told of each time.
                if any(summary.trouble for _, summary in read.values()):
                    made[name] = msgspec.structs.replace(card, due=())
                else:
                    rows[name] = _Row(made_by=MADE_BY, files=stamps[name], card=card)
            yield Progress(len(known) + start + len(part), len(stamps), made, tuple(told))
    finally:
        # Whoever stops it half way has the half: the next reading goes on from there.
        if rows != remembered:
            index.save_rows(folder, list(rows.values()), disk, SHELF)
        if listed:
            remember(folder, listed, disk)


def _batch(file: str) -> str:
    """The session that a file belongs to, or whose candles it is about."""
    return file.rpartition(".")[0].removesuffix(names.CANDLES)


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


def _card(
    folder: Path, session: str, files: tuple[Stamp, ...], disk: Disk
) -> tuple[DayCard | None, dict[str, tuple[os.stat_result, Summary]]]:
    """The card of one session, None where it cannot be read; and what the list says of each of its files."""
    from pourday.shelf.making import card_of

    listed: dict[str, tuple[os.stat_result, Summary]] = {}
    read: dict[str, StoredSession] = {}
    for file, _, _ in files:
        path = folder / file
        try:
            status = disk.stat(path)
        except OSError:
            continue  # It went away meanwhile.
        try:
            stored = read_path(path, disk)
            listed[file] = status, summary_of(stored)
            # Of a finished session the journal counts only where its record is broken.
            if stored.session not in read or stored.finished:
                read[stored.session] = stored
        except Trouble as trouble:
            listed[file] = status, broken(path, trouble)
    day = read.get(session)
    if day is None:
        return None, listed
    log = next((each.state for each in read.values() if each.state.batch), None)
    if log is None and len(session) > LONG_NAME:
        # The name of its candles' record is cut, so it was not seen to belong to it.
        with suppress(Trouble):
            log = read_log(folder, session, disk)
    return card_of(day, log), listed


def _row(row: _Row) -> _Row | None:
    """One row of the file, checked; None where this program cannot have written it."""
    if row.made_by != MADE_BY:
        return None
    try:
        due = tuple(
            replace(
                each,
                batch=plain(each.batch),
                letter=plain(each.letter),
                label=plain(each.label),
                title=plain(each.title),
                why=plain(each.why),
            )
            for each in row.card.due
        )
        return msgspec.structs.replace(row, card=msgspec.structs.replace(cleaned(row.card), due=due))
    except (BadLine, ValueError, OverflowError, RecursionError):
        return None
