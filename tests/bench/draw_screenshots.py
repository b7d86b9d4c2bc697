"""Draw screenshots/ from the running program: every main screen but those of the README, SVG and PNG.

The README's come from casts of the demo (`draw_from_cast.py`). Run from the top of the project:
`python tests/bench/draw_screenshots.py [name ...]`. The day shown is the invented one of the demo, played by its own
player up to the moment of each picture, with the clock held still.
"""

from __future__ import annotations

import asyncio
import os
import re
import shutil
import sys
import tempfile
import time
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import asynccontextmanager
from pathlib import Path

os.environ["TZ"] = "UTC"
time.tzset()

import resvg_py  # noqa: E402
from msgspec.structs import replace  # noqa: E402
from textual.pilot import Pilot  # noqa: E402
from textual.screen import Screen  # noqa: E402

from pourday.demo.day import Day  # noqa: E402
from pourday.demo.scenario import START, two_pillars  # noqa: E402
from pourday.guide.advice.adviser import REST_WAIT  # noqa: E402
from pourday.session import events as ev  # noqa: E402
from pourday.store.live import LiveSession  # noqa: E402
from pourday.tui.app import PourdayApp  # noqa: E402
from pourday.tui.home.screen import HomeScreen  # noqa: E402
from pourday.tui.review.screen import ReviewScreen  # noqa: E402
from pourday.tui.setup.screen import SetupScreen  # noqa: E402
from pourday.tui.stove.screen import StoveScreen  # noqa: E402
from pourday.tui.terminal import clocks  # noqa: E402
from pourday.tui.terminal.theme import PALETTES  # noqa: E402

OUT = Path("screenshots")
SAMPLES = Path("sessions")
ZOOM = 0.7
"""PNG pixels for each of the SVG's: sharp enough to read, small enough to keep beside the code."""
HEAD = 32
"""Height of the window's head in the SVG."""
BLOCKS = r"(<text [^>]*)>((?:[█▀▄░▒▓]|&#160;)*[█▀▄░▒▓](?:[█▀▄░▒▓]|&#160;)*</text>)"
"""Blocks, which have to touch from row to row as they do in a terminal."""
GROUND = "#1c1c1c"
"""Of a terminal that is told no colour."""
PATIENCE = 30.0
"""Seconds a screen has to work out what it shows."""
USUAL, LARGE, SMALL = (80, 24), (120, 40), (40, 12)
Size = tuple[int, int]


class Held:
    """A clock that stands."""

    def __init__(self, at: float) -> None:
        self.at = at

    def now(self) -> float:
        return self.at


class Album:
    """Takes the pictures that were asked for by name; all of them where none was."""

    def __init__(self, wanted: list[str], config: Path) -> None:
        self.wanted = wanted
        self.config = config

    def wants(self, *names: str) -> bool:
        return not self.wanted or any(name in self.wanted for name in names)

    async def take(
        self,
        name: str,
        opened: Callable[[], Screen[None]],
        size: Size,
        folder: Path,
        *,
        keys: tuple[str, ...] = (),
        palette: str = "dark",
    ) -> None:
        """Open a screen, press keys, keep what it shows."""
        if not self.wants(name):
            return
        async with shown(folder, self.config, opened, size, palette) as (app, pilot):
            for key in keys:
                await pilot.press(key)
                await pilot.pause(0.05)
            await settled(app, pilot)
            svg = app.export_screenshot(title="pourday")
        keep(name, svg, palette)


@asynccontextmanager
async def shown(
    folder: Path, config: Path, opened: Callable[[], Screen[None]], size: Size, palette: str
) -> AsyncIterator[tuple[PourdayApp, Pilot[None]]]:
    app = PourdayApp(folder, config=config)
    app.palette = PALETTES[palette]
    async with app.run_test(size=size) as pilot:
        app.push_screen(opened())
        await pilot.pause(0.1)
        await settled(app, pilot)
        yield app, pilot


async def settled(app: PourdayApp, pilot: Pilot[None]) -> None:
    """Until what is computed beside the screen is there."""
    limit = time.monotonic() + PATIENCE
    await pilot.pause(0.2)
    while time.monotonic() < limit and busy(app.screen):
        await pilot.pause(0.1)
    if isinstance(app.screen, StoveScreen) and isinstance(app.screen.clock, Held):
        # The rest of the day is worked out once nothing was filed for a moment.
        app.screen.clock.at += REST_WAIT
        await pilot.pause(2.0)
    await pilot.pause(0.4)


def busy(screen: object) -> bool:
    match screen:
        case StoveScreen():
            return screen.controller.adviser.waits or screen.pourday.worker.busy
        case HomeScreen():
            return bool(screen.home.waiting()) or not screen.home.known
        case _:
            return False


def keep(name: str, svg: str, palette: str) -> None:
    """As SVG and as PNG, of the screen alone: no window around it."""
    ground = PALETTES[palette].ground or GROUND
    svg = re.sub(r"@font-face \{.*?\}", "", svg, flags=re.S)
    svg = svg.replace("Fira Code", "DejaVu Sans Mono")
    svg = re.sub(r'<text class="[^"]*-title".*?</text>', "", svg, flags=re.S)
    svg = re.sub(r'<g transform="translate\(26,22\)">.*?</g>', "", svg, flags=re.S)
    svg = svg.replace('translate(9, 41)"', 'translate(9, 9)"')
    svg = re.sub(
        r'(viewBox="0 0 [\d.]+ )([\d.]+)"', lambda found: f'{found[1]}{float(found[2]) - HEAD:g}"', svg
    )
    svg = re.sub(r'<rect fill="#292929".*?/>', f'<rect fill="{ground}" width="100%" height="100%"/>', svg)
    svg = re.sub(r'<clipPath id="[^"]*-line-\d+">.*?</clipPath>\s*', "", svg, flags=re.S)
    svg = re.sub(r' clip-path="url\(#[^"]*-line-\d+\)"', "", svg)
    svg = re.sub(r"terminal-\d+-", "", svg)
    svg = re.sub(r"\n\s*", "\n", svg)
    svg = re.sub(BLOCKS, r'\1 style="font-size: 22px">\2', svg)
    (OUT / f"{name}.svg").write_text(svg, encoding="utf-8")
    png = resvg_py.svg_to_bytes(
        svg_string=svg, font_family="DejaVu Sans Mono", monospace_family="DejaVu Sans Mono", zoom=ZOOM
    )
    (OUT / f"{name}.png").write_bytes(bytes(png))
    print(name, flush=True)


# -- moments of the day ------------------------------------------------------------------------------


def stops(day: Day) -> Iterator[str]:
    """Steps the day on; gives the word each time the guide has a new one."""
    last = ""
    while True:
        advice = day.advise()
        word = advice.now.word if advice.now is not None else ""
        if word != last:
            last = word
            yield word
        if not day.step():
            return


def until(day: Day, *begins: str) -> None:
    """Stop where the guide first says this."""
    next(word for word in stops(day) if word.startswith(begins))


async def whole_day(album: Album, folder: Path) -> None:
    """One day, a picture wherever there is one to take."""
    day = Day(folder, lambda _: None, seed=1)

    async def stove(name: str, size: Size, *keys: str, palette: str = "dark") -> None:
        await album.take(
            name, lambda: StoveScreen(day.live, Held(day.now)), size, folder, keys=keys, palette=palette
        )

    until(day, "READ POT")
    await stove("melt", LARGE)
    await stove("help", USUAL, "slash")
    await stove("fire-card", USUAL, "e")
    await stove("rescue", USUAL, "r")
    until(day, "LOOK UNDER", "UNDER")
    await stove("plug", USUAL)
    until(day, "LOOK A", "LOOK B")
    day.now += 60.0
    # The look at the bath comes first where it is due as well; it has no picture of its own.
    day.live.file(ev.WaterSeen(), now=day.now)
    await stove("look", LARGE)
    await stove("look-question", USUAL, "space")
    until(day, "POUR")
    await stove("pour-light", LARGE, palette="light")
    await stove("pour-mono", USUAL, palette="mono")
    await stove("pour-usual", USUAL)
    await stove("pour-small", SMALL)
    await stove("settings", USUAL, "k")
    day.live.file(ev.GapSeen(seconds=2400.0, cause="slept"), now=day.now, by="program")
    await stove("return", USUAL)
    day.live.file(ev.CameBack(), now=day.now)
    until(day, "TOP UP")
    day.now += 60.0
    await stove("top-up", USUAL)
    until(day, "DEMOULD")
    await stove("demould", USUAL, "v")
    day.live.close()


async def alarm(album: Album, folder: Path) -> None:
    """A pot that gets too hot."""
    if not album.wants("alarm", "alarm-small"):
        return
    day = Day(folder, lambda _: None, seed=1)
    until(day, "READ POT")
    day.live.file(ev.Reading(place="pot", celsius=96.0, typed="96", means="probe"), now=day.now)
    day.advise()
    for name, size in (("alarm", USUAL), ("alarm-small", SMALL)):
        await album.take(name, lambda: StoveScreen(day.live, Held(day.now)), size, folder)
    day.live.close()


async def many(album: Album, folder: Path) -> None:
    """Six moulds on one bench."""
    if not album.wants("six-moulds"):
        return
    plan = two_pillars()
    tall, short = plan.moulds
    day = Day(
        folder,
        lambda _: None,
        seed=1,
        plan=replace(plan, moulds=(replace(tall, count=2), replace(short, count=4))),
    )
    until(day, "LOOK A", "LOOK C", "LOOK D")
    await album.take("six-moulds", lambda: StoveScreen(day.live, Held(day.now)), USUAL, folder)
    day.live.close()


async def before_the_day(album: Album, folder: Path) -> None:
    draft = LiveSession.begin(folder, "2026-10-25", now=START)
    draft.file(ev.PlanDrafted(plan=two_pillars()), now=START)

    def setup() -> SetupScreen:
        return SetupScreen(draft, Held(START))

    await album.take("setup", setup, LARGE, folder)
    await album.take("setup-small", setup, USUAL, folder)
    await album.take("weigh-sheet", setup, USUAL, folder, keys=("tab",))
    draft.close()


async def records(album: Album, folder: Path) -> None:
    """The first screen, empty and with sessions, and a record played back."""
    (folder / "empty").mkdir()
    await album.take("home-empty", HomeScreen, USUAL, folder / "empty")
    for path in SAMPLES.glob("*.json"):
        if not path.name.startswith("."):
            shutil.copy(path, folder)
    day = Day(folder, lambda _: None, seed=3, start=START + 7 * 86400)
    until(day, "LOOK A", "LOOK B")
    day.now += 60.0
    HOME_CLOCK.at = day.now
    day.live.close()
    await album.take("home", HomeScreen, USUAL, folder)
    name = sorted(p.stem for p in SAMPLES.glob("2*.json"))[0]
    await album.take(
        "review",
        lambda: ReviewScreen(LiveSession.open(folder, name, now=START)),
        LARGE,
        folder,
        keys=("left",) * 40,
    )
    for album_name, size in (("ledger", LARGE), ("ledger-usual", USUAL)):
        await album.take(
            album_name,
            lambda: ReviewScreen(LiveSession.open(folder, name, now=START)),
            size,
            folder,
            keys=("t", "home", "tab"),
        )


HOME_CLOCK = Held(START)


async def main(wanted: list[str]) -> None:
    OUT.mkdir(exist_ok=True)
    clocks.WallClock.now = lambda _: HOME_CLOCK.now()  # type: ignore[method-assign]
    parts = (before_the_day, whole_day, alarm, many, records)
    with tempfile.TemporaryDirectory() as temporary:
        os.environ["HOME"] = temporary
        for part in parts:
            folder = Path(temporary) / part.__name__
            folder.mkdir()
            await part(Album(wanted, Path(temporary) / ".config" / "pourday" / "settings.toml"), folder)


if __name__ == "__main__":
    sys.exit(asyncio.run(main(sys.argv[1:])))
