"""One key on each screen writes its papers and says where they are; nothing is overwritten and no paper is a session."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from msgspec.structs import replace

from pourday.demo.scenario import START, two_pillars
from pourday.plan.model import Plan
from pourday.reports.papers.to_file import paper_page, where_words, write_papers
from pourday.session import events as ev
from pourday.session.fold import fold
from pourday.store.candles import open_log
from pourday.store.check import check
from pourday.store.library import list_sessions
from pourday.store.live import LiveSession
from pourday.store.names import PAPERS
from pourday.store.reading import read_session
from pourday.tui.app import PourdayApp
from pourday.tui.base import LineScreen
from pourday.tui.burn.screen import BurnScreen
from pourday.tui.drawing.lines import text_of
from pourday.tui.printing import written_words
from pourday.tui.review.screen import ReviewScreen
from pourday.tui.setup.screen import SetupScreen
from pourday.tui.stove.screen import StoveScreen

DAY = "2026-10-25-demo-a"


class Still:
    def now(self) -> float:
        return START + 10.0


def shown(screen: LineScreen, cells: int = 120, rows: int = 40) -> str:
    return " ".join(" ".join(text_of(row) for row in screen.lines(cells, rows)).split())


def planned(folder: Path, session: str, *, begun: bool) -> LiveSession:
    live = LiveSession.create(folder, session, now=START)
    live.file(ev.PlanDrafted(plan=two_pillars()), now=START)
    if begun:
        live.file(ev.PlanFixed(plan=two_pillars()), now=START)
    return live


@pytest.mark.parametrize("begun", [False, True])
async def test_plan_and_stove_print_the_sheet(tmp_path: Path, begun: bool) -> None:
    live = planned(tmp_path, "2026-10-25-a", begun=begun)
    app = PourdayApp(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        screen = StoveScreen(live, Still()) if begun else SetupScreen(live, Still())
        await app.push_screen(screen)
        await pilot.press("f4")
        path = tmp_path / PAPERS / "2026-10-25-a-sheet.html"
        assert "2026-10-25-a-sheet.html is in" in shown(screen)
        assert "NO WATER" in path.read_text(encoding="utf-8")


async def test_what_is_half_typed_into_the_plan_is_on_the_sheet(tmp_path: Path) -> None:
    live = planned(tmp_path, "s", begun=False)
    app = PourdayApp(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        await app.push_screen(SetupScreen(live, Still()))
        await pilot.press("x", "y", "z", "f4")
        assert "xyz" in (tmp_path / PAPERS / "s-sheet.html").read_text(encoding="utf-8")


async def test_a_finished_session_prints_its_record_and_its_slips(tmp_path: Path) -> None:
    shutil.copy(Path("sessions") / f"{DAY}.json", tmp_path)
    live = LiveSession.open(tmp_path, DAY, now=START)
    app = PourdayApp(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        screen = ReviewScreen(live)
        await app.push_screen(screen)
        await pilot.press("f4")
        assert f"{DAY}-record.html and {DAY}-slip.html are in" in shown(screen)
        await pilot.press("t", "f4")
        assert "are in" in shown(screen)
    names = sorted(path.name for path in (tmp_path / PAPERS).iterdir())
    assert names == [f"{DAY}-record.html", f"{DAY}-slip.html"]
    # No paper is taken for a session, and none is in the way of one.
    assert [row.session for row in list_sessions(tmp_path)] == [DAY]
    assert list(check(tmp_path)) == []


async def test_candles_print_their_slips(tmp_path: Path) -> None:
    shutil.copy(Path("sessions") / f"{DAY}.json", tmp_path)
    batch = read_session(tmp_path, DAY).state
    log = open_log(tmp_path, batch, now=START + 1e6)
    log.file(ev.CandleLabelled(mould="A", label="the tall one"), now=START + 1e6)
    app = PourdayApp(tmp_path)
    async with app.run_test(size=(120, 40)) as pilot:
        screen = BurnScreen(log, batch)
        await app.push_screen(screen)
        await pilot.press("f4")
        assert f"{DAY}-slip.html is in" in shown(screen)
    assert "the tall one" in (tmp_path / PAPERS / f"{DAY}-slip.html").read_text(encoding="utf-8")


def test_another_plan_is_another_file_and_the_same_one_is_not(tmp_path: Path) -> None:
    state = fold([])
    first = replace_plan(state, two_pillars())
    other = replace_plan(state, replace(two_pillars(), title="Other"))
    for each in (first, first, other, first):
        write_papers(tmp_path, ("sheet",), each, (), {})
    assert sorted(path.name for path in (tmp_path / PAPERS).iterdir()) == ["s-sheet-2.html", "s-sheet.html"]
    assert paper_page("sheet", other, (), {}) == (tmp_path / PAPERS / "s-sheet-2.html").read_text("utf-8")


def replace_plan(state, plan: Plan):
    from dataclasses import replace as changed

    return changed(state, session="s", plan=plan)


def test_what_cannot_be_printed_is_said_and_nothing_is_written(tmp_path: Path) -> None:
    says = written_words(tmp_path, ("sheet",), replace_plan(fold([]), Plan(moulds=())))
    assert "mould" in says
    (tmp_path / PAPERS).write_text("in the way")
    says = written_words(tmp_path, ("sheet",), replace_plan(fold([]), two_pillars()))
    assert says.startswith("The sheet could not be written into")
    assert "--out FILE" in says


def test_a_path_that_could_steer_a_terminal_is_shown_plain() -> None:
    assert not re.search("[\x00-\x1f]", where_words([Path("/tmp/a\x1b[31m/b.html")]))
