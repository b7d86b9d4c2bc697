"""Every call to the system fails once, in turn; and the process dies at every call, in turn."""

from __future__ import annotations

import errno
import os
import shutil
from pathlib import Path

import pytest

from pourday.errors import Trouble
from pourday.session import events as ev
from pourday.session.fold import fold
from pourday.store.atomic import sweep, write_atomically
from pourday.store.library import list_sessions
from pourday.store.live import LiveSession
from pourday.store.reading import read_session

ID = "2026-11-25-a"
FAULTS = [errno.ENOSPC, errno.EIO, errno.EACCES]


def a_day(folder: Path, disk, now: float, confirmed: list) -> LiveSession:
    """Begin, file, leave, carry on over a spoilt end, take back, finish; notes each entry as it is confirmed."""

    def note(live: LiveSession) -> None:
        on_disk = live.entries[: len(live.entries) - len(live.unsaved)]
        confirmed.extend(on_disk[len(confirmed) :])

    live = LiveSession.create(folder, ID, now=now, disk=disk)
    note(live)
    for number in range(2):
        live.file(ev.Reading(place="pot", celsius=70.0 + number), now=now + number)
        note(live)
    live.retry()
    note(live)
    live.close()
    with (folder / f"{ID}.journal").open("ab") as file:
        file.write(b'{"seq":4,"at":"20')
    live = LiveSession.open(folder, ID, now=now + 100, disk=disk)
    note(live)
    if live.readonly:
        return live
    live.undo(now=now + 101)
    note(live)
    live.file(ev.Noted(text="last"), now=now + 102)
    note(live)
    live.retry()
    note(live)
    live.finish("done", now=now + 103)
    note(live)
    live.retry()
    note(live)
    return live


def calls_of_a_day(folder: Path, faulty, now: float) -> list[str]:
    disk = faulty()
    a_day(folder, disk, now, [])
    shutil.rmtree(folder)
    folder.mkdir()
    return disk.calls


def test_each_call_fails_once_and_nothing_confirmed_is_lost_or_out_of_order(tmp_path, noon, faulty):
    """Disk full (half a line written first), a fault of the disk, and a lost permission, at every single call."""
    folder = tmp_path / "sessions"
    folder.mkdir()
    calls = calls_of_a_day(folder, faulty, noon)
    told: list[Trouble] = []
    assert {"open", "write", "fsync", "sync_folder", "rename", "truncate", "remove", "close"} <= set(calls)
    for at in range(len(calls)):
        for fault in FAULTS:
            confirmed: list = []
            disk = faulty(at, fault, half=True)
            try:
                live = a_day(folder, disk, noon, confirmed)
            except Trouble as trouble:
                told.append(trouble)
            else:
                assert live.unsaved == (), (at, calls[at], fault)
            if confirmed:
                found = read_session(folder, ID)
                assert list(found.entries[: len(confirmed)]) == confirmed, (at, calls[at], fault)
                assert [e.seq for e in found.entries] == list(range(1, len(found.entries) + 1))
            shutil.rmtree(folder)
            folder.mkdir()
    assert all(t.what.endswith(".") and t.why.endswith(".") for t in told)


def test_a_kill_at_each_call_loses_nothing_confirmed_and_the_next_start_works(tmp_path, noon, faulty, killed):
    folder = tmp_path / "sessions"
    folder.mkdir()
    calls = calls_of_a_day(folder, faulty, noon)
    for at in range(len(calls)):
        confirmed: list = []
        disk = faulty(at, half=True)
        with pytest.raises(killed):
            a_day(folder, disk, noon, confirmed)
        sweep(folder)
        if not confirmed:
            LiveSession.begin(folder, "2026-11-25", now=noon, disk=faulty()).close()
            list_sessions(folder)
        else:
            live = LiveSession.open(folder, ID, now=noon + 500, disk=faulty())
            assert list(live.entries[: len(confirmed)]) == confirmed, (at, calls[at])
            assert live.unsaved == ()
            if not live.readonly:
                live.file(ev.Noted(text="next"), now=noon + 501)
                live.close()
            assert [row.trouble for row in list_sessions(folder, faulty())] == [""]
            assert not list(folder.glob(".pourday-*"))
        shutil.rmtree(folder)
        folder.mkdir()


@pytest.mark.parametrize("call", ["write", "fsync"])
def test_what_the_disk_refuses_stays_in_order_and_is_tried_again(tmp_path, noon, faulty, full, call):
    """Nothing later overtakes the entry that is not saved; the state shows it all the same."""
    disk = faulty()
    live = LiveSession.create(tmp_path, ID, now=noon, disk=disk)
    live.file(ev.Noted(text="0"), now=noon)
    works = getattr(disk, call)

    def refuses(*_: object) -> None:
        raise OSError(full, os.strerror(full))

    setattr(disk, call, refuses)
    for number in range(1, 4):
        live.file(ev.Noted(text=str(number)), now=noon + number)
    assert [e.seq for e in live.unsaved] == [3, 4, 5]
    assert [text for _, text in live.state.notes] == ["0", "1", "2", "3"]
    assert "The disk is full." in str(live.trouble)
    assert not live.retry()
    assert [e.seq for e in read_session(tmp_path, ID).entries][:2] == [1, 2]
    setattr(disk, call, works)
    live.file(ev.Noted(text="4"), now=noon + 10)
    assert live.unsaved == ()
    assert live.trouble is None
    assert read_session(tmp_path, ID).entries == tuple(live.entries)
    assert [e.seq for e in live.entries] == [1, 2, 3, 4, 5, 6]


def test_after_a_failed_sync_the_same_descriptor_is_never_synced_again(tmp_path, noon, faulty):
    disk = faulty()
    live = LiveSession.create(tmp_path, ID, now=noon, disk=disk)
    live.file(ev.Noted(text="0"), now=noon)
    synced: list[tuple[int, int]] = []
    failing = True
    opened = 0
    real_open, real_sync = disk.open, disk.fsync

    def counted(path, flags, mode=0o644):
        nonlocal opened
        opened += path.suffix == ".journal"
        return real_open(path, flags, mode)

    def sync(fd: int) -> None:
        synced.append((fd, opened))
        if failing:
            raise OSError(errno.EIO, "fault")
        real_sync(fd)

    disk.open, disk.fsync = counted, sync
    live.file(ev.Noted(text="1"), now=noon)
    live.retry()
    failing = False
    assert live.retry()
    assert len(synced) == len(set(synced)) == 3
    text = (tmp_path / f"{ID}.journal").read_text()
    assert text.count('"text":"1"') == 1


def test_the_folder_deleted_keeps_everything_on_screen_and_offers_a_copy_elsewhere(
    begun, noon, tmp_path_factory
):
    elsewhere = tmp_path_factory.mktemp("stick")
    shutil.rmtree(begun.folder)
    begun.file(ev.Noted(text="still here"), now=noon + 300)
    assert [e.seq for e in begun.unsaved] == [5]
    assert "no such file or folder" in begun.trouble.why
    assert "copy" in begun.trouble.instead
    copy = begun.emergency_copy(elsewhere)
    kept = read_session(elsewhere, copy.stem)
    assert kept.entries == tuple(begun.entries)
    assert begun.emergency_copy(elsewhere).stem == f"{ID}-copy-2"
    begun.folder.mkdir()
    assert begun.retry()
    assert read_session(begun.folder, ID).entries == tuple(begun.entries)
    assert any("written again in full" in remark for remark in begun.remarks)


def test_a_second_copy_of_a_session_with_the_longest_name_is_written_too(tmp_path, noon, faulty):
    live = LiveSession.create(tmp_path, "x" * 60, now=noon, disk=faulty())
    copy = live.emergency_copy(tmp_path)
    assert read_session(tmp_path, copy.stem).entries == tuple(live.entries)


def test_a_copy_that_cannot_be_written_says_why(begun, tmp_path):
    with pytest.raises(Trouble, match=r"No copy could be written into .*There is no such file or folder"):
        begun.emergency_copy(tmp_path / "nowhere")


def test_a_file_put_in_the_place_of_the_journal_is_neither_written_to_nor_lost(begun, noon):
    journal = begun.folder / f"{ID}.journal"
    journal.rename(begun.folder / "old")
    journal.write_text("somebody else's\n")
    begun.file(ev.Noted(text="x"), now=noon + 300)
    assert [e.seq for e in begun.unsaved] == [5]
    assert "changed or replaced" in str(begun.trouble)
    assert journal.read_text() == "somebody else's\n"
    journal.rename(begun.folder / "theirs")
    assert begun.retry()
    assert read_session(begun.folder, ID).entries == tuple(begun.entries)


def test_a_second_writer_that_ignored_the_lock_is_noticed_and_its_line_kept(begun, noon):
    journal = begun.folder / f"{ID}.journal"
    begun.file(ev.Noted(text="mine"), now=noon + 300)
    with journal.open("ab") as file:
        file.write(b"not mine\n")
    begun.file(ev.Noted(text="mine too"), now=noon + 301)
    assert begun.unsaved == ()
    assert (begun.folder / f"{ID}.torn").read_bytes() == b"not mine\n"
    assert read_session(begun.folder, ID).entries == tuple(begun.entries)


def test_an_older_copy_put_back_under_us_is_brought_up_to_date(begun, noon):
    journal = begun.folder / f"{ID}.journal"
    older = journal.read_bytes()
    begun.file(ev.Noted(text="newer"), now=noon + 300)
    journal.unlink()
    journal.write_bytes(older)
    begun.file(ev.Noted(text="newest"), now=noon + 301)
    assert begun.unsaved == ()
    assert read_session(begun.folder, ID).entries == tuple(begun.entries)


def test_finishing_waits_until_everything_is_saved(tmp_path, noon, faulty, full):
    disk = faulty()
    live = LiveSession.create(tmp_path, ID, now=noon, disk=disk)
    works = disk.write

    def refuses(*_: object) -> int:
        raise OSError(full, "full")

    disk.write = refuses
    live.file(ev.Noted(text="x"), now=noon)
    with pytest.raises(Trouble, match=r"cannot be finished while entries are not saved.*disk is full"):
        live.finish("", now=noon + 1)
    assert len(live.entries) == 2
    disk.write = works
    live.finish("", now=noon + 2)
    assert read_session(tmp_path, ID).finished


def test_an_atomic_write_leaves_the_old_file_or_the_new_one(tmp_path, faulty, killed):
    """Whatever call fails or kills, the file is one of the two, and the sweep takes the stray one."""
    path = tmp_path / "settings"
    disk = faulty()
    write_atomically(path, b"old", disk)
    for at in range(len(disk.calls)):
        for fault in (*FAULTS, None):
            path.write_bytes(b"old")
            with pytest.raises((OSError, killed)):
                write_atomically(path, b"new", faulty(at, fault, half=True))
            assert path.read_bytes() in (b"old", b"new")
            sweep(tmp_path)
            assert [p.name for p in tmp_path.iterdir()] == ["settings"]


def test_the_sweep_leaves_a_file_in_the_making_alone(tmp_path, faulty):
    class Sweeping(faulty):
        def rename(self, old: Path, new: Path) -> None:
            assert sweep(tmp_path) == 0
            super().rename(old, new)

    write_atomically(tmp_path / "x", b"y", Sweeping())
    assert (tmp_path / "x").read_bytes() == b"y"


def test_state_is_the_fold_of_what_is_shown_whatever_is_saved(tmp_path, noon, faulty):
    disk = faulty()
    live = LiveSession.create(tmp_path, ID, now=noon, disk=disk)
    disk.fsync = lambda _: (_ for _ in ()).throw(OSError(errno.EIO, "fault"))
    live.file(ev.Noted(text="x"), now=noon + 1)
    live.undo(now=noon + 2)
    assert live.state == fold(live.entries)
    assert live.state.notes == ()
