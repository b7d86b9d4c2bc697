"""Wax that nobody knows in its own session, and where what came of it is kept."""

from __future__ import annotations

from pourday.plan.model import Plan
from pourday.session import events as ev
from pourday.stock.lot import Reclaimed, StockLot
from pourday.store.heaps import begin_heap, keep_heap
from pourday.store.library import list_sessions
from pourday.store.memories import Memories
from pourday.store.stock import Stock
from pourday.wax.supplier import from_sheet

NOW = 1.8e9
WAX = from_sheet("Ends", "paraffin_pillar", {})


def lot(kg: float, at: float) -> StockLot:
    return StockLot(kind="wax", product=WAX.id, lot="Ends", counted=kg, counted_at=at, reclaimed=Reclaimed())


def test_a_run_is_a_session_of_its_kind_in_the_list(tmp_path):
    live = begin_heap(tmp_path, Plan(units="us"), now=NOW)
    assert "-wax-" in live.session
    live.file(ev.HeapStepDone(step="a heap"), now=NOW)
    live.close()
    (row,) = list_sessions(tmp_path)
    assert (row.stage, row.title, row.moulds) == ("heap", "wax that nobody knows", 0)


def test_what_came_of_it_is_kept_once_however_often_its_end_is_said(tmp_path):
    for _ in range(3):
        keep_heap(tmp_path, WAX, lot(1.2, NOW))
    assert Memories(tmp_path).own_waxes()[WAX.id] == WAX
    (kept,) = Stock(tmp_path).lots()
    assert kept.came == 1.2


def test_another_heap_of_the_same_name_is_more_of_the_lot(tmp_path):
    for _ in range(2):
        keep_heap(tmp_path, WAX, lot(1.2, NOW))
        keep_heap(tmp_path, WAX, lot(0.5, NOW + 86_400))
    (kept,) = Stock(tmp_path).lots()
    assert kept.came == 1.7


def test_a_lot_that_nobody_weighed_is_a_wax_and_nothing_on_the_shelf(tmp_path):
    keep_heap(tmp_path, WAX, None)
    assert WAX.id in Memories(tmp_path).own_waxes()
    assert Stock(tmp_path).lots() == []
