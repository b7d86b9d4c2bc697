"""The weigh sheet in whole steps of the person's scale."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from pourday.demo.scenario import two_pillars
from pourday.plan.model import BlendPart, Layer, Mould, Plan
from pourday.plan.on_scale import on_scale, to_print
from pourday.plan.weigh import weigh_sheet


def whole(kg: float, step: float) -> bool:
    return math.isclose(kg / step, round(kg / step), abs_tol=1e-6)


@settings(deadline=None, max_examples=80)
@given(st.data())
def test_rounded_parts_add_up_for_any_plan_and_none_moves_by_more_than_its_roundings(
    any_plan: st.SearchStrategy[Plan], data: st.DataObject
) -> None:
    plan = data.draw(any_plan)
    exact, step = weigh_sheet(plan), plan.scale_step
    sheet = on_scale(exact, step)
    tiny = 1e-9
    for mould, before in zip(sheet.moulds, exact.moulds, strict=True):
        parts = [*([mould.plug.kg] if mould.plug else []), *(p.kg for p in mould.pours), mould.top_up.kg]
        assert all(kg >= 0 and whole(kg, step) for kg in parts)
        assert sum(parts) == pytest.approx(mould.finished, abs=tiny)
        assert abs(mould.finished - before.finished) <= step / 2 + tiny
        assert 0 <= mould.top_up.first <= mould.top_up.kg + tiny
    poured = {jug.layer: 0.0 for jug in sheet.jugs}
    for mould in sheet.moulds:
        for pour in (*mould.pours, *([mould.plug] if mould.plug else []), mould.top_up):
            poured[pour.layer] += pour.kg
    for jug, before in zip(sheet.jugs, exact.jugs, strict=True):
        assert jug.poured + jug.reserve == pytest.approx(poured[jug.layer], abs=tiny)
        assert all(whole(kg, step) for kg in (jug.wax, jug.scent, jug.dye, jug.allowance))
        if plan.scent_basis == "within":
            assert jug.total == pytest.approx(jug.batch, abs=tiny)
        roundings = (2 + len(sheet.moulds) * 3) * step
        assert abs(jug.wax - before.wax) <= roundings
    assert sum(need.kg for need in sheet.waxes) == pytest.approx(sheet.total_wax, abs=tiny)
    draws = sum(jug.wax for jug in sheet.jugs)
    assert draws + sheet.kept == pytest.approx(sum(need.kg for need in sheet.waxes), abs=tiny)
    assert abs(sheet.kept - exact.kept) <= len(sheet.waxes) * step


def test_a_mould_and_its_jug_by_hand(pillar: Callable[..., Plan]) -> None:
    """Plan of 1 g steps: what the rounded sheet says is made of whole grams, and the parts make the whole."""
    plan = pillar(Layer(scent_load=0.06), loss=0.05)
    sheet = on_scale(weigh_sheet(plan), 0.001)
    mould, jug = sheet.moulds[0], sheet.jugs[0]
    grams = [round(kg * 1000, 6) for kg in (mould.pours[0].kg, mould.top_up.kg, mould.finished)]
    assert grams[0] + grams[1] == grams[2]
    assert all(gram == int(gram) for gram in grams)
    assert jug.wax == pytest.approx(mould.finished + jug.allowance)


def test_two_waxes_of_one_jug_make_what_the_jug_holds() -> None:
    plan = replace(
        Plan(moulds=(Mould(count=2),)),
        blend=(BlendPart(wax="paraffin_pillar", share=0.9), BlendPart(wax="stearic_commercial", share=0.1)),
        layers=(Layer(colour="rust"), Layer(colour="cream", blend=(BlendPart(wax="beeswax"),))),
    )
    sheet = on_scale(weigh_sheet(plan), 0.001)
    kept = plan.vessel_keeps  # each blend is melted in a pot of its own
    assert sheet.waxes[0].kg + sheet.waxes[1].kg == pytest.approx(sheet.jugs[0].wax + kept)
    assert sheet.waxes[2].kg == pytest.approx(sheet.jugs[1].wax + kept)


def test_what_is_printed_is_what_the_screen_says_and_small_doses_stay_as_they_are() -> None:
    exact = weigh_sheet(two_pillars())
    shown, printed = on_scale(exact, 0.001), to_print(exact, 0.001)
    assert printed.total_wax == shown.total_wax
    assert [jug.wax for jug in printed.jugs] == [jug.wax for jug in shown.jugs]
    assert [jug.scent for jug in printed.jugs] == [jug.scent for jug in shown.jugs]
    assert [jug.dye for jug in printed.jugs] == [jug.dye for jug in exact.jugs]
    assert 0 < printed.jugs[0].dye < 0.001
