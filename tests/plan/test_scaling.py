"""A new plan from an old one."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from pourday.errors import Trouble
from pourday.plan.model import BlendPart, Cylinder, Layer, Mould, Plan, Tapered
from pourday.plan.scaling import Went, as_it_went, start_from
from pourday.plan.weigh import weigh_sheet

SMALL = (Mould(name="small", shape=Cylinder(diameter=0.05, height=0.1)),)
CONE = (Mould(name="cone", shape=Tapered(diameter_low=0.05, diameter_rim=0.08, height=0.12), count=3),)


@settings(deadline=None, max_examples=40)
@given(st.data())
def test_scaling_twice_is_scaling_once(any_plan: st.SearchStrategy[Plan], data: st.DataObject) -> None:
    plan = data.draw(any_plan)
    assert start_from(start_from(plan, SMALL), CONE) == start_from(plan, CONE)
    assert start_from(start_from(plan)) == start_from(plan)


def test_twice_the_moulds_take_twice_the_wax_but_no_more_vessels() -> None:
    plan = Plan(layers=(Layer(), Layer()))
    double = start_from(plan, (replace(plan.moulds[0], count=2),))
    vessels = 3 * plan.vessel_keeps  # a pot and two jugs
    assert weigh_sheet(double).total_wax - vessels == pytest.approx(
        2 * (weigh_sheet(plan).total_wax - vessels)
    )


def test_what_belongs_to_the_old_day_is_left_behind() -> None:
    part = BlendPart(wax="beeswax", lot="17", at_hand=2.0, price_per_kg=9.0)
    typed = {"moulds.0.shape.diameter": "3 in", "blend.0.lot": "17", "layers.0.scent_load": "6 %"}
    plan = Plan(blend=(part,), layers=(Layer(blend=(part,)),), scent_lot="a", dye_lot="b", typed=typed)
    fresh = start_from(plan)
    bare = replace(part, lot="", at_hand=None)
    assert fresh.blend == fresh.layers[0].blend == (bare,)
    assert (fresh.scent_lot, fresh.dye_lot) == ("", "")
    assert fresh.typed == {"moulds.0.shape.diameter": "3 in", "layers.0.scent_load": "6 %"}
    assert start_from(plan, SMALL).typed == {"layers.0.scent_load": "6 %"}


@pytest.mark.parametrize("plug", [0.0, 0.01])
def test_a_session_that_went_as_planned_gives_the_same_plan(plug: float) -> None:
    plan = Plan(moulds=CONE, plug=plug, layers=(Layer(share=1), Layer(share=2), Layer(share=1.5)))
    sheet = weigh_sheet(plan)
    first = sheet.plug("A")
    went = Went(
        letter="A", poured=tuple(sheet.pour("A", i).kg for i in range(3)), plug=first.kg if first else None
    )
    again = as_it_went(plan, went)
    whole = sum(layer.share for layer in again.layers)
    assert [layer.share / whole for layer in again.layers] == pytest.approx([1 / 4.5, 2 / 4.5, 1.5 / 4.5])
    assert weigh_sheet(again).pour("B", 2).kg == pytest.approx(sheet.pour("B", 2).kg)


def test_a_layer_that_was_poured_twice_as_heavy_is_twice_as_high() -> None:
    plan = Plan(plug=0.0, layers=(Layer(), Layer(), Layer()))
    sheet = weigh_sheet(plan)
    went = Went(letter="A", poured=(2 * sheet.pour("A", 0).kg, None, None), pour_c=85.0)
    again = as_it_went(plan, went)
    assert again.layers[0].share == pytest.approx(2 * 0.048)
    assert again.pour_c == 85.0


def test_a_layer_that_nothing_went_into_still_is_a_layer() -> None:
    """Half a millimetre, so that the plan can be weighed out; none would be refused."""
    plan = Plan(plug=0.0, layers=(Layer(), Layer()))
    again = as_it_went(plan, Went(letter="A", poured=(0.2, 0.0)))
    assert again.layers[1].share == 0.0005
    assert weigh_sheet(again).pour("A", 1).kg > 0


def test_real_loads_replace_the_planned_ones_where_they_are_known() -> None:
    plan = Plan(layers=(Layer(scent_load=0.06, dye_load=0.001), Layer(scent_load=0.06)))
    went = Went(letter="A", poured=(None, None), scent_loads=(0.05, None), dye_loads=(None, 0.002))
    again = as_it_went(plan, went)
    assert [layer.scent_load for layer in again.layers] == [0.05, 0.06]
    assert [layer.dye_load for layer in again.layers] == [0.001, 0.002]


@pytest.mark.parametrize("went", [Went(letter="Q", poured=(None,)), Went(letter="A", poured=())])
def test_a_session_without_that_mould_or_any_pour_is_said_so(went: Went) -> None:
    with pytest.raises(Trouble):
        as_it_went(Plan(), went)
