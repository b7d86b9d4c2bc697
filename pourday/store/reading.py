"""Reading one session of a folder, open or finished, without touching anything."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from pourday.errors import Trouble
from pourday.language import tr
from pourday.session.events import SCHEMA, Entry, GapSeen, Opened
from pourday.session.fold import fold, plan_of
from pourday.session.state import State
from pourday.store import names
from pourday.store.disk import DISK, Disk, because, read_file
from pourday.store.journal import parse
from pourday.store.record import parse_record
from pourday.text import plain

_SLACK = 2.0
"""Seconds by which two clocks of one machine may differ without anybody noticing. Estimate."""


@dataclass(frozen=True, slots=True)
class StoredSession:
    """A session as its file has it."""

    session: str
    """Its name, by which it is asked for."""
    path: Path
    finished: bool
    """It stands in a finished file; False for a journal, whatever its entries say."""
    entries: tuple[Entry, ...]
    state: State
    """What the entries amount to."""
    remarks: tuple[str, ...] = ()
    """Whole sentences about the file that a person may want to know; none of them is fatal."""
    text: bytes = b""
    """Of a journal: what the file should hold."""
    schema: int = SCHEMA
    """Version of the record that the file is written in."""


def read_session(folder: Path, session: str, disk: Disk = DISK) -> StoredSession:
    """The session with this name. Raises `Trouble` naming the file and, where it is damaged, the place.

    Where both a journal and a finished file are there, the finished one counts if it is whole.
    """
    journal, record = names.journal_path(folder, session), names.record_path(folder, session)
    if is_there(record, disk):
        try:
            return read_path(record, disk)
        except Trouble as trouble:
            if not is_there(journal, disk):
                raise
            unfinished = read_path(journal, disk)
            remarks = (
                *unfinished.remarks,
                tr("{trouble} The journal is used in its place.", trouble=trouble),
            )
            return StoredSession(
                session,
                journal,
                False,
                unfinished.entries,
                unfinished.state,
                remarks,
                unfinished.text,
                unfinished.schema,
            )
    if is_there(journal, disk):
        return read_path(journal, disk)
    raise Trouble(
        tr("There is no session called {session}.", session=session),
        tr("No file in {folder} bears its name.", folder=plain(str(folder), 300)),
        tr("`pourday list` shows the sessions there are."),
    )


def read_path(path: Path, disk: Disk = DISK) -> StoredSession:
    """The session in one file. Raises `Trouble`."""
    return read_bytes(path, bytes_of(path, disk))


def bytes_of(path: Path, disk: Disk = DISK) -> bytes:
    """What a session's file holds. Raises `Trouble` where it cannot be read."""
    try:
        return read_file(disk, path)
    except OSError as error:
        raise Trouble(
            tr("{name} cannot be read.", name=plain(path.name, 120)),
            because(error),
            tr("It is left as it is."),
        ) from None


def read_bytes(path: Path, data: bytes) -> StoredSession:
    """The session that these bytes of the file `path` are. Raises `Trouble`."""
    read = _read(path, data)
    return StoredSession(
        path.stem, path, read.finished, read.entries, fold(read.entries), read.remarks, read.text, read.schema
    )


def remarks_on(path: Path, data: bytes) -> tuple[str, ...]:
    """What `read_bytes` remarks, without working out what the entries amount to. Raises `Trouble`."""
    return _read(path, data).remarks


@dataclass(frozen=True, slots=True)
class _Read:
    """What the bytes of a file say; the fields as in `StoredSession`."""

    finished: bool
    entries: tuple[Entry, ...]
    remarks: tuple[str, ...]
    text: bytes = b""
    schema: int = SCHEMA


def _read(path: Path, data: bytes) -> _Read:
    """The entries of a file that is a session, and what is odd in it. Raises `Trouble`."""
    name = plain(path.name, 120)
    session = names.checked(path.stem)
    if path.suffix == names.RECORD:
        record = parse_record(data, name)
        _refuse_unopened(record.entries, name)
        remarks = _remarks(name, session, record.session, record.entries)
        if record.plan != plan_of(record.entries):
            says = tr(
                "The plan at the top of {name} is not the one its entries amount to; the entries count.",
                name=name,
            )
            remarks = (*remarks, says)
        return _Read(True, record.entries, remarks)
    text = parse(data, name)
    _refuse_unopened(text.entries, name)
    remarks = _remarks(name, session, text.session, text.entries)
    if text.tail:
        says = tr(
            "The end of {name} ({count} bytes) is no whole entry and was never confirmed.",
            name=name,
            count=len(text.tail),
        )
        remarks = (*remarks, says)
    return _Read(False, text.entries, remarks, text.text, text.schema)


def _refuse_unopened(entries: Sequence[Entry], name: str) -> None:
    """Raises `Trouble` for a record that does not begin with its opening: nothing in it could be placed."""
    if not entries or not isinstance(entries[0].fact, Opened):
        raise Trouble(
            tr("{name} does not begin with the opening of a session.", name=name),
            tr("What it holds cannot be placed."),
            tr("It is left as it is."),
        )


def is_there(path: Path, disk: Disk = DISK) -> bool:
    """Whether anything bears this name. Raises `Trouble` where that cannot be found out."""
    try:
        disk.stat(path)
    except (FileNotFoundError, NotADirectoryError):
        return False
    except OSError as error:
        raise Trouble(tr("{name} cannot be looked at.", name=plain(path.name, 120)), because(error)) from None
    return True


def _remarks(name: str, session: str, inside: str, entries: Sequence[Entry]) -> tuple[str, ...]:
    """Sentences about what is odd in a record but does no harm; `inside` is the session it says it is."""
    remarks = []
    if inside != session:
        remarks.append(
            tr("{name} is a copy: inside it says it is session {inside}.", name=name, inside=inside)
        )
    for before, after in pairwise(entries):
        back = (before.logged_at - after.logged_at).total_seconds()
        if back > _SLACK and not isinstance(after.fact, GapSeen):
            remarks.append(
                tr(
                    "In {name} the clock went back by {back:.0f} s before entry {seq}.",
                    name=name,
                    back=back,
                    seq=after.seq,
                )
            )
            break
    ahead = next((e for e in entries if (e.at - e.logged_at).total_seconds() > _SLACK), None)
    if ahead:
        remarks.append(
            tr("In {name} entry {seq} happened later than it was logged.", name=name, seq=ahead.seq)
        )
    return tuple(remarks)
