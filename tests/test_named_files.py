"""What a person names on the command line is read whole, in part where it has no end, and never waited for without one."""

from __future__ import annotations

import errno
import os
import threading
import time
from pathlib import Path

import pytest

from pourday.named_files import read_named


def test_a_file_is_read_whole_and_a_byte_more_than_the_most_shows_that_it_is_too_large(
    tmp_path: Path,
) -> None:
    path = tmp_path / "file"
    path.write_bytes(b"a" * 10)
    assert read_named(path, 10) == b"a" * 10
    assert read_named(path, 4) == b"a" * 5
    path.write_bytes(b"")
    assert read_named(path, 10) == b""


def test_a_device_without_an_end_is_not_read_to_it() -> None:
    assert read_named(Path("/dev/zero"), 3_000_000) == bytes(3_000_001)


def test_a_file_as_long_as_a_disk_is_not_read_to_its_end(tmp_path: Path) -> None:
    path = tmp_path / "sparse"
    path.touch()
    os.truncate(path, 1 << 40)
    assert len(read_named(path, 1000)) == 1001


def test_what_is_written_into_a_pipe_in_pieces_is_read_whole(tmp_path: Path) -> None:
    path = tmp_path / "pipe"
    os.mkfifo(path)

    def writes() -> None:
        with path.open("wb", buffering=0) as pipe:
            for part in (b"one ", b"two ", b"three"):
                pipe.write(part)
                time.sleep(0.05)

    writer = threading.Thread(target=writes)
    writer.start()
    assert read_named(path, 1000) == b"one two three"
    writer.join()


def test_a_pipe_that_nobody_writes_to_is_given_up(tmp_path: Path) -> None:
    path = tmp_path / "pipe"
    os.mkfifo(path)
    with pytest.raises(OSError, match="Nothing came through it"):
        read_named(path, 1000, patience=0.1)


def test_a_pipe_that_stands_still_in_the_middle_is_given_up(tmp_path: Path) -> None:
    path = tmp_path / "pipe"
    os.mkfifo(path)
    writer = os.open(path, os.O_RDWR)
    os.write(writer, b"half")
    with pytest.raises(OSError, match="Nothing came through it"):
        read_named(path, 1000, patience=0.1)
    os.close(writer)


def test_what_is_not_there_and_a_folder_are_refused_as_the_system_does(tmp_path: Path) -> None:
    for path, number in ((tmp_path / "none", errno.ENOENT), (tmp_path, errno.EISDIR)):
        with pytest.raises(OSError) as refusal:
            read_named(path, 10)
        assert refusal.value.errno == number
