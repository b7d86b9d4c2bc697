"""The file that tells the stove where a page is offered: its owner's alone, and worth nothing once nobody holds it."""

from __future__ import annotations

import multiprocessing
import os
import signal
import stat
from pathlib import Path

import pytest

from pourday.store.check import check
from pourday.store.live import LiveSession
from pourday.store.lock import InUse
from pourday.store.pack import is_packed
from pourday.store.second_screen import PageOffer, offered_page

ID, ADDRESS = "2026-11-25-a", "http://192.168.1.5:8620/kmvt-hrpw"
NAME = f".{ID}.page.lock"


def test_it_is_read_while_it_is_held_and_counts_for_nothing_after(tmp_path: Path) -> None:
    assert offered_page(tmp_path, ID) == ""
    offer = PageOffer.take(tmp_path, ID)
    assert offered_page(tmp_path, ID) == "", "nothing was said yet"
    offer.say(ADDRESS)
    offer.say(ADDRESS[:-1] + "q")
    assert offered_page(tmp_path, ID) == ADDRESS[:-1] + "q"
    assert offered_page(tmp_path, "2026-11-25-b") == ""
    assert stat.S_IMODE((tmp_path / NAME).stat().st_mode) == 0o600
    with pytest.raises(InUse):
        PageOffer.take(tmp_path, ID)
    offer.release()
    assert list(tmp_path.iterdir()) == []


def test_it_goes_into_no_archive_and_check_says_nothing_of_it(tmp_path: Path) -> None:
    LiveSession.create(tmp_path, ID, now=0.0).close()
    offer = PageOffer.take(tmp_path, ID)
    assert not is_packed(NAME)
    assert list(check(tmp_path)) == []
    offer.release()


def test_what_a_kill_leaves_is_not_shown_and_is_taken_over(tmp_path: Path) -> None:
    def offers(said: object) -> None:
        PageOffer.take(tmp_path, ID).say(ADDRESS)
        said.set()  # type: ignore[attr-defined]
        signal.pause()

    forks = multiprocessing.get_context("fork")
    said = forks.Event()
    process = forks.Process(target=offers, args=(said,))
    process.start()
    assert said.wait(30)
    assert offered_page(tmp_path, ID) == ADDRESS
    assert process.pid is not None
    os.kill(process.pid, signal.SIGKILL)
    process.join()
    assert (tmp_path / NAME).read_text() == ADDRESS
    assert offered_page(tmp_path, ID) == ""
    PageOffer.take(tmp_path, ID).release()


@pytest.mark.parametrize(
    "data", [b"", b"\xff\xfe", b"javascript:alert(1)", b"http://x\x1b[2J/" + b"y" * 10_000, bytes(1 << 20)]
)
def test_whatever_stands_in_it_cannot_steer_the_screen(tmp_path: Path, data: bytes) -> None:
    offer = PageOffer.take(tmp_path, ID)
    (tmp_path / NAME).write_bytes(data)
    shown = offered_page(tmp_path, ID)
    assert len(shown) <= 200
    assert shown.isprintable()
    assert not shown or shown.startswith("http://")
    offer.release()


def test_a_pipe_a_folder_or_a_link_in_its_place_is_nothing(tmp_path: Path) -> None:
    for make in (os.mkfifo, os.mkdir, lambda path: os.symlink("/etc/passwd", path)):
        make(tmp_path / NAME)
        assert offered_page(tmp_path, ID) == ""
        (tmp_path / NAME).rmdir() if (tmp_path / NAME).is_dir() else (tmp_path / NAME).unlink()
