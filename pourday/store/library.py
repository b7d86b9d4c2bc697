"""All sessions of a folder, each with its main facts or with what is wrong with its file."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import msgspec

from pourday.errors import Trouble
from pourday.language import tr
from pourday.session.stage import Stage
from pourday.store import index, names
from pourday.store.disk import DISK, Disk, because
from pourday.text import LONGEST_TEXT, plain

if TYPE_CHECKING:
    from pourday.store.reading import StoredSession

Epoch = Annotated[float, msgspec.Meta(ge=-2e10, le=2e10)]  # chosen
"""Seconds, such as every calendar can still show in any time zone: the years 1336 to 2603."""
Count = Annotated[int, msgspec.Meta(ge=0, le=1_000_000_000)]


class Summary(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
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
    return _read(folder, disk, at, None)[0]


def list_known(folder: Path, most: int, disk: Disk = DISK) -> tuple[list[Summary], list[str]]:
    """(the sessions as `list_sessions` has them, names of files that have to be read yet).

    At most `most` files are read, those of open sessions first; of others no more is told than their names.
    Raises `Trouble` as `list_sessions`.
    """
    return _read(folder, disk, lambda _name, _done, _all: None, most)


def _read(
    folder: Path, disk: Disk, at: Callable[[str, int, int], None], most: int | None
) -> tuple[list[Summary], list[str]]:
    """The sessions of a folder, and the files that were not read because more than `most` would have to be."""
    known = _index(folder, disk)
    rows: list[Summary] = []
    keep: list[_IndexRow] = []
    files = session_files(folder, disk)
    fresh: list[tuple[str, os.stat_result | None]] = []
    for name in files:
        old, status = known.get(name), _status(folder / name, disk)
        if old and status and (old.size, old.mtime_ns) == (status.st_size, status.st_mtime_ns):
            rows.append(old.summary)
            keep.append(old)
        else:
            fresh.append((name, status))
    fresh.sort(key=lambda each: each[0].endswith(names.RECORD))
    now = fresh if most is None else fresh[:most]
    for number, (name, status) in enumerate(now):
        at(plain(name, 120), len(keep) + number, len(files))
        rows.append(_summary(folder / name, disk))
        if status and not rows[-1].trouble:
            keep.append(_row(name, status, rows[-1]))
    unread = [name for name, _ in fresh[len(now) :]]
    rows += [_unread(name) for name in unread]
    if not unread and {row.file: row for row in keep} != known:
        keep.sort(key=lambda row: row.file)
        index.save_rows(folder, keep, disk)
    return in_order(rows), unread


def remember(folder: Path, read: Mapping[str, tuple[os.stat_result, Summary]], disk: Disk = DISK) -> None:
    """Take files that were read into the index, beside what stands there already."""
    kept = _index(folder, disk)
    fresh = {name: _row(name, status, row) for name, (status, row) in read.items() if not row.trouble}
    index.save_rows(folder, [row for _, row in sorted((kept | fresh).items())], disk)


def _row(name: str, status: os.stat_result, summary: Summary) -> _IndexRow:
    return _IndexRow(file=name, size=status.st_size, mtime_ns=status.st_mtime_ns, summary=summary)


def _unread(name: str) -> Summary:
    """What is told of a file that is still to be read: its name."""
    stem = name.rpartition(".")[0]
    finished = name.endswith(names.RECORD)
    batch = stem.removesuffix(names.CANDLES) if stem.endswith(names.CANDLES) else ""
    return Summary(
        session=stem, file=name, finished=finished, stage="finished" if finished else "setup", batch=batch
    )


def open_sessions(folder: Path, disk: Disk = DISK) -> list[Summary]:
    """The sessions that are not finished, the newest first; reads only journals and never loads TinyDB."""
    journals = [name for name in session_files(folder, disk) if name.endswith(names.JOURNAL)]
    rows = in_order([_summary(folder / name, disk) for name in journals])
    return [row for row in rows if not row.finished and not row.trouble]


def session_files(folder: Path, disk: Disk = DISK) -> list[str]:
    """Names of the files that are, or claim to be, sessions. Raises `Trouble`."""
    try:
        listed = disk.scan(folder)
    except OSError as error:
        where = plain(str(folder), 300)
        raise Trouble(tr("The sessions in {where} cannot be listed.", where=where), because(error)) from None
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
        says = tr(
            "{name} is not the name of a session file. Rename it to small letters, digits and hyphens.",
            name=name,
        )
        return Summary(session=name, file=name, trouble=says)
    # Loaded for the first file that has to be read: a list out of the index does without facts, plans and fold.
    from pourday.store.reading import read_path

    try:
        return summary_of(read_path(path, disk))
    except Trouble as trouble:
        return broken(path, trouble)


def broken(path: Path, trouble: Trouble) -> Summary:
    """The summary of a file that cannot be opened."""
    return Summary(session=path.stem, file=path.name, trouble=str(trouble))


def summary_of(stored: StoredSession) -> Summary:
    """The summary of a session that could be read."""
    state = stored.state
    return Summary(
        session=stored.session,
        file=stored.path.name,
        finished=stored.finished or state.finished_at is not None,
        title=state.plan.title if state.heap is None else state.heap.name or tr("wax that nobody knows"),
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


def _index(folder: Path, disk: Disk) -> dict[str, _IndexRow]:
    """The rows of the index by their file; none that this program could not have written of that file."""
    known: dict[str, _IndexRow] = {}
    for row, is_plain in index.load_rows(folder, _IndexRow, disk):
        clean = row if is_plain else msgspec.structs.replace(row, summary=_cleaned(row.summary))
        summary = clean.summary
        if (summary.file, summary.trouble) == (row.file, "") and summary.session == row.file.rpartition(".")[
            0
        ]:
            known[row.file] = clean
    return known


def _cleaned(summary: Summary) -> Summary:
    """A summary that something else may have written, with every text in it plain; its numbers have their bounds."""
    texts = {
        name: getattr(summary, name)
        for name in ("session", "file", "title", "verdict", "batch", "lit", "trouble")
    }
    return msgspec.structs.replace(
        summary,
        due=tuple((plain(name, LONGEST_TEXT), at) for name, at in summary.due),
        remarks=tuple(plain(remark, LONGEST_TEXT) for remark in summary.remarks),
        **{name: plain(text, LONGEST_TEXT) for name, text in texts.items()},
    )


def in_order(rows: list[Summary]) -> list[Summary]:
    """Open sessions, then finished ones, then those in trouble, the newest first; no journal of a finished one."""
    # A kill while a session was being finished leaves its journal beside the record.
    whole = {row.session for row in rows if row.file.endswith(names.RECORD) and not row.trouble}
    rows = [row for row in rows if not (row.file.endswith(names.JOURNAL) and row.session in whole)]
    rows.sort(key=lambda row: row.session, reverse=True)
    return sorted(rows, key=lambda row: (bool(row.trouble), row.finished, -(row.last or 0.0)))
