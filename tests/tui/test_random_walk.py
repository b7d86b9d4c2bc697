"""Whoever presses anything at all ends nothing, loses nothing that was confirmed, and gets out by Escape."""

from __future__ import annotations

import asyncio
import os
import random
import shutil
import signal
import sys
import tempfile
from collections import defaultdict, deque
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from textual import events
from textual.geometry import Size
from textual.keys import _character_to_key

from pourday.demo.opening import begin_demo
from pourday.demo.scenario import START, two_pillars
from pourday.guide.acts.act import awaits
from pourday.guide.ahead.day import DayForecast, ahead_of_plan
from pourday.session import events as ev
from pourday.session.events import Entry
from pourday.store.live import LiveSession
from pourday.store.reading import read_session
from pourday.tui.app import PourdayApp
from pourday.tui.home.screen import HomeScreen
from pourday.tui.rehearse.screen import RehearsalScreen
from pourday.tui.stove.screen import StoveScreen
from pourday.tui.terminal import clocks

ROOT = Path(__file__).parents[2]
FEW, MANY = 120, int(os.environ.get("POURDAY_RANDOM_KEYS", "20000"))
LIFE = 600
"""Most bursts at one opening of a screen: its record and its forecasts grow with every fact."""
OUT = 10
"""Presses that lead out of anything: Escape, and the answer where the program asks whether to leave."""
KEEP = 12
"""Files left in the folder; each session is read whenever home is shown."""

LETTERS = "abcdefghijklmnopqrstuvwxyz"
USUAL = "0123456789" * 3 + ".,-" * 2 + LETTERS + "hgsolzntve/kp[]yrxcf" * 2
ODD = "éßµ°蝋\u202e\u200b\x00\x7f{}[]()\\\"'<>|@#~`^=+*%$!?;:_&ABCXYZ"
NAMED = ("enter", "space", "backspace", "tab", "escape", "up", "down", "left", "right")
OFTEN = (6, 8, 2, 3, 1, 2, 3, 1, 1)
RARE = (
    "pageup", "pagedown", "home", "end", "delete", "insert", "shift+tab", "f1", "f2", "f12", "ctrl+c", "ctrl+q",
    "ctrl+d", "ctrl+z", "ctrl+v", "alt+x", "shift+up", "decimal",
)  # fmt: skip
PASTES = (
    "74.5", "74,5\n", "", "a plain name", "x" * 5000, "\x1b]2;owned\x07", "[/bold] [red]", "one\ntwo\nthree", "\t\t",
    "12 second wick", "٣٤", "-1e309", "nan", "\ud7ff\uffff", "../../etc",
)  # fmt: skip
PHRASES = (
    "74.5\r", "165f\r", "82,5c\r", "n stirred\r", "t12 wick\r", "o1", "ls", "\t\t21\r", "↓↓↓→", "↓↓↓↓↓↓↓→→",
    *("\b" * 60 + rest for rest in ("75\r", "1,5\r", "a name\r", "\r", "120\t")),
)  # fmt: skip
"""What a person would type: now and then something has to be said right for the rest to be reached."""
SIZES = (
    (80, 24),
    (120, 40),
    (40, 12),
    (200, 60),
    (39, 11),
    (72, 20),
    (71, 19),
    (20, 5),
    (1, 1),
    (300, 3),
    (30, 70),
)
STEPS = (0.02,) * 10 + (0.7,) * 5 + (9.0,) * 2
"""Seconds between keys: held, typed, thought about."""
PAUSE = 180.0
"""Now and then nobody is there for as long, s."""


class Time:
    """The clocks of the test: every key moves them on, nothing waits."""

    def __init__(self) -> None:
        self.passed = 0.0

    def now(self) -> float:
        return START + self.passed

    def real(self) -> float:
        return 1000.0 + self.passed


class Kept(PourdayApp):
    """The program, but for its very end: leaving the first screen is counted and it stays."""

    outs = 0

    def exit(self, *_: object, **__: object) -> None:
        self.outs += 1


class Confirmed:
    """Every entry that was on disk when `file` returned, and whether the records still hold them."""

    def __init__(self) -> None:
        self.entries: dict[tuple[Path, str], list[Entry]] = defaultdict(list)
        self.count = 0

    def note(self, live: LiveSession, entry: Entry) -> None:
        if not live.unsaved:
            self.entries[live.folder, live.session].append(entry)
            self.count += 1

    def check(self) -> None:
        for (folder, session), wanted in self.entries.items():
            kept = {entry.seq: entry for entry in read_session(folder, session).entries}
            lost = [entry for entry in wanted if kept.get(entry.seq) != entry]
            assert not lost, f"{session} has lost {len(lost)} of {len(wanted)}: {lost[:3]}"
        self.entries.clear()


@pytest.fixture
def time(monkeypatch: pytest.MonkeyPatch) -> Time:
    """Both clocks of the screens, in every module that took one by name."""
    held, old = Time(), clocks.real
    for module in [m for name, m in sys.modules.items() if name.startswith("pourday.tui")]:
        if getattr(module, "real", None) is old:
            monkeypatch.setattr(module, "real", held.real)
    monkeypatch.setattr(clocks.WallClock, "now", lambda _: held.now())
    return held


@pytest.fixture
def confirmed(monkeypatch: pytest.MonkeyPatch) -> Confirmed:
    book, file = Confirmed(), LiveSession.file

    def noted(live: LiveSession, *args: object, **more: object) -> Entry:
        entry = file(live, *args, **more)
        book.note(live, entry)
        return entry

    monkeypatch.setattr(LiveSession, "file", noted)
    return book


@pytest.fixture(autouse=True)
def _nothing_outside(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[None]:
    """No alarm command runs, copies land beside the test, and the signal handlers are given back."""
    import pourday.tui.terminal.signals as signals

    monkeypatch.setattr(signals.AlarmProgram, "_ran", lambda *_: "")
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    for name in ("HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME"):
        monkeypatch.setenv(name, str(tmp_path))
    numbers = (signal.SIGHUP, signal.SIGTERM, signal.SIGINT)
    before = {number: signal.getsignal(number) for number in numbers}
    yield
    for number, handler in before.items():
        signal.signal(number, handler)


@pytest.fixture(autouse=True)
def _one_day_ahead(monkeypatch: pytest.MonkeyPatch) -> None:
    """The day of a rehearsal is worked out once: it is the keys that are tried here."""
    known: list[DayForecast] = []
    ask = RehearsalScreen._ask

    def at_once(screen: RehearsalScreen) -> None:
        if screen.state is not None or screen.plan != two_pillars():
            ask(screen)
            return
        if not known:
            known.append(ahead_of_plan(two_pillars(), screen.begins_at))
        screen._take(known[0])
        screen._over()

    monkeypatch.setattr(RehearsalScreen, "_ask", at_once)


# -- the screens -------------------------------------------------------------------------------------

Opener = Callable[[Kept, Time, int], object]


def open_home(app: Kept, time: Time, number: int) -> None:
    """The first screen, over a folder with an open, a finished and a broken session."""
    if number == 0:
        for path in sorted((ROOT / "sessions").glob("*.json"))[:1]:
            shutil.copy(path, app.folder)
        day_begun(app.folder, time, 0).close()
        (app.folder / "2026-01-01.journal").write_text("not a journal\n")


def open_setup(app: Kept, time: Time, number: int) -> None:
    app.open_session(LiveSession.begin(app.folder, f"plan-{number}", now=time.now()))


def open_stove(app: Kept, time: Time, number: int) -> None:
    app.open_session(day_begun(app.folder, time, number))


def open_demo(app: Kept, time: Time, _number: int) -> None:
    live, station = begin_demo(app.folder, time.now(), by_hand=True)
    live.file(ev.PlanFixed(plan=live.state.plan), now=time.now())
    station.begin(live.state, time.now())
    app.open_session(live, station)


def open_review(app: Kept, time: Time, _number: int) -> None:
    path = sorted((ROOT / "sessions").glob("*.json"))[-1]
    shutil.copy(path, app.folder)
    app.open_session(LiveSession.open(app.folder, path.stem, now=time.now()))


def open_settings(app: Kept, _time: Time, _number: int) -> None:
    app.open_settings()


def open_rehearsal(app: Kept, time: Time, _number: int) -> None:
    app.push_screen(RehearsalScreen(two_pillars(), time.now()))


def day_begun(folder: Path, time: Time, number: int) -> LiveSession:
    """A real session at the stove, a little further with every number."""
    live = LiveSession.create(folder, f"day-{number}", now=time.now())
    facts: list[ev.Fact] = [ev.PlanDrafted(plan=two_pillars()), ev.PlanFixed(plan=two_pillars())]
    further: list[ev.Fact] = [
        ev.BurnerSet(state="on"),
        ev.Reading(place="pot", celsius=40, typed="40"),
        ev.JugMade(layer=0),
        *(ev.Poured(mould=x, layer=0, part="plug", planned_kg=0.03) for x in "AB"),
        *(ev.SealSeen(mould=x, weeps=False) for x in "AB"),
        *(ev.Poured(mould=x, layer=0, part="layer", planned_kg=0.2) for x in "AB"),
        *(ev.Looked(mould=x, cue="firm") for x in "AB"),
        ev.JugMade(layer=1),
        *(ev.Poured(mould=x, layer=1, part="layer", planned_kg=0.2) for x in "AB"),
        *(ev.Poured(mould=x, layer=1, part="top-up", planned_kg=0.02) for x in "AB"),
    ]
    for fact in [*facts, *further[: number * 5 % (len(further) + 1)]]:
        live.file(fact, now=time.now())
    return live


SCREENS: dict[str, Opener] = {
    "home": open_home,
    "setup": open_setup,
    "stove": open_stove,
    "demo by hand": open_demo,
    "review": open_review,
    "settings": open_settings,
    "rehearsal": open_rehearsal,
}


# -- somebody who presses anything -------------------------------------------------------------------


def key(character: str) -> events.Key:
    """As a terminal tells of it."""
    control = {"\r": "enter", "\t": "tab", "\b": "backspace", " ": "space", "↓": "down", "→": "right"}
    if character in "↓→":
        return events.Key(control[character], None)
    if character in control:
        return events.Key(control[character], character)
    return events.Key(_character_to_key(character) if character.isascii() else character, character)


class Wanderer:
    def __init__(self, app: Kept, time: Time, seed: int) -> None:
        self.app, self.time = app, time
        self.rng = random.Random(seed)
        self.last: deque[str] = deque(maxlen=60)
        self.most_out = 0

    def _event(self) -> events.Event:
        rng, kind = self.rng, self.rng.random()
        if kind < 0.66:
            return key(rng.choice(USUAL))
        if kind < 0.90:
            name = rng.choices(NAMED, OFTEN)[0]
            return events.Key(name, {"space": " ", "enter": "\r", "tab": "\t"}.get(name))
        if kind < 0.94:
            return events.Key(rng.choice(RARE), None)
        if kind < 0.97:
            return key(rng.choice(ODD))
        if kind < 0.985:
            return events.Paste(rng.choice(PASTES))
        size = Size(*rng.choice(SIZES))
        self.app._driver._size = size
        return events.Resize(size, size)

    async def send(self, event: events.Event) -> None:
        self.last.append(str(getattr(event, "key", event))[:80])
        self.app._driver.send_message(event)

    async def burst(self) -> int:
        """A few keys in one go, as a busy machine or a slow line hands them over; how many."""
        if self.rng.random() < 0.08:
            phrase = [key(character) for character in self.rng.choice(PHRASES)]
        else:
            phrase = [self._event() for _ in range(self.rng.choice((1, 1, 1, 2, 3, 8)))]
        for event in phrase:
            await self.send(event)
        passed = self.rng.choice(STEPS) + (PAUSE if self.rng.random() < 0.01 else 0.0)
        # A simulated kitchen runs up to 600 times as fast, and has to work through all of it.
        self.time.passed += passed / 20 if getattr(self.app.screen, "station", None) else passed
        await self.settle()
        if self.rng.random() < 0.05 and hasattr(self.app.screen, "tick"):
            self.app.screen.tick()
        return len(phrase)

    async def settle(self) -> None:
        """Until every message so far has been worked off."""
        quiet = 0
        while quiet < 3:
            assert self.app._exception is None, self.story()
            pumps = (self.app, *self.app.screen_stack)
            quiet = quiet + 1 if all(pump._message_queue.empty() for pump in pumps) else 0
            await asyncio.sleep(0)

    def story(self) -> str:
        return f"{self.app._exception!r}; the last keys: {' '.join(self.last)}"

    def home(self) -> bool:
        return isinstance(self.app.screen, HomeScreen)

    async def out(self, there: Callable[[], bool]) -> None:
        """Escape, q at the top of the stove, or the answer that leaves where that is asked, until it is `there`."""
        presses = 0
        while not there():
            assert presses < OUT, f"Escape does not lead out of {self.app.screen}: {self._where()}"
            if self._asked_to_leave():
                await self.send(key("x"))
            else:
                await self.send(key("q") if self._at_the_top() else events.Key("escape", "\x1b"))
            await self.settle()
            presses += 1
        self.most_out = max(self.most_out, presses)

    def _asked_to_leave(self) -> bool:
        """Whether the next key answers the question that stands before leaving."""
        desk = getattr(self.app.screen, "controller", None)
        question = getattr(desk, "question", None)
        if question is None or awaits(question) or desk.entry.text or desk.writing or desk.card:
            return False
        return any(c.key == "x" and "leave" in c.label for c in question.choices)

    def _at_the_top(self) -> bool:
        """Whether nothing lies open over the stove, where only q leaves."""
        screen = self.app.screen
        if not isinstance(screen, StoveScreen) or screen.help_at is not None:
            return False
        desk = screen.controller
        return not (desk.question or desk.entry.text or desk.writing or desk.card)

    def _where(self) -> str:
        told = vars(getattr(self.app.screen, "controller", self))
        shown = {k: v for k, v in told.items() if k in ("card", "writing", "question", "message", "entry")}
        return f"{shown}; the last keys: {' '.join(self.last)}"


def swept(folder: Path) -> None:
    """The oldest sessions go, so that home stays as quick to show as it is for a person."""
    paths = sorted((p for p in folder.iterdir() if p.is_file()), key=lambda p: p.stat().st_mtime)
    for path in paths[:-KEEP]:
        path.unlink()


async def wander(
    screen: str, keys: int, folder: Path, time: Time, confirmed: Confirmed, seed: int
) -> Wanderer:
    folder.mkdir()
    app = Kept(folder, config=folder.parent / "settings.toml")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause(0.05)
        somebody = Wanderer(app, time, seed)
        pressed, opened = 0, 0
        while pressed < keys:
            SCREENS[screen](app, time, opened)
            opened += 1
            await pilot.pause(0)
            await somebody.settle()
            for _ in range(LIFE):
                pressed += await somebody.burst()
                left = somebody.home() if screen != "home" else not somebody.home()
                if left or pressed >= keys:
                    break
            await somebody.out(somebody.home)
            outs = app.outs
            await somebody.out(lambda outs=outs: app.outs > outs)
            confirmed.check()
            swept(folder)
        await pilot.pause()
        assert app._exception is None, somebody.story()
    return somebody


@pytest.mark.parametrize("screen", SCREENS)
async def test_random_keys_end_nothing_and_lose_nothing(screen, tmp_path, time, confirmed):
    await wander(screen, FEW, tmp_path / "sessions", time, confirmed, seed=11)


async def test_keys_typed_in_one_go_with_the_one_that_leaves_go_to_the_screen_below(tmp_path, time):
    """None is lost, and none leaves a second screen."""
    app = Kept(tmp_path, config=tmp_path / "settings.toml")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause(0.05)
        open_stove(app, time, 0)
        await pilot.pause()
        stove = app.screen
        open_settings(app, time, 0)
        await pilot.pause()
        somebody = Wanderer(app, time, 0)
        for event in (events.Key("escape", "\x1b"), key("7"), key("4"), key(".")):
            await somebody.send(event)
        await somebody.settle()
        assert app.screen is stove
        assert stove.controller.entry.text == "74."


@pytest.mark.slow
@pytest.mark.parametrize("screen", SCREENS)
async def test_many_random_keys_end_nothing_and_lose_nothing(screen, tmp_path, time, confirmed, capsys):
    somebody = await wander(screen, MANY, tmp_path / "sessions", time, confirmed, seed=2026)
    with capsys.disabled():
        print(
            f"\n{screen}: {MANY} keys, {confirmed.count} facts confirmed, out in {somebody.most_out} at most"
        )
    if screen in ("setup", "stove", "demo by hand"):
        assert confirmed.count > MANY / 400
