"""The form at the real screen: ways out of it while the disk refuses, and keys that are held."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest
from textual import events

from pourday.demo.opening import begin_demo
from pourday.demo.scenario import START, two_pillars
from pourday.session import events as ev
from pourday.store.disk import Disk
from pourday.store.live import LiveSession
from pourday.tui.app import PourdayApp
from pourday.tui.drawing.lines import text_of
from pourday.tui.setup.controller import SetupController
from pourday.tui.setup.layout import draw_setup
from pourday.tui.setup.screen import SetupScreen
from pourday.tui.stove.screen import StoveScreen


class Still:
    def now(self) -> float:
        return START + 10.0


class FullDisk(Disk):
    full = False

    def fsync(self, fd: int) -> None:  # noqa: ARG002
        if self.full:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def begun(tmp_path: Path, disk: Disk) -> LiveSession:
    live = LiveSession.create(tmp_path, "2026-10-25-a", now=START, disk=disk)
    live.file(ev.PlanDrafted(plan=two_pillars()), now=START)
    return live


@pytest.mark.parametrize("way", ["ctrl+q", "ctrl+c", "escape"])
async def test_no_way_out_of_the_form_drops_what_is_not_on_disk_unasked(tmp_path: Path, way: str) -> None:
    """Ctrl+Q and Ctrl+C left a full disk's drafts behind without a word."""
    disk = FullDisk()
    live = begun(tmp_path, disk)
    app = PourdayApp(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = SetupScreen(live, Still())
        await app.push_screen(screen)
        planner = screen.controller
        planner.at = next(i for i, row in enumerate(planner.rows()) if row.path == "room_c")
        disk.full = True
        await pilot.press("1", "8")
        if way == "escape":
            await pilot.press("down")
        await pilot.press(way)
        assert app.screen is screen
        assert not live.readonly
        assert "NOT SAVED. The disk is full." in " ".join(planner.message.split()) or live.unsaved
        assert planner.message.startswith("NOT SAVED")
        disk.full = False
        screen.tick()
        await pilot.press("ctrl+c" if way == "ctrl+q" else "ctrl+q")
        assert app.screen is not screen or app._exit
        assert live.state.plan.room_c == 18.0


@pytest.mark.parametrize("key", ["left", "right", "space", "enter", "d"])
async def test_a_held_key_ticks_a_preparation_once(tmp_path: Path, key: str) -> None:
    live = begun(tmp_path, FullDisk())
    app = PourdayApp(tmp_path)
    async with app.run_test(size=(80, 24)):
        screen = SetupScreen(live, Still())
        await app.push_screen(screen)
        planner = screen.controller
        planner.at = next(i for i, row in enumerate(planner.rows()) if row.path.startswith("prepare."))
        before = len(live.entries)
        for number in range(300):
            held = events.Key(key, " " if key == "space" else key if len(key) == 1 else None)
            held.time = 1_000.0 + 0.033 * number
            screen.on_key(held)
        assert len(live.entries) <= before + 1
        live.close()


@pytest.mark.parametrize("every", [0.033, 0.2])
async def test_along_choices_a_tapped_key_steps_each_time_and_a_held_one_once(
    tmp_path: Path, every: float
) -> None:
    """A finger taps five times a second at most or so; a keyboard repeats at 10.9 Hz at least (kbdrate(8))."""
    live = begun(tmp_path, FullDisk())
    app = PourdayApp(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = SetupScreen(live, Still())
        await app.push_screen(screen)
        planner = screen.controller
        planner.at = next(
            i
            for i, row in enumerate(planner.rows())
            if row.kind == "choice" and len(row.choices) > 3 and not row.path.startswith("prepare.")
        )
        row, before = planner.row, len(live.entries)
        for number in range(4):
            pressed = events.Key("right", None)
            pressed.time = 1_000.0 + (0.5 if number and every < 0.1 else 0.0) + every * number
            screen.on_key(pressed)
        await pilot.pause(0.3)
        steps = 1 if every < 0.1 else 4
        assert len(live.entries) == before + steps
        here = row.choices.index(row.value) if row.value in row.choices else 0
        planner.at = next(i for i, each in enumerate(planner.rows()) if each.path == row.path)
        assert planner.row.value == row.choices[(here + steps) % len(row.choices)]
        live.close()


@pytest.mark.parametrize(("cells", "rows"), [(80, 24), (120, 40), (40, 12), (60, 20)])
def test_the_way_to_the_stove_is_in_sight_from_every_row(tmp_path: Path, cells: int, rows: int) -> None:
    live = begun(tmp_path, FullDisk())
    setup = SetupController(live)
    for at, row in enumerate(setup.rows()):
        setup.at = at
        shown = "\n".join(text_of(each) for each in draw_setup(setup, cells, rows))
        assert "End BEGIN" in shown or row.path == "start", row.path
    assert "BEGIN THE DAY" in shown
    live.close()


async def test_a_demo_by_hand_can_begin_with_its_plan_in_three_keys(tmp_path: Path) -> None:
    live, station = begin_demo(tmp_path, by_hand=True)
    app = PourdayApp(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_session(live, station)
        await pilot.pause()
        assert isinstance(app.screen, SetupScreen)
        assert "End, then Enter twice" in app.screen.controller.message
        await pilot.press("end", "enter")
        await pilot.pause(1.0)  # Enter that comes sooner is one that is held down.
        await pilot.press("enter")
        await pilot.pause()
        assert live.state.fixed_plan is not None
        assert isinstance(app.screen, StoveScreen)
