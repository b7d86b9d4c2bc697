"""Any key held for ten seconds, at the real screens: it files one fact at most, and begins no second session."""

from __future__ import annotations

import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from textual import events

from pourday.demo.scenario import START, two_pillars
from pourday.session import events as ev
from pourday.store.candles import open_log
from pourday.store.live import LiveSession
from pourday.tui.app import PourdayApp, screen_for
from pourday.tui.rehearse.screen import RehearsalScreen
from pourday.tui.settings.screen import SettingsScreen
from pourday.tui.terminal.keys import BINDINGS
from tests.tui.conftest import Quiet

CHARACTERS = {
    "space": " ", "enter": "\r", "tab": "\t", "full_stop": ".", "comma": ",", "minus": "-", "plus": "+", "slash": "/",
    "left_square_bracket": "[", "right_square_bracket": "]", "question_mark": "?", "exclamation_mark": "!",
}  # fmt: skip
KEYS = [
    *"abcdefghijklmnopqrstuvwxyz0159", *CHARACTERS, "up", "down", "left", "right", "pageup", "pagedown", "home", "end",
    "backspace", "delete", "escape", *(each.key for each in BINDINGS if len(each.key) > 1 and each.key not in CHARACTERS),
]  # fmt: skip
"""All that a screen could be waiting for, whatever key is new."""


class Kitchen:
    def __init__(self) -> None:
        self.t = START + 500.0

    def now(self) -> float:
        return self.t


def day(folder: Path, stage: str) -> LiveSession:
    live = LiveSession.create(folder, "2026-10-25-a", now=START)
    live.file(ev.PlanDrafted(plan=two_pillars()), now=START)
    if stage != "setup":
        live.file(ev.PlanFixed(plan=two_pillars()), now=START)
        live.file(ev.BurnerSet(state="on"), now=START + 1)
        for number in range(5):
            live.file(ev.Reading(place="pot", celsius=20.0 + number), now=START + 60 + number)
    if stage in ("review", "cured", "burning"):
        live.file(ev.Poured(mould="A", layer=0, part="layer", kg=0.3), now=START + 90)
        live.file(ev.Demoulded(mould="A", release="dropped out"), now=START + 95)
        live.finish("", now=START + 100)
    if stage not in ("cured", "burning"):
        return live
    candles = open_log(folder, live.state, now=START + 200)
    if stage == "burning":
        candles.file(ev.CandleLit(mould="A", kg=0.3), now=time.time() - 600)
    return candles


async def hold(app: PourdayApp, pilot: Any, key: str, began: float) -> None:
    """Ten seconds of one key, as the X server repeats it: after 0.66 s, then 25 times a second."""
    for at in [0.0, *(0.66 + n / 25 for n in range(234))]:
        pressed = events.Key(key, CHARACTERS.get(key, key if len(key) == 1 else None))
        pressed.time = began + at
        if app.screen_stack and hasattr(app.screen, "on_key"):
            app.screen.on_key(pressed)
        if at < 2.0:
            await pilot.pause(0)


STAGES = ("setup", "stove", "review", "home", "cured", "burning", "settings", "rehearsal")
FEW = ("h", "z", "space", "n")


@pytest.fixture(autouse=True)
def _nobody_thinks(monkeypatch: pytest.MonkeyPatch) -> None:
    quiet = Quiet()
    monkeypatch.setattr(PourdayApp, "worker", property(lambda _: quiet))


@pytest.mark.parametrize("stage", ["stove", "home"])
async def test_the_keys_that_file_are_one_press_however_long_they_are_held(
    tmp_path: Path, stage: str
) -> None:
    filed = await filed_by(tmp_path, stage, FEW)
    assert max(filed.values()) <= 1, filed
    if stage == "stove":
        assert (filed["h"], filed["z"]) == (1, 1)


@pytest.mark.slow
@pytest.mark.parametrize("stage", STAGES)
async def test_no_key_held_for_ten_seconds_files_more_than_one_fact(tmp_path: Path, stage: str) -> None:
    filed = await filed_by(tmp_path, stage, KEYS)
    assert max(filed.values()) <= 1, filed


async def filed_by(tmp_path: Path, stage: str, keys: Sequence[str]) -> dict[str, int]:
    """How many facts of a person each key puts on record, held on a fresh day of its own."""
    filed: dict[str, int] = {}
    for number, key in enumerate(keys):
        folder = tmp_path / str(number)
        folder.mkdir()
        opened = stage not in ("home", "settings", "rehearsal")
        live = day(folder, stage if opened else "stove")
        clock = Kitchen()
        app = PourdayApp(folder, config=folder / "settings.toml")
        if not opened:
            live.close()
        async with app.run_test(size=(80, 24)) as pilot:
            if stage in ("settings", "rehearsal"):
                await app.push_screen(SettingsScreen() if stage == "settings" else RehearsalScreen())
            elif opened:
                screen = screen_for(live, None)
                if hasattr(screen, "clock"):
                    screen.clock = clock
                await app.push_screen(screen)
            await pilot.pause(0)
            before = said(folder)
            await hold(app, pilot, key, 1_000.0)
            after = said(folder)
        filed[key] = len(after) - len(before)
        if not live.readonly:
            live.close()
    return filed


def said(folder: Path) -> list[str]:
    """The lines a person put on record, of all sessions of the folder, and the settings that were changed."""
    lines = [line for path in sorted(folder.glob("*.journal")) for line in path.read_text().splitlines()]
    settings = folder / "settings.toml"
    changed = [line for line in settings.read_text().splitlines() if "=" in line] if settings.exists() else []
    return [*(line for line in lines if '"by":"person"' in line), *changed]
