"""Real faults, not pretended ones: a small disk that fills up, lost permissions, a disk that errs."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from pourday.errors import Trouble
from pourday.session import events as ev
from pourday.store.library import list_sessions
from pourday.store.live import LiveSession
from pourday.store.reading import read_session

pytestmark = pytest.mark.slow
ID = "2026-11-25-a"
NOBODY = 65_534

FILING = """
import os, sys, pathlib
from pourday.session import events as ev
from pourday.store.live import LiveSession
live = LiveSession.open(pathlib.Path(sys.argv[1]), "2026-11-25-a", now=1.8e9)
for number in range(12):
    live.file(ev.Noted(text=str(number)), now=1.8e9 + number)
    os.write(1, b"%d %d\\n" % (live.entries[-1].seq, len(live.unsaved)))
print(live.retry(), str(live.trouble))
"""


@pytest.fixture
def small_disk(tmp_path):
    """64 kB of memory as a disk."""
    if os.geteuid() != 0:
        pytest.skip("mounting a small disk needs root")
    folder = tmp_path / "small"
    folder.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", "size=64k", "pourday-test", str(folder)]
    done = subprocess.run(command, capture_output=True, text=True)
    if done.returncode:
        pytest.skip(f"this machine does not let us mount: {done.stderr.strip()}")
    yield folder
    # Lazily: a session of a failed test may still hold its journal open.
    subprocess.run(["umount", "-l", str(folder)], check=True)


@contextmanager
def as_nobody() -> Iterator[None]:
    """Root may write anywhere; so be somebody who may not."""
    if os.geteuid() != 0:
        yield
        return
    os.setegid(NOBODY)
    os.seteuid(NOBODY)
    try:
        yield
    finally:
        os.seteuid(0)
        os.setegid(0)


def test_a_disk_that_fills_up_keeps_every_entry_in_order_until_there_is_room(small_disk, noon, tmp_path):
    ballast = small_disk / "ballast"
    ballast.write_bytes(bytes(16_384))
    live = LiveSession.create(small_disk, ID, now=noon)
    while not live.unsaved and len(live.entries) < 1_000:
        live.file(ev.Noted(text="x" * 500), now=noon + len(live.entries))
    first = live.unsaved[0].seq
    for _ in range(5):
        live.file(ev.Noted(text="y"), now=noon + len(live.entries))
    assert [entry.seq for entry in live.unsaved] == list(range(first, first + 6))
    assert "The disk is full." in live.trouble.why
    assert not live.retry()
    kept = read_session(small_disk, ID)
    assert kept.entries == tuple(live.entries[: first - 1])
    with pytest.raises(Trouble, match="not saved"):
        live.finish("", now=noon + 9_000)
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    live.emergency_copy(elsewhere)
    assert read_session(elsewhere, ID).entries == tuple(live.entries)
    with pytest.raises(Trouble, match=r"No copy.*The disk is full"):
        live.emergency_copy(small_disk)
    ballast.unlink()
    assert live.retry()
    assert read_session(small_disk, ID).entries == tuple(live.entries)
    assert not list(small_disk.glob(".pourday-*"))


def test_a_disk_too_full_for_the_finished_file_keeps_the_journal_and_finishes_later(small_disk, noon):
    live = LiveSession.create(small_disk, ID, now=noon)
    for number in range(60):
        live.file(ev.Noted(text="x" * 500), now=noon + number)
    live.finish("good", now=noon + 100)
    assert live.unsaved == ()
    assert any("could not be written yet" in remark for remark in live.remarks)
    assert [row.stage for row in list_sessions(small_disk)] == ["finished"]
    live.close()
    subprocess.run(["mount", "-o", "remount,size=256k", str(small_disk)], check=True)
    again = LiveSession.open(small_disk, ID, now=noon + 200)
    assert again.readonly
    assert sorted(p.name for p in small_disk.iterdir()) == [".library.json", f"{ID}.json"]
    assert read_session(small_disk, ID).entries == tuple(live.entries)


def test_no_session_begins_on_a_full_disk_and_nothing_is_left_behind(small_disk, noon):
    (small_disk / "ballast").write_bytes(bytes(65_536))
    with pytest.raises(Trouble, match="The disk is full"):
        LiveSession.create(small_disk, ID, now=noon)
    assert [p.name for p in small_disk.iterdir()] == ["ballast"]


@pytest.fixture
def anybodys():
    """A folder that a user without rights owns and can reach."""
    base = Path("/tmp") / f"pourday-test-{os.getpid()}"
    base.mkdir()
    if os.geteuid() == 0:
        os.chown(base, NOBODY, NOBODY)
    yield base
    os.chmod(base, 0o700)
    shutil.rmtree(base)


def test_permission_lost_in_the_middle_of_the_day_is_told_and_mended(anybodys, noon):
    with as_nobody():
        live = LiveSession.create(anybodys, ID, now=noon)
        live.close()
        live = LiveSession.open(anybodys, ID, now=noon + 1)
        (anybodys / f"{ID}.journal").chmod(0o400)
        live._journal.close()
        live.file(ev.Noted(text="x"), now=noon + 2)
        assert [entry.seq for entry in live.unsaved] == [3]
        assert "permission" in live.trouble.why
        (anybodys / f"{ID}.journal").chmod(0o600)
        assert live.retry()
        live.close()


def test_a_folder_that_can_only_be_read_opens_sessions_to_look_at(anybodys, noon):
    with as_nobody():
        LiveSession.create(anybodys, ID, now=noon).close()
        anybodys.chmod(0o500)
        live = LiveSession.open(anybodys, ID, now=noon + 1)
        assert live.readonly
        assert "can only be read" in live.remarks[-1]
        assert len(list_sessions(anybodys)) == 1
        with pytest.raises(Trouble, match="permission"):
            LiveSession.begin(anybodys, "2026-11-26", now=noon)
        anybodys.chmod(0o000)
        with pytest.raises(Trouble, match="permission"):
            list_sessions(anybodys)
        with pytest.raises(Trouble, match="permission"):
            LiveSession.open(anybodys, ID, now=noon + 1)


@pytest.mark.parametrize(
    "inject",
    [
        "fsync:error=EIO:when=2",
        "fsync:error=EIO:when=3+2",
        "fsync:error=ENOSPC:when=1..4",
        "write:error=ENOSPC:when=2",
        "write:error=EIO:when=1+3",
        "write:error=EINTR:when=2",
        "openat:error=EIO:when=2",
        "ftruncate:error=EIO:when=1",
    ],
)
def test_a_running_program_on_a_disk_that_errs_keeps_order_and_loses_nothing(tmp_path, noon, inject):
    """The kernel itself is made to refuse, for the journal's own calls only."""
    strace = shutil.which("strace")
    if strace is None:
        pytest.skip("strace is not installed")
    LiveSession.create(tmp_path, ID, now=noon).close()
    journal = tmp_path / f"{ID}.journal"
    with journal.open("ab") as file:
        file.write(b'{"seq":2,"torn')
    call = inject.partition(":")[0]
    trace = ["-f", "-qq", "-o", str(tmp_path / "trace"), "-P", str(journal), "-e", f"trace={call}"]
    command = [strace, *trace, "-e", f"inject={inject}", sys.executable, "-c", FILING, str(tmp_path)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60)
    if "ptrace" in done.stderr:
        pytest.skip(f"this machine does not let us trace: {done.stderr.strip()}")
    assert done.returncode == 0, done.stderr
    assert "INJECTED" in (tmp_path / "trace").read_text()
    rows = [tuple(map(int, line.split())) for line in done.stdout.splitlines()[:-1]]
    assert [seq for seq, _ in rows] == list(range(3, 15))
    saved = max(seq - unsaved for seq, unsaved in rows)
    kept = read_session(tmp_path, ID)
    assert [entry.seq for entry in kept.entries] == list(range(1, len(kept.entries) + 1))
    assert len(kept.entries) >= saved
    if done.stdout.splitlines()[-1].startswith("True"):
        assert len(kept.entries) == 14
    again = LiveSession.open(tmp_path, ID, now=noon + 100)
    assert again.unsaved == ()
    again.close()
