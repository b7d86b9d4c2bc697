"""The journal of an open session: one JSON line an entry, on disk before `append` returns.

The first line is a header with the schema. Every line ends with a newline, and each was synced
before the next was begun; so a power cut can spoil nothing but the end of the file. What is found
there and is no whole entry was never confirmed: it is kept in a `.torn` file and the journal goes
on from a clean line.
"""

from __future__ import annotations

import os
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import msgspec

from pourday.errors import Trouble
from pourday.language import tr
from pourday.session.events import SCHEMA, Entry
from pourday.store.clean import BadLine, entry_of
from pourday.store.disk import DISK, Disk, because, create_file, read_open, set_aside, write_all
from pourday.text import plain

_BEGINNING = b'{"pourday":'
_LONGEST_HEADER = 300
"""Bytes; what is longer and has no end of line is no header cut short."""


class Header(msgspec.Struct, frozen=True, kw_only=True):
    """The first line of a journal."""

    pourday: Literal["journal"] = "journal"
    schema: int = SCHEMA
    session: str


def header_line(session: str) -> bytes:
    """The first line of a journal of this session, with its newline."""
    return msgspec.json.encode(Header(session=session)) + b"\n"


@dataclass(frozen=True, slots=True)
class Text:
    """What the bytes of a journal say."""

    session: str
    """As the header has it; a copied file may bear another name."""
    schema: int
    entries: tuple[Entry, ...]
    text: bytes
    """What the file should hold: its whole lines, each with its newline."""
    tail: bytes
    """What follows and is no whole entry; empty in a journal that ended well."""


def parse(data: bytes, name: str) -> Text:
    """Read a journal. Raises `Trouble` with the file and the line for anything but a spoilt end."""
    end = data.find(b"\n") + 1
    if not end and (not data.strip(b"\0") or (data.startswith(_BEGINNING) and len(data) < _LONGEST_HEADER)):
        raise _empty(name)
    header = _header(data[:end], name)
    entries, good = parse_more(data, end, header.schema, 1, name)
    text, tail = data[:good], data[good:]
    last = _whole(tail, header.schema, len(entries) + 1)
    if last is not None:
        entries, text, tail = (*entries, last), data + b"\n", b""
    if not entries:
        raise _empty(name)
    return Text(plain(header.session, 80), header.schema, entries, text, tail)


class EmptyJournal(Trouble):
    """A journal that was created and in which nothing was ever confirmed."""


def _empty(name: str) -> EmptyJournal:
    """The trouble with a journal that was created and never written to."""
    return EmptyJournal(
        tr("{name} holds no entry.", name=name),
        tr("The program was ended in the very act of creating it, before anything was entered."),
        tr("Nothing is lost; begin a new session."),
    )


def _whole(tail: bytes, schema: int, seq: int) -> Entry | None:
    """The entry of a last line that lacks nothing but its newline."""
    try:
        entry = entry_of(tail, schema)
    except BadLine:
        return None
    return entry if entry.seq == seq and b"\n" not in tail else None


def parse_more(data: bytes, start: int, schema: int, seq: int, name: str) -> tuple[tuple[Entry, ...], int]:
    """The entries from byte `start` on, the first of which must have number `seq`; and where they end."""
    entries: list[Entry] = []
    good = start
    while (end := data.find(b"\n", good) + 1) > 0:
        line = data[good:end]
        if line.strip():
            try:
                entry = entry_of(line, schema)
            except BadLine as bad:
                if bad.torn and b"\n" not in data[end:]:
                    break
                raise _damaged(name, data, good, str(bad)) from None
            if entry.seq != seq + len(entries):
                says = tr(
                    "Entry {stands} stands where entry {belongs} belongs.",
                    stands=entry.seq,
                    belongs=seq + len(entries),
                )
                raise _damaged(name, data, good, says)
            entries.append(entry)
        good = end
    return tuple(entries), good


def _damaged(name: str, data: bytes, offset: int, says: str) -> Trouble:
    """The trouble with a journal that cannot be read on from byte `offset`."""
    line = data.count(b"\n", 0, offset) + 1
    return Trouble(
        tr("{name} is damaged at line {line}.", name=name, line=line),
        says,
        tr("`pourday check` writes what can still be read into a new session; this file stays as it is."),
    )


def _header(line: bytes, name: str) -> Header:
    """The first line of a journal. Raises `Trouble` where it is none, or of a newer version."""
    try:
        header = msgspec.json.decode(line, type=Header)
    except (msgspec.DecodeError, UnicodeError, RecursionError):
        raise Trouble(
            tr("{name} is not a journal of pourday.", name=name),
            tr("Its first line does not say so."),
            tr("It is left as it is."),
        ) from None
    refuse_newer(header.schema, name)
    return header


def refuse_newer(schema: int, name: str) -> None:
    """Raise `Trouble` for a schema this program does not know."""
    if 1 <= schema <= SCHEMA:
        return
    if schema < 1:
        raise Trouble(
            tr("{name} says it has version {schema} of the record.", name=name, schema=schema),
            tr("There never was one."),
        )
    raise Trouble(
        tr("{name} was written by a newer pourday.", name=name),
        tr(
            "It has version {version} of the record; this program knows versions up to {newest}.",
            version=schema,
            newest=SCHEMA,
        ),
        tr("Open it with the newer program; it is left as it is."),
    )


class Journal:
    """The file of one open session, held open for appending by its one writer."""

    def __init__(self, path: Path, text: bytes, disk: Disk = DISK) -> None:
        """`text` is what of the file is known to be good; anything beyond is dealt with on appending."""
        self._path, self._disk = path, disk
        self._text = bytearray(text)
        self._fd: int | None = None
        self._tried = b""
        """The line of the last attempt, while it is not known to be on disk."""
        self.torn_files: list[Path] = []
        """Files that spoilt ends were set aside into."""
        self.rewritten = False
        """The file was gone and has been written again in full."""

    @classmethod
    def create(cls, path: Path, session: str, line: bytes, disk: Disk = DISK) -> Journal:
        """A new journal with its first entry, durable. Raises `OSError`; then there is no file."""
        text = header_line(session) + line
        create_file(disk, path, text)
        return cls(path, text, disk)

    def append(self, line: bytes) -> None:
        """Put one line on disk; its cost does not depend on how much is there already.

        Raises `OSError` or `Trouble` where it is not known to be on disk. Whatever was raised, the
        same line may be appended again: the descriptor is given up, and the file is opened anew
        and its end held against what was confirmed before anything more is written.
        """
        try:
            fd = self._fd
            if fd is None or not self._is_as_left(fd):
                fd = self._reopen()
            self._tried = line
            write_all(self._disk, fd, line)
            self._disk.fsync(fd)
        except BaseException:
            self.close()
            raise
        self._text += line
        self._tried = b""

    def close(self) -> None:
        """Give the descriptor up. What was confirmed is on disk already."""
        fd, self._fd = self._fd, None
        if fd is not None:
            with suppress(OSError):  # The end is checked on reopening, whatever closing says.
                self._disk.close(fd)

    def text(self) -> bytes:
        """Everything that was confirmed, as the file holds it."""
        return bytes(self._text)

    def _is_as_left(self, fd: int) -> bool:
        """Whether the name still leads to our file and nobody else wrote to it."""
        try:
            named = self._disk.stat(self._path)
            return named.st_size == len(self._text) and os.path.samestat(named, self._disk.fstat(fd))
        except OSError:
            return False

    def _reopen(self) -> int:
        """The file opened anew, written again where somebody deleted it, and brought to what was confirmed."""
        self.close()
        try:
            fd = self._disk.open(self._path, os.O_RDWR | os.O_APPEND)
        except FileNotFoundError:
            self._disk.stat(self._path.parent)
            create_file(self._disk, self._path, bytes(self._text))
            self.rewritten = True
            fd = self._disk.open(self._path, os.O_RDWR | os.O_APPEND)
        self._fd = fd
        self._mend(fd, read_open(self._disk, fd))
        return fd

    def _mend(self, fd: int, on_disk: bytes) -> None:
        """Bring the file to exactly what was confirmed; what is not ours is set aside, not cut off."""
        ours = bytes(self._text)
        if on_disk.startswith(ours):
            tail = on_disk[len(ours) :]
            if tail and not self._tried.startswith(tail):
                folder = self._path.parent
                self.torn_files.append(set_aside(self._disk, folder, f"{self._path.stem}.torn", tail))
            if tail:
                self._disk.truncate(fd, len(ours))
        elif ours.startswith(on_disk):
            # The disk lost the end of what it had confirmed, or an older copy was put back.
            write_all(self._disk, fd, ours[len(on_disk) :])
        else:
            raise Trouble(
                tr(
                    "{name} was changed or replaced by something other than this program.",
                    name=plain(self._path.name),
                ),
                tr("It is left as it is, so nothing more is written into it."),
                tr("Move it to another folder: then the whole session is written again in its place."),
            )


def why_not_saved(refusal: OSError | Trouble, path: Path) -> Trouble:
    """What to tell when an entry could not be put on disk."""
    if isinstance(refusal, Trouble):
        return refusal
    return Trouble(
        tr("What you entered last is not on disk yet."),
        f"{plain(str(path), 300)}: {because(refusal)}",
        tr("It is tried again; keep the program open, or write a copy to another folder."),
    )
