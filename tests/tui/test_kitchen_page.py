"""The page of the kitchen: drawn in every window, moved through, and its switches kept."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from rich.cells import cell_len

from pourday.errors import Trouble
from pourday.guide.advice.queries import Memory
from pourday.store.memories import Memories
from pourday.tui.drawing.lines import text_of
from pourday.tui.home.command import HomeCommand
from pourday.tui.home.controller import HomeController
from pourday.tui.kitchen.controller import LEAVES, KitchenController, KitchenDoing
from pourday.tui.kitchen.layout import draw_kitchen
from pourday.tui.kitchen.query import KitchenPageQuery
from tests.reports.test_kitchen_report import NOW, write_day

SIZES = [(40, 12), (60, 20), (80, 24), (120, 40)]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("days")
    for n, firm in enumerate((60, 65)):
        write_day(place, f"2026-11-2{5 + n}-a", n, firm=firm)
    return place


def answers(folder: Path) -> list[Any]:
    return [a for a in KitchenPageQuery(folder, NOW).answers(Memory()) if a is not None]


@pytest.fixture
def page(folder: Path) -> KitchenController:
    """The page over a folder; whatever it has worked out anew is there at once."""
    memories = Memories(folder)

    def ask() -> None:
        controller.arrived(answers(folder)[-1])

    controller = KitchenController(
        KitchenDoing(
            lambda session, forget: memories.forget_day(session, NOW, forget=forget),
            lambda: memories.forget_all_days(NOW + 1.0),
            lambda none: memories.use_no_days(NOW, none=none),
            ask,
        )
    )
    ask()
    return controller


def shown(page: KitchenController, cells: int = 80, rows: int = 24) -> str:
    return "\n".join(text_of(row) for row in draw_kitchen(page, cells, rows))


@pytest.mark.parametrize(("cells", "rows"), SIZES)
def test_every_leaf_fits_every_window(page: KitchenController, cells: int, rows: int) -> None:
    for _ in LEAVES:
        drawn = draw_kitchen(page, cells, rows)
        assert len(drawn) == rows
        assert all(cell_len(text_of(row)) <= cells for row in drawn)
        page.press("tab", None)
    assert page.leaf == "factors"


def test_before_the_answer_and_where_nothing_was_learned_a_sentence_stands_there(tmp_path: Path) -> None:
    nothing = KitchenDoing(lambda *_: None, lambda: None, lambda _: None, lambda: None)
    page = KitchenController(nothing)
    assert "being read" in shown(page)
    page.arrived(answers(tmp_path)[-1])
    assert "Looks at a surface teach" in shown(page)
    page.arrived(Trouble("The folder cannot be read."))
    assert "cannot be read" in shown(page)


def test_each_factor_stands_there_with_its_spread_its_days_and_what_it_does_in_minutes(
    page: KitchenController,
) -> None:
    text = shown(page, 120, 60)
    assert "heat lost at the open top" in text
    assert "rests on 2 days, 16 looks" in text
    assert "min longer until a layer carries" in text or "min less until a layer carries" in text


def test_a_day_is_left_out_and_taken_in_again(page: KitchenController, folder: Path) -> None:
    page.press("tab", None)
    page.press("down", None)
    session = page.days[1]["session"]
    page.press("f", "f")
    assert not page.days[1]["counts"]
    assert "forgotten" in shown(page)
    assert Memories(folder).kitchen_choices().forgotten == {session}
    page.press("f", "f")
    assert page.days[1]["counts"]


def test_all_is_forgotten_only_after_a_question_and_none_is_used_by_a_key(
    page: KitchenController, folder: Path
) -> None:
    page.press("u", "u")
    assert Memories(folder).kitchen_choices().use_none
    assert "None of it is used" in shown(page)
    page.press("u", "u")
    assert not Memories(folder).kitchen_choices().use_none
    page.press("a", "a")
    assert "Forget all days" in shown(page)
    page.press("escape", None)
    assert all(day["counts"] for day in page.days)
    assert not page.leaving
    page.press("a", "a")
    page.press("y", "y")
    assert not any(day["counts"] for day in page.days)


def test_the_first_answer_is_what_was_worked_out_before(folder: Path) -> None:
    known = answers(folder)
    assert [len(each["days"]) for each in known] == [2, 2]


def test_a_key_at_the_first_screen_opens_it_and_escape_leaves(
    tmp_path: Path, page: KitchenController
) -> None:
    home = HomeController(tmp_path)
    home.read()
    assert home.press("l", "l") == HomeCommand("kitchen")
    page.press("escape", None)
    assert page.leaving
