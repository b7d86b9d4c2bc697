"""Finding days again at the first screen, and laying them side by side."""

from __future__ import annotations

import json
import shutil
from datetime import datetime
from pathlib import Path

import msgspec
import pytest
from rich.cells import cell_len

from pourday.plan.model import Layer, Mould, Plan
from pourday.session import events as ev
from pourday.shelf.card import DayCard
from pourday.shelf.compare import Comparison
from pourday.shelf.index import Progress
from pourday.shelf.stacks import DayStack, StackLayer
from pourday.store.library import Summary
from pourday.store.live import LiveSession
from pourday.tui.drawing.lines import text_of
from pourday.tui.home.beside import draw_beside, draw_stacks
from pourday.tui.home.controller import HomeController
from pourday.tui.home.finder import Finder
from pourday.tui.home.layout import draw_home
from pourday.tui.home.pages import BesidePage
from pourday.tui.home.shelf_query import CompareQuery, ShelfQuery

SAMPLES = Path(__file__).parents[2] / "sessions"
A, B = "2026-10-25-demo-a", "2026-10-25-demo-b"
NOW = 1_795_608_000.0
SIZES = [(40, 12), (60, 20), (80, 24), (120, 40)]


@pytest.fixture
def home(tmp_path):
    """The two sample days, with their cards."""
    for name in (A, B):
        shutil.copy(SAMPLES / f"{name}.json", tmp_path)
    home = HomeController(tmp_path)
    home.read()
    for progress in ShelfQuery(tmp_path).answers(None):
        home.learn_cards(progress)
    return home


def typed(home, text):
    for sign in text:
        home.press("space" if sign == " " else sign, sign, NOW)


def test_typing_narrows_at_once_and_enter_keeps_what_was_found(home):
    typed(home, "f")
    assert home.finder.typing
    typed(home, "rust palm")
    assert home.shown == []
    for _ in "palm":
        home.press("backspace", None, NOW)
    typed(home, "paraffin")
    assert {each.session for each in home.shown} == {A, B}
    home.press("down", None, NOW)
    home.press("enter", None, NOW)
    assert not home.finder.typing
    command = home.press("enter", None, NOW)
    assert command is not None
    assert (command.act, command.session) == ("open", home.shown[1].session)


def test_escape_shows_all_again_and_only_then_leaves(home):
    typed(home, "fcrimson")
    home.press("enter", None, NOW)
    assert home.shown == []
    assert home.press("escape", None, NOW) is None
    assert len(home.shown) == 2
    left = home.press("escape", None, NOW)
    assert left is not None
    assert left.act == "leave"


def test_letters_that_are_keys_are_letters_while_one_types(home):
    typed(home, "fnqdm")
    assert home.finder.text == "nqdm"
    assert home.marked == ()


def test_what_was_not_looked_into_yet_is_found_by_what_the_list_says():
    finder = Finder(text="market")
    rows = [
        Summary(session="one", file="one.json", title="For the market"),
        Summary(session="two", file="two.json"),
    ]
    assert [row.session for row in finder.left(rows, NOW)] == ["one"]
    finder.learn(Progress(1, 2, {"two": DayCard(session="two", notes=("sold at the market",))}))
    assert [row.session for row in finder.left(rows, NOW)] == ["one", "two"]
    assert "Looked into 1 of 2" in finder.says(2)


def test_what_cannot_be_found_is_told_with_what_may_be_meant():
    finder = Finder(text="windws missed")
    finder.learn(Progress(1, 1, {"one": DayCard(session="one", title="violet", off=("window missed",))}))
    rows = [Summary(session="one", file="one.json")]
    assert finder.left(rows, NOW) == []
    assert finder.says(0) == "None has “windws”. Is “window” meant?"
    finder.text = "xyzzy missed"
    assert finder.left(rows, NOW) == []
    assert "Backspace" in finder.says(0)
    finder.text = "violet older than bananas"
    assert [row.session for row in finder.left(rows, NOW)] == ["one"]
    assert finder.says(1).startswith("“bananas” is no time as yet")


def test_two_marked_days_are_laid_side_by_side(home):
    typed(home, "m")
    home.press("down", None, NOW)
    typed(home, "m")
    command = home.press("s", "s", NOW)
    assert command is not None
    assert (command.act, set(command.sessions)) == ("compare", {A, B})
    (beside,) = CompareQuery(home.folder, command.sessions).answers(None)
    home.show_beside(beside)
    shown = "\n".join(text_of(row) for row in draw_home(home, NOW, 120, 40))
    assert "Where they differ" in shown
    assert "at the lip" in shown
    assert "paraffin" not in shown
    typed(home, "a")
    assert "paraffin" in "\n".join(text_of(row) for row in draw_home(home, NOW, 120, 40))
    home.press("escape", None, NOW)
    assert home.page == "list"


def test_one_day_alone_is_no_comparison(home):
    assert home.press("s", "s", NOW) is None
    assert "Mark two or three" in home.message
    (says,) = CompareQuery(home.folder, (A, "2020-01-01-a")).answers(None)
    home.show_beside(says)
    assert "no session called" in home.message


@pytest.mark.parametrize(("cells", "rows"), SIZES)
def test_every_page_fits(home, cells, rows):
    pages = [draw_home(home, NOW, cells, rows)]
    typed(home, "fpillar")
    pages.append(draw_home(home, NOW, cells, rows))
    home.press("enter", None, NOW)
    typed(home, "m")
    (beside,) = CompareQuery(home.folder, (A, B)).answers(None)
    home.show_beside(beside)
    pages += [
        draw_home(home, NOW, cells, rows),
        draw_beside(BesidePage(beside, everything=True, top=30), cells, rows),
    ]
    for page in pages:
        assert len(page) <= rows
        assert all(cell_len(text_of(row)) <= cells for row in page)


def test_ten_thousand_days_are_drawn_as_fast_as_those_in_sight(tmp_path, monkeypatch):
    """Only rows in sight are drawn: counted, not timed."""
    from pourday.tui.home import layout

    home = HomeController(tmp_path)
    home.known = True
    home.sessions = home.shown = [
        Summary(session=f"d-{n}", file=f"d-{n}.json", finished=True, stage="finished") for n in range(10_000)
    ]
    drawn = []
    real = layout._row
    monkeypatch.setattr(layout, "_row", lambda *a: drawn.append(1) or real(*a))
    draw_home(home, NOW, 80, 24)
    assert len(drawn) < 24


def test_from_last_autumns_green_one_to_a_plan_on_the_table_takes_less_than_twenty_keys(tmp_path):
    """Among forty candles of two years, some of them green: every key is counted, nothing is clicked."""
    plan = Plan(moulds=(Mould(name="tall"),))
    for number in range(40):
        colour = ("violet", "green", "rust", "white")[number % 4]
        begun = NOW - (number * 18 + 5) * 86_400.0
        live = LiveSession.create(tmp_path, f"{datetime.fromtimestamp(begun):%Y-%m-%d}-a", now=begun)
        live.file(
            ev.PlanFixed(plan=msgspec.structs.replace(plan, title="", layers=(Layer(colour=colour),))),
            now=begun,
        )
        live.file(ev.Poured(mould="A", layer=0, part="layer", kg=0.4), now=begun + 60)
        live.finish("better" if number == 21 else "", now=begun + 90)
    home = HomeController(tmp_path)
    home.read()
    for progress in ShelfQuery(tmp_path, tuple(home.unread)).answers(None):
        home.learn_cards(progress)
    keys = [*"fgreen aut 2025", "enter", "c", "p", "enter"]
    commands = [
        home.press("space" if key == " " else key, key if len(key) == 1 else None, NOW) for key in keys
    ]
    assert len(keys) < 20
    begin = commands[-1]
    assert begin is not None
    assert (begin.act, begin.plan.layers[0].colour) == ("begin", "green")
    day = next(each for each in home.sessions if each.session == begin.plan.parent)
    when = datetime.fromtimestamp(day.started)
    assert (when.year, when.month in (9, 10, 11)) == (2025, True)
    assert {home.finder.cards[each.session].colours for each in home.shown} == {("green",)}


def stack(session: str, *layers: tuple[str, float, float | None]) -> DayStack:
    """A candle of layers: colour, m high, s waited before it."""
    made, low = [], 0.0
    for number, (colour, high, wait) in enumerate(layers):
        made.append(StackLayer(colour, f"#00000{number}", low, low + high, wait))
        low += high
    return DayStack(session, "A", tuple(made))


def test_candles_are_drawn_to_one_scale_with_their_waits_as_bars_of_one_scale():
    """On paper: 160 mm over 16 rows is 10 mm a row; 2 h is twice as long a bar as 1 h."""
    tall = stack("tall", ("rust", 0.08, None), ("cream", 0.08, 7200.0))
    short = stack("short", ("rust", 0.03, None), ("cream", 0.05, 3600.0))
    beside = Comparison(("tall", "short", "none"), (), ((tall,), (short,), ()))
    rows = draw_stacks(beside, 120, 18)
    text = [text_of(row) for row in rows]
    assert len(rows) == 18
    assert [sum("█" in line[start : start + 40] for line in text) for start in (0, 40, 80)] == [16, 8, 0]
    swatches = [piece[1] for row in rows for piece in row if "█" in piece[0]]
    assert {swatch: swatches.count(swatch) for swatch in set(swatches)} == {
        "#000000": 8 + 3,
        "#000001": 8 + 5,
    }
    bars = [piece[0].count("─") for row in rows for piece in row if "├" in piece[0]]
    assert bars[0] == pytest.approx(2 * bars[1], abs=1)
    assert "2 h" in " ".join(text)
    assert "nothing poured" in " ".join(text)
    for cells, high in SIZES:
        drawn = draw_beside(BesidePage(beside, candles=True), cells, high)
        assert len(drawn) == high
        assert max(cell_len(text_of(row)) for row in drawn) <= cells


def between_pours(path: Path) -> int:
    """Whole minutes from mould A's first colour to its second, by the times that stand in the file."""
    pours = [
        entry
        for entry in json.loads(path.read_text("utf-8"))["entries"]
        if (entry["fact"]["kind"], entry["fact"].get("mould"), entry["fact"].get("part"))
        == ("poured", "A", "layer")
    ]
    first, second = (datetime.fromisoformat(entry["at"]) for entry in pours)
    return round((second - first).total_seconds() / 60)


def test_two_records_are_drawn_as_they_were_poured(home):
    (comparison,) = CompareQuery(home.folder, (A, B)).answers(None)
    stacks = [
        [(each.letter, [layer.colour for layer in each.layers]) for each in day] for day in comparison.stacks
    ]
    assert stacks == [[("A", ["rust", "cream"]), ("B", ["rust", "cream"])]] * 2
    waits = [[round(layer.wait / 60) for layer in day[0].layers if layer.wait] for day in comparison.stacks]
    assert waits == [[between_pours(SAMPLES / f"{each}.json")] for each in (A, B)]
    home.show_beside(comparison)
    for key in ("d", "right", "right", "left", "d"):
        home.press(key, key if len(key) == 1 else None, NOW)
        for cells, rows in SIZES:
            assert len(draw_home(home, NOW, cells, rows)) == rows
    assert home.beside.mould == 0


def test_days_side_by_side_go_back_up_from_their_end_at_the_first_key(home):
    (beside,) = CompareQuery(home.folder, (A, B)).answers(None)
    home.show_beside(beside)
    home.press("a", "a", NOW)
    home.press("end", None, NOW)
    last = [text_of(row) for row in draw_home(home, NOW, 60, 20)]
    home.press("up", None, NOW)
    assert [text_of(row) for row in draw_home(home, NOW, 60, 20)] != last


def test_the_family_of_a_day_is_a_tree_to_move_in(tmp_path):
    names = ("2026-01-01-a", "2026-01-08-a", "2026-01-15-a")
    for number, name in enumerate(names):
        begun = NOW - 86_400.0 * (20 - number)
        live = LiveSession.create(tmp_path, name, now=begun)
        live.file(
            ev.PlanFixed(plan=Plan(title=f"Day {number}", parent=names[number - 1] if number else "")),
            now=begun,
        )
        live.finish("", now=begun + 9)
    home = HomeController(tmp_path)
    home.read()
    home.press("t", "t", NOW)
    assert "not been looked into" in home.message
    for progress in ShelfQuery(tmp_path).answers(None):
        home.learn_cards(progress)
    home.press("t", "t", NOW)
    assert home.page == "family"
    for cells, rows in SIZES:
        lines = [text_of(row) for row in draw_home(home, NOW, cells, rows)]
        assert len(lines) == rows
        assert max(map(cell_len, lines)) <= cells
        assert any(line.startswith("›") for line in lines)
    assert any("└ 2026-01-08-a" in text_of(row) for row in draw_home(home, NOW, 80, 24))
    home.press("home", None, NOW)
    command = home.press("enter", None, NOW)
    assert command is not None
    assert (command.act, command.session, home.page) == ("open", names[0], "list")
