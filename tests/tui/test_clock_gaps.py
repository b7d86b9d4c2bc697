"""Sleep, a clock that steps, and a slow disk, at the real screen with clocks of the test's own."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import pytest
from textual import events

from pourday.demo.scenario import START, two_pillars
from pourday.session import events as ev
from pourday.store.disk import Disk
from pourday.store.gap import Clocks
from pourday.store.live import LiveSession
from pourday.tui.app import PourdayApp
from pourday.tui.stove import screen as stove
from pourday.tui.stove.controller import StoveController
from pourday.tui.stove.screen import StoveScreen
from pourday.tui.terminal import clocks
from tests.tui.conftest import Quiet


class Machine:
    """Its three clocks, moved by hand."""

    def __init__(self) -> None:
        self.wall, self.awake, self.boot = START + 100.0, 5_000.0, 9_000.0

    def now(self) -> float:
        return self.wall

    def all_clocks(self) -> Clocks:
        return Clocks(self.wall, self.awake, self.boot)

    def real(self) -> float:
        return self.boot

    def go_on(self, seconds: float) -> None:
        self.wall, self.awake, self.boot = self.wall + seconds, self.awake + seconds, self.boot + seconds

    def sleep(self, seconds: float) -> None:
        self.wall, self.boot = self.wall + seconds, self.boot + seconds


class SlowDisk(Disk):
    """Every sync takes as long as it is told to."""

    def __init__(self, machine: Machine) -> None:
        self.machine, self.takes = machine, 0.0

    def fsync(self, fd: int) -> None:  # noqa: ARG002
        self.machine.go_on(self.takes)


class Stove:
    def __init__(self, screen: StoveScreen, machine: Machine, disk: SlowDisk) -> None:
        self.screen, self.machine, self.disk = screen, machine, disk

    def press(self, key: str, character: str | None = None) -> None:
        pressed = events.Key(key, character or key)
        pressed.time = self.machine.awake
        self.screen.on_key(pressed)

    def tick(self) -> None:
        self.screen.tick()

    def facts(self, kind: type) -> list[Any]:
        return [e.fact for e in self.screen.live.entries if isinstance(e.fact, kind)]


@pytest.fixture
def machine(monkeypatch: pytest.MonkeyPatch) -> Machine:
    machine = Machine()
    monkeypatch.setattr(stove, "all_clocks", machine.all_clocks)
    monkeypatch.setattr(stove, "real", machine.real)
    quiet = Quiet()
    monkeypatch.setattr(PourdayApp, "worker", property(lambda _: quiet))
    return machine


@asynccontextmanager
async def at_the_stove(tmp_path: Path, machine: Machine) -> AsyncIterator[Stove]:
    disk = SlowDisk(machine)
    live = LiveSession.create(tmp_path, "2026-10-25-a", now=START, disk=disk)
    live.file(ev.PlanFixed(plan=two_pillars()), now=START)
    live.file(ev.BurnerSet(state="on"), now=START + 90)
    app = PourdayApp(tmp_path)
    async with app.run_test(size=(80, 24)):
        screen = StoveScreen(live, machine)
        # Its own heartbeat would read the clocks between two lines of a test.
        screen.heartbeat = lambda: 3_600.0  # type: ignore[method-assign]
        await app.push_screen(screen)
        yield Stove(screen, machine, disk)
        live.close()


@pytest.mark.parametrize("key", ["space", "h", "g", "z", "s"])
async def test_the_key_that_wakes_a_laptop_files_nothing(tmp_path: Path, machine: Machine, key: str) -> None:
    """Eight hours asleep: wall and boot clock jump, the monotonic one stands still (clock_gettime(2))."""
    async with at_the_stove(tmp_path, machine) as hands:
        hands.tick()
        hands.machine.sleep(8 * 3600.0)
        person = [e for e in hands.screen.live.entries if e.by == "person"]
        hands.press(key)
        assert [e for e in hands.screen.live.entries if e.by == "person"] == person
        assert [fact.cause for fact in hands.facts(ev.GapSeen)] == ["slept"]


async def test_sleep_that_a_heartbeat_saw_first_is_no_different(tmp_path: Path, machine: Machine) -> None:
    async with at_the_stove(tmp_path, machine) as hands:
        hands.tick()
        hands.machine.sleep(60.0)
        hands.tick()
        hands.press("h")
        assert len(hands.facts(ev.BurnerSet)) == 1
        assert "only woke the screen" in hands.screen.controller.message
        hands.machine.go_on(1.0)
        hands.press("h")
        assert len(hands.facts(ev.BurnerSet)) == 2


@pytest.mark.parametrize("step", [3 * 86_400.0, -3_600.0])
async def test_a_reading_right_after_a_clock_step_stands_on_the_new_clock(
    tmp_path: Path, machine: Machine, step: float
) -> None:
    """The gap is on record before the key, so that the reading is not moved by it and nothing is doubted."""
    async with at_the_stove(tmp_path, machine) as hands:
        hands.tick()
        hands.machine.wall += step
        for key in "2", "1":
            hands.press(key)
        hands.press("enter", "\r")
        kinds = [type(e.fact) for e in hands.screen.live.entries]
        assert kinds.index(ev.GapSeen) < kinds.index(ev.Reading)
        (reading,) = hands.screen.live.state.readings
        assert reading.t == pytest.approx(hands.machine.wall, abs=0.01)
        assert [fact.cause for fact in hands.facts(ev.GapSeen)] == ["clock changed"]
        assert not hands.facts(ev.AlarmRaised)


async def test_a_slow_opening_is_no_gap_and_the_first_key_counts(
    tmp_path: Path, machine: Machine, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a machine with much else to do the first look took seconds, and the first key was said to have woken the screen."""
    look = StoveController.look

    def slow(*arguments: Any) -> Any:
        machine.go_on(4.0)
        return look(*arguments)

    with monkeypatch.context() as slowly:
        slowly.setattr(StoveController, "look", slow)
        async with at_the_stove(tmp_path, machine) as hands:
            slowly.undo()
            hands.tick()
            hands.press("h")
            assert len(hands.facts(ev.BurnerSet)) == 2
            assert not hands.facts(ev.GapSeen)
            hands.machine.go_on(4.0)
            hands.tick()
            assert [fact.cause for fact in hands.facts(ev.GapSeen)] == ["stalled"]


async def test_a_slow_disk_makes_no_gaps_of_its_own(tmp_path: Path, machine: Machine) -> None:
    """Every sync at 2.5 s: each gap filed made the next, 46 in a row."""
    async with at_the_stove(tmp_path, machine) as hands:
        hands.tick()
        hands.disk.takes = 2.5
        hands.machine.go_on(10.0)
        for _ in range(10):
            hands.tick()
            hands.machine.go_on(0.5)
        assert len(hands.facts(ev.GapSeen)) == 1
        hands.press("1")  # somebody is there again
        hands.press("escape")
        hands.press("h")
        assert len(hands.facts(ev.BurnerSet)) == 2
        for _ in range(5):
            hands.machine.go_on(0.5)
            hands.tick()
        assert len(hands.facts(ev.GapSeen)) == 1


async def test_sleep_while_the_disk_is_slow_is_still_told(tmp_path: Path, machine: Machine) -> None:
    async with at_the_stove(tmp_path, machine) as hands:
        hands.tick()
        hands.disk.takes = 2.5
        hands.press("1")
        hands.press("escape")
        hands.press("h")
        hands.machine.sleep(600.0)
        hands.tick()
        assert [(fact.cause, round(fact.seconds)) for fact in hands.facts(ev.GapSeen)] == [("slept", 600)]


def test_the_clock_between_two_keys_counts_sleep_where_the_machine_has_such_a_clock(monkeypatch: Any) -> None:
    monkeypatch.setattr(clocks.time, "CLOCK_BOOTTIME", 7, raising=False)
    monkeypatch.setattr(clocks.time, "clock_gettime", {7: 30_000.0}.get)
    assert clocks.real() == 30_000.0
    monkeypatch.delattr(clocks.time, "CLOCK_BOOTTIME")
    monkeypatch.setattr(clocks.time, "monotonic", lambda: 12.0)
    assert clocks.real() == 12.0
