"""What is otherwise in a plan than in the one before: each change once, what belongs together as one."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from pourday.plan.changes import changed_findings, changes
from pourday.plan.form import set_field
from pourday.plan.model import BlendPart, Cylinder, Layer, Mould, Plan, TriedChange, tried_words

PLAN = Plan(
    moulds=(Mould(name="tall"), Mould(shape=Cylinder(diameter=0.05, height=0.1))),
    blend=(BlendPart(wax="paraffin_pillar", share=9.0), BlendPart(wax="stearic_commercial")),
    layers=(Layer(colour="rust", share=0.5), Layer(colour="cream", share=0.5)),
)


@pytest.mark.parametrize(
    ("sets", "what"),
    [
        ({"pour_c": "78C"}, ["pour at"]),
        ({"moulds.0.shape.diameter": "80 mm", "moulds.0.shape.height": "120 mm"}, ["tall, "]),
        ({"moulds.1.material": "silicone"}, ["mould 2, "]),
        ({"layers.0.share": "60%", "layers.1.share": "40%"}, ["rust, "]),
        ({"layers.1.scent_load": "6%"}, ["cream, "]),
        ({"room_c": "24C", "pour_c": "78C"}, ["room", "pour at"]),
        ({"title": "Another", "scent_lot": "A7", "scale_step": "0.1 g"}, []),
    ],
)
def test_each_change_is_told_once_and_by_its_place(sets, what):
    plan = PLAN
    for path, text in sets.items():
        plan = set_field(plan, path, text)
    made = changes(PLAN, plan)
    assert len(made) == len(what), made
    for change, begins in zip(made, what, strict=True):
        assert change.what.startswith(begins)
        assert change.before != change.after
    assert changes(plan, plan) == ()


def test_one_change_is_good_and_two_cannot_be_told_apart():
    one = changes(PLAN, set_field(PLAN, "room_c", "24C"))
    (noted,) = changed_findings("2026-11-25-a", one)
    assert (noted.level, "room: 20 °C, now 24" in noted.what) == ("note", True)
    two = changes(PLAN, set_field(set_field(PLAN, "room_c", "24C"), "pour_c", "78C"))
    (cautioned,) = changed_findings("2026-11-25-a", two)
    assert cautioned.level == "caution"
    assert "nobody can say which of them" in cautioned.why
    assert changed_findings("2026-11-25-a", ()) == ()


def test_a_layer_more_and_a_mould_less_are_told():
    made = changes(PLAN, replace(PLAN, layers=(*PLAN.layers, Layer(colour="white")), moulds=PLAN.moulds[:1]))
    assert any("white" in change.what for change in made)


def test_a_change_says_what_led_to_it():
    fault = TriedChange(letter="A", fault="rings", cause="cold pour", says="Pour at 78 °C.")
    assert tried_words(fault) == "Pour at 78 °C. (rings on A)"
    assert tried_words(replace(fault, fault="", cause="")) == "Pour at 78 °C."
