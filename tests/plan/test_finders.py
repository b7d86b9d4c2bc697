"""Each finder by itself: it names fields of its own part of the plan only, and says nothing where all is well."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from pourday.plan.finding_case import FindingCase
from pourday.plan.layer_findings import THIN, parting_layers, thin_layers
from pourday.plan.model import BlendPart, Cylinder, Layer, Mould, Plan
from pourday.plan.mould_findings import (
    CLOSE_TO_RIM,
    glass_moulds,
    mould_limits,
    plug_height,
    remembered_weights,
    wick_holes,
)
from pourday.plan.wax_findings import fat_crystals, unlikely_sheets, unsuited_waxes
from pourday.plan.waxes import waxes_of
from pourday.plan.weigh import weigh_sheet

FINDERS = (
    glass_moulds, mould_limits, plug_height, remembered_weights, wick_holes,
    parting_layers, thin_layers, fat_crystals, unlikely_sheets, unsuited_waxes,
)  # fmt: skip


def case_of(plan: Plan, fat: float = 0.0) -> FindingCase:
    sheet = weigh_sheet(plan)
    return FindingCase(plan, sheet, waxes_of(plan, sheet.wax, None), fat)


@pytest.mark.parametrize("finder", FINDERS)
def test_a_plain_plan_has_nothing_for_any_finder(finder):
    assert list(finder(case_of(Plan()))) == []


@pytest.mark.parametrize("below_rim", [CLOSE_TO_RIM / 2, CLOSE_TO_RIM * 2])
def test_wax_near_the_rim_is_noticed_under_the_threshold_only(below_rim):
    noticed = [each.about for each in mould_limits(case_of(Plan(moulds=(Mould(below_rim=below_rim),))))]
    assert noticed == (["moulds.0.below_rim"] if below_rim < CLOSE_TO_RIM else [])


@pytest.mark.parametrize("high", [0.8 * THIN, 1.5 * THIN])
def test_a_layer_is_thin_by_its_height_and_not_by_its_share(high):
    """The same share is thin in a low mould and none in a tall one."""
    mould = Mould(shape=Cylinder(diameter=0.07, height=high / 0.2 + 0.006), below_rim=0.006)
    layers = (Layer(colour="sage", share=0.2), Layer(colour="sand", share=0.8))
    noticed = [each.about for each in thin_layers(case_of(Plan(moulds=(mould,), layers=layers, plug=0.0)))]
    assert noticed == (["layers.0.share"] if high < THIN else [])


def test_a_glass_that_keeps_its_candle_is_no_mould_and_one_that_gives_it_back_is_asked_about():
    glass = Mould(material="glass", limit_c=66.0)
    assert [each.about for each in glass_moulds(case_of(Plan(moulds=(glass,))))] == ["moulds.0.stays"]
    assert list(glass_moulds(case_of(Plan(moulds=(replace(glass, stays=True),))))) == []


def test_crystals_are_asked_about_where_half_of_the_wax_is_fat():
    soy = Plan(blend=(BlendPart(wax="soy_pillar"),))
    assert [each.about for each in fat_crystals(case_of(soy, fat=0.6))] == ["blend"]
    assert list(fat_crystals(case_of(soy, fat=0.4))) == []
