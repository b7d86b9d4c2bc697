"""What is in one mould: which pour counts, and which look still says something of the surface that is there."""

from __future__ import annotations

from pourday.session.mould import LookAt, MouldState, PourAt


def pour(t: float, layer: int = 0, kg: float | None = None, share: float = 1.0) -> PourAt:
    return PourAt(1, t, layer, "layer", kg, 0.3, None, share)


def test_the_scale_outranks_the_plan_and_the_plan_is_scaled_by_eye():
    assert pour(0, kg=0.281).kg_best == 0.281
    assert pour(0, share=0.5).kg_best == 0.15


def test_a_look_is_over_once_wax_went_in_or_came_out():
    firm = LookAt(100.0, "firm")
    mould = MouldState("A", (pour(50.0),), (firm,))
    assert mould.look == firm
    assert MouldState("A", (pour(50.0), pour(150.0, 1)), (firm,)).look is None
    assert MouldState("A", (pour(50.0),), (firm,), emptied_at=120.0).look is None


def test_the_first_pour_of_a_layer_is_the_one_it_is_known_by():
    first, second = pour(50.0), pour(80.0)
    mould = MouldState("A", (first, second))
    assert mould.poured(0, "layer") is first
    assert mould.poured(1, "layer") is None
    assert mould.last_pour is second
    assert MouldState("A").last_pour is None
