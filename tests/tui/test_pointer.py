"""The pointer: what stands for a key is that key when it is clicked, on every screen; the wheel scrolls; text is copied."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from textual import events
from textual.pilot import Pilot

from pourday.demo.scenario import START, two_pillars
from pourday.plan.model import Plan
from pourday.session import events as ev
from pourday.store.heaps import begin_heap
from pourday.store.live import LiveSession
from pourday.tui.app import PourdayApp, screen_for
from pourday.tui.base import LineScreen
from pourday.tui.drawing.canvas import Canvas
from pourday.tui.drawing.lines import clickable, fit, hint, tall, target_at, target_of, text_of, width
from pourday.tui.faults.screen import FaultsScreen
from pourday.tui.heap.screen import HeapScreen
from pourday.tui.home.screen import HomeScreen
from pourday.tui.kitchen.screen import KitchenScreen
from pourday.tui.rehearse.screen import RehearsalScreen
from pourday.tui.settings.screen import SettingsScreen
from pourday.tui.stock.screen import StockScreen
from pourday.tui.stove.follow_screen import FollowScreen
from pourday.tui.terminal.keys import BINDINGS, BY_ID, character_of, keys_of
from tests.tui.conftest import Quiet

SIZES = [(80, 24), (120, 40), (40, 12)]


class Kitchen:
    def now(self) -> float:
        return START + 500.0


def day(folder: Path, stage: str) -> LiveSession:
    live = LiveSession.create(folder, "2026-10-25-a", now=START)
    live.file(ev.PlanDrafted(plan=two_pillars()), now=START)
    if stage != "setup":
        live.file(ev.PlanFixed(plan=two_pillars()), now=START)
        live.file(ev.BurnerSet(state="on"), now=START + 1)
        live.file(ev.Reading(place="pot", celsius=70.0), now=START + 60)
        live.file(ev.Poured(mould="A", layer=0, part="plug", kg=0.04), now=START + 90)
        live.file(ev.Poured(mould="B", layer=0, part="plug", kg=0.04), now=START + 95)
    if stage in ("review", "burn"):
        for mould in "AB":
            live.file(ev.Demoulded(mould=mould, release="dropped out"), now=START + 99)
        live.finish("", now=START + 100)
    return live


async def opened(app: PourdayApp, folder: Path, which: str) -> LineScreen:
    """One of the screens, on top of the app."""
    screen: Any
    if which == "home":
        screen = HomeScreen()
    elif which == "settings":
        screen = SettingsScreen()
    elif which == "rehearsal":
        screen = RehearsalScreen(two_pillars(), START)
    elif which == "shelf":
        day(folder, "review").close()
        child = LiveSession.create(folder, "2026-10-26-a", now=START + 86_400)
        child.file(ev.PlanDrafted(plan=replace(two_pillars(), parent="2026-10-25-a")), now=START + 86_400)
        child.close()
        screen = HomeScreen()
    elif which == "stock":
        screen = StockScreen()
    elif which == "kitchen":
        screen = KitchenScreen()
    elif which == "heap":
        screen = HeapScreen(begin_heap(folder, Plan(), now=START))
        screen.clock = Kitchen()
    elif which == "follow":
        screen = FollowScreen(day(folder, "stove"))
    elif which == "faults":
        state = day(folder, "review").state
        screen = FaultsScreen(folder, state, ("A", "B"), "demoulding", lambda: START + 200.0, None)
    elif which == "burn":
        from pourday.store.candles import open_log

        live = day(folder, "burn")
        screen = screen_for(open_log(folder, live.state, now=START + 200), None)
    else:
        screen = screen_for(day(folder, which), None)
        if hasattr(screen, "clock"):
            screen.clock = Kitchen()
    await app.push_screen(screen)
    return screen  # type: ignore[no-any-return]


SCREENS = (
    *("home", "setup", "stove", "rehearsal", "review", "settings", "burn"),
    *("shelf", "stock", "kitchen", "heap", "follow", "faults"),
)
LAID_OVER: dict[str, tuple[tuple[str, ...], ...]] = {
    "stove": (
        (),
        ("m",),
        ("l",),
        ("o",),
        ("r",),
        ("n",),
        ("7", "4"),
        ("e",),
        ("slash",),
        ("w",),
        ("s",),
        ("a",),
    ),
    "setup": ((), ("tab",), ("down", "1"), ("down", "down", "down"), ("end",), ("f1",), ("f2",)),
    "home": ((), ("c",), ("p",), ("f1",), ("slash",), ("n",)),
    "burn": ((), ("b",), ("d",), ("r",)),
    "rehearsal": ((), ("w",), ("f1",), ("slash",)),
    "review": ((), ("p",), ("i",), ("f1",)),
    "settings": ((), ("down",), ("end",), ("f1",)),
    "shelf": ((), ("f", "p"), ("down", "t"), ("m", "down", "m", "s")),
    "stock": ((), ("a",), ("f1",)),
    "kitchen": ((), ("down",), ("right",)),
    "heap": ((), ("1",), ("1", "space", "1"), ("slash",)),
    "follow": ((), ("f1",)),
    "faults": ((), ("1",), ("1", "space")),
}
"""Keys that open what can lie over each screen."""


def recorded(screen: LineScreen) -> list[str]:
    """What is pressed and pointed at from now on, in place of what it would do."""
    pressed: list[str] = []
    screen._act_on = lambda key, _character: pressed.append(key)  # type: ignore[method-assign]
    screen.pointed = lambda row: pressed.append(f"#{row}")  # type: ignore[method-assign]
    screen.pourday.held.repeats = lambda *_: False  # type: ignore[method-assign]
    return pressed


@pytest.mark.parametrize(
    "size",
    [(80, 24), (40, 12), pytest.param((120, 40), marks=pytest.mark.slow)],
    ids=lambda size: str(size[0]),
)
@pytest.mark.parametrize("which", SCREENS)
async def test_every_hint_clicked_is_its_key(tmp_path: Path, which: str, size: tuple[int, int]) -> None:
    """Each cell that shows a key in the lowest rows has that key as its target, and a click there presses it."""
    # Each size has its own layout; what lies over a screen has one for all.
    for over in LAID_OVER[which] if size != (40, 12) else LAID_OVER[which][:1]:
        folder = tmp_path / "-".join(over or ("plain",))
        folder.mkdir()
        app = PourdayApp(folder, config=folder / "settings.toml")
        app._worker = Quiet()  # type: ignore[assignment]
        async with app.run_test(size=size) as pilot:
            screen = await opened(app, folder, which)
            await pilot.pause()
            for key in over:
                screen = app.screen  # type: ignore[assignment]
                screen._act_on(key, character_of(key))
            await pilot.pause()
            screen = app.screen  # type: ignore[assignment]
            lines = screen.canvas._lines
            # Help lists keys to be read about; only its foot has some to be pressed.
            lowest = 1 if "puts this away" in text_of(lines[-1]) else 2
            for y in range(size[1] - lowest, size[1]):
                at = 0
                for text, job in lines[y]:
                    shown = keys_of(text.strip())
                    if "bold" in job and shown and "▏" not in text:
                        assert target_of(job) == "+".join(shown), (over, text_of(lines[y]))
                    at += width(((text, job),))
            pressed = recorded(screen)
            seen = set()
            for y, row in enumerate(lines):
                for x in range(size[0]):
                    target = target_at(row, x)
                    if target and target not in seen:
                        seen.add(target)
                        if over:
                            screen.on_canvas_pointed(Canvas.Pointed(target))
                        else:
                            await pilot.click(offset=(x, y))
                        keys = [app.keys.key(BY_ID[k[1:]]) if k[:1] == ":" else k for k in target.split("+")]
                        assert pressed == keys, (over, target)
                        pressed.clear()
            assert seen, over
            if size == (80, 24):
                await fire_in_one_press(screen, pilot, over)


async def fire_in_one_press(screen: LineScreen, pilot: Pilot[None], over: tuple[str, ...]) -> None:
    """F1 shows the fire card whatever lies over the screen and is being written there; once more puts it away."""
    del screen._act_on  # type: ignore[method-assign]
    up = "NO WATER" in screen.canvas.plain()
    await pilot.press("f1")
    assert ("NO WATER" in screen.canvas.plain()) is not up, over


async def test_a_row_that_is_clicked_is_stood_on_and_clicked_again_does_what_enter_does(
    tmp_path: Path,
) -> None:
    live = day(tmp_path, "setup")
    app = PourdayApp(tmp_path)
    app._worker = Quiet()  # type: ignore[assignment]
    async with app.run_test(size=(80, 24)) as pilot:
        screen = screen_for(live, None)
        await app.push_screen(screen)
        await pilot.pause()
        planner = screen.controller  # type: ignore[attr-defined]

        async def click_on(words: str) -> None:
            rows = [text_of(row) for row in screen.canvas._lines]  # type: ignore[attr-defined]
            y = next(y for y, text in enumerate(rows) if words in text)
            await pilot.click(offset=(rows[y].index(words) + 1, y))
            await pilot.pause()

        planner.text = "Sunday"
        await click_on("room ")
        assert (planner.row.path, planner.plan.title) == ("room_c", "Sunday")
        await click_on("units, altitude")
        assert planner.row.path == "day.more"
        await click_on("units, altitude")
        assert "day.more" in planner.opened
        await click_on("bright metal")
        assert planner.row.path == "moulds.0.material"
        await click_on(" ›")
        assert planner.plan.moulds[0].material == "dull metal"
        await click_on("Weigh sheet")
        assert planner.page == 0
        await pilot.press("escape")
        before = planner.at
        await pilot._post_mouse_events([events.MouseScrollDown], offset=(5, 5))
        await pilot.pause()
        assert planner.at == before + 1


async def test_at_the_stove_a_knuckle_hits_done_burner_and_fire_in_three_rows_and_a_second_tap_is_a_slip(
    tmp_path: Path,
) -> None:
    for size in SIZES:
        folder = tmp_path / str(size[0])
        folder.mkdir()
        live = day(folder, "stove")
        app = PourdayApp(folder)
        app._worker = Quiet()  # type: ignore[assignment]
        async with app.run_test(size=size) as pilot:
            screen = screen_for(live, None)
            screen.clock = Kitchen()  # type: ignore[attr-defined]
            await app.push_screen(screen)
            await pilot.pause()
            lines = screen.canvas._lines  # type: ignore[attr-defined]
            for name in ("done", "heat", "fire"):
                key = BY_ID[name].key
                hit = [
                    {x for x in range(size[0]) if target_at(lines[y], x) in (key, f":{name}")}
                    for y in range(size[1])
                ]
                column = max(range(size[0]), key=lambda x: sum(x in row for row in hit))
                rows = [y for y in range(size[1]) if column in hit[y]]
                assert len(rows) >= 3, (size, name)
                assert rows[-3:] == list(range(rows[-1] - 2, rows[-1] + 1)) or rows[:3] == list(
                    range(rows[0], rows[0] + 3)
                ), (size, name, rows)
            x = next(x for x in range(size[0]) if target_at(lines[-1], x) == BY_ID["heat"].key)
            before = len(live.entries)
            await pilot.click(offset=(x, size[1] - 2))
            await pilot.pause()
            asked = screen.controller.question is not None  # type: ignore[attr-defined]
            assert asked or len(live.entries) > before
            filed = len(live.entries)
            await pilot.click(offset=(x, size[1] - 1))
            await pilot.pause()
            assert len(live.entries) == filed, "the second of two taps in half a second is a slip"


async def test_what_is_selected_with_the_mouse_goes_to_the_clipboard(tmp_path: Path) -> None:
    app = PourdayApp(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await app.push_screen(HomeScreen())
        await pilot.pause(0.2)
        rows = app.screen.canvas.plain().split("\n")  # type: ignore[attr-defined]
        y = next(y for y, text in enumerate(rows) if "Three ways to begin" in text)
        before = app.screen.home.question  # type: ignore[attr-defined]
        await pilot.mouse_down(offset=(0, y))
        await pilot.hover(offset=(12, y))
        await pilot.mouse_up(offset=(12, y))
        await pilot.pause()
        assert app.clipboard.strip() == rows[y][:12].strip()
        assert app.screen.home.question is before  # type: ignore[attr-defined]


def test_a_mouse_of_a_real_terminal_clicks_and_scrolls(kitchen) -> None:  # type: ignore[no-untyped-def]
    """SGR reports of xterm: button 0 down and up, 65 for a wheel turned down; cells count from 1."""
    kitchen.begin()
    kitchen.begin(session="2026-11-24-a")
    home = kitchen.run()
    shown = home.wait_for("Enter open", "› ").split("\n")
    row = next(y for y, text in enumerate(shown) if text.startswith("› "))
    home.type("\x1b[<65;5;5M")
    home.until(lambda text: not text.split("\n")[row].startswith("› "))
    x, y = next((text.index("/ help") + 1, y + 1) for y, text in enumerate(shown) if "/ help" in text)
    home.type(f"\x1b[<0;{x};{y}M\x1b[<0;{x};{y}m")
    home.wait_for("Where everything is")
    home.type("\x1b")
    home.wait_gone("Where everything is")
    home.type("q")
    assert home.ended() == 0
    assert home.restored()
    assert b"\x1b[?1000h" in home.raw
    assert home.raw.rfind(b"\x1b[?1000l") > home.raw.rfind(b"\x1b[?1000h")


def test_targets_go_along_with_what_they_stand_on() -> None:
    row = fit(hint("Up Down", "more"), 30)
    assert [target_at(row, x) for x in (0, 3, 9)] == ["up", "down", ""]
    assert {target_at(hint("Space", "done"), x) for x in range(10)} == {"space"}
    assert target_of(clickable((("蝋燭", "ink"),), "#3")[0][1]) == "#3"
    assert target_at(clickable((("蝋", "ink"), ("b", "soft @x")), "#3"), 1) == "#3"
    assert target_at(clickable((("蝋", "ink"), ("b", "soft @x")), "#3"), 2) == "x"
    high = tall([(("above", "ink"),), (("between", "ink"),), hint("h", "heat")], {"h"})
    assert [target_at(row, 2) for row in high] == ["h", "h", "h"]
    assert [text_of(row).rstrip() for row in high] == ["above", "between", "h heat"]
    bare = tall([(("above", "ink"),), hint("h", "heat")], {"space"})
    assert {target_at(bare[0], x) for x in range(6)} == {""}


@given(
    st.lists(st.text("ab 蝋é█", min_size=1, max_size=7), max_size=5),
    st.lists(st.sampled_from(["h heat", "d low", "蝋 wax", "x"]), min_size=1, max_size=3, unique=True),
)
def test_a_key_reaches_up_cell_by_cell_and_no_further(above: list[str], keys: list[str]) -> None:
    """Whatever stands above, however wide its signs: it keeps its text, and a sign has the key that its first cell is over."""
    over = tuple((text, job) for text, job in zip(above, ("ink", "soft") * 3, strict=False))
    below = tuple((text, f"ink @{text[0]}") for text in keys)
    high, _ = tall([over, below], set("hdx蝋"), high=2)
    assert text_of(high).rstrip() == text_of(over).rstrip()
    cell = 0
    for text, _ in high:
        for sign in text:
            assert target_at(high, cell) == target_at(below, cell)
            cell += width(((sign, ""),))


def test_every_key_has_a_name_that_is_read_back_from_how_it_is_shown() -> None:
    for binding in BINDINGS:
        assert keys_of(binding.shows) == (binding.key,)
    assert keys_of("one key") == ()
