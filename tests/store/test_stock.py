"""The file of lots: kept, found again, and never lost to a fault or to a second program."""

from __future__ import annotations

import json
import multiprocessing
import os
from pathlib import Path

import pytest
from msgspec.structs import replace

from pourday.errors import Trouble
from pourday.moulds.memory import MouldNote
from pourday.stock.lot import Reclaimed, StockLot, lot_key
from pourday.store.edit_tables import edited
from pourday.store.moulds import MOULDS, MouldNotes
from pourday.store.pack import pack
from pourday.store.stock import STOCK, Stock
from pourday.store.table_file import TableFile
from pourday.store.unpack import unpack

SOY = StockLot(
    kind="wax", product="soy_container", lot="A12", counted=4.5, counted_at=1.7e9, price=7.4, pack=10.0
)
HEAP = StockLot(
    kind="wax",
    product="heap of november",
    counted=1.36,
    counted_at=1.7e9,
    reclaimed=Reclaimed(
        came_from="candle ends",
        cleaned=("sorted", "heated to 80 °C", "wicks out", "settled", "strained", "dry"),
        melts_from_c=52.0,
        melts_to_c=61.0,
        heat_cycles=3,
        heap=1.5,
    ),
)


def test_lots_are_found_again_by_another_program_a_reclaimed_one_with_what_it_came_from(tmp_path):
    stock = Stock(tmp_path)
    stock.put(SOY)
    stock.add(HEAP)
    stock.add(replace(SOY, product="SOY_container", counted=10.0, counted_at=1.8e9, price=6.9))
    again = Stock(tmp_path)
    soy, heap = sorted(again.lots(), key=lambda lot: lot.product, reverse=True)
    assert heap == HEAP
    assert heap.reclaimed is not None
    assert heap.reclaimed.scent == ""
    assert (soy.came, soy.price, soy.pack) == (14.5, 6.9, 10.0)
    again.forget(lot_key("wax", "soy_container", "a12"))
    assert Stock(tmp_path).lots() == [HEAP]
    assert again.remarks == []


@pytest.mark.parametrize(
    "bad",
    [
        {"counted": float("nan")},
        {"counted": -1.0},
        {"product": " \u200b"},
        {"lot": "x" * 90},
        {"price": 1e300},
    ],
)
def test_what_cannot_be_meant_is_refused_and_nothing_is_written(tmp_path, bad):
    with pytest.raises(Trouble, match="not kept"):
        Stock(tmp_path).put(replace(SOY, **bad))
    assert not (tmp_path / STOCK).exists()


BROKEN = [b"", b"{", b"[]", b'{"lots": []}', b'{"lots": {"x": {}}}', b"\xff" * 40, b"[" * 100_000]


@pytest.mark.parametrize("content", BROKEN, ids=range(len(BROKEN)))
def test_a_broken_file_counts_as_empty_and_is_set_aside_before_it_is_replaced(tmp_path, content):
    (tmp_path / STOCK).write_bytes(content)
    stock = Stock(tmp_path)
    assert stock.lots() == []
    assert "broken" in stock.remarks[0]
    stock.put(SOY)
    assert stock.lots() == [SOY]
    assert (tmp_path / f"{STOCK}.broken").read_bytes() == content


def test_a_lot_that_cannot_be_read_is_named_and_stays_in_the_file(tmp_path):
    Stock(tmp_path).put(SOY)
    Stock(tmp_path).put(HEAP)
    tables = json.loads((tmp_path / STOCK).read_bytes())
    tables["lots"]["1"]["counted"] = "much"
    (tmp_path / STOCK).write_text(json.dumps(tables))
    stock = Stock(tmp_path)
    assert stock.lots() == [HEAP]
    assert "soy_container" in stock.remarks[0]
    stock.put(SOY)
    kept = json.loads((tmp_path / STOCK).read_bytes())["lots"]
    assert kept["1"]["counted"] == "much"
    assert len(kept) == 3


def test_a_newer_file_is_read_but_never_written(tmp_path):
    Stock(tmp_path).put(SOY)
    newer = (tmp_path / STOCK).read_bytes().replace(b'"schema": 1', b'"schema": 2')
    (tmp_path / STOCK).write_bytes(newer)
    assert Stock(tmp_path).lots() == [SOY]
    with pytest.raises(Trouble, match="newer"):
        Stock(tmp_path).put(HEAP)
    assert (tmp_path / STOCK).read_bytes() == newer


def test_a_kill_or_a_refusal_at_any_call_leaves_the_old_stock_or_the_new_one(tmp_path, faulty, killed, full):
    for error in (None, full):
        for at in range(60):
            folder = tmp_path / f"{error}-{at}"
            folder.mkdir()
            Stock(folder).put(SOY)
            disk, told = faulty(at, error), False
            try:
                Stock(folder, disk).add(SOY)
            except killed:
                pass
            except Trouble:
                told = True
            (lot,) = Stock(folder).lots()
            assert lot.came in (4.5, 9.0), (error, at)
            assert told or disk.dead or lot.came == 9.0, (error, at)
            if len(disk.calls) <= at:
                break
        else:
            raise AssertionError("the fault was never reached past the end")


def _add_many(folder: str, who: str, count: int) -> None:
    for number in range(count):
        Stock(Path(folder)).add(replace(SOY, counted=1.0))
        Stock(Path(folder)).put(replace(SOY, lot=f"of {who}, {number}"))


def test_two_programs_at_once_keep_what_both_said(tmp_path):
    context = multiprocessing.get_context("fork" if os.name == "posix" else "spawn")
    both = [context.Process(target=_add_many, args=(str(tmp_path), who, 15)) for who in "ab"]
    for each in both:
        each.start()
    for each in both:
        each.join(60)
    assert [each.exitcode for each in both] == [0, 0]
    lots = {lot.lot: lot.came for lot in Stock(tmp_path).lots()}
    assert lots == {"A12": 30.0, **{f"of {who}, {n}": 4.5 for who in "ab" for n in range(15)}}
    assert sorted(os.listdir(tmp_path)) == [STOCK]


def test_a_packed_stock_is_merged_into_another_and_nothing_of_either_is_lost(tmp_path):
    here, there, settings = tmp_path / "here", tmp_path / "there", tmp_path / "none.toml"
    for folder in (here, there):
        folder.mkdir()
    Stock(there).put(SOY)
    Stock(there).put(HEAP)
    Stock(here).put(replace(SOY, counted=1.0, counted_at=1.8e9))
    MouldNotes(there).keep("tall", MouldNote(name="tall", seal="putty"))
    MouldNotes(there).keep("short", MouldNote(name="short", seal="tape"))
    MouldNotes(here).keep("Tall", MouldNote(name="Tall", seal="wax"))
    pack(there, settings, tmp_path / "b.zip")
    done = unpack(tmp_path / "b.zip", here, settings)
    assert {lot.product: lot.counted for lot in Stock(here).lots()} == {
        "soy_container": 1.0,
        "heap of november": 1.36,
    }
    assert done.troubles == []
    assert {note.name: note.seal for note in MouldNotes(here).notes()} == {"Tall": "wax", "short": "tape"}
    aside = dict(done.both)[STOCK]
    assert b"putty" in (here / dict(done.both)[MOULDS]).read_bytes()
    assert b"4.5" in (here / aside).read_bytes()
    again = unpack(tmp_path / "b.zip", here, settings)
    assert (again.added, again.both, again.troubles) == ([], [], [])


def test_what_is_put_in_may_be_made_of_what_is_taken_out_and_of_nothing_else(tmp_path):
    file = TableFile(tmp_path, ".any.json", "anything", 1)
    file.change("rows", lambda _: False, [{"n": 1}, {"n": 2}, {"n": 3}])
    file.change("rows", lambda row: row["n"] > 1, lambda out: [{"n": sum(row["n"] for row in out)}])
    assert sorted(row["n"] for row in file.tables()["rows"].values()) == [1, 5]


def test_tables_are_edited_in_hand_and_nothing_else_of_them_changes():
    tables = {"a": {"1": {"n": 1}, "4": {"n": 4}}, "b": {"1": {"of": "another"}}}
    out = edited(tables, "a", lambda row: row["n"] == 1, [{"n": 5}])
    assert sorted(row["n"] for row in out["a"].values()) == [4, 5]
    assert out["a"]["4"] == {"n": 4}
    assert out["b"] == {"1": {"of": "another"}}
