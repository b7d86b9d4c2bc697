"""What is there of a lot after days took of it, held against the sums a person does on paper."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from pourday.errors import Trouble
from pourday.stock.balance import DayTook, stock_now
from pourday.stock.lot import StockLot, counted, lot_key, more
from pourday.stock.taken import Taken

WAX = StockLot(kind="wax", product="paraffin_pillar", lot="sack 7", counted=10.0, counted_at=100.0)


def wax(kg: float, lot: str = "sack 7", **changes) -> Taken:
    return Taken(kind="wax", product="paraffin_pillar", lot=lot, amount=kg, **changes)


def day(name: str, begun: float, *rows: Taken, over: bool = True) -> DayTook:
    return DayTook(name, begun, over, rows)


def test_what_a_finished_day_took_is_gone_and_what_an_open_one_needs_is_reserved():
    now = stock_now([WAX], [day("a", 200, wax(1.5)), day("b", 300, wax(2.0, sure=False), over=False)])
    (lot,) = now.lots
    assert (lot.there, lot.reserved, lot.free) == (8.5, 2.0, 6.5)
    assert [(use.session, use.amount, use.over) for use in lot.uses] == [("a", 1.5, True), ("b", 2.0, False)]
    assert lot.sure
    assert now.uncounted == ()


def test_a_day_that_had_begun_before_the_count_is_not_taken_off_again():
    days = [day("a", 50, wax(4.0)), day("b", 60, wax(3.0), over=False)]
    assert [(lot.there, lot.reserved) for lot in stock_now([WAX], days).lots] == [(10.0, 0.0)]
    recounted = counted(WAX, 7.25, 250.0)
    later = [*days, day("c", 200, wax(1.0)), day("d", 300, wax(0.25))]
    assert [lot.there for lot in stock_now([recounted], later).lots] == [7.0]


def test_what_came_since_is_added_and_the_price_is_the_newest():
    new = replace(WAX, counted=5.0, counted_at=150.0, price=3.2)
    lot = more(more(None, WAX), new)
    assert (lot.came, lot.counted_at, lot.price) == (15.0, 100.0, 3.2)
    assert stock_now([lot], [day("a", 120, wax(2.0))]).lots[0].there == 13.0
    with pytest.raises(Trouble, match="kept in kg"):
        more(lot, replace(new, unit="pieces"))


def test_a_day_that_names_no_lot_takes_of_the_one_to_be_used_first_and_then_of_the_oldest():
    lots = [
        replace(WAX, lot="new", counted=5.0, since=90.0),
        replace(WAX, lot="old", counted=1.0, since=10.0),
        replace(WAX, lot="first", counted=0.5, since=95.0, use_first=True),
    ]
    now = stock_now(lots, [day("a", 200, wax(3.0, lot=""))])
    assert {lot.lot.lot: lot.there for lot in now.lots} == {"new": 3.5, "old": 0.0, "first": 0.0}
    assert [lot.lot.lot for lot in now.of("wax", "Paraffin_Pillar")] == ["first", "old", "new"]


def test_a_lot_nobody_counted_is_told_and_nothing_else_is_taken_for_it():
    now = stock_now(
        [WAX], [day("a", 200, wax(3.0, lot="sack 8"), Taken(kind="dye", product="", amount=0.001))]
    )
    assert now.lots[0].there == 10.0
    assert [(row.kind, row.product, row.lot) for row in now.uncounted] == [
        ("wax", "paraffin_pillar", "sack 8"),
        ("dye", "", ""),
    ]
    bare = stock_now([replace(WAX, lot="")], [day("a", 200, wax(3.0, lot="sack 8"))])
    assert (bare.lots[0].there, bare.uncounted) == (7.0, ())


def test_more_taken_than_was_ever_counted_shows_below_zero():
    assert stock_now([replace(WAX, counted=1.0)], [day("a", 200, wax(3.0))]).lots[0].there == -2.0


def test_wicks_are_counted_by_the_piece_or_by_length_and_known_by_the_beginning_of_their_words():
    took = Taken(kind="wick", product="30 ply, primed, which passed in 251125a-B", amount=0.5, pieces=2)
    cut = StockLot(kind="wick", product="30 ply", unit="pieces", counted=20.0, counted_at=0.0)
    assert stock_now([cut], [day("a", 1, took)]).lots[0].there == 18.0
    assert stock_now([replace(cut, unit="m")], [day("a", 1, took)]).lots[0].there == 19.5
    assert stock_now([replace(cut, product="3")], [day("a", 1, took)]).lots[0].there == 20.0


def test_letters_and_spaces_tell_no_lots_apart():
    assert lot_key("dye", " Ivory\u200b ", "A") == lot_key("dye", "ivory", "a")


amounts = st.floats(0, 50, allow_nan=False)


@given(
    counts=st.lists(amounts, min_size=1, max_size=4),
    days=st.lists(st.tuples(st.integers(0, 300), st.booleans(), amounts, st.integers(-1, 3)), max_size=12),
)
def test_nothing_is_taken_twice_and_nothing_is_forgotten(counts, days):
    """On paper: what was counted less every finished day that began later is what is there of all lots together."""
    lots = [replace(WAX, lot=f"l{n}", counted=kg, since=float(n)) for n, kg in enumerate(counts)]
    took = [
        day(f"d{n}", at, wax(kg, lot=f"l{lot}" if 0 <= lot < len(lots) else ""), over=over)
        for n, (at, over, kg, lot) in enumerate(days)
    ]
    now = stock_now(lots, took)
    used = sum(kg for at, over, kg, _ in days if over and at >= WAX.counted_at)
    open_ = sum(kg for at, over, kg, _ in days if not over and at >= WAX.counted_at)
    assert sum(lot.there for lot in now.lots) == pytest.approx(sum(counts) - used, abs=1e-6)
    assert sum(lot.reserved for lot in now.lots) == pytest.approx(open_, abs=1e-6)
    assert stock_now(lots, reversed(took)) == now
