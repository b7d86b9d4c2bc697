"""Any key held for ten seconds, at the real screens: it files one fact at most, and begins no second session."""

from __future__ import annotations

import time
from collections.abc import Awaitable, Callable, Sequence
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from textual import events

from pourday.demo.scenario import START, two_pillars
from pourday.moulds.memory import MouldNote
from pourday.plan.model import Plan
from pourday.probes.source import read_source
from pourday.reports.faults_report import why_of
from pourday.reports.kitchen_days import day_rows
from pourday.reports.kitchen_report import kitchen_data
from pourday.session import events as ev
from pourday.shelf.compare import ComparedDay, compare
from pourday.shelf.index import Progress
from pourday.stock.lot import StockLot
from pourday.store.candles import open_log
from pourday.store.heaps import begin_heap
from pourday.store.kitchen_days import DayRow
from pourday.store.live import LiveSession
from pourday.store.memories import Memories
from pourday.store.moulds import MouldNotes
from pourday.store.stock import Stock
from pourday.store.table_file import TableFile
from pourday.tui.app import PourdayApp, screen_for
from pourday.tui.base import LineScreen
from pourday.tui.drawing.canvas import Canvas
from pourday.tui.faults.screen import FaultsScreen
from pourday.tui.home.screen import HomeScreen
from pourday.tui.kitchen.screen import KitchenScreen
from pourday.tui.moulds.screen import MouldsScreen
from pourday.tui.rehearse.screen import RehearsalScreen
from pourday.tui.settings.screen import SettingsScreen
from pourday.tui.stock.screen import StockScreen
from pourday.tui.stove.follow_screen import FollowScreen
from pourday.tui.terminal.keys import BINDINGS
from tests.reports.test_kitchen_report import NOW, write_day
from tests.shelf.cards import cards_of
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


HEAP: dict[str, tuple[ev.Fact, ...]] = {
    "heap": (ev.HeapStepDone(step="a heap"), ev.HeapStepDone(step="sorted"), ev.BurnerSet(state="on")),
    "sample": (ev.HeapStepDone(step="clean wax"), ev.HeapStepDone(step="molten"), ev.WaxSeen(colour="red", smell="none", melted=1)),
    "tin": (ev.HeapStepDone(step="clean wax"), ev.CoolingBegun(around_c=20.0), ev.CoolingRead(celsius=70.0)),
}  # fmt: skip
"""Wax that nobody knows, and how far its run has come."""


def day(folder: Path, stage: str) -> LiveSession:
    if stage in HEAP:
        run = begin_heap(folder, Plan(), now=START)
        for fact in HEAP[stage]:
            run.file(fact, now=START + 100)
        return run
    live = LiveSession.create(folder, "2026-10-25-a", now=START)
    live.file(ev.PlanDrafted(plan=two_pillars()), now=START)
    if stage != "setup":
        live.file(ev.PlanFixed(plan=two_pillars()), now=START)
        live.file(ev.BurnerSet(state="on"), now=START + 1)
        for number in range(5):
            live.file(ev.Reading(place="pot", celsius=20.0 + number), now=START + 60 + number)
    if stage == "moulds":
        MouldNotes(folder).keep("tall", MouldNote(name="tall", holes=1))
    if stage == "stock":
        Stock(folder).add(StockLot(kind="wax", product="soy_pillar", counted=2.0, counted_at=START))
    if stage in ("review", "cured", "burning", "faults", "causes", "kitchen", "family"):
        live.file(ev.Poured(mould="A", layer=0, part="layer", kg=0.3), now=START + 90)
        live.file(ev.Demoulded(mould="A", release="dropped out"), now=START + 95)
        live.finish("", now=START + 100)
    if stage not in ("cured", "burning"):
        return live
    candles = open_log(folder, live.state, now=START + 200)
    if stage == "burning":
        candles.file(ev.CandleLit(mould="A", kg=0.3), now=time.time() - 600)
    return candles


def passes(app: PourdayApp, seconds: float) -> None:
    """So much time has passed in the kitchen, where the screen on top goes by its clock."""
    clock = getattr(app.screen, "clock", None)
    if isinstance(clock, Kitchen):
        clock.t = START + 500.0 + seconds


async def hold(app: PourdayApp, pilot: Any, key: str, began: float) -> None:
    """Ten seconds of one key, as the X server repeats it: after 0.66 s, then 25 times a second."""
    for at in [0.0, *(0.66 + n / 25 for n in range(234))]:
        pressed = events.Key(key, CHARACTERS.get(key, key if len(key) == 1 else None))
        pressed.time = began + at
        if app.screen_stack and hasattr(app.screen, "on_key"):
            passes(app, at)
            app.screen.on_key(pressed)
        if at < 2.0:
            await pilot.pause(0)


async def click(app: PourdayApp, pilot: Any, x: int, y: int, began: float, patch: pytest.MonkeyPatch) -> None:
    """Ten seconds of clicks on one place, as fast as a finger makes them: eight a second."""
    for n in range(80):
        screen = app.screen if app.screen_stack else None
        if isinstance(screen, LineScreen):
            patch.setattr("textual._time.get_time", lambda n=n: began + n / 8)
            passes(app, n / 8)
            screen.on_canvas_pointed(Canvas.Pointed(screen.canvas.target(x, y), (x, y)))
        if n < 16:
            await pilot.pause(0)


def places(screen: LineScreen) -> dict[str, tuple[int, int]]:
    """Where each thing stands that a click does something to: the first cell of it."""
    cells = ((x, y) for y in range(screen.size.height) for x in range(screen.size.width))
    return {target: cell for cell in reversed([*cells]) if (target := screen.canvas.target(*cell))}


STAGES = (
    "setup", "stove", "review", "home", "cured", "burning", "settings", "rehearsal",
    "faults", "causes", "follow", "finder", "compare", "probes", "kitchen", "stock", "moulds", "family", "heap", "sample", "tin",
)  # fmt: skip
FEW = ("h", "z", "space", "n")


CHANGES: list[str] = []
"""Every change of a small file, in the order they were made."""


@cache
def taught_days() -> list[DayRow]:
    """Two days that taught something of their kitchen."""
    with TemporaryDirectory() as folder:
        for n, firm in enumerate((60, 65)):
            write_day(Path(folder), f"2026-11-2{5 + n}-a", n, firm=firm)
        return day_rows(Path(folder))


@pytest.fixture(autouse=True)
def _nobody_thinks(monkeypatch: pytest.MonkeyPatch) -> None:
    quiet, change = Quiet(), TableFile.change

    def counted(file: TableFile, table: str, *what: Any) -> None:
        change(file, table, *what)
        CHANGES.append(f"{file.name}: {table}")

    monkeypatch.setattr(PourdayApp, "worker", property(lambda _: quiet))
    monkeypatch.setattr(TableFile, "change", counted)


@pytest.mark.parametrize("stage", ["stove", "home"])
async def test_the_keys_that_file_are_one_press_however_long_they_are_held(
    tmp_path: Path, stage: str
) -> None:
    filed = await filed_by(tmp_path, stage, FEW if stage == "stove" else ("n",))
    assert max(filed.values()) <= 1, filed
    if stage == "stove":
        assert (filed["h"], filed["z"]) == (1, 1)


async def test_a_number_may_have_the_same_sign_twice(tmp_path: Path) -> None:
    """388 g and 30 mm, typed as fast as fingers go."""
    live = day(tmp_path, "burning")
    app = PourdayApp(tmp_path, config=tmp_path / "settings.toml")
    async with app.run_test(size=(80, 24)):
        await app.push_screen(screen_for(live, None))
        for n, key in enumerate(("s", "1", "1", "enter")):
            pressed = events.Key(key, CHARACTERS.get(key, key))
            pressed.time = 1_000.0 + n * 0.15
            app.screen.on_key(pressed)
    assert [e.fact.second_flame for e in live.entries if isinstance(e.fact, ev.BurnSeen)] == [11.0]
    live.close()


@pytest.mark.slow
@pytest.mark.parametrize("stage", STAGES)
async def test_no_key_held_for_ten_seconds_files_more_than_one_fact(tmp_path: Path, stage: str) -> None:
    filed = await filed_by(tmp_path, stage, KEYS)
    assert max(filed.values()) <= 1, filed


@pytest.mark.slow
@pytest.mark.parametrize("stage", STAGES)
async def test_no_place_clicked_for_ten_seconds_files_more_than_one_fact(
    tmp_path: Path, stage: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    where = dict[str, tuple[int, int]]()

    async def look(app: PourdayApp, pilot: Any) -> None:  # noqa: ARG001
        assert isinstance(app.screen, LineScreen)
        where.update(places(app.screen))

    await after(tmp_path / "look", stage, look)
    filed = {}
    for number, (target, (x, y)) in enumerate(where.items()):
        filed[target] = await after(
            tmp_path / str(number),
            stage,
            lambda app, pilot, x=x, y=y: click(app, pilot, x, y, 1_000.0, monkeypatch),
        )
    assert filed, "nothing to click"
    assert max(filed.values()) <= 1, filed


async def filed_by(tmp_path: Path, stage: str, keys: Sequence[str]) -> dict[str, int]:
    """How many facts of a person each key puts on record, held on a fresh day of its own; two sessions count as many."""
    return {
        key: await after(
            tmp_path / str(number), stage, lambda app, pilot, key=key: hold(app, pilot, key, 1_000.0)
        )
        for number, key in enumerate(keys)
    }


async def after(folder: Path, stage: str, doing: Callable[[PourdayApp, Any], Awaitable[None]]) -> int:
    """How many facts of a person come on record while something is done on a fresh day; two sessions count as many."""
    folder.mkdir()
    live = day(folder, "stove" if stage in OVER_A_DAY else stage)
    if stage in AT_HOME:
        live.close()
    probes = {"1": read_source(f"file:{folder / 'probe.log'}")} if stage == "probes" else None
    app = PourdayApp(folder, config=folder / "settings.toml", probe_sources=probes)
    async with app.run_test(size=(80, 24)) as pilot:
        await open_at(app, pilot, stage, live)
        await pilot.pause(0)
        before, sessions = said(folder), begun(folder)
        await doing(app, pilot)
        came = max(len(said(folder)) - len(before), begun(folder) - sessions)
    if not live.readonly:
        live.close()
    return came


OVER_A_DAY = ("home", "settings", "rehearsal", "finder", "compare")
"""Whatever day there is."""
AT_HOME = (*OVER_A_DAY, "kitchen", "stock", "moulds", "family")


async def open_at(app: PourdayApp, pilot: Any, stage: str, live: LiveSession) -> None:
    """Bring a screen up, with the page over it that the stage is about."""
    pages: dict[str, Callable[[], LineScreen]] = {
        "settings": SettingsScreen, "rehearsal": RehearsalScreen, "stock": StockScreen, "moulds": MouldsScreen,
    }  # fmt: skip
    if stage in pages:
        await app.push_screen(pages[stage]())
    elif stage == "kitchen":
        kitchen = KitchenScreen()
        rows = taught_days()
        page = kitchen.page
        page.doing.ask = lambda: page.arrived(kitchen_data(rows, Memories(app.folder).kitchen_choices(), NOW))
        await app.push_screen(kitchen)
        page.leaf = "days"
    elif stage in AT_HOME:
        await pilot.pause(0.1)
        assert isinstance(app.screen, HomeScreen)
        app.screen.home.read()
        if stage == "finder":
            app.screen.pressed("f", "f")
        elif stage == "family":
            app.screen.home.learn_cards(Progress(1, 1, cards_of(app.folder)))
            app.screen.pressed("t", "t")
            assert app.screen.home.page == "family"
        elif stage == "compare":
            both = ComparedDay(live.state, live.entries, None)
            app.screen.home.show_beside(compare([both, both]))
    elif stage == "follow":
        await app.push_screen(FollowScreen(LiveSession.look_on(app.folder, live.session)))
    elif stage in ("faults", "causes"):
        screen = FaultsScreen(app.folder, live.state, ("A",), "after cure", lambda: START + 300, None)
        await app.push_screen(screen)
        if stage == "causes":
            screen.controller.press("enter", "\r")
            page = screen.controller
            page.arrived("A", page.fault, why_of(app.folder, live.session, "A", page.fault, with_days=False))
    else:
        at_stove = screen_for(live, None)
        if hasattr(at_stove, "clock"):
            at_stove.clock = Kitchen()
        await app.push_screen(at_stove)
        if stage == "probes":
            at_stove.controller.card = "probes"


def said(folder: Path) -> list[str]:
    """The lines a person put on record, of all sessions of the folder, the settings that were changed, and each change of
    a small file: stock, memories, notes of moulds."""
    lines = [line for path in sorted(folder.glob("*.journal")) for line in path.read_text().splitlines()]
    settings = folder / "settings.toml"
    changed = [line for line in settings.read_text().splitlines() if "=" in line] if settings.exists() else []
    return [*(line for line in lines if '"by":"person"' in line), *changed, *CHANGES]


def begun(folder: Path) -> int:
    """How many sessions there are, those of candles left out."""
    return len([path for path in folder.glob("*.journal") if not path.stem.endswith("-candles")])
