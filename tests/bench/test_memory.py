"""Memory over a simulated eight-hour day at the stove: it levels off.

The demo plays itself in the program's own screen; the clocks of the screen are moved by hand, half a
second of heartbeat for thirty seconds of the day. Every five minutes somebody also types, looks and turns pages.
"""

from __future__ import annotations

import asyncio
import gc
import os
import signal
import sys
import tracemalloc
from collections.abc import Iterator
from pathlib import Path

import psutil
import pytest
from textual import events
from textual.keys import _character_to_key

from pourday.demo.opening import begin_demo
from pourday.demo.scenario import START
from pourday.tui.app import PourdayApp
from pourday.tui.terminal import clocks

pytestmark = pytest.mark.bench
HOURS = 8
BEAT, SPEED = 0.5, 60.0
BEATS_AN_HOUR = int(3600 / (BEAT * SPEED))
TYPES_EVERY = 10
KEYS = "75v/\x1be\x1bl\x1bo\x1bv"
"""A number begun and dropped, the finished candles, help, the fire card, two questions: nothing is filed."""
STILL = 0.03
"""Seconds given to painting after each beat."""
RISE = 1.03
"""Most that the last hour may hold over the one two hours before."""


class Kept(PourdayApp):
    """The program without an end."""

    def exit(self, *_: object, **__: object) -> None:
        """Stays."""


@pytest.fixture
def real(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[float]]:
    """The clock that only measures how fast things follow each other, moved by hand."""
    held, old = [1000.0], clocks.real
    for module in [m for name, m in sys.modules.items() if name.startswith("pourday.tui")]:
        if getattr(module, "real", None) is old:
            monkeypatch.setattr(module, "real", lambda: held[0])
    numbers = (signal.SIGHUP, signal.SIGTERM, signal.SIGINT)
    before = {number: signal.getsignal(number) for number in numbers}
    yield held
    for number, handler in before.items():
        signal.signal(number, handler)


async def played(folder: Path, real: list[float]) -> list[tuple[float, float, int, int]]:
    """(resident MB, Python's own MB, objects, entries) at the end of each hour."""
    curve = []
    app = Kept(folder, config=folder / "settings.toml")
    process = psutil.Process(os.getpid())
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.pause(0.5)
        live, station = begin_demo(folder, START, speed=SPEED)
        app.open_session(live, station)
        await pilot.pause()
        screen = app.screen
        for beat in range(1, HOURS * BEATS_AN_HOUR + 1):
            real[0] += BEAT
            if app.screen is screen:
                screen.tick()
            if beat % TYPES_EVERY == 0:
                for character in KEYS:
                    name = "escape" if character == "\x1b" else _character_to_key(character)
                    app._driver.send_message(events.Key(name, character))
            await asyncio.sleep(STILL)
            assert app._exception is None
            if beat % BEATS_AN_HOUR == 0:
                gc.collect()
                curve.append(
                    (
                        process.memory_info().rss / 1e6,
                        tracemalloc.get_traced_memory()[0] / 1e6,
                        len(gc.get_objects()),
                        len(live.entries),
                    )
                )
    return curve


async def test_memory_levels_off_over_an_eight_hour_day(tmp_path, real, capsys):
    tracemalloc.start()
    try:
        curve = await played(tmp_path, real)
    finally:
        tracemalloc.stop()
    with capsys.disabled():
        print("\nhour  resident MB  Python's MB  objects  entries")
        for hour, (resident, own, objects, entries) in enumerate(curve, 1):
            print(f"{hour:>4}  {resident:>11.1f}  {own:>11.2f}  {objects:>7}  {entries:>7}")
    before, last = curve[-3], curve[-1]
    assert last[3] > 50
    assert last[0] <= RISE * before[0]
    assert last[1] <= RISE * before[1]
    assert last[2] <= RISE * before[2]
