"""What is wrong with the files of a folder, in words; and what can still be read, in a new file.

Nothing is changed, moved or deleted. A damaged file is searched for whole entries; they go, with
their numbers, into a new journal `<session>-repaired`. Where an entry is lost a note says so in
its place: nothing is made up, and whatever refers to an entry by its number still does.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import msgspec

from pourday import __version__
from pourday.errors import Trouble
from pourday.language import tr
from pourday.session import events as ev
from pourday.session.events import SCHEMA, Entry
from pourday.store import names
from pourday.store.clean import whole_entry
from pourday.store.disk import DISK, Disk, because, create_file, read_file
from pourday.store.journal import header_line, parse
from pourday.store.library import session_files
from pourday.store.reading import bytes_of, is_there, remarks_on
from pourday.text import plain

_MOST_LOST = 1_000
"""More lost entries in one place than this, or this many more in all than were found, and the numbers themselves
are not to be trusted."""
_MOST_FOREIGN = 20
"""Foreign files that are named one by one."""
Looking = Callable[[str, int, int], None]


@dataclass(frozen=True, slots=True)
class FileFinding:
    """One thing worth telling about one file."""

    file: str
    says: str
    """Whole sentences, with the place in the file where there is one."""
    serious: bool = True
    """The session cannot be opened; False where it can."""
    repaired: str = ""
    """Name of the session that what can still be read was written into."""


def check(
    folder: Path, session: str | None = None, disk: Disk = DISK, at: Looking = lambda _name, _done, _all: None
) -> Iterator[FileFinding]:
    """Findings about one session, or about all of the folder, file by file; none where all is well.

    No file is opened twice, nor opened at all that is not an ordinary one of a session's name and size. `at` is told
    which file is looked at, how many were before it, and how many there are.
    Raises `Trouble` where the folder cannot be read or there is no such session.
    """
    paths = [folder / name for name in session_files(folder, disk)]
    if session is not None:
        names.checked(session)
        paths = [path for path in paths if path.stem == session]
        if not paths:
            raise Trouble(
                tr("There is no session called {session}.", session=session),
                instead=tr("`pourday list` shows them."),
            )
    return _findings(folder, paths, disk, at, all_of_it=session is None)


def _findings(
    folder: Path, paths: list[Path], disk: Disk, at: Looking, *, all_of_it: bool
) -> Iterator[FileFinding]:
    """What is wrong with each of the files; where all are checked, also what else lies in the folder."""
    for number, path in enumerate(paths):
        at(plain(path.name, 120), number, len(paths))
        yield from _check_file(path, disk)
    if all_of_it:
        yield from _foreign(folder, disk)


def _foreign(folder: Path, disk: Disk) -> Iterator[FileFinding]:
    """What lies in the folder and is no file of this program: named, and not opened."""
    foreign = [name for name in disk.scan(folder) if not names.is_ours(name)]
    for name in foreign[:_MOST_FOREIGN]:
        yield FileFinding(plain(name, 120), tr("It is no file of pourday; it was not opened."), serious=False)
    if len(foreign) > _MOST_FOREIGN:
        more = tr("{count} more", count=len(foreign) - _MOST_FOREIGN)
        yield FileFinding(more, tr("They are no files of pourday; they were not opened."), serious=False)


def _check_file(path: Path, disk: Disk) -> list[FileFinding]:
    """What is wrong with one file; of one that cannot be read, what can be saved of it."""
    name = plain(path.name, 120)
    data: bytes | None = None
    try:
        names.checked(path.stem)
        data = bytes_of(path, disk)
        remarks = remarks_on(path, data)
    except Trouble as trouble:
        says = " ".join(part for part in (trouble.what, trouble.why) if part)
        finding = FileFinding(name, says)
        return [finding if data is None else _rescue(path, data, finding, disk)]
    findings = [FileFinding(name, remark, serious=False) for remark in remarks]
    if path.suffix == names.JOURNAL and is_there(path.with_suffix(names.RECORD), disk):
        findings.append(FileFinding(name, tr("A finished file of the same session stands beside it."), False))
    return findings


def _rescue(path: Path, data: bytes, finding: FileFinding, disk: Disk) -> FileFinding:
    """The finding, with what could be saved from the file's bytes written into a new one."""
    if _schema(data) != SCHEMA:
        return finding
    by_seq, doubles = _whole_entries(data)
    if not by_seq:
        return replace(
            finding, says=tr("{says} No whole entry was found in it; it stays as it is.", says=finding.says)
        )
    entries, lost = _numbered(by_seq, path.stem, demo=b'"demo":true' in data.replace(b" ", b""))
    says = tr(
        "{says} Whole entries found: {count}; lost between them: {lost}.",
        says=finding.says,
        count=len(by_seq),
        lost=lost,
    )
    if leaps := len(by_seq) + lost - len(entries):
        says += tr(
            " Left out, because their numbers leap by more than {most_lost}: {leaps}.",
            most_lost=_MOST_LOST,
            leaps=leaps,
        )
    if doubles:
        says += tr(" Left out, because another entry has their number: {doubles}.", doubles=doubles)
    if not isinstance(entries[0].fact, ev.Opened):
        return replace(finding, says=tr("{says} They do not begin with the opening of a session.", says=says))
    text = header_line(path.stem) + b"".join(ev.encode(entry) + b"\n" for entry in entries)
    try:
        repaired = _new_file(path.parent, path.stem, text, disk)
    except (OSError, Trouble) as refusal:
        why = because(refusal) if isinstance(refusal, OSError) else str(refusal)
        return replace(finding, says=tr("{says} No new file could be written. {why}", says=says, why=why))
    return replace(finding, says=says, repaired=repaired)


def _schema(data: bytes) -> int:
    """The version the file says it has; of a file that does not say, ours is tried."""
    start = data.find(b'"schema":')
    digits = data[start + 9 : start + 20].lstrip() if start >= 0 else b""
    number = digits[: len(digits) - len(digits.lstrip(b"0123456789"))]
    return int(number) if number else SCHEMA


def _whole_entries(data: bytes) -> tuple[dict[int, Entry], int]:
    """Every entry that can still be read, by its number, the first of each; and how many doubles there were."""
    by_seq: dict[int, Entry] = {}
    doubles = 0
    for piece in _pieces(data):
        entry = whole_entry(piece)
        if entry is None:
            continue
        if entry.seq in by_seq:
            doubles += by_seq[entry.seq] != entry
        else:
            by_seq[entry.seq] = entry
    return by_seq, doubles


def _pieces(data: bytes) -> Iterator[bytes]:
    """What may be an entry, as the program writes them; or as another tool laid a finished file out."""
    start = b'{"seq":'
    for piece in data.split(start)[1:]:
        yield start + piece.partition(b"\n")[0].rstrip(b" ,\r\0")
    try:
        whole = msgspec.json.decode(data)
    except (msgspec.DecodeError, UnicodeError, RecursionError):
        return
    entries = whole.get("entries") if isinstance(whole, dict) else None
    for entry in entries if isinstance(entries, list) else ():
        if isinstance(entry, dict) and "fact" in entry:
            yield msgspec.json.encode(entry)


def _numbered(by_seq: dict[int, Entry], session: str, *, demo: bool) -> tuple[list[Entry], int]:
    """Entries 1, 2, 3 ... with a note for every lost one; and how many are lost."""
    entries: list[Entry] = []
    lost = 0
    for seq in sorted(by_seq):
        missing = seq - len(entries) - 1
        if missing > _MOST_LOST or lost + missing > _MOST_LOST + len(by_seq):
            break
        when = entries[-1].logged_at if entries else by_seq[seq].logged_at
        for _ in range(missing):
            number = len(entries) + 1
            fact: ev.Fact = ev.Noted(text=f"Entry {number} was lost when the file was damaged.")
            if number == 1:
                fact = ev.Opened(session=session, program=__version__, demo=demo)
            entries.append(Entry(seq=number, at=when, logged_at=when, by="program", fact=fact))
        lost += missing
        entries.append(by_seq[seq])
    return entries, lost


def _new_file(folder: Path, session: str, text: bytes, disk: Disk) -> str:
    """Write a new journal, or find the one that an earlier check wrote; the name of its session."""
    stem = f"{session[:40].rstrip('-')}-repaired"
    for number in range(1, 1_000):
        name = stem if number == 1 else f"{stem}-{number}"
        path = names.journal_path(folder, name)
        if is_there(path, disk):
            if _begins_with(path, text, disk):
                return name
        elif not is_there(names.record_path(folder, name), disk):
            create_file(disk, path, text)
            parse(read_file(disk, path), path.name)
            return name
    raise OSError(None, tr("There are too many repaired files already."))


def _begins_with(path: Path, text: bytes, disk: Disk) -> bool:
    try:
        return read_file(disk, path).startswith(text)
    except OSError:
        return False
