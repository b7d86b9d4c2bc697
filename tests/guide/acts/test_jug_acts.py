"""The jug of a colour, and its dye where the scale does not show it."""

from __future__ import annotations

from msgspec.structs import replace

from pourday.guide.acts.jug_acts import SCENT
from pourday.guide.acts.wording import jug_says
from pourday.plan.model import Layer, Plan
from pourday.session import events as ev


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
