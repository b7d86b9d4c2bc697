"""A hidden file of small tables in the sessions folder, in TinyDB's layout, that several programs may change.

Every change is read, made and renamed into place under a lock, so two programs at once lose nothing of each other's
and a kill leaves the old file or the new one. What cannot be decoded stays in the file and is told of in `remarks`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeVar

import msgspec

from pourday.errors import Trouble
from pourday.language import tr
from pourday.store.clean import BadLine, cleaned, reason
from pourday.store.disk import DISK, Disk, because, read_file, set_aside
from pourday.store.lock import InUse, Lock
from pourday.store.tables import Tables, parse_tables, write_tables
from pourday.text import plain

_ABOUT = "about"
"""The table that says what wrote the file."""
_MOST_TRIES = 100_000
"""Tries for the lock, each some 6 µs: far longer than another program takes to write the file, and
short enough that nobody thinks the screen has died."""

Row = TypeVar("Row", bound=msgspec.Struct)
Document = dict[str, Any]
Added = Sequence[Document] | Callable[[Sequence[Document]], Sequence[Document]]
"""What is put in; or what makes it from what was taken out."""


class TableFile:
    """The tables of one file, read anew whenever it changed."""

    def __init__(self, folder: Path, name: str, about: str, schema: int, disk: Disk = DISK) -> None:
        self.remarks: list[str] = []
        """Whole sentences about what of the file could not be read, and what became of it."""
        self.name = name
        self._folder, self._disk, self._path = folder, disk, folder / name
        self._about, self._schema = about, schema
        self._seen: tuple[int, int, int] | None = None
        self._tables: Tables = {}

    def all(self, table: str, kind: type[Row]) -> list[Row]:
        """Everything of one table that can be decoded."""
        rows = []
        for document in self.tables().get(table, {}).values():
            try:
                rows.append(cleaned(msgspec.convert(document, kind)))
            except (msgspec.ValidationError, BadLine, RecursionError) as error:
                said = document.get("name") or document.get("product") or document.get("session") or "?"
                self._remark(
                    tr(
                        "In {name}, “{said}” of the {table} is left alone. {reason}",
                        name=self.name,
                        said=plain(str(said), 40),
                        table=table,
                        reason=reason(error),
                    )
                )
        return rows

    def tables(self) -> Tables:
        """The tables of the file, read again only when it has changed; broken ones count as empty, with a remark."""
        try:
            status = self._disk.stat(self._path)
            seen = (status.st_ino, status.st_mtime_ns, status.st_size)
            if seen != self._seen:
                self._tables = parse_tables(read_file(self._disk, self._path))
                self._seen = seen
        except FileNotFoundError:
            self._seen, self._tables = None, {}
        except OSError as error:
            self._seen, self._tables = None, {}
            self._remark(tr("{name} cannot be read. {because}", name=self.name, because=because(error)))
        except (ValueError, RecursionError) as error:
            self._seen, self._tables = None, {}
            why = "" if type(error) is ValueError else f" {reason(error)}"
            self._remark(
                tr(
                    "{name} is broken and counts as empty; nothing of it is deleted.{why}",
                    name=self.name,
                    why=why,
                )
            )
        return self._tables

    def change(self, table: str, drop: Callable[[Mapping[str, Any]], bool], add: Added) -> None:
        """Drop and add in one table, as one step that happens wholly or not at all. Raises `Trouble`."""
        from pourday.store.edit_tables import edited

        with self._alone():
            try:
                tables = self._under_lock()
                out = [row for row in tables.get(table, {}).values() if drop(row)]
                rows = add(out) if callable(add) else add
                tables[_ABOUT] = {"1": {"pourday": self._about, "schema": self._schema}}
                write_tables(self._path, edited(tables, table, drop, rows), self._disk)
            except OSError as error:
                raise not_kept(because(error)) from None
            finally:
                self._seen = None

    @contextmanager
    def _alone(self) -> Iterator[None]:
        """With the file's lock held, so that no other program changes it meanwhile. Raises `Trouble`."""
        lock = self._lock()
        try:
            yield
        finally:
            lock.release()

    def _lock(self) -> Lock:
        """The file's lock, tried for as long as another program may need. Raises `Trouble`."""
        path = self._path.with_suffix(".lock")
        for _ in range(_MOST_TRIES):
            try:
                return Lock.take(path, self._disk)
            except InUse:
                continue
            except OSError as error:
                raise not_kept(because(error)) from None
        raise not_kept(tr("Another program holds the file."), tr("Try again in a moment."))

    def _under_lock(self) -> Tables:
        """What stands in the file now; a broken one is set aside and counts as empty."""
        try:
            data = read_file(self._disk, self._path)
        except FileNotFoundError:
            return {}
        try:
            tables = parse_tables(data)
        except (ValueError, RecursionError):
            aside = set_aside(self._disk, self._folder, f"{self.name}.broken", data)
            self._remark(
                tr("{name} was broken; as it was, it is kept in {aside}.", name=self.name, aside=aside.name)
            )
            return {}
        schemas = [document.get("schema") for document in tables.get(_ABOUT, {}).values()]
        if any(isinstance(schema, int) and schema > self._schema for schema in schemas):
            raise not_kept(
                tr("{name} was written by a newer pourday.", name=self.name), tr("Update this one.")
            )
        return tables

    def _remark(self, says: str) -> None:
        if says not in self.remarks:
            self.remarks.append(says)


def document_of(value: msgspec.Struct) -> Document:
    """As it is written, and surely readable again. Raises `Trouble` for what is not."""
    try:
        document: Document = msgspec.json.decode(msgspec.json.encode(cleaned(value)))
        msgspec.convert(document, type(value))
    except (msgspec.MsgspecError, BadLine, UnicodeError, RecursionError, TypeError) as error:
        raise not_kept(reason(error)) from None
    return document


def not_kept(why: str, instead: str = "") -> Trouble:
    """That nothing was kept, and why."""
    return Trouble(tr("It was not kept."), why, instead)
