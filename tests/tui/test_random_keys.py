"""Twenty thousand keys at random on each screen: none is lost, nothing breaks, and Escape always leads out."""

from __future__ import annotations

import os
import random
import time

import pytest
from textual import events
from textual.keys import _character_to_key

from pourday.demo.scenario import two_pillars
from pourday.session import events as ev
from pourday.store.live import LiveSession
from pourday.tui.app import PourdayApp
from pourday.tui.base import LineScreen
from pourday.tui.desk import STILL_LIT
from pourday.tui.home_screen import HomeScreen
from pourday.tui.review_screen import ReviewScreen
from pourday.tui.settings_screen import SettingsScreen
from pourday.tui.setup_screen import SetupScreen
from pourday.tui.stove_screen import StoveScreen

KEYS_EACH = int(os.environ.get("POURDAY_RANDOM_KEYS", "20000"))
AT_ONCE = 50
NAMED = ["enter", "escape", "backspace", "tab", "space", "up", "down", "left", "right", "pageup", "pagedown"]
NAMED += ["home", "end", "delete", "f1", "f2", "f5", "shift+tab", "ctrl+a", "ctrl+z", "insert"]
HOSTILE = ["é", "ß", "…", "\u202e", "\u200b", "漢", "😀", "\x00", "\x1b", "\x7f"]
SIZES = [(80, 24), (40, 12), (120, 40), (20, 5), (200, 60), (80, 24)]


def keys(seed: int, count: int) -> list[tuple[str, str | None]]:
    dice = random.Random(seed)
    typed = [chr(n) for n in range(32, 127)] + list("0123456789") * 4
    found: list[tuple[str, str | None]] = []
    for _ in range(count):
        kind = dice.random()
        if kind < 0.35:
            found.append((dice.choice(NAMED), None))
        elif kind < 0.95:
            character = dice.choice(typed)
            found.append((_character_to_key(character), character))
        else:
            character = dice.choice(HOSTILE)
            found.append((_character_to_key(character), character))
    return [(key, " " if key == "space" else character) for key, character in found]


def stay(patch: pytest.MonkeyPatch) -> list[str]:
    """Ways out are only noted, so that the keys go on; what was noted."""
    left: list[str] = []

    def stove(screen: StoveScreen, how: str) -> None:
        left.append(how)
        screen.desk.leaving = False

    def setup(screen: SetupScreen) -> None:
        left.append("left")
        screen.planner.leaving = False

    def settings(screen: SettingsScreen) -> None:
        left.append("left")
        screen.desk.leaving = False

    patch.setattr(StoveScreen, "finish", stove)
    patch.setattr(SetupScreen, "leave", setup)
    patch.setattr(SettingsScreen, "back", settings)
    patch.setattr(ReviewScreen, "leave", lambda *_: left.append("left"))
    patch.setattr(HomeScreen, "_rehearse", lambda *_: left.append("rehearse"))
    patch.setattr(HomeScreen, "leave", lambda *_: left.append("left"))
    for name in ("open_session", "resume", "begin_demo", "open_settings"):
        patch.setattr(PourdayApp, name, lambda *_, name=name: left.append(name))
    return left


def session(folder, stage: str) -> LiveSession | None:
    if stage in ("home", "settings"):
        return None
    now = time.time() - 60
    live = LiveSession.create(folder, "2026-11-25-a", now=now)
    live.file(ev.PlanDrafted(plan=two_pillars()), now=now)
    if stage == "setup":
        return live
    live.file(ev.PlanFixed(plan=two_pillars()), now=now)
    if stage == "review":
        live.finish("good", now=now)
    return live


@pytest.mark.slow
@pytest.mark.parametrize("stage", ["home", "setup", "stove", "review", "settings"])
async def test_random_keys_lose_nothing_break_nothing_and_escape_leads_out(stage, tmp_path, monkeypatch):
    app = PourdayApp(tmp_path, session(tmp_path, stage), config=tmp_path / "settings.toml")
    heard: list[str] = []
    on_key = LineScreen.on_key

    def hear(screen: LineScreen, event: events.Key) -> None:
        heard.append(event.key)
        on_key(screen, event)

    sent = keys(7, KEYS_EACH)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause(0.3)
        if stage == "settings":
            app.open_settings()
            await pilot.pause(0.3)
        left = stay(monkeypatch)
        monkeypatch.setattr(LineScreen, "on_key", hear)
        for start in range(0, len(sent), AT_ONCE):
            if start % 1000 == 0:
                await pilot.resize_terminal(*SIZES[start // 1000 % len(SIZES)])
            for key, character in sent[start : start + AT_ONCE]:
                app._driver.send_message(events.Key(key, character))
            limit = time.monotonic() + 120
            while len(heard) < min(start + AT_ONCE, len(sent)):
                await pilot.pause(0.005)
                assert app.is_running
                assert time.monotonic() < limit
        assert heard == [key for key, _ in sent]
        left.clear()
        for _ in range(8):
            app._driver.send_message(events.Key("escape", None))
            await pilot.pause(0.05)
            if isinstance(app.screen, StoveScreen) and app.screen.desk.question is STILL_LIT:
                left.append("asked about the burner")
            if left:
                break
        assert left
