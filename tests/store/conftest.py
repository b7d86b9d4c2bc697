"""A disk that refuses or is cut off at a chosen call, and small makers of sessions."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from pourday.session import events as ev
from pourday.store.disk import Disk
from pourday.store.live import LiveSession

NOON = 1_795_608_000.0
"""2026-11-25 12:00 UTC."""


class Killed(BaseException):
    """The process is gone: nothing after this call happened."""


class FaultyDisk(Disk):
    """The real disk, but call number `at` fails with `error`, or kills; `half` lets half a write through."""

    def __init__(self, at: int | None = None, error: int | None = None, *, half: bool = False) -> None:
        self.at, self.error, self.half = at, error, half
        self.calls: list[str] = []
        self.opened: set[int] = set()
        self.dead = False

    def _call(self, name: str, call: Callable[..., Any], *arguments: Any) -> Any:
        if self.dead:
            raise Killed
        number = len(self.calls)
        self.calls.append(name)
        if number == self.at:
            if name == "write" and self.half:
                fd, data = arguments
                os.write(fd, data[: len(data) // 2])
            if self.error is None:
                self.die()
            if name == "close":
                call(*arguments)
            raise OSError(self.error, os.strerror(self.error))
        return call(*arguments)

    def die(self) -> None:
        """What a kill does to a process: its descriptors, and the locks on them, are gone."""
        self.dead = True
        for fd in self.opened:
            os.close(fd)
        raise Killed

    def open(self, path: Path, flags: int, mode: int = 0o644) -> int:
        fd: int = self._call("open", super().open, path, flags, mode)
        self.opened.add(fd)
        return fd

    def close(self, fd: int) -> None:
        if self.dead:
            raise Killed
        self.opened.discard(fd)
        self._call("close", super().close, fd)

    def read(self, fd: int, size: int) -> bytes:
        return self._call("read", super().read, fd, size)

    def write(self, fd: int, data: bytes) -> int:
        return self._call("write", super().write, fd, data)

    def seek(self, fd: int, offset: int) -> None:
        self._call("seek", super().seek, fd, offset)

    def truncate(self, fd: int, size: int) -> None:
        self._call("truncate", super().truncate, fd, size)

    def fsync(self, fd: int) -> None:
        # A test cannot tell a synced page from one that is not; so the time is saved.
        self._call("fsync", lambda _: None, fd)

    def fstat(self, fd: int) -> os.stat_result:
        return self._call("fstat", super().fstat, fd)

    def stat(self, path: Path) -> os.stat_result:
        return self._call("stat", super().stat, path)

    def chmod(self, fd: int, mode: int) -> None:
        self._call("chmod", super().chmod, fd, mode)

    def make_folder(self, folder: Path) -> None:
        self._call("make_folder", super().make_folder, folder)

    def rename(self, old: Path, new: Path) -> None:
        self._call("rename", super().rename, old, new)

    def remove(self, path: Path) -> None:
        self._call("remove", super().remove, path)

    def scan(self, folder: Path) -> list[str]:
        return self._call("scan", super().scan, folder)

    def sync_folder(self, folder: Path) -> None:
        self._call("sync_folder", super().sync_folder, folder)


@pytest.fixture
def noon() -> float:
    return NOON


@pytest.fixture
def faulty() -> type[FaultyDisk]:
    return FaultyDisk


@pytest.fixture
def killed() -> type[Killed]:
    return Killed


@pytest.fixture
def full() -> int:
    return errno.ENOSPC


@pytest.fixture
def begun(tmp_path: Path) -> LiveSession:
    """A session with its opening and three readings on disk."""
    live = LiveSession.create(tmp_path, "2026-11-25-a", now=NOON, disk=FaultyDisk())
    for number in range(3):
        live.file(ev.Reading(place="pot", celsius=70.0 + number), now=NOON + 60 * (number + 1))
    return live
