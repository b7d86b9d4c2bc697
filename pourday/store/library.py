"""All sessions of a folder, each with its main facts or with what is wrong with its file."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import Annotated

import msgspec

from pourday.errors import Trouble
from pourday.session.state import Stage
from pourday.store import names
from pourday.store.clean import BadLine, cleaned
from pourday.store.disk import DISK, Disk, because
from pourday.store.reading import StoredSession, read_path
from pourday.text import plain

Epoch = Annotated[float, msgspec.Meta(ge=-2e10, le=2e10)]
"""Seconds, such as every calendar can still show in any time zone: the years 1336 to 2603."""
Count = Annotated[int, msgspec.Meta(ge=0, le=1_000_000_000)]


class Summary(msgspec.Struct, frozen=True, kw_only=True):
    """One row of the library."""

    session: str
    """Its name; of a file with an unfit name, that file's name."""
    file: str
    finished: bool = False
    """Ended by a person; it can only be read."""
    title: str = ""
    stage: Stage = "setup"
    demo: bool = False
    started: Epoch | None = None
    last: Epoch | None = None
    """When something was last entered."""
    entries: Count = 0
    moulds: Count = 0
    due: tuple[tuple[str, Epoch], ...] = ()
    """Running timers: name and when they are due."""
    verdict: str = ""
    batch: str = ""
    """Of a record of candles: the session they were poured in."""
    lit: str = ""
    """Letters of the candles that burn."""
    trouble: str = ""
    """Why it cannot be opened, whole sentences with file and place; empty where it can."""
    remarks: tuple[str, ...] = ()


class _IndexRow(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What the index holds of one file."""

    file: str
    size: int
    mtime_ns: int
    summary: Summary


def list_sessions(
    folder: Path, disk: Disk = DISK, at: Callable[[str, int, int], None] = lambda _name, _done, _all: None
) -> list[Summary]:
    """Every session of the folder: open ones first, then finished ones, the newest first in each.

    `at` is told which file is looked at, how many were before it, and how many there are.

    Raises `Trouble` only where the folder itself cannot be read. Files that did not change since
    they were last read are taken from the index.
    """
    from pourday.store import index

    known = {k.file: k for k in map(_known, index.load(folder, disk)) if k}
    rows: list[Summary] = []
    keep: list[_IndexRow] = []
    files = session_files(folder, disk)
    for number, name in enumerate(files):
        at(plain(name, 120), number, len(files))
        old, status = known.get(name), _status(folder / name, disk)
        if old and status and (old.size, old.mtime_ns) == (status.st_size, status.st_mtime_ns):
            rows.append(old.summary)
            keep.append(old)
            continue
        rows.append(_summary(folder / name, disk))
        if status and not rows[-1].trouble:
            keep.append(
                _IndexRow(file=name, size=status.st_size, mtime_ns=status.st_mtime_ns, summary=rows[-1])
            )
    if keep != list(known.values()):
        index.save(folder, [msgspec.to_builtins(k) for k in keep], disk)
    return _ordered(rows)


def open_sessions(folder: Path, disk: Disk = DISK) -> list[Summary]:
    """The sessions that are not finished, the newest first; reads only journals and never loads TinyDB."""
    journals = [name for name in session_files(folder, disk) if name.endswith(names.JOURNAL)]
    rows = _ordered([_summary(folder / name, disk) for name in journals])
    return [row for row in rows if not row.finished and not row.trouble]


def session_files(folder: Path, disk: Disk = DISK) -> list[str]:
    """Names of the files that are, or claim to be, sessions. Raises `Trouble`."""
    try:
        listed = disk.scan(folder)
    except OSError as error:
        where = plain(str(folder), 300)
        raise Trouble(f"The sessions in {where} cannot be listed.", because(error)) from None
    return [name for name in listed if name[:1] != "." and name.endswith((names.JOURNAL, names.RECORD))]


def _status(path: Path, disk: Disk) -> os.stat_result | None:
    """What the disk says of a file; None where it says nothing, as of one that is gone again."""
    try:
        return disk.stat(path)
    except OSError:
        return None


def _summary(path: Path, disk: Disk) -> Summary:
    """The summary of a file, read; where it cannot be opened, one that says why."""
    if not names.is_id(path.stem):
        name = plain(path.name, 80)
        says = f"{name} is not the name of a session file. Rename it to small letters, digits and hyphens."
        return Summary(session=name, file=name, trouble=says)
    try:
        return _of(read_path(path, disk))
    except Trouble as trouble:
        return Summary(session=path.stem, file=path.name, trouble=str(trouble))


def _of(stored: StoredSession) -> Summary:
    """The summary of a session that could be read."""
    state = stored.state
    return Summary(
        session=stored.session,
        file=stored.path.name,
        finished=stored.finished or state.finished_at is not None,
        title=state.plan.title if state.heap is None else state.heap.name or "wax that nobody knows",
        stage=state.stage,
        demo=state.demo,
        started=state.opened_at,
        last=max(entry.logged_at for entry in stored.entries).timestamp() if stored.entries else None,
        entries=len(stored.entries),
        moulds=len(state.moulds) or (0 if state.heap else sum(mould.count for mould in state.plan.moulds)),
        due=tuple((timer.name, timer.due) for timer in state.timers),
        verdict=state.verdict,
        batch=state.batch,
        lit="".join(letter for letter, candle in sorted(state.candles.items()) if candle.burning),
        remarks=stored.remarks,
    )


def _known(document: dict[str, object]) -> _IndexRow | None:
    """A row of the index from its document; None where this program could not have written it of that file."""
    try:
        known = msgspec.convert(document, _IndexRow)
        known = msgspec.structs.replace(known, summary=cleaned(known.summary))
    except (msgspec.ValidationError, BadLine, ValueError, OverflowError, RecursionError):
        return None
    summary, path = known.summary, Path(known.file)
    ours = (summary.file, summary.session, summary.trouble) == (known.file, path.stem, "")
    return known if ours else None


def _ordered(rows: list[Summary]) -> list[Summary]:
    """Open sessions, then finished ones, then those in trouble, the newest first; no journal of a finished one."""
    # A kill while a session was being finished leaves its journal beside the record.
    whole = {row.session for row in rows if row.file.endswith(names.RECORD) and not row.trouble}
    rows = [row for row in rows if not (row.file.endswith(names.JOURNAL) and row.session in whole)]
    rows.sort(key=lambda row: row.session, reverse=True)
    return sorted(rows, key=lambda row: (bool(row.trouble), row.finished, -(row.last or 0.0)))
