"""The stock in words and in data: what stands there is what the balance says, in the person's units."""

from __future__ import annotations

import json

from pourday.reports.stock_report import (
    cost_data,
    cost_text,
    shopping_data,
    shopping_text,
    stock_data,
    stock_text,
    told_text,
)
from pourday.stock.balance import DayTook, stock_now
from pourday.stock.cost import CandleCost, DayCost
from pourday.stock.lot import Delivery, Reclaimed, StockLot, lot_key
from pourday.stock.shopping import Purchase
from pourday.stock.taken import Taken
from pourday.store.memories import Memories

HEAP = StockLot(
    kind="wax", product="heap", counted=1.36, counted_at=1.7e9, price=2.0, note="Smells of spice.", use_first=True,
    deliveries=(Delivery(amount=0.1, at=1.71e9),),
    reclaimed=Reclaimed(came_from="candle ends", cleaned=("sorted", "strained"), melts_from_c=52.0, melts_to_c=61.0, heat_cycles=3),
)  # fmt: skip
TOOK = [
    DayTook("a", 1.72e9, True, (Taken(kind="wax", product="heap", amount=2.0, sure=False),)),
    DayTook(
        "b",
        1.73e9,
        False,
        (Taken(kind="wax", product="heap", amount=0.5), Taken(kind="wick", product="", amount=0.3)),
    ),
]


def test_a_reclaimed_lot_is_told_with_what_it_came_from_and_an_unknown_scent():
    now = stock_now([HEAP], TOOK)
    said = "\n".join(stock_text(now, "metric", {"heap": "heap of november"}))
    for part in (
        "heap of november: ~-540 g; 500 g reserved; use first; 2.00 a kg; counted 2023-11-14",
        "More was taken than was ever counted",
        "Reclaimed from candle ends. Cleaned: sorted, strained.",
        "It melts from 52 °C to 61 °C. It has been melted 3 times.",
        "Scent: unknown. Allow for it with wick and load.",
        "Smells of spice.",
        "wick, not named: 0.30 m reserved",
    ):
        assert part in said
    assert told_text(HEAP.key, now, "us", {})[1].startswith("  heap: ~-1 lb 3.05 oz; ")
    assert told_text(lot_key("dye", "none"), now, "us", {}) == ["Forgotten."]
    lot = json.loads(json.dumps(stock_data(now)))["lots"][0]
    assert (round(lot["there"], 6), lot["reserved"], lot["reclaimed"]["heat_cycles"]) == (-0.54, 0.5, 3)
    assert lot["delivered"] == [{"amount": 0.1, "utc": "2024-03-09T16:00:00Z"}]


def test_a_shopping_list_says_packs_and_that_a_heap_cannot_be_bought():
    rows = [
        Purchase("wax", "palm", "kg", 3.2, 0.7, True, 2.0, 6.0),
        Purchase("wax", "heap", "kg", 3.2, 0.7, True, None, None, reclaimed=True),
        Purchase("dye", "", "kg", 0.0012, 0.0, False, None, None),
        Purchase("wick", "30 ply", "pieces", 2.0, 5.0, True, 25.0, 0.1),
    ]
    said = shopping_text(rows, "metric", {"palm": "palm wax"})
    assert said[1] == "  palm wax: 2 packs of 2.00 kg, 24.00 (3.20 kg needed, 700 g free)"
    assert "no more of it" in said[2]
    assert said[3] == "  dye, not named: 1.2 g (1.2 g needed, never counted)"
    assert said[4] == "  together 24.00 without what has no price"
    assert said[-1] == "  30 ply: 2 pieces needed, 5 pieces free"
    assert [row["packs"] for row in shopping_data(rows)["purchases"]] == [2, None, None, 0]
    assert shopping_text(rows[3:], "metric", {})[0] == "Nothing has to be bought."


def test_what_a_candle_costs_is_told_with_what_has_no_price(tmp_path):
    cost = DayCost(
        (CandleCost("A", 3.0, 1.5, 0.1),), 4.6, (Taken(kind="dye", product="ivory", amount=0.001),)
    )
    assert cost_text(cost, "metric", {}) == [
        "A: 4.60 (in it 3.00, wick 0.10, lost 1.50)",
        "All of it: 4.60",
        "Without a price: ivory, 1.0 g.",
    ]
    assert cost_data(cost)["candles"][0]["total"] == 4.6
    assert Memories(tmp_path).wax_names()["palm"].startswith("palm wax")
