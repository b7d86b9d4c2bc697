"""What a day takes off the shelf, by its plan and by its record."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from pourday.plan.model import BlendPart, Cylinder, Layer, Mould, Plan, Product
from pourday.plan.weigh import weigh_sheet
from pourday.session import events as ev
from pourday.session.fold import fold
from pourday.stock.taken import planned, taken

PLAN = Plan(
    moulds=(
        Mould(shape=Cylinder(diameter=0.07, height=0.12), count=2, wick="30 ply"),
        Mould(shape=Cylinder(diameter=0.05, height=0.08)),
    ),
    blend=(BlendPart(wax="paraffin_pillar", share=9.0, lot="sack 7"), BlendPart(wax="stearic_commercial")),
    layers=(
        Layer(
            colour="rust", scent_load=0.06, dye_load=0.001,
            scents=(Product(name="clove", lot="C1", share=1.0), Product(name="orange", share=2.0)),
        ),
        Layer(colour="cream", scent_load=0.06),
    ),
    scent_lot="vanilla",
    dye_lot="red-brown",
    wick="24 ply",
    vessel_keeps=0.012,
)  # fmt: skip
"""Two moulds of a kind and a small one, in two layers."""


def entries(*facts) -> list[ev.Entry]:
    opened = ev.Opened(session="2026-11-25-a", program="test")
    told = [opened, ev.PlanFixed(plan=PLAN), *facts]
    return [
        ev.Entry(seq=n, at=ev.moment(1e9 + n), logged_at=ev.moment(1e9 + n), by="person", fact=fact)
        for n, fact in enumerate(told, 1)
    ]


def took(*facts, over: bool = True) -> dict[tuple[str, str, str], tuple[float, bool]]:
    rows = taken(fold(entries(*facts)), entries(*facts), over=over)
    return {(row.kind, row.product, row.lot): (round(row.amount, 6), row.sure) for row in rows}


def test_a_plan_needs_what_its_weigh_sheet_says_by_product_and_lot():
    sheet = weigh_sheet(PLAN)
    rows = {(row.kind, row.product, row.lot): row for row in planned(PLAN)}
    rust, cream = sheet.jugs
    assert rows["wax", "paraffin_pillar", "sack 7"].amount == pytest.approx(0.9 * sheet.total_wax)
    assert rows["wax", "stearic_commercial", ""].amount == pytest.approx(0.1 * sheet.total_wax)
    assert rows["scent", "clove", "C1"].amount == pytest.approx(rust.scent / 3)
    assert rows["scent", "orange", ""].amount == pytest.approx(rust.scent * 2 / 3)
    assert rows["scent", "vanilla", ""].amount == pytest.approx(cream.scent)
    assert rows["dye", "red-brown", ""].amount == pytest.approx(rust.dye)
    # Common practice, no source: wicks are cut 10 to 15 cm longer than the mould is high; a votive's stands on a tab.
    assert (rows["wick", "30 ply", ""].pieces, rows["wick", "30 ply", ""].amount) == (2, pytest.approx(0.54))
    assert rows["wick", "24 ply", ""].pieces == 1
    assert not any(row.sure for kind, row in rows.items() if kind[0] != "wick")


def test_an_open_day_reserves_its_plan_whatever_was_drawn_by_then():
    day = took(ev.JugMade(layer=0, kg=0.4), over=False)
    assert day["wax", "paraffin_pillar", "sack 7"][0] == pytest.approx(
        0.9 * weigh_sheet(PLAN).total_wax, abs=1e-6
    )


def test_a_finished_day_took_what_was_weighed():
    day = took(
        ev.JugMade(layer=0, planned_kg=0.9),
        ev.JugWeighed(layer=0, kg=0.85),
        ev.JugDosed(layer=0, what="scent", product="clove", lot="C2", kg=0.05),
        ev.JugDosed(layer=0, what="dye", kg=0.0011),
        ev.JugMade(layer=0, planned_kg=0.2),
        ev.JugWeighed(layer=0, kg=0.21),
        ev.Poured(mould="A", layer=0, part="layer"),
        ev.LeftOver(kg=0.02),
    )
    drawn = 0.85 + 0.21
    assert day["wax", "paraffin_pillar", "sack 7"] == (pytest.approx(0.9 * (drawn + 0.02)), True)
    assert day["wax", "stearic_commercial", ""] == (pytest.approx(0.1 * (drawn + 0.02)), True)
    assert day["scent", "clove", "C2"] == (0.05, True)
    assert ("scent", "orange", "") not in day
    assert day["dye", "red-brown", ""] == (0.0011, True)
    assert day["wick", "30 ply", ""][0] == pytest.approx(0.27)
    assert ("scent", "vanilla", "") not in day
    assert ("wick", "24 ply", "") not in day


def test_what_went_in_and_was_not_weighed_counts_as_it_was_asked_for_and_says_so():
    day = took(ev.JugMade(layer=1, planned_kg=0.5), ev.JugDosed(layer=1, what="scent", planned_kg=0.03))
    assert day["wax", "paraffin_pillar", "sack 7"] == (pytest.approx(0.9 * (0.5 + 0.012)), False)
    assert day["scent", "vanilla", ""] == (0.03, False)
    silent = took(ev.JugMade(layer=1, planned_kg=0.5))
    assert silent["scent", "vanilla", ""] == (pytest.approx(weigh_sheet(PLAN).jug(1).scent, abs=1e-6), False)


def test_what_was_taken_back_is_not_taken():
    # The entries are 1 Opened, 2 PlanFixed, 3 JugMade.
    assert took(ev.JugMade(layer=0, kg=0.4), ev.Undone(entry=3)) == {}


def test_a_demo_a_plan_and_a_day_that_cannot_be_weighed_out_take_nothing():
    facts = entries(ev.JugMade(layer=0, kg=0.4))
    state = fold(facts)
    no_wax = replace(PLAN, blend=(BlendPart(wax="nobody's"),))
    from dataclasses import replace as changed

    assert taken(changed(state, demo=True), facts, over=True) == ()
    assert taken(changed(state, fixed_plan=None), facts, over=False) == ()
    assert taken(changed(state, plan=no_wax), facts, over=False) == ()


def test_of_what_a_day_did_not_use_nothing_is_taken():
    """The second layer has no dye, and no row says 0 g of a dye that nobody named."""
    plain = replace(PLAN, layers=(Layer(colour="plain"),))
    told = [ev.Opened(session="2026-11-25-a", program="test"), ev.PlanFixed(plan=plain)]
    told += [ev.JugMade(layer=0, kg=0.5), ev.Poured(mould="A", layer=0, part="layer", kg=0.4)]
    rows = [
        ev.Entry(seq=n, at=ev.moment(1e9 + n), logged_at=ev.moment(1e9 + n), by="person", fact=fact)
        for n, fact in enumerate(told, 1)
    ]
    assert {row.kind for row in taken(fold(rows), rows, over=True)} == {"wax", "wick"}
