"""All that a person would miss, in one archive: sessions, memories and settings.

A zip file, so that any tool opens it. The same files make the same bytes, whenever and wherever it is made; the list at
its head has the size and the SHA-256 of each, so that a copy that was spoilt on its way is found out.
"""

from __future__ import annotations

import hashlib
import io
import zipfile
import zlib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import msgspec

from pourday.errors import Trouble
from pourday.language import tr
from pourday.store import names
from pourday.store.atomic import write_atomically
from pourday.store.disk import DISK, Disk, because, read_file
from pourday.text import plain

SETTINGS = "settings.toml"
"""What the settings are called in an archive, whatever their file is called."""
_LIST = "pack.json"
_SESSIONS = "sessions/"
_LONG_AGO = (1980, 1, 1, 0, 0, 0)
"""The time of every file in it: the earliest that a zip file can say."""
MOST_PACKED = 512_000_000
"""Bytes of an archive that is opened: some ten thousand long sessions take a tenth of it."""
MOST_INSIDE = 64_000_000
"""Bytes of one file in it, far more than the largest session that is read."""
Looking = Callable[[str, int, int], None]


class _Item(msgspec.Struct, frozen=True, kw_only=True):
    size: int
    sha256: str


class _List(msgspec.Struct, frozen=True, kw_only=True):
    """What an archive says of itself."""

    pourday: Literal["pack"] = "pack"
    schema: int = 1
    files: dict[str, _Item]
    """By the name in the archive."""


@dataclass(frozen=True, slots=True)
class Packed:
    """What became of it."""

    files: int
    size: int
    """Bytes of the archive."""
    left_out: tuple[str, ...]
    """Whole sentences about files that could not be read."""


def is_packed(name: str) -> bool:
    """Whether a file of the sessions folder goes with it: all that is ours, less what is made anew or belongs to a running program."""
    made_anew = name in (".library.json", ".shelf.json", ".kitchen.json") or name.endswith(
        (names.LOCK, ".tmp")
    )
    return names.is_ours(name) and not made_anew and "/" not in name and "\\" not in name


def pack(
    folder: Path,
    settings: Path,
    target: Path,
    disk: Disk = DISK,
    at: Looking = lambda _name, _done, _all: None,
) -> Packed:
    """Write the archive `target` of the sessions in `folder` and of the file `settings`, and read it back.

    An earlier archive of ours in that place gives way once the new one is whole. Raises `Trouble` where nothing could
    be written, something else stands there, or what is read back is not what was written.
    """
    _refuse_foreign(target, disk)
    files, left_out = _read(folder, settings, disk, at)
    data = archive(files)
    if dict(contents(data, target.name)) != files:
        raise _not_written(target, tr("What was packed cannot be unpacked again."))
    try:
        write_atomically(target, data, disk)
        if _whole(target) != data:
            raise _not_written(target, tr("What is read back from there is not what was written."))
    except OSError as error:
        raise _not_written(target, because(error)) from None
    return Packed(len(files), len(data), tuple(left_out))


def archive(files: Mapping[str, bytes]) -> bytes:
    """The archive of these files, by their name in it."""
    items = {
        name: _Item(size=len(data), sha256=hashlib.sha256(data).hexdigest()) for name, data in files.items()
    }
    head = msgspec.json.format(
        msgspec.json.encode(_List(files=dict(sorted(items.items()))), order="deterministic")
    )
    room = io.BytesIO()
    with zipfile.ZipFile(room, "w") as zipped:
        for name, data in [(_LIST, head), *sorted(files.items())]:
            info = zipfile.ZipInfo(name, _LONG_AGO)
            info.create_system, info.external_attr = (
                3,
                0o600 << 16,
            )  # Else it would tell one machine from another.
            zipped.writestr(info, data, zipfile.ZIP_DEFLATED, 6)
    return room.getvalue()


def contents(data: bytes, name: str) -> Iterator[tuple[str, bytes]]:
    """Each file of an archive called `name`, by its name in it, checked against the list.

    Raises `Trouble` at the first that is not what the list says, and for what is no archive of ours.
    """
    shown = plain(name, 120)
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as zipped:
            listed = _listed(zipped, shown)
            for inside, item in listed.files.items():
                content = _one(zipped, inside, item)
                if len(content) != item.size or hashlib.sha256(content).hexdigest() != item.sha256:
                    raise _spoilt(
                        shown, tr("{inside} in it is not what was packed.", inside=plain(inside, 120))
                    )
                yield inside, content
    except (
        zipfile.BadZipFile,
        KeyError,
        NotImplementedError,
        RuntimeError,
        EOFError,
        ValueError,
        OSError,
    ) as error:
        raise _spoilt(shown, f"{plain(str(error).strip(chr(39)), 120)}.") from None
    except zlib.error:
        raise _spoilt(shown, tr("A part of it cannot be unpacked.")) from None


def sessions_name(inside: str) -> str | None:
    """The name in the sessions folder of a file of an archive; None for what does not belong there."""
    name = inside.removeprefix(_SESSIONS)
    return name if inside.startswith(_SESSIONS) and is_packed(name) else None


def read_archive(path: Path) -> bytes:
    """What the file of an archive holds. Raises `Trouble`."""
    shown = plain(str(path), 300)
    try:
        if not path.is_file():
            why = tr("It is not an ordinary file.") if path.exists() else tr("There is no such file.")
            raise Trouble(
                tr("{shown} cannot be unpacked.", shown=shown),
                why,
                tr("Name a file that “pourday pack” wrote."),
            )
        if path.stat().st_size > MOST_PACKED:
            raise Trouble(
                tr("{shown} cannot be unpacked.", shown=shown),
                tr("It is far larger than any archive of sessions."),
            )
        return _whole(path)
    except (OSError, ValueError) as error:
        why = (
            because(error)
            if isinstance(error, OSError)
            else tr("Its name has a character that no name may have.")
        )
        raise Trouble(tr("{shown} cannot be unpacked.", shown=shown), why) from None


def _whole(path: Path) -> bytes:
    with path.open("rb") as file:
        return file.read(MOST_PACKED + 1)


def _read(folder: Path, settings: Path, disk: Disk, at: Looking) -> tuple[dict[str, bytes], list[str]]:
    """The files to pack by their name in the archive, and a sentence about each that cannot be read."""
    try:
        here = sorted(filter(is_packed, disk.scan(folder)))
    except OSError as error:
        raise Trouble(tr("The sessions cannot be packed."), because(error)) from None
    places = [(_SESSIONS + name, folder / name) for name in here]
    if settings.exists():
        places.append((SETTINGS, settings))
    files, left_out = {}, []
    for number, (inside, path) in enumerate(places):
        at(plain(path.name, 120), number, len(places))
        try:
            files[inside] = read_file(disk, path)
        except OSError as error:
            left_out.append(
                tr("{name} was left out. {because}", name=plain(path.name, 120), because=because(error))
            )
    return files, left_out


def _listed(zipped: zipfile.ZipFile, shown: str) -> _List:
    """The list at the head of an archive. Raises `Trouble` for one that this program cannot read."""
    if zipped.getinfo(_LIST).file_size > MOST_INSIDE:
        raise _spoilt(shown, tr("Its list has no end."))
    try:
        listed = msgspec.json.decode(zipped.read(_LIST), type=_List)
    except (msgspec.DecodeError, UnicodeError, RecursionError):
        raise _spoilt(shown, tr("Its list cannot be read.")) from None
    if listed.schema > 1:
        raise Trouble(
            tr("{shown} was written by a newer pourday.", shown=shown), instead=tr("Update this one.")
        )
    return listed


def _one(zipped: zipfile.ZipFile, inside: str, item: _Item) -> bytes:
    """One file of it; never more of it than the list says, whatever it would unpack to."""
    if not 0 <= item.size <= MOST_INSIDE:
        raise ValueError(tr("{inside} in it is far larger than any session", inside=plain(inside, 120)))
    with zipped.open(inside) as file:
        return file.read(item.size + 1)


def _refuse_foreign(target: Path, disk: Disk) -> None:
    """Raises `Trouble` where something that is no archive of ours stands in the place of one."""
    shown = plain(str(target), 300)
    try:
        disk.stat(target)
    except FileNotFoundError:
        return
    except (OSError, ValueError) as error:
        why = (
            because(error)
            if isinstance(error, OSError)
            else tr("The name has a character that no name may have.")
        )
        raise Trouble(
            tr("Nothing was packed into {shown}.", shown=shown), why, tr("Name another file.")
        ) from None
    try:
        if not target.is_file():
            raise ValueError(tr("It is not an ordinary file."))
        with zipfile.ZipFile(target) as zipped:
            _listed(zipped, shown)
    except (OSError, zipfile.BadZipFile, KeyError, Trouble, ValueError):
        raise Trouble(
            tr("Nothing was packed into {shown}.", shown=shown),
            tr("Something else stands there, and it stays."),
            tr("Name a new file, or an archive that “pourday pack” wrote."),
        ) from None


def _not_written(target: Path, why: str) -> Trouble:
    return Trouble(
        tr("The archive {target} is not good.", target=plain(str(target), 300)),
        why,
        tr("Name a file in another place."),
    )


def _spoilt(shown: str, why: str) -> Trouble:
    return Trouble(
        tr("{shown} cannot be unpacked.", shown=shown),
        why,
        tr("Take another copy of it. What was unpacked before this stays."),
    )
