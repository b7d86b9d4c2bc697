"""An archive of another machine, merged into the sessions here: nothing of either is lost.

What only one side has is kept. Of a session that one side carried on and the other did not, the longer one counts. Where
both were changed, both stay: what came from the archive gets a name of its own. Doing it twice changes nothing.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

import msgspec

from pourday.errors import Trouble
from pourday.language import tr
from pourday.store import names
from pourday.store.atomic import write_atomically
from pourday.store.disk import DISK, Disk, because, create_file, make_folders, read_file, set_aside
from pourday.store.journal import Header, parse
from pourday.store.lock import InUse, Lock
from pourday.store.memories import MEMORIES, Memories
from pourday.store.moulds import MOULDS, MouldNotes
from pourday.store.pack import SETTINGS, contents, read_archive, sessions_name
from pourday.store.reading import is_there, read_bytes
from pourday.store.record import record_bytes
from pourday.store.stock import STOCK, Stock
from pourday.text import plain

_BOTH = "unpacked"
"""What is put behind the name of something that is here already, and is different."""
_MOST_NAMES = 1_000
_HALVES = {names.JOURNAL: names.RECORD, names.RECORD: names.JOURNAL}
"""The ending of a session's other file, by that of the one: a kill while it was finished leaves both."""


@dataclass(slots=True)
class Unpacked:
    """What became of each file of an archive, by its name here."""

    added: list[str] = field(default_factory=list)
    longer: list[str] = field(default_factory=list)
    """Carried on in the archive; what was here is the beginning of it."""
    there: list[str] = field(default_factory=list)
    """All of it is here already."""
    both: list[tuple[str, str]] = field(default_factory=list)
    """Different here: name here, and the name that the archive's got."""
    troubles: list[str] = field(default_factory=list)
    """Whole sentences about what could not be unpacked; it is still in the archive."""


def unpack(source: Path, folder: Path, settings: Path, disk: Disk = DISK) -> Unpacked:
    """Merge the archive `source` into the sessions of `folder` and the file `settings`.

    The whole archive is checked before anything is written. Raises `Trouble` for one that is not sound.
    """
    data = read_archive(source)
    for _ in contents(data, source.name):
        pass
    done = Unpacked()
    for inside, content in contents(data, source.name):
        name = sessions_name(inside)
        shown = plain(name or inside, 120)
        try:
            if inside == SETTINGS:
                _settings(settings, content, done, disk)
            elif name is None:
                done.troubles.append(
                    tr("{shown} in it is no file of pourday; it was left in the archive.", shown=shown)
                )
            elif name == STOCK:
                _stock(folder, content, done, disk)
            elif name == MOULDS:
                _moulds(folder, content, done, disk)
            elif name == MEMORIES:
                _memories(folder, content, done, disk)
            else:
                _file(folder, name, content, done, disk)
        except OSError as error:
            done.troubles.append(
                tr("{shown} was not unpacked. {because}", shown=shown, because=because(error))
            )
        except Trouble as trouble:
            done.troubles.append(tr("{shown} was not unpacked. {trouble}", shown=shown, trouble=trouble))
    _remember_weights(folder, done, disk)
    return done


def _file(folder: Path, name: str, content: bytes, done: Unpacked, disk: Disk) -> None:
    """Merge one file of the sessions folder. Raises `OSError` and `Trouble`."""
    path = folder / name
    match _other_half(path, content, disk):
        case "has it all":
            done.there.append(name)
            return
        case "is different":
            _both(path, content, done, disk)
            return
    if not _created(path, content, disk):
        _beside(path, content, done, disk)
    else:
        done.added.append(name)


def _created(path: Path, content: bytes, disk: Disk) -> bool:
    """Make a new file, whole or not at all; False where one of its name is here. Raises `OSError` and `Trouble`."""
    with _alone(path, disk):
        if is_there(path, disk):
            return False
        write_atomically(path, content, disk)
        return True


@contextmanager
def _alone(path: Path, disk: Disk) -> Iterator[None]:
    """With the lock of a file's session, without which no program begins or writes one. Raises `OSError` and `Trouble`."""
    try:
        lock = Lock.take(path.with_name(f"{path.name.partition('.')[0]}{names.LOCK}"), disk)
    except InUse:
        raise Trouble(
            tr("Another program is writing this session."), instead=tr("Leave it there, and unpack again.")
        ) from None
    try:
        yield
    finally:
        lock.release()


def _other_half(
    path: Path, content: bytes, disk: Disk
) -> Literal["none", "begins it", "has it all", "is different"]:
    """What the journal of a finished file, or the finished file of a journal, that stands here alone is to the archive's.

    Beside a finished file nobody sees a journal any more, so one that says anything else must not come to stand there.
    """
    if not names.is_id(path.stem) or is_there(path, disk) or not _hides(path, disk):
        return "none"
    twin = path.with_suffix(_HALVES[path.suffix])
    try:
        here, there = read_bytes(twin, read_file(disk, twin)).entries, read_bytes(path, content).entries
    except Trouble:
        return "is different"
    record, journal = (there, here) if path.suffix == names.RECORD else (here, there)
    if record[: len(journal)] != journal:
        return "is different"
    return "begins it" if path.suffix == names.RECORD else "has it all"


def _beside(path: Path, content: bytes, done: Unpacked, disk: Disk) -> None:
    """Merge a file where one of its name is here. Raises `OSError` and `Trouble`."""
    here = read_file(disk, path)
    if here.startswith(content):
        done.there.append(path.name)
    elif path.name.endswith(names.JOURNAL) and here and content.startswith(here):
        _carried_on(path, here, content, done, disk)
    else:
        _both(path, content, done, disk)


def _carried_on(path: Path, here: bytes, content: bytes, done: Unpacked, disk: Disk) -> None:
    """Put the longer journal in the place of its own beginning, while no other program writes it."""
    with _alone(path, disk):
        if read_file(disk, path) != here:
            raise Trouble(tr("Another program has just written to it."), instead=tr("Unpack again."))
        write_atomically(path, content, disk)
    done.longer.append(path.name)


def _both(path: Path, content: bytes, done: Unpacked, disk: Disk) -> None:
    """Keep what the archive has under another name, unless it is here under that already."""
    stem, dot, ending = path.name.partition(".")
    for number in range(1, _MOST_NAMES):
        mark = _BOTH if number == 1 else f"{_BOTH}-{number}"
        other = f"{stem[:40].rstrip('-')}-{mark}" if stem else ""
        name = f"{other}{dot}{ending}" if other else f"{path.name}.{mark}"
        place, text = path.with_name(name), _renamed(path, content, other) if other else content
        if _hides(place, disk):
            continue
        if _created(place, text, disk):
            done.both.append((path.name, name))
            return
        if read_file(disk, place).startswith(text):
            done.there.append(path.name)
            return
    raise OSError(None, tr("There are too many of this name already."))


def _hides(path: Path, disk: Disk) -> bool:
    """Whether a file of this name would stand beside the other half of another session, and one would hide the other."""
    other = _HALVES.get(path.suffix)
    return other is not None and is_there(path.with_suffix(other), disk)


def _renamed(path: Path, content: bytes, session: str) -> bytes:
    """The file of a session under another name; one that cannot be read stays as it is."""
    try:
        if path.suffix == names.RECORD:
            return record_bytes(session, read_bytes(path, content).entries)
        text = parse(content, path.name)
    except Trouble:
        return content
    _, _, body = content.partition(b"\n")
    return msgspec.json.encode(Header(schema=text.schema, session=session)) + b"\n" + body


def _memories(folder: Path, content: bytes, done: Unpacked, disk: Disk) -> None:
    """Keep every wax and plan that is not here; one that is different here keeps its name, and the other gets a new one."""
    ours = Memories(folder, disk)
    with tempfile.TemporaryDirectory() as place:
        (Path(place) / MEMORIES).write_bytes(content)
        theirs = Memories(Path(place))
        waxes, plans = theirs.own_waxes(), theirs.plans()
        versions = {kept_plan.name: theirs.versions(kept_plan.name) for kept_plan in plans}
        took = ours.take_in(theirs)
        remarks = list(theirs.remarks)
    changed = False
    for wax in waxes.values():
        here = {name: msgspec.structs.replace(own, id="") for name, own in ours.own_waxes().items()}
        other = _other_name(wax.id, here, msgspec.structs.replace(wax, id=""))
        if other:
            ours.keep_wax(msgspec.structs.replace(wax, id=other))
            changed = True
    for kept_plan in plans:
        for other in _names_for(kept_plan.name):
            came = ours.merge_plan(other, versions[kept_plan.name])
            changed = changed or came == "added"
            if came != "differs":
                break
    changed = changed or took
    (done.added if changed else done.there).append(MEMORIES)
    done.troubles.extend(remarks)
    if remarks:
        _both(folder / MEMORIES, content, done, disk)


def _stock(folder: Path, content: bytes, done: Unpacked, disk: Disk) -> None:
    """Keep every lot that is not here; where one was counted otherwise here, that counts, and the archive's stays beside it."""
    ours = Stock(folder, disk)
    with tempfile.TemporaryDirectory() as place:
        (Path(place) / STOCK).write_bytes(content)
        theirs = Stock(Path(place))
        lots, remarks = theirs.lots(), list(theirs.remarks)
    here = {lot.key: lot for lot in ours.lots()}
    fresh = [lot for lot in lots if lot.key not in here]
    for lot in fresh:
        ours.put(lot)
    (done.added if fresh else done.there).append(STOCK)
    done.troubles.extend(remarks)
    if remarks or any(here.get(lot.key, lot) != lot for lot in lots):
        _both(folder / STOCK, content, done, disk)


def _moulds(folder: Path, content: bytes, done: Unpacked, disk: Disk) -> None:
    """Keep what is said of moulds of which nothing is said here; where it differs, what is said here counts."""
    ours = MouldNotes(folder, disk)
    with tempfile.TemporaryDirectory() as place:
        (Path(place) / MOULDS).write_bytes(content)
        theirs = MouldNotes(Path(place))
        notes, remarks = theirs.notes(), list(theirs.remarks)
    here = {plain(note.name).casefold(): note for note in ours.notes()}
    fresh = [note for note in notes if plain(note.name).casefold() not in here]
    for note in fresh:
        ours.keep(note.name, note)
    (done.added if fresh else done.there).append(MOULDS)
    done.troubles.extend(remarks)
    if remarks or any(here.get(plain(note.name).casefold(), note) != note for note in notes):
        _both(folder / MOULDS, content, done, disk)


def _names_for(name: str) -> Iterator[str]:
    """Under which names a thing may be kept, one after the other."""
    yield name
    for number in range(1, _MOST_NAMES):
        yield f"{name[:60]} {_BOTH}" if number == 1 else f"{name[:60]} {_BOTH} {number}"


def _other_name(name: str, here: Mapping[str, object], value: object) -> str:
    """Under which name to keep a value; empty where it is here under this name or one that it got before."""
    for other in _names_for(name):
        if other not in here:
            return other
        if here[other] == value:
            return ""
    return ""


def _settings(settings: Path, content: bytes, done: Unpacked, disk: Disk) -> None:
    """The settings where there are none here; else beside them, for a person to compare. Raises `OSError`."""
    make_folders(disk, settings.parent)
    try:
        create_file(disk, settings, content)
        done.added.append(settings.name)
    except FileExistsError:
        aside = f"{settings.name}.{_BOTH}"
        beside = [settings, *sorted(settings.parent.glob(f"{aside}*"))]
        if any(read_file(disk, path) == content for path in beside):
            done.there.append(settings.name)
        else:
            done.both.append((settings.name, set_aside(disk, settings.parent, aside, content).name))


def _remember_weights(folder: Path, done: Unpacked, disk: Disk) -> None:
    """What the candles of the new records weighed is remembered, as when they were finished here."""
    memories = Memories(folder, disk)
    fresh: Iterable[str] = [*done.added, *(name for _, name in done.both)]
    for name in fresh:
        path = folder / name
        if path.suffix == names.RECORD and names.is_id(path.stem):
            try:
                memories.remember_weights(read_bytes(path, read_file(disk, path)).state)
            except (Trouble, OSError):
                continue  # It is here as it was there, and `pourday check` says what is wrong with it.
    done.troubles.extend(memories.remarks)
