"""What is short, what to buy and what candles cost, held against sums done by hand."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from pourday.cli import main
from pourday.plan.model import BlendPart, Cylinder, Layer, Mould, Plan
from pourday.plan.weigh import weigh_sheet
from pourday.session import events as ev
from pourday.session.fold import fold
from pourday.stock.amounts import amount_words
from pourday.stock.balance import DayTook, stock_now
from pourday.stock.cost import candles_of_day, day_cost
from pourday.stock.lot import Reclaimed, StockLot
from pourday.stock.shopping import shopping
from pourday.stock.short import short
from pourday.stock.taken import Taken, planned, taken

PLAN = Plan(
    moulds=(Mould(shape=Cylinder(diameter=0.07, height=0.12), count=2),),
    blend=(BlendPart(wax="paraffin_pillar", lot="sack 7"),),
    layers=(Layer(colour="rust", scent_load=0.06, dye_load=0.001),),
    scent_lot="clove",
    dye_lot="rust red",
    wick="30 ply",
)
NEED = weigh_sheet(PLAN).total_wax
WAX = StockLot(
    kind="wax",
    product="paraffin_pillar",
    lot="sack 7",
    counted=NEED + 0.001,
    counted_at=0.0,
    price=6.0,
    pack=2.5,
    since=1.0,
)
WICK = StockLot(
    kind="wick", product="30 ply", unit="pieces", counted=2.0, counted_at=0.0, price=0.1, pack=25.0
)


def reserving(kg: float) -> list[DayTook]:
    return [
        DayTook("a", 5.0, False, (Taken(kind="wax", product="paraffin_pillar", lot="sack 7", amount=kg),))
    ]


def test_enough_is_nothing_to_say_and_what_nobody_counted_neither():
    assert short(PLAN, stock_now([WAX, WICK], [])) == ()
    assert short(PLAN, stock_now([], reserving(1.0))) == ()


def test_what_is_short_is_said_with_what_other_days_hold_back():
    (wax, wick) = short(PLAN, stock_now([WAX, replace(WICK, counted=1.0)], reserving(0.2)))
    assert (wax.level, wax.about, wick.level, wick.about) == ("stop-and-think", "blend", "caution", "wick")
    assert wax.what.startswith(f"{amount_words(NEED - 0.199, 'kg', 'metric')} of paraffin pillar are free")
    assert wax.why == "199 g are missing. Days that have begun hold 200 g back."
    assert "1 piece of 30 ply" in wick.what


def test_wax_the_plan_tells_of_itself_is_looked_at_once():
    told = replace(PLAN, blend=(replace(PLAN.blend[0], at_hand=0.1),))
    assert short(told, stock_now([replace(WAX, counted=0.1)], [])) == ()


def test_two_layers_of_one_scent_are_short_together():
    two = replace(PLAN, layers=(Layer(colour="a", scent_load=0.06), Layer(colour="b", scent_load=0.06)))
    need = sum(jug.scent for jug in weigh_sheet(two).jugs)
    clove = StockLot(kind="scent", product="clove", counted=0.75 * need, counted_at=0.0)
    (finding,) = short(two, stock_now([clove], []))
    assert "of clove are free" in finding.what
    assert short(two, stock_now([replace(clove, counted=need)], [])) == ()


def test_what_was_to_be_used_first_and_what_nobody_knows_the_scent_of_is_said():
    old = replace(WAX, lot="sack 1", counted=1.0, use_first=True)
    (first,) = short(PLAN, stock_now([WAX, old], []))
    assert "sack 1 was to be used first" in first.what
    heap = replace(WAX, reclaimed=Reclaimed(came_from="candle ends"))
    (scent,) = short(PLAN, stock_now([heap], []))
    assert (scent.level, "scent" in scent.what) == ("caution", True)
    known = replace(WAX, reclaimed=Reclaimed(scent="none"))
    assert short(PLAN, stock_now([known], [])) == ()


def test_shopping_is_in_whole_packs_over_all_plans():
    rows = {row.kind: row for row in shopping([PLAN, PLAN], stock_now([replace(WAX, counted=0.3), WICK], []))}
    wax, wick, dye = rows["wax"], rows["wick"], rows["dye"]
    assert wax.missing == pytest.approx(2 * NEED - 0.3)
    assert (wax.packs, wax.buy, wax.cost) == (1, 2.5, 15.0)
    assert (wick.needed, wick.missing, wick.packs, wick.cost) == (4.0, 2.0, 1, 2.5)
    assert (dye.counted, dye.packs, dye.cost) == (False, None, None)
    assert dye.buy == pytest.approx(2 * weigh_sheet(PLAN).jugs[0].dye)
    exact = shopping([PLAN], stock_now([replace(WAX, counted=0.0, pack=NEED)], []))[0]
    assert exact.packs == 1


def test_a_candle_costs_its_part_of_all_that_was_drawn_and_its_wick():
    """By hand: 1.2 kg at 6.00 and 2 pieces at 0.10 are 7.40; candles of 500 and 300 g share 7.20 as 5 to 3, 0.4 kg are lost."""
    rows = (
        Taken(kind="wax", product="paraffin_pillar", lot="sack 7", amount=1.2),
        Taken(kind="wick", product="30 ply", amount=0.5, pieces=2),
        Taken(kind="dye", product="rust red", amount=0.0),
    )
    cost = day_cost(rows, {"A": 0.5, "B": 0.3}, PLAN, stock_now([WAX, WICK], []))
    a, b = cost.candles
    assert (round(a.total, 4), round(b.total, 4), round(cost.total, 4)) == (4.6, 2.8, 7.4)
    assert (round(a.material, 4), round(a.lost, 4), a.wick) == (3.0, 1.5, 0.1)
    assert [row.product for row in cost.unpriced] == ["rust red"]
    priced = replace(PLAN, blend=(replace(PLAN.blend[0], price_per_kg=5.0),))
    assert day_cost(rows, {"A": 0.5}, priced, stock_now([], [])).total == pytest.approx(6.0)


def test_what_failed_is_lost_and_the_good_candle_pays_for_it():
    facts = [
        ev.Opened(session="a", program="test"),
        ev.PlanFixed(plan=PLAN),
        ev.JugMade(layer=0, kg=NEED),
        ev.Poured(mould="A", layer=0, part="layer"),
        ev.Weighed(mould="A", what="candle", kg=0.33),
        ev.Demoulded(mould="A", release="dropped out"),
        ev.Finished(),
    ]
    entries = [
        ev.Entry(seq=n, at=ev.moment(1e9 + n), logged_at=ev.moment(1e9 + n), by="person", fact=fact)
        for n, fact in enumerate(facts, 1)
    ]
    state = fold(entries)
    assert candles_of_day(state) == {"A": 0.33}
    rows = taken(state, entries, over=True)
    cost = day_cost(rows, candles_of_day(state), PLAN, stock_now([WAX, WICK], []))
    assert cost.candles[0].total == pytest.approx(cost.total)
    going_on = fold(entries[:3])
    assert candles_of_day(going_on) == {mould.letter: mould.finished for mould in weigh_sheet(PLAN).moulds}
    assert planned(PLAN) == taken(going_on, entries[:3], over=False)


@pytest.mark.parametrize(
    ("file", "line"),
    [(".stock.json", ["stock", "dye", "red", "5", "g"]), (".moulds.json", ["moulds", "tall", "cleaned"])],
)
def test_a_line_over_a_broken_file_says_what_became_of_it(tmp_path, capsys, file, line):
    (tmp_path / file).write_text('{"a":[1,')
    with pytest.raises(SystemExit):
        main(["--sessions", str(tmp_path), *line])
    assert f"kept in {file}.broken" in capsys.readouterr().err
    assert (tmp_path / f"{file}.broken").read_text() == '{"a":[1,'
