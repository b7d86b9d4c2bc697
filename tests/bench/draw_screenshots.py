"""Draw screenshots/ from the running program: every main screen, SVG and PNG.

Run from the top of the project: `python tests/bench/draw_screenshots.py`. The day shown is the invented
one of the demo, played by its own player up to the moment of each picture, with the clock held still.
"""

from __future__ import annotations

import asyncio
import os
import re
import sys
import tempfile
import time
from pathlib import Path

os.environ["TZ"] = "UTC"
time.tzset()

import resvg_py  # noqa: E402

from pourday.demo.day import Day  # noqa: E402
from pourday.store.live import LiveSession  # noqa: E402
from pourday.tui.app import PourdayApp  # noqa: E402
from pourday.tui.setup_screen import SetupScreen  # noqa: E402
from pourday.tui.stove_screen import StoveScreen  # noqa: E402
from pourday.tui.theme import PALETTES  # noqa: E402

OUT = Path("screenshots")


class Held:
    """A clock that stands."""

    def __init__(self, at: float) -> None:
        self.at = at

    def now(self) -> float:
        return self.at


def played_until(folder: Path, stop: str, extra: float = 0.0) -> tuple[LiveSession, float]:
    """The demo day, stopped when the guide first says `stop` and `extra` seconds later."""
    day = Day(folder, lambda _: None, seed=1)
    while True:
        advice = day.advise()
        if advice.now is None or f"{advice.now.word} ".startswith(stop):
            break
        if not day.step():
            break
    return day.live, day.now + extra


async def shoot(
    name: str, screen: object, size: tuple[int, int], folder: Path, palette: str = "dark"
) -> None:
    app = PourdayApp(folder)
    app.palette = PALETTES[palette]
    async with app.run_test(size=size) as pilot:
        app.push_screen(screen)  # type: ignore[arg-type]
        await pilot.pause(0.4)
        svg = app.export_screenshot(title="pourday")
    svg = re.sub(r"@font-face \{.*?\}", "", svg, flags=re.S)
    svg = svg.replace("Fira Code", "DejaVu Sans Mono")
    (OUT / f"{name}.svg").write_text(svg, encoding="utf-8")
    png = resvg_py.svg_to_bytes(
        svg_string=svg, font_family="DejaVu Sans Mono", monospace_family="DejaVu Sans Mono"
    )
    (OUT / f"{name}.png").write_bytes(bytes(png))
    print(name)


async def main() -> None:
    OUT.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        stops = [
            ("melt", "READ POT", (120, 40), "dark"),
            ("look", "LOOK B", (120, 40), "dark"),
            ("pour", "POUR A", (80, 24), "dark"),
            ("pour-light", "POUR B", (120, 40), "light"),
            ("small", "LOOK A", (40, 12), "dark"),
            ("demould", "DEMOULD", (80, 24), "dark"),
        ]
        for name, stop, size, palette in stops:
            live, at = played_until(folder, stop)
            await shoot(name, StoveScreen(live, Held(at)), size, folder, palette)
            live.close()
        day = Day(folder, lambda _: None, seed=2)
        draft = LiveSession.begin(folder, "2026-10-25", now=day.now)
        from pourday.session import events as ev

        draft.file(ev.PlanDrafted(plan=day.plan), now=day.now)
        await shoot("setup", SetupScreen(draft, Held(day.now)), (120, 40), folder)
        await shoot("setup-small", SetupScreen(draft, Held(day.now)), (80, 24), folder)


if __name__ == "__main__":
    sys.exit(asyncio.run(main()))
