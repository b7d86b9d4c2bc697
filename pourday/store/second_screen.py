"""Where a page of a session is offered and with which word, so that the stove's own screen can show it.

A hidden file that only its owner can read, held locked by the program that offers the page: what stands in one that
nobody holds counts for nothing.
"""

from __future__ import annotations

import os
import stat
from contextlib import suppress
from pathlib import Path

from pourday.store import names
from pourday.store.disk import DISK, Disk, read_open, write_all
from pourday.store.lock import Lock, flock
from pourday.text import plain

ENDING = ".page.lock"
"""Ends the name of the file; as all locks it travels in no archive and is no session."""
LONGEST = 200


class PageOffer:
    """Held from `take` to `release` by the program that offers a page."""

    def __init__(self, path: Path, lock: Lock, disk: Disk) -> None:
        self._path, self._lock, self._disk = path, lock, disk

    @classmethod
    def take(cls, folder: Path, session: str, disk: Disk = DISK) -> PageOffer:
        """Raises `InUse` where another program offers one of this session already, and `OSError`."""
        path = _path(folder, session)
        lock = Lock.take(path, disk)
        with suppress(OSError):  # Some disks know no permissions.
            path.chmod(0o600)
        return cls(path, lock, disk)

    def say(self, address: str) -> None:
        """Let the stove show this. A folder that refuses is no trouble: it also stands where the page is offered."""
        with suppress(OSError):
            fd = self._disk.open(self._path, os.O_WRONLY)
            try:
                self._disk.truncate(fd, 0)
                write_all(self._disk, fd, address.encode())
            finally:
                self._disk.close(fd)

    def release(self) -> None:
        """Nothing is offered any more."""
        self._lock.release()


def offered_page(folder: Path, session: str, disk: Disk = DISK) -> str:
    """The address, with its word, of the page that is offered of a session just now; empty where none is."""
    path = _path(folder, session)
    try:
        # Opening a pipe would wait for whoever writes to it.
        if not stat.S_ISREG(disk.stat(path).st_mode):
            return ""
        fd = disk.open(path, os.O_RDONLY)
    except OSError:
        return ""
    try:
        if _is_held(fd):
            said = plain(read_open(disk, fd).decode("ascii", "replace"), LONGEST)
            return said if said.startswith("http://") else ""
    except OSError:
        pass
    finally:
        with suppress(OSError):
            disk.close(fd)
    return ""


def _is_held(fd: int) -> bool:
    """Whether another program holds the file. Raises `OSError`."""
    try:
        flock(fd)
    except BlockingIOError:
        return True
    return False


def _path(folder: Path, session: str) -> Path:
    return folder / f".{names.checked(session)}{ENDING}"
