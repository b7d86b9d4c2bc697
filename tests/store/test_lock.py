"""One writer: the lock is the system's, so that it is gone with whoever held it."""

from __future__ import annotations

import fcntl
import os

import pytest

from pourday.store.lock import InUse, Lock


def test_a_second_is_told_who_has_it_and_may_have_it_afterwards(tmp_path):
    path = tmp_path / "a.lock"
    first = Lock.take(path)
    with pytest.raises(InUse) as told:
        Lock.take(path)
    assert told.value.pid == str(os.getpid())
    first.release()
    assert not path.exists()
    second = Lock.take(path)
    assert second.sure
    second.release()
    second.release()


def test_it_is_flock_that_holds_it_and_not_the_file(tmp_path):
    """Whoever asks the system gets the same answer as our own program (flock(2))."""
    path = tmp_path / "a.lock"
    path.write_text("999999\n")  # left by a kill
    lock = Lock.take(path)
    other = os.open(path, os.O_RDWR)
    with pytest.raises(BlockingIOError):
        fcntl.flock(other, fcntl.LOCK_EX | fcntl.LOCK_NB)
    os.close(other)
    lock.release()


def test_a_name_that_leads_to_another_file_by_now_is_left_alone(tmp_path):
    path = tmp_path / "a.lock"
    lock = Lock.take(path)
    path.unlink()
    path.write_text("somebody else's")
    lock.release()
    assert path.read_text() == "somebody else's"
