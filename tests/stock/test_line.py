"""The line by which somebody tells of a lot: what it says, which lot it is about, and what becomes of that."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from pourday.errors import Trouble
from pourday.stock.line import changed, key_of, read_stock_line
from pourday.stock.lot import StockLot, lot_key
from pourday.wax.materials import families

WAXES = {id_: wax.short_name for id_, wax in families().items()} | {"my-soy": "Soy of mine"}
SACK = StockLot(
    kind="wax", product="paraffin_pillar", lot="sack 7", counted=10.0, counted_at=100.0, price=6.4, pack=10.0
)
IVORY = StockLot(kind="dye", product="Ivory", counted=0.012, counted_at=100.0)
POUND = 0.45359237
"""kg, by the agreement of 1959."""


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("add wax palm 10 kg lot A12 paid 64", ("add", "wax", "palm", 10.0, "kg", "A12", 64.0, None, False)),
        ("scent orange and clove, mixed 85g", ("count", "scent", "orange and clove, mixed", 0.085, "kg", None, None, None, False)),
        ("wick 30 ply, primed 20 m pack 50 m", ("count", "wick", "30 ply, primed", 20.0, "m", None, None, 50.0, False)),
        ("add wicks CD 12 25 pieces first", ("add", "wick", "CD 12", 25.0, "pieces", None, None, None, True)),
        ("soy of mine 3 lb 8 oz use first", ("count", None, "soy of mine", 3.5 * POUND, "kg", None, None, None, True)),
        ("COUNT Dye  ivory: 1,5 g lot b 2", ("count", "dye", "ivory", 0.0015, "kg", "b 2", None, None, False)),
        ("wax palm lot A 12 is 9,2 kg", ("count", "wax", "palm", 9.2, "kg", "A 12", None, None, False)),
        ("wax palm lot A 12 900 g", ("count", "wax", "palm", 0.9, "kg", "A 12", None, None, False)),
        ("add wax palm lot A12 2 kg paid 9", ("add", "wax", "palm", 2.0, "kg", "A12", 9.0, None, False)),
        ("forget dye ivory lot b", ("forget", "dye", "ivory", None, "kg", "b", None, None, False)),
        ("wick 24 ply 6 ft", ("count", "wick", "24 ply", 6 * 0.3048, "m", None, None, None, False)),
    ],
)  # fmt: skip
def test_a_line_says_what_it_says(text, says):
    line = read_stock_line(text, "metric")
    assert (line.verb, line.kind, line.product, line.unit, line.lot, line.paid, line.pack, line.first) == (
        *says[:3], *says[4:],
    )  # fmt: skip
    assert line.amount == (None if says[3] is None else pytest.approx(says[3]))


@pytest.mark.parametrize(
    "text",
    ["", "add", "wax", "wax palm", "wax palm 5", "wax palm 5 m", "wax palm is ", "wick 30 ply 4 kg", "dye red 5 ml", "12 g",
     "wax palm 5 kg pack 4 m", "wax palm 5 kg paid much", "wax palm 5 kg pack 0 kg", "add wax palm -5 kg x"],
)  # fmt: skip
def test_what_cannot_be_understood_is_refused_with_what_to_type(text):
    with pytest.raises(Trouble) as refused:
        read_stock_line(text, "metric")
    assert refused.value.instead


@given(
    text=st.text(max_size=80)
    | st.lists(
        st.sampled_from(["add", "wax", "palm", "5", "kg", "lot", "paid", "pack", "first", "m", "3", ",", "½"])
    ).map(" ".join)
)
def test_any_line_is_understood_or_refused(text):
    try:
        line = read_stock_line(text, "us")
        key = key_of(line, [SACK, IVORY], WAXES)
        changed(line, key, None, 1e9)
    except Trouble:
        pass


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("ivory 9 g", lot_key("dye", "ivory")),
        ("paraffin pillar 9 kg", lot_key("wax", "paraffin_pillar", "sack 7")),
        ("add paraffin pillar 9 kg", lot_key("wax", "paraffin_pillar")),
        ("paraffin_pillar 9 kg lot sack 8", lot_key("wax", "paraffin_pillar", "sack 8")),
        ("palm 1 kg", lot_key("wax", "palm")),
        ("soy of mine 1 kg", lot_key("wax", "my-soy")),
        ("scent ivory 9 g", lot_key("scent", "ivory")),
    ],
)
def test_a_line_finds_the_lot_it_is_about(text, key):
    assert key_of(read_stock_line(text, "metric"), [SACK, IVORY], WAXES) == key


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("frankincense 3 g", "wax, scent"),
        ("soy 3 kg", "several waxes"),
        ("wax gold 3 kg", "No wax is called"),
    ],
)
def test_what_may_be_several_things_is_asked_for(text, why):
    with pytest.raises(Trouble, match=why):
        key_of(read_stock_line(text, "metric"), [SACK, IVORY], WAXES)


def test_two_lots_of_a_product_have_to_be_told_apart():
    with pytest.raises(Trouble, match="2 lots of paraffin_pillar: sack 7, sack 8"):
        key_of(read_stock_line("paraffin_pillar 3 kg", "metric"), [SACK, replace(SACK, lot="sack 8")], WAXES)


def test_adding_adds_counting_counts_and_forgetting_forgets():
    more = changed(read_stock_line("add wax paraffin_pillar 5 kg paid 20", "metric"), SACK.key, SACK, 200.0)
    assert more is not None
    assert (more.came, more.counted_at, more.price, more.pack) == (15.0, 100.0, 4.0, 10.0)
    less = changed(read_stock_line("paraffin_pillar 4.2 kg first", "metric"), SACK.key, more, 300.0)
    assert less is not None
    assert (less.came, less.counted_at, less.price, less.use_first, less.lot) == (
        4.2,
        300.0,
        4.0,
        True,
        "sack 7",
    )
    forget = read_stock_line("forget ivory", "metric")
    assert changed(forget, IVORY.key, IVORY, 300.0) is None
    with pytest.raises(Trouble, match="no such lot"):
        changed(forget, IVORY.key, None, 300.0)
