"""A finished session: one plain JSON file, written in one go and never changed.

Indented for people, one entry a line, so that it reads, compares and can be rescued like a
journal. The entries are the record; the plan at the top is what they amount to, for a reader
without this program.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any, Literal

import msgspec

from pourday.errors import Trouble
from pourday.language import tr
from pourday.plan.model import Plan
from pourday.session.events import SCHEMA, Entry, encode
from pourday.session.fold import fold
from pourday.store.atomic import write_atomically
from pourday.store.clean import BadLine, clean_entry, reason
from pourday.store.disk import DISK, Disk
from pourday.store.journal import refuse_newer
from pourday.store.migrate import migrated
from pourday.text import plain


class Record(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The file as a whole."""

    pourday: Literal["record"] = "record"
    schema: int = SCHEMA
    session: str
    demo: bool = False
    plan: Plan
    entries: tuple[Entry, ...]


class _Head(msgspec.Struct, frozen=True, kw_only=True):
    """As much of the file as tells what it is."""

    pourday: Literal["record"]
    schema: int


class _Older(msgspec.Struct, frozen=True, kw_only=True):
    """As much of an older file as is needed to read its entries."""

    session: str
    entries: list[Any]


class _Entries(msgspec.Struct, frozen=True, kw_only=True):
    entries: tuple[Entry, ...]


def record_bytes(session: str, entries: Sequence[Entry]) -> bytes:
    """The file of a finished session."""
    state = fold(entries)
    empty = Record(session=session, demo=state.demo, plan=state.plan, entries=())
    head = msgspec.json.format(msgspec.json.encode(empty), indent=1)
    lines = b",\n  ".join(encode(entry) for entry in entries)
    before, _, _ = head.rpartition(b"[]")
    return before + b"[\n  " + lines + b"\n ]\n}\n"


def parse_record(data: bytes, name: str) -> Record:
    """A finished file, cleaned. Raises `Trouble` with file and place."""
    try:
        refuse_newer(msgspec.json.decode(data, type=_Head).schema, name)
        record = _decoded(data)
    except (msgspec.DecodeError, UnicodeError, RecursionError) as error:
        raise _unreadable(name, reason(error)) from None
    entries = []
    for number, entry in enumerate(record.entries, start=1):
        try:
            entries.append(clean_entry(entry))
        except (BadLine, msgspec.MsgspecError, RecursionError) as bad:
            raise _unreadable(
                name, tr("Entry {number}: {reason}", number=number, reason=reason(bad))
            ) from None
        if entry.seq != number:
            raise _unreadable(
                name, tr("Entry {seq} stands where entry {number} belongs.", seq=entry.seq, number=number)
            )
    return msgspec.structs.replace(record, session=plain(record.session, 80), entries=tuple(entries))


def _decoded(data: bytes) -> Record:
    """A finished file of this or an older version. Raises msgspec's errors."""
    head = msgspec.json.decode(data, type=_Head)
    if head.schema == SCHEMA:
        return msgspec.json.decode(data, type=Record)
    older = msgspec.json.decode(data, type=_Older)
    # Converted as a whole, so that what is wrong is told with its place.
    ours = {"entries": [migrated(entry, head.schema) for entry in older.entries]}
    entries = msgspec.convert(ours, _Entries).entries
    return Record(session=older.session, plan=fold(entries).plan, entries=entries)


def _unreadable(name: str, says: str) -> Trouble:
    return Trouble(
        tr("{name} cannot be read as a finished session.", name=name),
        says,
        tr("`pourday check` writes what can still be read into a new session; this file stays as it is."),
    )


def write_record(path: Path, session: str, entries: Sequence[Entry], disk: Disk = DISK) -> None:
    """Write a finished session, all or nothing. Raises `OSError`."""
    write_atomically(path, record_bytes(session, entries), disk)


def json_schema() -> bytes:
    """The JSON Schema (draft 2020-12) of a finished record, indented, for `pourday schema`.

    A line of a journal, after its header, is one of its `Entry`.
    """
    (schema,), parts = msgspec.json.schema_components([Record], ref_template="#/$defs/{name}")
    whole = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": tr("A finished session of pourday, version {schema} of the record", schema=SCHEMA),
        **schema,
        "$defs": parts,
    }
    return msgspec.json.format(msgspec.json.encode(whole), indent=2) + b"\n"
