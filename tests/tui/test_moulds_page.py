"""The moulds on the screen: moved through, told of in one line, drawn in every window."""

from __future__ import annotations

import pytest
from rich.cells import cell_len

from pourday.guide.advice.queries import Memory
from pourday.moulds.line import read_mould_line
from pourday.plan.model import Mould, Plan
from pourday.session import events as ev
from pourday.store.live import LiveSession
from pourday.store.moulds import MouldNotes
from pourday.tui.drawing.lines import text_of
from pourday.tui.home.controller import HomeController
from pourday.tui.moulds.controller import MouldsController, MouldsDoing
from pourday.tui.moulds.layout import draw_moulds
from pourday.tui.moulds.query import MouldsQuery

NOON = 1_795_608_000.0
SIZES = [(40, 12), (60, 20), (80, 24), (120, 40)]


def opened(folder) -> MouldsController:
    kept = MouldNotes(folder)

    def tell(line: str) -> str:
        name, note = read_mould_line(line, "metric", kept.notes(), NOON)
        kept.keep(name, note)
        return name

    page = MouldsController("metric", {}, MouldsDoing(kept.notes, tell))
    for answer in MouldsQuery(folder, NOON).answers(Memory()):
        page.learn(answer.uses, answer.walls, answer.done, answer.of)
    return page


@pytest.fixture
def folder(tmp_path):
    """One day in two moulds, one of which has no name."""
    live = LiveSession.create(tmp_path, "2026-11-25-a", now=NOON)
    live.file(ev.PlanFixed(plan=Plan(moulds=(Mould(name="tall"), Mould(material="plastic")))), now=NOON + 1)
    for letter in "AB":
        live.file(ev.Poured(mould=letter, layer=0, part="layer", kg=0.4), now=NOON + 2)
        live.file(ev.Demoulded(mould=letter, release="stuck"), now=NOON + 3)
    live.finish("", now=NOON + 4)
    return tmp_path


def typed(page, text):
    for sign in text:
        page.press({" ": "space", "\r": "enter"}.get(sign, sign), None if sign == "\r" else sign)


def drawn(page, cells=80, rows=24):
    return "\n".join(text_of(row) for row in draw_moulds(page, cells, rows))


def test_what_is_said_of_a_mould_is_kept_and_stands_under_it(folder):
    page = opened(folder)
    page.at = [memory.name for memory in page.rows].index("tall")
    assert "clean it before the next pour" in drawn(page)
    typed(page, "\rstands 85C\r")
    typed(page, "\rsealed putty and tape\r")
    typed(page, "\rholes 1\r")
    typed(page, "\rcleaned\r")
    assert page.message == ""
    says = drawn(page)
    for part in ("may be poured at 85 °C", "sealed with putty and tape", "holes: 1"):
        assert part in says
    kept = {note.name: note for note in MouldNotes(folder).notes()}["tall"]
    assert (kept.limit_c, kept.seal, kept.holes, kept.cleaned_at) == (85.0, "putty and tape", 1, NOON)


def test_a_line_that_is_not_understood_stays_and_a_name_nobody_poured_into_is_told(folder):
    page = opened(folder)
    typed(page, "tall shiny\r")
    assert "Say which mould" in page.message
    assert page.text == "tall shiny"
    page.press("escape", None)
    assert (page.text, page.leaving) == ("", False)
    typed(page, "tal sealed putty\r")
    assert "No record names a mould like that" in page.message
    assert page.chosen.name == "tal"
    typed(page, "tal forget\r")
    assert "tal" not in [memory.name for memory in page.rows]
    page.press("escape", None)
    assert page.leaving


def test_a_mould_without_a_name_says_how_it_gets_one(folder):
    page = opened(folder)
    page.at = [memory.name for memory in page.rows].index("")
    typed(page, "\r")
    assert "has no name" in page.message
    page.point(1 - page.at)
    page.point(page.at)
    assert page.text == "tall "


@pytest.mark.parametrize(("cells", "rows"), SIZES)
def test_every_window_has_room_for_the_chosen_mould_and_the_line(folder, cells, rows):
    for name in ("oval with a very long name of its own", "square", "star", "short"):
        typed(opened(folder), f"{name} sealed putty, tape and a coin under both\r")
    page = opened(folder)
    for at in range(len(page.rows)):
        page.at = at
        for page.text in (
            "",
            "oval with a very long name of its own sealed putty, tape and a coin under both of it",
        ):
            lines = [text_of(row) for row in draw_moulds(page, cells, rows)]
            assert len(lines) == rows
            assert max(map(cell_len, lines)) <= cells
            assert any(row.startswith("›") for row in lines)
            assert "▏" in "".join(lines)
    assert "No mould is known yet" in drawn(
        MouldsController("metric", {}, MouldsDoing(tuple, str)), cells, rows
    )


def test_a_key_at_the_first_screen_leads_there(tmp_path):
    home = HomeController(tmp_path)
    home.read()
    assert home.press("v", "v", NOON).act == "moulds"
    assert next(iter(MouldsQuery(tmp_path / "nowhere", NOON).answers(Memory()))).uses == ()
