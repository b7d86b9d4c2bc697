"""One writer for each session: a lock that ends with the process that holds it, however it ends.

`flock` on a file beside the journal. The process number in it is for words only; a lock file left
by a kill is an ordinary file that the next program locks again.
"""

from __future__ import annotations

import errno
import fcntl
import os
from contextlib import suppress
from pathlib import Path

from pourday.store.disk import DISK, Disk, write_all

CANNOT_LOCK = (errno.ENOTSUP, errno.ENOLCK, errno.ENOSYS, errno.EINVAL)
"""What a disk answers that cannot lock at all."""


class InUse(Exception):
    """Another program writes this session."""

    def __init__(self, pid: str) -> None:
        super().__init__(pid)
        self.pid = pid
        """Its process number as text; empty where it was not written."""


class Lock:
    """Held from `take` to `release`."""

    def __init__(self, path: Path, fd: int, disk: Disk, *, sure: bool) -> None:
        self._path, self._fd, self._disk = path, fd, disk
        self.sure = sure
        """False on a disk that cannot lock: then nobody can tell whether there is a second writer."""

    @classmethod
    def take(cls, path: Path, disk: Disk = DISK) -> Lock:
        """The lock. Raises `InUse`, or `OSError` where no lock file can be made."""
        for _ in range(10):
            fd = disk.open(path, os.O_RDWR | os.O_CREAT)
            try:
                sure = flock(fd)
                if not stands(path, fd, disk):
                    # Its last holder took the file away between our open and our lock.
                    disk.close(fd)
                    continue
            except BlockingIOError:
                pid = _pid_in(fd)
                disk.close(fd)
                raise InUse(pid) from None
            except OSError:
                disk.close(fd)
                raise
            _write_pid(fd, disk)
            return cls(path, fd, disk, sure=sure)
        raise InUse("")

    def release(self) -> None:
        """Take the lock file away and let go. Never fails: at worst an empty lock file stays."""
        if self._fd < 0:
            return
        with suppress(OSError):
            if stands(self._path, self._fd, self._disk):
                self._disk.remove(self._path)
        with suppress(OSError):
            self._disk.close(self._fd)
        self._fd = -1


def flock(fd: int) -> bool:
    """Lock an open file; False on a disk that cannot lock. Raises `BlockingIOError` where another holds it."""
    try:
        fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        raise
    except OSError as error:
        if error.errno in CANNOT_LOCK:
            return False
        raise
    return True


def stands(path: Path, fd: int, disk: Disk) -> bool:
    """Whether the name still leads to the file that we have open."""
    try:
        named = disk.stat(path)
    except FileNotFoundError:
        return False
    return os.path.samestat(named, disk.fstat(fd))


def _pid_in(fd: int) -> str:
    try:
        text = os.pread(fd, 20, 0).decode("ascii", "ignore").strip()
    except OSError:
        return ""
    return text if text.isdigit() else ""


def _write_pid(fd: int, disk: Disk) -> None:
    with suppress(OSError):  # A full disk must not keep anybody out; the number is for words only.
        disk.truncate(fd, 0)
        write_all(disk, fd, f"{os.getpid()}\n".encode())
