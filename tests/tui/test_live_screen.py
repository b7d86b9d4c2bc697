"""What a page over a live record does of itself: saves what the disk refused, files what nobody watched, says what is on disk."""

from __future__ import annotations

import errno
from pathlib import Path
from typing import Any

import pytest

from pourday.demo.scenario import START
from pourday.plan.model import Plan
from pourday.session import events as ev
from pourday.store.disk import Disk
from pourday.store.gap import Clocks
from pourday.store.heaps import begin_heap
from pourday.store.live import LiveSession
from pourday.tui import live_screen
from pourday.tui.app import PourdayApp
from pourday.tui.filing import filed
from pourday.tui.heap.screen import HeapScreen
from tests.tui.conftest import Quiet


class FullDisk(Disk):
    """Refuses every sync while it is full."""

    full = False

    def fsync(self, fd: int) -> None:  # noqa: ARG002
        if self.full:
            raise OSError(errno.ENOSPC, "No space left on device")


class Hands:
    """Clocks moved by hand."""

    def __init__(self) -> None:
        self.t, self.slept = 0.0, 0.0

    def clocks(self) -> Clocks:
        return Clocks(START + self.t + self.slept, self.t, self.t + self.slept)

    def real(self) -> float:
        return self.t + self.slept


def begun(folder: Path, disk: Disk) -> LiveSession:
    return begin_heap(folder, Plan(), now=START, disk=disk)


def test_what_is_on_disk_is_said_and_what_is_not_is_said_to_be_not(tmp_path: Path) -> None:
    disk = FullDisk()
    live = begun(tmp_path, disk)
    note = ev.Noted(text="sorted by smell")
    well, says = filed(live, (note,), Plan(), now=START + 1)
    assert (well, says[:7], "sorted by smell" in says) == (True, "Filed: ", True)
    disk.full = True
    well, says = filed(live, (note,), Plan(), now=START + 2)
    assert not well
    assert says.startswith("NOT SAVED: ")
    disk.full = False
    assert live.retry()
    assert sum(isinstance(entry.fact, ev.Noted) for entry in live.entries) == 2
    live.close()


@pytest.mark.parametrize("lit", [False, True])
async def test_a_page_saves_again_by_itself_and_files_what_nobody_watched(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, lit: bool
) -> None:
    hands, disk, quiet = Hands(), FullDisk(), Quiet()
    monkeypatch.setattr(live_screen, "all_clocks", hands.clocks)
    monkeypatch.setattr(live_screen, "real", hands.real)
    monkeypatch.setattr(PourdayApp, "worker", property(lambda _: quiet))
    live = begun(tmp_path, disk)
    if lit:
        live.file(ev.BurnerSet(state="on"), now=START)
    async with PourdayApp(tmp_path).run_test(size=(80, 24)) as pilot:
        screen = HeapScreen(live)
        screen.heartbeat = lambda: 3_600.0  # type: ignore[method-assign]
        await pilot.app.push_screen(screen)
        disk.full = True
        screen.heap.file((ev.Noted(text="red"),), now=START + 1)
        assert live.unsaved
        hands.t = live_screen.RETRY_EVERY
        screen.tick()
        assert live.unsaved
        disk.full = False
        screen.tick()
        assert live.unsaved, "not before its time"
        hands.t += live_screen.RETRY_EVERY
        screen.tick()
        assert (live.unsaved, screen.heap.message) == ((), "Everything is saved again.")
        hands.slept = 3_600.0
        screen.tick()
        gaps: list[Any] = [entry.fact for entry in live.entries if isinstance(entry.fact, ev.GapSeen)]
        assert [gap.cause for gap in gaps] == (["slept"] if lit else [])
        live.close()
