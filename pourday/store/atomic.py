"""Files that are either the old one or the new one, never something between.

Temporary file in the same folder, write, fsync, rename over the old one, folder fsync. A kill
leaves a stray `.tmp-*` at worst. Whoever writes one holds a lock on it, so `sweep` can tell a
stray one from one in the making, without asking the time or trusting process numbers.
"""

from __future__ import annotations

import fcntl
import os
from contextlib import suppress
from pathlib import Path
from secrets import token_hex

from pourday.store.disk import DISK, Disk, write_all
from pourday.store.lock import CANNOT_LOCK

_PREFIX = ".tmp-"


def write_atomically(path: Path, data: bytes, disk: Disk = DISK) -> None:
    """Put `data` in the place of `path`.

    Raises `OSError`; then the old file is as it was, or, where only the folder could not be synced, the new one
    stands and a power cut may bring the old one back.
    """
    temporary = path.parent / f"{_PREFIX}{token_hex(8)}"
    fd = disk.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL)
    try:
        try:
            _claim(fd)
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
    """Take stray temporary files away; how many. What refuses to go is left and harms nobody."""
    swept = 0
    try:
        names = disk.scan(folder)
    except OSError:
        return 0
    for name in names:
        if name.startswith(_PREFIX) and _is_stray(folder / name, disk):
            try:
                disk.remove(folder / name)
                swept += 1
            except OSError:
                continue
    return swept


def _claim(fd: int) -> None:
    try:
        fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        # Some disks cannot lock; then a sweep cannot lock either and leaves the file alone.
        if error.errno not in CANNOT_LOCK:
            raise


def _is_stray(path: Path, disk: Disk) -> bool:
    try:
        fd = disk.open(path, os.O_RDONLY)
    except OSError:
        return False
    try:
        fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    finally:
        disk.close(fd)
    return True
