"""One file in the place of another: what a sweep at the same time may not touch, and what stays as it was."""

from __future__ import annotations

import stat
from pathlib import Path

import pytest

from pourday.store.atomic import sweep, write_atomically
from pourday.store.disk import Disk


class SweptInBetween(Disk):
    """Another program starts, and sweeps, right after the given call of ours."""

    def __init__(self, after: str, times: int = 1) -> None:
        self.after, self.times = after, times

    def _sweep(self, call: str, folder: Path) -> None:
        if call == self.after and self.times > 0:
            self.times -= 1
            sweep(folder)

    def open(self, path: Path, flags: int, mode: int = 0o644) -> int:
        fd = super().open(path, flags, mode)
        self.folder = path.parent
        self._sweep("open", path.parent)
        return fd

    def write(self, fd: int, data: bytes) -> int:
        done = super().write(fd, data)
        self._sweep("write", self.folder)
        return done

    def fsync(self, fd: int) -> None:
        super().fsync(fd)
        self._sweep("fsync", self.folder)


@pytest.mark.parametrize("call", ["open", "write", "fsync"])
@pytest.mark.parametrize("times", [1, 7])
def test_a_sweep_at_any_moment_takes_no_file_from_its_writer(tmp_path: Path, call: str, times: int):
    path = tmp_path / "settings.toml"
    write_atomically(path, b"new", SweptInBetween(call, times))
    assert path.read_bytes() == b"new"
    assert [p.name for p in tmp_path.iterdir()] == [path.name]


def test_a_stray_file_is_taken_away_while_its_lock_is_held(tmp_path: Path):
    """A writer that comes between lock and unlink would lose what it holds."""
    stray = tmp_path / ".pourday-0123456789abcdef.tmp"
    stray.touch()

    class Order(Disk):
        calls: list[str] = []  # noqa: RUF012

        def close(self, fd: int) -> None:
            self.calls.append("close")
            super().close(fd)

        def remove(self, path: Path) -> None:
            self.calls.append("remove")
            super().remove(path)

    assert sweep(tmp_path, Order()) == 1
    assert Order.calls == ["remove", "close"]


@pytest.mark.parametrize("mode", [0o600, 0o640, 0o644, 0o660])
def test_what_only_its_owner_may_read_stays_so(tmp_path: Path, mode: int):
    path = tmp_path / "settings.toml"
    path.write_bytes(b"old")
    path.chmod(mode)
    write_atomically(path, b"new")
    assert stat.S_IMODE(path.stat().st_mode) == mode
    assert path.read_bytes() == b"new"
