"""The recipe says everything that has to be known to pour it again, and fills in nothing."""

from __future__ import annotations

from msgspec.structs import replace

from pourday.demo.scenario import two_pillars
from pourday.plan.model import BlendPart, Layer, Mould, Plan, Tapered
from pourday.plan.on_scale import on_scale
from pourday.plan.weigh import weigh_sheet
from pourday.reports.recipe import recipe_lines
from pourday.units import show_mass, show_temperature


def test_wax_lot_sizes_wick_dye_scent_room_targets_and_ceiling_are_all_there() -> None:
    plan = replace(two_pillars(), wick="braid 7", scent_lot="S-1", dye_lot="D-1")
    text, sheet = "\n".join(recipe_lines(plan)), weigh_sheet(plan)
    for says in (
        sheet.waxes[0].name,
        plan.blend[0].lot,
        "cylinder 75 mm x 150 mm",
        "braid 7",
        "S-1",
        "D-1",
        show_temperature(plan.room_c, plan.units),
        show_temperature(sheet.melt_to_c, plan.units),
        show_temperature(sheet.ceiling_c, plan.units),
        show_temperature(sheet.pour("A", 0).pour_c, plan.units),
    ):
        assert says in text
    # As the form and the stove say it: there 864 g are weighed, and the record had 865 of the same.
    shown = on_scale(sheet, plan.scale_step)
    assert f"weigh out          {show_mass(shown.total_wax, plan.units, plan.scale_step)} of" in text
    for mould in shown.moulds:
        assert show_mass(mould.finished, plan.units, plan.scale_step) in text
    for jug in shown.jugs:
        assert show_mass(jug.wax, plan.units, plan.scale_step) in text


def test_what_was_not_said_is_not_told() -> None:
    text = "\n".join(recipe_lines(Plan()))
    assert "lot not noted" in text
    assert "wick               not noted" in text
    assert "stands at most not noted" in text


def test_other_shapes_blends_and_units_are_told_as_well() -> None:
    plan = Plan(
        units="us",
        moulds=(
            Mould(
                shape=Tapered(diameter_low=0.05, diameter_rim=0.07, height=0.08), stays=True, material="glass"
            ),
        ),
        layers=(
            Layer(
                blend=(BlendPart(wax="soy_container"), BlendPart(wax="paraffin_pillar", share=3)),
                scent_by_eye=True,
            ),
        ),
    )
    text = "\n".join(recipe_lines(plan))
    assert "75 % of the blend" in text
    assert "by eye, not weighed" in text
    assert "the candle stays in it" in text
    assert "°F" in text


def test_a_plan_that_cannot_be_weighed_says_why() -> None:
    assert "cannot be weighed" in "\n".join(recipe_lines(Plan(moulds=())))
