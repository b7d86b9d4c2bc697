"""Scent and dye: above a limit it is said, and what the scale cannot show is dosed another way."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from pourday.plan.dosing import BIG_JUG, DYE_USUAL, dosing, fine, instead_of_weighing
from pourday.plan.model import Layer
from pourday.plan.waxes import waxes_of
from pourday.plan.weigh import weigh_sheet
from pourday.units import DROP


def said(plan) -> set[tuple[str, str]]:
    """The path each finding is about, and its level."""
    return {(f.about, f.level) for f in dosing(plan, weigh_sheet(plan), waxes_of(plan))}


def test_the_scents_own_limit_stops_and_the_waxs_only_cautions(pillar):
    over = replace(pillar(Layer(scent_load=0.05)), scent_limit=0.04)
    assert ("layers.0.scent_load", "stop-and-think") in said(over)
    (wax,) = waxes_of(over)
    much = pillar(Layer(scent_load=wax.scent_max + 0.01))
    assert ("layers.0.scent_load", "caution") in said(much)
    allowed = said(pillar(Layer(scent_load=wax.scent_max)))
    assert ("layers.0.scent_load", "caution") not in allowed


@pytest.mark.parametrize("form", DYE_USUAL)
def test_more_dye_than_usual_for_its_form_is_said(pillar, form):
    usual = DYE_USUAL[form]
    over = said(pillar(Layer(dye_form=form, dye_load=1.01 * usual), height=1.0, diameter=0.2))
    assert ("layers.0.dye_load", "caution") in over
    usual_at_most = said(pillar(Layer(dye_form=form, dye_load=usual), height=1.0, diameter=0.2))
    assert ("layers.0.dye_load", "caution") not in usual_at_most


def test_drops_are_counted_by_their_weight_and_a_bigger_jug_makes_it_five_steps(pillar):
    plan = pillar()
    do = instead_of_weighing(plan, "dye", 4 * DROP, 0.3, 3.0, True)
    assert do.startswith("Count 4 drops")
    one_jug = instead_of_weighing(plan, "dye", 0.001, 0.3, 3.0, False)
    assert "1500 g of wax in one jug" in one_jug  # 0.3 kg have 1 g: 5 steps of 1 g need five times as much
    assert BIG_JUG >= 1.5
    assert "drop" not in one_jug


def test_small_weights_are_written_in_mg():
    assert (fine(0.00025), fine(0.0125)) == ("250 mg", "12.5 g")
