"""A disk that fills up under the running program: it says so, keeps order, lets nobody leave by accident, and saves later."""

from __future__ import annotations

import os
import subprocess

import pytest

from pourday.session import events as ev

pytestmark = pytest.mark.slow


@pytest.fixture
def small_disk(kitchen):
    """The folder of sessions as 64 kB of memory."""
    if os.geteuid() != 0:
        pytest.skip("mounting a small disk needs root")
    command = ["mount", "-t", "tmpfs", "-o", "size=64k", "pourday-test", str(kitchen.folder)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        pytest.skip(f"this machine does not let us mount: {done.stderr.strip()}")
    yield kitchen
    for terminal in kitchen.running:
        terminal.close()
    subprocess.run(["umount", str(kitchen.folder)], check=True)


def fill(kitchen, stove) -> list[str]:
    """Long notes until the disk is full and one does not fit; all that were typed."""
    block = os.statvfs(kitchen.folder)
    (kitchen.folder / "ballast").write_bytes(bytes((block.f_bavail - 1) * block.f_bsize))
    typed: list[str] = []
    while "NOT SAVED" not in stove.text():
        assert len(typed) < 60, "the disk never filled up"
        typed.append(f"{len(typed):03d} " + "x" * 200)
        stove.type(f"n{typed[-1]}\r")
        stove.until(lambda text: "NOT SAVED" in text or len(kitchen.facts(ev.Noted)) == len(typed))
    return typed


def test_a_full_disk_is_said_nothing_overtakes_and_all_is_saved_when_there_is_room(small_disk):
    stove = small_disk.at_the_stove()
    typed = fill(small_disk, stove)
    stove.wait_for("NOT SAVED", "The disk is full.")
    for number in ("71.5", "72.5"):
        stove.type(f"{number}\r")
        stove.pump(0.3)
    assert small_disk.facts(ev.Reading) == []
    stove.type("q")
    stove.wait_for("Leave all the same?")
    stove.type("q")
    stove.pump(0.4)
    assert stove.process.poll() is None
    stove.type("r")
    stove.pump(0.3)
    (small_disk.folder / "ballast").unlink()
    stove.wait_gone("NOT SAVED")
    said = [f for f in (e.fact for e in small_disk.entries()) if isinstance(f, ev.Noted | ev.Reading)]
    assert [f.text if isinstance(f, ev.Noted) else f.typed for f in said] == [*typed, "71.5", "72.5"]
    stove.type("q")
    assert stove.ended() == 0


def test_the_second_different_key_leaves_a_full_disk_and_what_was_saved_stays_whole(small_disk):
    stove = small_disk.at_the_stove()
    typed = fill(small_disk, stove)
    stove.type("q")
    stove.wait_for("Leave all the same?")
    stove.type("x")
    assert stove.ended() == 0
    assert stove.restored()
    notes = [fact.text for fact in small_disk.facts(ev.Noted)]
    assert notes == typed[:-1]


@pytest.mark.parametrize("key", ["n", "d"])
def test_on_a_full_disk_nothing_can_be_begun_and_home_says_why(small_disk, key):
    block = os.statvfs(small_disk.folder)
    (small_disk.folder / "ballast").write_bytes(bytes(block.f_bavail * block.f_bsize))
    home = small_disk.run()
    home.wait_for("Enter open")
    home.type(key)
    home.until(lambda text: "The disk is full." in " ".join(text.split()))
    home.type("q")
    assert home.ended() == 0
