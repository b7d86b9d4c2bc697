"""The jug of a colour, and its dye where the scale does not show it."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from pourday.guide.acts.jug_acts import SCENT
from pourday.guide.acts.wording import jug_says
from pourday.guide.outlook.wax_left import wax_left
from pourday.plan.model import Layer, Plan
from pourday.session import events as ev
from pourday.session.act_id import ActId


def test_scent_goes_in_off_the_flame(day):
    jug = day.at(1, ev.BurnerSet(state="on"), ev.Reading(place="pot", celsius=88.0)).act(2, "jug")
    assert jug.caution == SCENT


def test_dye_below_the_scales_step_says_so_and_counts_the_drops_where_they_can_be_counted(day_of):
    """0.05 % of some 580 g is 0.29 g, ten drops of 0.03 g (common practice); 0.15 % is 29 drops, which nobody counts."""
    plan = Plan(layers=(Layer(colour="sand", dye_load=0.0005),))
    said = jug_says(day_of(plan).outlook(0), 0)
    assert "below your scale's step, so about 10 drops" in said
    coarse = replace(plan, scale_step=0.005, layers=(Layer(colour="sand", dye_load=0.0015),))
    said = jug_says(day_of(coarse).outlook(0), 0)
    assert "below your scale's step" in said
    assert "drops" not in said
    fine = replace(plan, scale_step=0.0001)
    assert "below your scale" not in jug_says(day_of(fine).outlook(0), 0)


def test_a_colour_left_out_of_one_mould_makes_its_jug_smaller(day, day_of):
    """By hand: the jug holds what B gets, its top-up, and 12 g and 2 % that stay on jug and spoon (the plan's own losses)."""
    for told in (day, usual := day_of()):
        told.melted().plugged().sealed().first_layers()
    day.at(52, ev.Waived(act=str(ActId("pour", "A", 1))))
    outlook = day.outlook(60)
    plan, mould = day.plan, outlook.sheet.mould("B")
    bare = mould.pours[1].kg + mould.top_up.kg
    batch = bare + plan.vessel_keeps + plan.loss * bare
    load = plan.layers[1].scent_load + plan.layers[1].dye_load
    wax = batch if plan.scent_basis == "on top" else batch / (1 + load)
    assert outlook.jug(1).wax == pytest.approx(wax, abs=0.001)
    assert outlook.jug(1).wax < usual.outlook(60).jug(1).wax / 2
    assert outlook.jug(1).dye == pytest.approx(outlook.jug(1).wax * plan.layers[1].dye_load, rel=0.02)


def test_the_act_says_why_its_jug_is_smaller_and_the_wax_stays_in_the_pot(day, day_of):
    for told in (day, usual := day_of()):
        told.melted().plugged().sealed().first_layers()
    day.at(52, ev.Waived(act=str(ActId("pour", "A", 1))))
    act = next(a for a in day.acts(120).values() if a.kind == "jug" and a.layer == 1)
    made, seen = act.records
    assert seen == ev.Waived(act="drop 1", why="cream: colour seen")
    assert made.planned_kg == day.outlook(120).jug(1).wax
    assert (
        f"The weigh sheet has {day.outlook(120).mass(day.outlook(120).paper.jug(1).wax)}; less is wanted"
        in act.why
    )
    day.at(140, made)
    usual.at(140, ev.JugMade(layer=1, planned_kg=usual.outlook(120).jug(1).wax))
    saved = wax_left(day.state).pot - wax_left(usual.state).pot
    less = usual.outlook(120).sheet.jug(1).total - wax_left(day.state).jugs[1]
    assert saved == pytest.approx(less, abs=0.001)
    assert wax_left(day.state).jugs[1] == pytest.approx(made.planned_kg, rel=0.08)


def test_a_layer_weighed_far_heavier_makes_the_next_jug_as_much_smaller(day, day_of):
    """300 g where 238 were asked for stand 62 g above their line; 3 g more are a heavier lot at its line."""
    for told in (day, usual := day_of(), a_little := day_of()):
        told.melted().plugged().sealed().first_layers()
    asked = usual.state.moulds["A"].last_pour.planned_kg
    day.at(52, ev.Weighed(mould="A", what="pour", kg=asked + 0.062))
    a_little.at(52, ev.Weighed(mould="A", what="pour", kg=asked + 0.003))
    sheet = usual.outlook(120)
    load = day.plan.layers[1].scent_load
    assert sheet.jug(1).wax == a_little.outlook(120).jug(1).wax == sheet.paper.jug(1).wax
    less = sheet.jug(1).wax - day.outlook(120).jug(1).wax
    assert less == pytest.approx(0.062 / (1 + load), abs=0.002)
    act = next(a for a in day.acts(120).values() if a.kind == "jug" and a.layer == 1)
    assert "less is wanted since more went in below than its line takes" in act.why


def test_a_jug_without_scent_has_no_caution_for_scent(day_of):
    jug = day_of(Plan(layers=(Layer(colour="sand"),))).at(
        1, ev.BurnerSet(state="on"), ev.Reading(place="pot", celsius=88.0)
    ).act(2, "jug")  # fmt: skip
    assert jug.caution == ""
