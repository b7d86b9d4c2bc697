"""Who and with what goes on record as a session is opened, and again when the settings change under it."""

from __future__ import annotations

from pathlib import Path

from pourday.demo.scenario import START, two_pillars
from pourday.session import events as ev
from pourday.store.live import LiveSession
from pourday.store.settings import save
from pourday.tui.app import PourdayApp


async def test_the_settings_are_on_record_once_a_session_is_open(tmp_path: Path) -> None:
    config = tmp_path / "settings.toml"
    config.write_text('who = "A. Chandler"\nthermometer = "long probe"\nin_ice = "0.4 C today"\n')
    (tmp_path / "sessions").mkdir()
    live = LiveSession.create(tmp_path / "sessions", "2026-10-25-a", now=START)
    live.file(ev.PlanDrafted(plan=two_pillars()), now=START)
    app = PourdayApp(tmp_path / "sessions", config=config)
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_session(live)
        await pilot.pause()
        assert live.state.equipped.who == "A. Chandler"
        assert live.state.equipped.checks[0].read_c == 0.4
        app.apply(save(config, "scale", "bench scale"))
        assert live.state.equipped.scale == "bench scale"
        app.apply(app.loaded)
        assert sum(isinstance(entry.fact, ev.Equipped) for entry in live.entries) == 2
