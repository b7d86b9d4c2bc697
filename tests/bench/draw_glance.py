"""Draw the glance list: twelve moments of one day, each at 80x24 and 120x40, to be looked at for three seconds.

`python -m tests.bench.draw_glance [FOLDER [NAME …]]`. Each has to answer at once: what, which mould, how long, burner, danger.
"""

from __future__ import annotations

import asyncio
import os
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

from textual.screen import Screen

from pourday.demo.day import Day
from pourday.session import events as ev
from pourday.store.live import LiveSession
from pourday.tui.stove.follow_screen import FollowScreen
from pourday.tui.stove.screen import StoveScreen
from tests.bench import draw_screenshots
from tests.bench.draw_screenshots import LARGE, USUAL, Album, Held, stops, until

SIZES = {"80x24": USUAL, "120x40": LARGE}


class Following(FollowScreen):
    """A second screen whose clock stands where the day does."""

    def __init__(self, live: LiveSession, now: float) -> None:
        self._stands = now
        super().__init__(live)

    def _now(self) -> float:
        return self._stands


async def draw(folder: Path, wanted: list[str]) -> None:
    """The twelve moments."""
    album = Album(wanted, folder / "settings.toml")

    async def take(number: int, name: str, day: Day, *keys: str) -> None:
        await picture(number, name, lambda: StoveScreen(day.live, Held(day.now)), *keys)

    async def picture(number: int, name: str, opened: Callable[[], Screen[None]], *keys: str) -> None:
        for size, cells in SIZES.items():
            await album.take(f"{number:02}-{name}-{size}", opened, cells, folder, keys=keys)

    day = Day(folder, lambda _: None, seed=1)
    until(day, "READ POT")
    await take(1, "melt", day)
    await take(7, "fire", day, "e")
    until(day, "LOOK UNDER", "UNDER")
    await take(10, "leak", day, "r", "w")
    until(day, "WAIT", "BACK")
    await take(4, "wait", day)
    until(day, "LOOK A", "LOOK B")
    day.now += 60.0
    await take(5, "look", day)
    await take(8, "question", day, "escape", "space")
    until(day, "POUR")
    await take(2, "pour", day)
    await picture(9, "follow", lambda: Following(LiveSession.look_on(folder, day.live.session), day.now))
    before = day.now
    day.now += 25 * 60.0
    day.live.file(ev.WatchAnswered(), now=day.now)
    await take(3, "pour-late", day)
    day.now = before
    until(day, "TOP UP")
    day.now += 60.0
    await take(12, "top-up", day)
    until(day, "DEMOULD")
    next(word for word in stops(day) if not word.startswith("DEMOULD"))
    await take(11, "cure", day)
    day.live.close()
    hot = Day(folder, lambda _: None, seed=2)
    until(hot, "READ POT")
    hot.live.file(ev.Reading(place="pot", celsius=96.0, typed="96", means="probe"), now=hot.now)
    hot.advise()
    await take(6, "ceiling", hot)
    hot.live.close()


def main(out: Path, wanted: list[str]) -> None:
    """Draw those of these names into a folder; all of them where none is named."""
    out.mkdir(exist_ok=True)
    draw_screenshots.OUT = out
    with tempfile.TemporaryDirectory() as temporary:
        os.environ["HOME"] = temporary
        asyncio.run(draw(Path(temporary), wanted))


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path("glance"), sys.argv[2:])
