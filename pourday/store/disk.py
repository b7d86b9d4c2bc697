"""The one seam to the operating system: every call that can fail stands here, so a test can fail it.

Nothing else in `store` opens, writes, syncs, renames or removes a file.
"""

from __future__ import annotations

import errno
import os
import stat
from contextlib import suppress
from pathlib import Path

from pourday.language import tr

MOST_BYTES = 16 * 1024 * 1024
"""Larger files are refused before they are opened; a long day's record has about 1 MB."""

_WORDS = {
    errno.ENOSPC: tr("The disk is full."),
    errno.EDQUOT: tr("Your share of the disk is used up."),
    errno.EIO: tr("The disk reported a fault."),
    errno.EROFS: tr("The disk can only be read."),
    errno.EACCES: tr("The permission for it is missing."),
    errno.EPERM: tr("The permission for it is missing."),
    errno.ENOENT: tr("There is no such file or folder."),
    errno.ENOTDIR: tr("A part of its path is not a folder."),
    errno.EISDIR: tr("A folder stands in its place."),
    errno.ELOOP: tr("It is a link to somewhere else, and links are not followed."),
    errno.EFBIG: tr("The file would become larger than this disk allows."),
    errno.ESTALE: tr("The disk it lay on is not connected any more."),
    errno.EMFILE: tr("Too many files are open."),
    errno.ENFILE: tr("Too many files are open."),
    errno.ENAMETOOLONG: tr("The name is too long."),
}


def because(error: OSError) -> str:
    """Why the system, or this module, refused: one plain sentence."""
    if error.errno is None:
        return str(error.strerror or error)
    return _WORDS.get(error.errno, tr("The system says: {reason}.", reason=error.strerror or error))


class Disk:
    """The system calls as they are. Every one raises `OSError` as the system does."""

    def open(self, path: Path, flags: int, mode: int = 0o644) -> int:
        """A descriptor; never follows a link, never waits for the other end of a pipe."""
        return os.open(path, flags | os.O_CLOEXEC | os.O_NOFOLLOW | os.O_NONBLOCK, mode)

    def close(self, fd: int) -> None:
        os.close(fd)

    def read(self, fd: int, size: int) -> bytes:
        return os.read(fd, size)

    def write(self, fd: int, data: bytes) -> int:
        return os.write(fd, data)

    def seek(self, fd: int, offset: int) -> None:
        os.lseek(fd, offset, os.SEEK_SET)

    def truncate(self, fd: int, size: int) -> None:
        os.ftruncate(fd, size)

    def fsync(self, fd: int) -> None:
        os.fsync(fd)

    def fstat(self, fd: int) -> os.stat_result:
        return os.fstat(fd)

    def stat(self, path: Path) -> os.stat_result:
        return os.stat(path, follow_symlinks=False)

    def chmod(self, fd: int, mode: int) -> None:
        os.fchmod(fd, mode)

    def make_folder(self, folder: Path) -> None:
        os.mkdir(folder)

    def rename(self, old: Path, new: Path) -> None:
        os.replace(old, new)

    def remove(self, path: Path) -> None:
        os.unlink(path)

    def scan(self, folder: Path) -> list[str]:
        """Names in a folder, sorted."""
        return sorted(os.listdir(folder))

    def sync_folder(self, folder: Path) -> None:
        """Make the names in a folder durable. Systems that cannot sync a folder are let off."""
        fd = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
        try:
            self.fsync(fd)
        except OSError as error:
            if error.errno not in (errno.EINVAL, errno.ENOTSUP):
                raise
        finally:
            os.close(fd)


DISK = Disk()


def write_all(disk: Disk, fd: int, data: bytes) -> None:
    """Write all of it, however little the system takes at a time."""
    view = memoryview(data)
    while view:
        done = disk.write(fd, bytes(view))
        if done <= 0:
            raise OSError(errno.EIO, tr("nothing was written"))
        view = view[done:]


def read_open(disk: Disk, fd: int, offset: int = 0, most: int = MOST_BYTES) -> bytes:
    """Everything from `offset` on of an open ordinary file of no more than `most` bytes.

    Raises `OSError`, with the sentence for `because`, for a larger file or one of another kind.
    """
    _refuse_odd(disk.fstat(fd), most)
    disk.seek(fd, offset)
    parts = []
    room = most
    while room > 0 and (part := disk.read(fd, min(room, 1 << 20))):
        parts.append(part)
        room -= len(part)
    return b"".join(parts)


def read_file(disk: Disk, path: Path, offset: int = 0, most: int = MOST_BYTES) -> bytes:
    """The bytes of a file from `offset` on; see `read_open` for what it raises beside the usual.

    Looked at before it is opened: opening a pipe, a tape or a terminal already does something.
    """
    _refuse_odd(disk.stat(path), most)
    fd = disk.open(path, os.O_RDONLY)
    try:
        return read_open(disk, fd, offset, most)
    finally:
        disk.close(fd)


def _refuse_odd(status: os.stat_result, most: int) -> None:
    if stat.S_ISLNK(status.st_mode):
        raise OSError(errno.ELOOP, os.strerror(errno.ELOOP))
    if not stat.S_ISREG(status.st_mode):
        raise OSError(None, tr("It is not an ordinary file."))
    if status.st_size > most:
        size, allowed = (
            tr("{st_size:.0f} MB", st_size=status.st_size / 1000000.0),
            tr("{most:.0f} MB", most=most / 1000000.0),
        )
        raise OSError(
            None,
            tr(
                "It has {size}, far more than any session (up to {allowed}), and was not read.",
                size=size,
                allowed=allowed,
            ),
        )


def create_file(disk: Disk, path: Path, data: bytes) -> None:
    """A new file with this content, durable with its name; `FileExistsError` where one stands.

    What could not be written whole is taken away again: it is ours and holds nothing else.
    """
    fd = disk.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL)
    try:
        try:
            write_all(disk, fd, data)
            disk.fsync(fd)
        finally:
            disk.close(fd)
        disk.sync_folder(path.parent)
    except OSError:
        with suppress(OSError):  # The first refusal is the one worth telling.
            disk.remove(path)
        raise


def make_folders(disk: Disk, folder: Path) -> None:
    """A folder and those above it where they are missing, each durable in the one above; nothing where it stands.

    Raises `OSError`; `FileExistsError` where something else than a folder stands there.
    """
    if folder.is_dir():
        return
    if folder.parent != folder:
        make_folders(disk, folder.parent)
    try:
        disk.make_folder(folder)
    except FileExistsError:
        if not folder.is_dir():
            raise
    disk.sync_folder(folder.parent)


def set_aside(disk: Disk, folder: Path, name: str, data: bytes) -> Path:
    """Keep these bytes under `name` or the first free `name-2`, `name-3` ...; where they went."""
    for number in range(1, 10_000):
        path = folder / (name if number == 1 else f"{name}-{number}")
        try:
            create_file(disk, path, data)
        except FileExistsError:
            continue
        return path
    raise OSError(None, tr("Too many files were set aside already."))
