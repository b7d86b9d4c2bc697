"""Files that are either the old one or the new one, never something between.

Temporary file in the same folder, write, fsync, rename over the old one, folder fsync. A kill
leaves a stray `.pourday-*.tmp` at worst. Whoever writes one holds a lock on it, so `sweep` can tell a
stray one from one in the making, without asking the time or trusting process numbers.
"""

from __future__ import annotations

import os
import re
import stat
from contextlib import suppress
from pathlib import Path

from pourday.language import tr
from pourday.store.disk import DISK, Disk, write_all
from pourday.store.lock import flock, stands

_OURS = re.compile(r"\.pourday-[0-9a-f]{16}\.tmp")
"""Names that only this module gives; what other programs leave in the folder is theirs."""
_TRIES = 100
"""Names that are tried: each is hardly ever taken by another program."""


def write_atomically(path: Path, data: bytes, disk: Disk = DISK) -> None:
    """Put `data` in the place of `path`, whose permissions stay as they are.

    Raises `OSError`; then the old file is as it was, or, where only the folder could not be synced, the new one
    stands and a power cut may bring the old one back.
    """
    temporary, fd = _claimed(path.parent, disk)
    try:
        try:
            _keep_mode(fd, path, disk)
            write_all(disk, fd, data)
            disk.fsync(fd)
            disk.rename(temporary, path)
        finally:
            disk.close(fd)
    except OSError:
        with suppress(OSError):  # The first refusal is the one worth telling; the sweep takes what stays.
            disk.remove(temporary)
        raise
    disk.sync_folder(path.parent)


def sweep(folder: Path, disk: Disk = DISK) -> int:
    """Take stray temporary files of ours away; how many. What refuses to go is left and harms nobody."""
    swept = 0
    try:
        names = disk.scan(folder)
    except OSError:
        return 0
    for name in names:
        if _OURS.fullmatch(name):
            with suppress(OSError):
                swept += _swept(folder / name, disk)
    return swept


def _claimed(folder: Path, disk: Disk) -> tuple[Path, int]:
    """A temporary file nobody else knows, locked where the disk can lock. Raises `OSError`."""
    for _ in range(_TRIES):
        temporary = folder / f".pourday-{os.urandom(8).hex()}.tmp"
        fd = disk.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL)
        try:
            flock(fd)
            if stands(temporary, fd, disk):
                return temporary, fd
        except BlockingIOError:
            pass
        except OSError:
            disk.close(fd)
            with suppress(OSError):
                disk.remove(temporary)
            raise
        # Somebody's sweep came between our making it and our locking it.
        disk.close(fd)
    raise OSError(None, tr("Another program keeps clearing its folder."))


def _keep_mode(fd: int, path: Path, disk: Disk) -> None:
    """The permissions of the file whose place is taken: what only its owner may read stays so."""
    with suppress(FileNotFoundError):
        old = disk.stat(path)
        if stat.S_ISREG(old.st_mode) and stat.S_IMODE(old.st_mode) != stat.S_IMODE(disk.fstat(fd).st_mode):
            with suppress(PermissionError):  # Some disks know no permissions.
                disk.chmod(fd, stat.S_IMODE(old.st_mode))


def _swept(path: Path, disk: Disk) -> bool:
    """Whether a stray file went. It is unlinked while we hold its lock, so no writer can take it up meanwhile."""
    fd = disk.open(path, os.O_RDONLY)
    try:
        if not flock(fd):
            return False  # Where nobody can lock, nobody can tell.
        disk.remove(path)
    except BlockingIOError:
        return False
    finally:
        disk.close(fd)
    return True
