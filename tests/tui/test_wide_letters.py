"""Letters that take two cells, and marks that take none, in all that a person types: every screen keeps to its width."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

import pytest
from msgspec.structs import replace
from rich.cells import cell_len

from pourday.columns import cells_of, padded
from pourday.demo.scenario import START, two_pillars
from pourday.guide.ahead.day import ahead_of_plan
from pourday.plan.model import Plan
from pourday.session import events as ev
from pourday.shelf.compare import compare_text
from pourday.store.live import LiveSession
from pourday.store.reading import read_session
from pourday.tui.drawing.lines import Line, width
from pourday.tui.home.controller import HomeController
from pourday.tui.home.layout import draw_home
from pourday.tui.home.shelf_query import CompareQuery
from pourday.tui.rehearse.controller import RehearsalController
from pourday.tui.rehearse.layout import draw_rehearsal
from pourday.tui.review.controller import ReviewController
from pourday.tui.review.layout import draw_review
from pourday.tui.setup.controller import SetupController
from pourday.tui.setup.layout import draw_setup
from pourday.tui.stove.controller import StoveController
from pourday.tui.stove.foot import foot
from pourday.tui.stove.layout import Look, draw_stove

SIZES = [(40, 12), (60, 20), (80, 24), (120, 40)]
WIDE, COMBINED = "抹茶と蜂蜜の色", "cre\u0302me bru\u0302le\u0301e"
FIRST, SECOND = "2026-10-25-a", "2026-10-26-a"


def wide_plan(title: str) -> Plan:
    """The demo's plan with names of wide letters and of marks over letters."""
    plan = two_pillars()
    names = (WIDE, COMBINED)
    moulds = tuple(replace(mould, name=name) for mould, name in zip(plan.moulds, names, strict=True))
    layers = tuple(replace(layer, colour=name) for layer, name in zip(plan.layers, names, strict=True))
    return replace(plan, title=title, moulds=moulds, layers=layers)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Two days that have just begun, with notes."""
    for session, title in ((FIRST, "蝋燭の日"), (SECOND, COMBINED)):
        with closing(LiveSession.create(tmp_path, session, now=START)) as live:
            live.file(ev.PlanDrafted(plan=wide_plan(title)), now=START)
            live.file(ev.PlanFixed(plan=wide_plan(title)), now=START)
            live.file(ev.Noted(text=f"{WIDE} {COMBINED} " * 6), now=START + 60)
            live.file(ev.Reading(celsius=61.0, place="pot"), now=START + 120)
    return tmp_path


def keeps_to(rows: list[Line], cells: int, high: int) -> None:
    assert len(rows) == high
    assert max(map(width, rows)) <= cells


@pytest.mark.parametrize(("cells", "rows"), SIZES)
def test_screens_keep_to_their_width(folder: Path, cells: int, rows: int) -> None:
    now = START + 180
    home = HomeController(folder)
    home.read()
    keeps_to(draw_home(home, now, cells, rows), cells, rows)
    kept = read_session(folder, FIRST)
    keeps_to(draw_review(ReviewController(kept.entries, kept.state), cells, rows, WIDE), cells, rows)
    with closing(LiveSession.open(folder, FIRST, now=now)) as live:
        stove = StoveController(live)
        stove.wake(now)
        stove.look(now, now)
        keeps_to(draw_stove(stove.advice, now, cells, rows, foot(stove, cells), Look()), cells, rows)
    with closing(LiveSession.create(folder, "2026-10-27-a", now=now)) as live:
        live.file(ev.PlanDrafted(plan=wide_plan(WIDE)), now=now)
        setup = SetupController(live)
        for _ in range(12):
            keeps_to(draw_setup(setup, cells, rows, COMBINED), cells, rows)
            setup.press("pagedown", None, now)


def test_a_rehearsal_keeps_to_its_width() -> None:
    rehearsal = RehearsalController(WIDE)
    rehearsal.arrived(ahead_of_plan(wide_plan(WIDE), START))
    for cells, rows in SIZES:
        keeps_to(draw_rehearsal(rehearsal, cells, rows), cells, rows)
        rehearsal.press("pagedown", None)


def test_columns_of_a_comparison_stand_under_each_other(folder: Path) -> None:
    (comparison,) = CompareQuery(folder, (FIRST, SECOND)).answers(None)
    lines = compare_text(comparison, everything=True)
    column = cell_len(lines[0][: lines[0].index(SECOND)])
    colour = next(each for each in lines if each.count(COMBINED_IN_RECORD) == 2)
    assert cell_len(colour[: colour.rindex(COMBINED_IN_RECORD)]) == column


COMBINED_IN_RECORD = "crême brûlée"
"""As it is kept: composed."""


def test_a_text_is_padded_by_cells() -> None:
    assert cells_of("抹茶") == 4
    assert cells_of("e\u0301") == 1
    assert padded("抹茶", 6) == "抹茶  "
    assert padded("tall", 2) == "tall"
