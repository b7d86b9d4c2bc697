"""The row of the preparation list that asks whether the bell is heard rings it."""

from __future__ import annotations

from pathlib import Path

import pytest

from pourday.store.live import LiveSession
from pourday.tui.app import PourdayApp
from pourday.tui.setup.screen import BELL, SetupScreen


class Still:
    def now(self) -> float:
        return 1_700_000_000.0


@pytest.mark.parametrize("sound", [True, False])
async def test_the_bell_rings_on_its_row_and_where_it_is_off_that_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, sound: bool
) -> None:
    app = PourdayApp(tmp_path)
    rung: list[str] = []
    monkeypatch.setattr(app, "ring", lambda kind: rung.append(kind) or sound)
    async with app.run_test(size=(80, 24)) as pilot:
        live = LiveSession.begin(tmp_path, "bell", now=Still().now())
        screen = SetupScreen(live, Still())
        await app.push_screen(screen)
        paths = [row.path for row in screen.controller.rows()]
        screen.controller.at = paths.index(BELL) - 1
        await pilot.press("right")
        assert rung == []
        screen.controller.at = paths.index(BELL)
        await pilot.press("space")
        assert rung == ["alarm"]
        assert ("off in the settings" in screen.controller.message) is not sound
        live.close()
