"""Which wax a layer is made of: its own blend before the plan's, the person's own waxes before the families."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from pourday.plan.check import BadField
from pourday.plan.form_own import adopt
from pourday.plan.model import BlendPart, Layer
from pourday.plan.waxes import own_of, parts_of, waxes_of
from pourday.wax.materials import family
from pourday.wax.supplier import from_sheet, own_id


def test_a_layer_has_its_own_blend_or_the_plans(pillar):
    plan = pillar(Layer(), Layer(blend=(BlendPart(wax="beeswax"),)))
    usual, own = waxes_of(plan)
    assert (usual.liquidus_c, own.liquidus_c) == (
        family("paraffin_pillar").liquidus_c,
        family("beeswax").liquidus_c,
    )


def test_an_own_wax_of_the_plan_comes_before_one_kept_elsewhere(pillar):
    kept = from_sheet("Mine", "beeswax", {})
    ours = from_sheet("Mine", "paraffin_pillar", {})
    plan = adopt(pillar(), ours)
    assert own_of(plan, {kept.id: kept})[own_id("Mine")] == ours
    assert own_of(pillar(), {kept.id: kept})[kept.id] == kept
    assert adopt(adopt(plan, kept), ours).own == (ours,)


def test_a_wax_nobody_knows_is_refused_with_its_place(pillar):
    with pytest.raises(BadField) as refused:
        waxes_of(replace(pillar(), blend=(BlendPart(wax="beeswax"), BlendPart(wax="moondust"))))
    assert refused.value.field == "blend.1.wax"
    assert parts_of((BlendPart(wax="beeswax", share=0.3),)) == [(family("beeswax"), 0.3)]
