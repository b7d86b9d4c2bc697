"""The weigh sheet in words."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from pourday.plan.findings import findings
from pourday.plan.model import BlendPart, Cylinder, Layer, Mould, Plan, WaterFilled, WaterPoint
from pourday.plan.sheet_words import GOES, SheetEntry, SheetPart, shape_words, sheet_words
from pourday.reports.plan_report import plan_text
from pourday.tui.drawing.lines import text_of
from pourday.tui.drawing.weigh_sheet import whole_sheet

TWO = Plan(
    moulds=(Mould(name="tall", count=2), Mould(name="short", shape=Cylinder(diameter=0.065, height=0.1))),
    layers=(Layer(colour="rust", scent_load=0.0625), Layer(colour="cream", scent_load=0.0625)),
)


def part(plan: Plan, kind: str, at: int = 0) -> SheetPart:
    return [each for each in sheet_words(plan) if each.kind == kind][at]


def entry(found: SheetPart, label: str) -> SheetEntry:
    return next(each for each in found.entries if each.label == label)


def grams(text: str) -> int:
    return int(re.match(r"(\d+) g$", text)[1])  # type: ignore[index]


def test_moulds_of_one_kind_stand_together_and_each_has_its_own_letter() -> None:
    names = [each.name for each in sheet_words(TWO) if each.kind == "mould"]
    assert names == ["A B tall", "C short"]


def test_shown_grams_of_a_mould_add_up_to_the_shown_candle() -> None:
    for at in (0, 1):
        mould = part(TWO, "mould", at)
        parts = [entry(mould, label) for label in ("plug", "rust", "cream", "top-up")]
        assert sum(grams(each.amount) for each in parts) == grams(entry(mould, "candle").amount)


def test_load_and_content_stand_apart() -> None:
    """1 oz of scent a pound is 6.25 % load and 5.88 % content: arithmetic of the trade."""
    scent = entry(part(TWO, "jug"), "scent")
    assert "load 6.25 %" in scent.remark
    assert "content 5.88 %" in scent.remark


def test_what_is_below_the_scale_says_so_and_offers_drops_or_a_bigger_jug() -> None:
    """46 mg of 0.03 g drops are one and a half (common practice): two drops."""
    mould = Mould(shape=Cylinder(diameter=0.05, height=0.05), below_rim=0.0055)
    plan = Plan(moulds=(mould,), plug=0.0, layers=(Layer(dye_load=0.0005),), scale_step=0.0001)
    dye = entry(part(plan, "jug"), "dye")
    assert dye.amount == "< 0.1 g"
    assert "mg" in dye.remark
    assert "drop" in dye.remark
    assert "1 g of dye in 99 g of wax" in dye.remark


def test_no_jug_is_offered_that_the_day_has_no_wax_for() -> None:
    """On a 1 g scale 0.05 % of dye is weighed well from 10 kg on; a day of under a kilogram has none."""
    colours = tuple(Layer(colour=name, dye_load=load) for name, load in (("rust", 0.0005), ("cream", 0.0001)))
    plan = replace(TWO, layers=colours)
    said = " ".join(e.remark for p in sheet_words(plan) for e in p.entries)
    assert "one jug" not in said
    once = [f for f in findings(plan) if f.about == "scale_step"]
    assert len(once) == 1
    assert "50 kg" in once[0].what
    assert "99 g of wax" in once[0].do


def test_more_than_fifteen_drops_are_grams() -> None:
    """0.9 g of scent are 30 drops of 0.03 g, which nobody counts well."""
    mould = Mould(shape=Cylinder(diameter=0.0381, height=0.02), below_rim=0.003, stays=True)
    plan = Plan(moulds=(mould,), layers=(Layer(colour="sand", scent_load=0.03, dye_load=0.003),))
    scent = entry(part(plan, "jug"), "scent")
    assert scent.amount == "< 1 g"
    assert "drop" not in f"{scent.remark} {scent.brief}"
    dye = entry(part(plan, "jug"), "dye")
    assert re.search(r"\d drops", dye.remark)


def test_a_weight_below_the_scales_step_says_so() -> None:
    """A tealight's worth of wax on a scale of 5 g steps: nothing that is poured is 0 g."""
    mould = Mould(shape=Cylinder(diameter=0.0381, height=0.016), below_rim=0.003)
    plan = Plan(moulds=(mould,), plug=0.001, scale_step=0.005)
    amounts = {e.label: e.amount for p in sheet_words(plan) for e in p.entries}
    assert amounts["plug"] == "< 5 g"
    assert "0 g" not in [e.amount for p in sheet_words(plan) for e in p.entries]


def total(amount: str) -> int:
    return grams(amount.rpartition(" ")[0].rpartition(" ")[2] + " g")


def test_the_sheet_follows_the_work_and_its_totals_have_names_of_their_own() -> None:
    """The pot is loaded first; what is loaded, what a jug holds and what a candle weighs are near each other."""
    parts = sheet_words(TWO)
    assert [each.kind for each in parts] == ["pot", "jug", "jug", "mould", "mould"]
    words = {each.kind: each.amount.split()[0] for each in parts}
    assert words == {"pot": "load", "jug": "holds", "mould": "candle"}
    pot, jugs = parts[0], parts[1:3]
    draws = [grams(entry(jug, "draw").amount) for jug in jugs]
    assert sum(draws) == grams(entry(pot, "into jugs").amount)
    assert total(pot.amount) == sum(draws) + grams(entry(pot, "stays").amount)


def test_each_jug_says_which_part_is_poured_when_and_the_parts_make_it() -> None:
    for jug in [each for each in sheet_words(TWO) if each.kind == "jug"]:
        goes = [e for e in jug.entries if e.label in ("plug", "layer", "top-up", "stays", "over")]
        assert sum(grams(e.amount) for e in goes) == total(jug.amount)
        assert sum(grams(e.amount) for e in jug.entries if e.label in ("draw", "scent")) == total(jug.amount)
    first, last = [each for each in sheet_words(TWO) if each.kind == "jug"]
    assert entry(first, "plug").remark.startswith("first, A ")
    assert entry(first, "layer").remark.startswith("once the plug holds, A ")
    assert not [e for e in first.entries if e.label == "top-up"]
    assert entry(last, "top-up").remark.startswith("last, hot, in one to four goes until it has set, A ")


def test_each_mould_shows_the_wick_chosen_for_it() -> None:
    plan = replace(TWO, moulds=(replace(TWO.moulds[0], wick="36 ply, lot 4"), TWO.moulds[1]))
    chosen, open_ = (entry(part(plan, "mould", at), "wick") for at in (0, 1))
    assert chosen.amount == "36 ply, lot 4"
    assert "To start from: flat braid" in chosen.remark
    assert open_.amount.startswith("flat braid")


def test_scent_by_eye_is_never_given_a_weight() -> None:
    plan = replace(TWO, layers=(replace(TWO.layers[0], scent_by_eye=True), TWO.layers[1]))
    jug = part(plan, "jug")
    assert entry(jug, "scent").amount == "by eye"
    assert grams(jug.amount.removeprefix("holds ")) == grams(entry(jug, "draw").amount)


def test_the_cost_of_a_candle_is_shown_where_every_wax_has_a_price() -> None:
    """At 10 a kg one candle alone costs a hundredth of its grams, all that is lost with it."""
    priced = replace(Plan(), blend=(BlendPart(wax="paraffin_pillar", price_per_kg=10.0),))
    cost, loaded = entry(part(priced, "mould"), "cost").amount, part(priced, "pot").amount
    assert float(cost) == pytest.approx(grams(loaded.removeprefix("load ")) / 100, abs=0.011)
    assert not [each for each in part(Plan(), "mould").entries if each.label == "cost"]


def test_the_wick_is_a_start_and_the_burn_test_decides() -> None:
    wick = entry(part(Plan(), "mould"), "wick")
    assert "burn test decides" in wick.remark
    assert entry(part(Plan(), "mould"), "cut to").amount == "250 to 300 mm"


def test_a_person_with_inches_and_ounces_sees_neither_grams_nor_millimetres() -> None:
    plan = replace(TWO, units="us", scale_step=0.00141747615625)
    text = " ".join(
        f"{p.amount} " + " ".join(f"{e.amount} {e.remark}" for e in p.entries) for p in sheet_words(plan)
    )
    assert not re.search(r"\d (?:g|mm|°C)\b", text)
    assert not re.search(r"\d\.\d+ in\b", text)


def test_every_shape_is_named_with_its_sizes() -> None:
    water = WaterFilled(points=(WaterPoint(height=0.1, water=0.7),))
    assert shape_words(Mould(), Plan()) == "cylinder 75 mm x 150 mm, fill line 6 mm below the rim"
    assert shape_words(Mould(shape=water), Plan()).startswith("by water, 100 mm high")


@settings(deadline=None, max_examples=40)
@given(st.data())
def test_any_plan_can_be_said_in_words(any_plan: st.SearchStrategy[Plan], data: st.DataObject) -> None:
    parts = sheet_words(data.draw(any_plan))
    assert {each.kind for each in parts} == {"mould", "jug", "pot"}
    assert all("nan" not in f"{e.amount}{e.remark}" for each in parts for e in each.entries)


@pytest.mark.parametrize("count", [1, 3])
def test_a_mould_that_gets_several_says_each(count: int) -> None:
    plan = Plan(moulds=(Mould(count=count),))
    assert part(plan, "mould").amount.endswith("each") == (count > 1)


def test_a_top_up_is_said_to_go_in_by_and_by_but_in_one_go_where_it_is_the_candles_own_top():
    """The wax sinks as long as some of it is liquid (common practice, no source): screen and paper say the same words."""
    glass = replace(TWO, moulds=tuple(replace(mould, stays=True) for mould in TWO.moulds))
    for plan, says, not_says in ((TWO, GOES, "in one go"), (glass, "in one go", GOES)):
        last = [each for each in sheet_words(plan) if each.kind == "jug"][-1]
        for remark in (entry(part(plan, "mould"), "top-up").remark, entry(last, "top-up").remark):
            assert says in remark
            assert not_says not in remark
        assert says in " ".join(" ".join(plan_text(plan)).split())
        assert says in " ".join(" ".join(text_of(line) for line in whole_sheet(plan, 100)).split())


def test_equal_moulds_are_one_weight_each() -> None:
    """Four tins were `A 29 g, B 29 g, C 29 g, D 29 g`, broken between number and unit."""
    assert entry(part(TWO, "jug"), "plug").remark == "first, A and B 34 g each, C 25 g"
