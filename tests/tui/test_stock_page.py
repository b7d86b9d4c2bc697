"""The stock on the screen: moved through, put right in one line, drawn in every window."""

from __future__ import annotations

import pytest
from rich.cells import cell_len

from pourday.guide.advice.queries import Memory
from pourday.plan.model import BlendPart, Plan
from pourday.session import events as ev
from pourday.shelf.questions import DaysTookQuery
from pourday.stock.balance import stock_now
from pourday.stock.lot import Reclaimed, StockLot
from pourday.stock.short import short
from pourday.store.live import LiveSession
from pourday.store.memories import Memories
from pourday.store.stock import Stock
from pourday.tui.drawing.lines import text_of
from pourday.tui.drawing.weigh_sheet import finding_at, findings_page
from pourday.tui.stock.controller import StockController, StockDoing
from pourday.tui.stock.layout import draw_stock

NOON = 1_795_608_000.0
SIZES = [(40, 12), (60, 20), (80, 24), (120, 40)]
PALM = StockLot(kind="wax", product="palm", lot="A12", counted=9.0, counted_at=NOON - 9.0)


@pytest.fixture
def page(tmp_path):
    stock, names = Stock(tmp_path), Memories(tmp_path).wax_names()
    stock.put(StockLot(kind="dye", product="ivory", counted=0.012, counted_at=NOON))
    stock.put(PALM)
    stock.put(
        StockLot(
            kind="wax", product="heap", counted=1.3, counted_at=NOON, reclaimed=Reclaimed(came_from="ends")
        )
    )
    return StockController(
        "metric", names, StockDoing(stock.lots, lambda line: stock.tell(line, names, NOON))
    )


def typed(page, text):
    for sign in text:
        page.press("space" if sign == " " else sign, sign)


def drawn(page, cells=80, rows=24):
    return "\n".join(text_of(row) for row in draw_stock(page, cells, rows))


def test_a_lot_is_corrected_by_enter_a_number_and_enter(page, tmp_path):
    assert [each.lot.product for each in page.rows] == ["palm", "heap", "ivory"]
    page.press("down", None)
    page.press("down", None)
    page.press("enter", None)
    assert page.text == "dye ivory is "
    typed(page, "9 g")
    page.press("enter", None)
    assert (page.text, page.message, page.chosen.lot.product) == ("", "", "ivory")
    assert page.chosen.there == pytest.approx(0.009)
    assert {lot.product: lot.counted for lot in Stock(tmp_path).lots()}["ivory"] == pytest.approx(0.009)


def test_what_came_is_added_and_a_line_that_is_not_understood_stays(page):
    typed(page, "add wax palm 1 kg lot a12 paid 7")
    page.press("enter", None)
    assert (page.chosen.there, page.chosen.lot.price) == (10.0, 7.0)
    typed(page, "add soap")
    page.press("enter", None)
    assert "How much of soap" in page.message
    assert page.text == "add soap"
    assert "How much of soap" in drawn(page)
    page.press("escape", None)
    assert (page.text, page.leaving) == ("", False)
    page.press("escape", None)
    assert page.leaving


def test_days_are_taken_off_as_they_become_known(page, tmp_path):
    live = LiveSession.create(tmp_path, "2026-11-25-a", now=NOON)
    live.file(ev.PlanFixed(plan=Plan(blend=(BlendPart(wax="palm", lot="A12"),))), now=NOON + 1)
    live.file(ev.JugMade(layer=0, kg=0.5), now=NOON + 2)
    for answer in DaysTookQuery(tmp_path).answers(Memory()):
        page.learn(answer.days, answer.done, answer.of)
    assert (page.chosen.there, page.chosen.reserved > 0.5) == (9.0, True)
    assert "reserved" in drawn(page)
    assert "never counted" in drawn(page)
    live.finish("", now=NOON + 3)
    *_, answer = DaysTookQuery(tmp_path).answers(Memory())
    page.learn(answer.days, answer.done, answer.of)
    assert (page.chosen.there, page.chosen.reserved) == (pytest.approx(9.0 - 0.51), 0.0)
    assert next(iter(DaysTookQuery(tmp_path / "nowhere").answers(Memory()))).days == ()


@pytest.mark.parametrize(("cells", "rows"), SIZES)
def test_every_window_has_room_for_the_chosen_lot_and_the_line(page, cells, rows):
    for at in range(3):
        page.at = at
        for page.text in (
            "",
            "add wax palm 10 kg lot a lot with a very long name from the shop at the corner paid 64",
        ):
            lines = [text_of(row) for row in draw_stock(page, cells, rows)]
            assert len(lines) == rows
            assert max(map(cell_len, lines)) <= cells
            assert any(row.startswith("›") for row in lines)
            assert "▏" in "".join(lines)


def test_the_form_says_what_is_short_where_the_stock_is_known():
    plan = Plan(blend=(BlendPart(wax="palm", lot="A12"),))
    now = stock_now([StockLot(kind="wax", product="palm", lot="A12", counted=0.1, counted_at=0.0)], [])

    def little(plan, sheet):
        return short(plan, now, sheet)

    says = finding_at(plan, "blend", little)
    assert says is not None
    assert says[0].startswith("stop-and-think")
    assert "100 g of palm are free" in says[0]
    page = "\n".join(text_of(row) for row in findings_page(plan, 80, little))
    assert "pourday shopping" in page
    assert "pourday shopping" not in "\n".join(text_of(row) for row in findings_page(plan, 80))
