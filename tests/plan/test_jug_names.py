"""What a jug is called: its colour, or its number where the colour does not tell it from another."""

from __future__ import annotations

from msgspec.structs import replace

from pourday.demo.scenario import two_pillars
from pourday.plan.jug_names import called_jug, jug_name, the_jug
from pourday.plan.model import Layer, Plan


def plan_of(*colours: str) -> Plan:
    return replace(two_pillars(), layers=tuple(Layer(colour=colour) for colour in colours))


def test_a_jug_is_called_by_its_colour():
    plan = plan_of("rust", "cream")
    assert [jug_name(plan, x) for x in (0, 1)] == ["rust", "cream"]
    assert the_jug(plan, 1) == "the cream jug"


def test_where_a_colour_repeats_or_is_missing_the_number_tells_them_apart():
    plan = plan_of("white", "moss", "White ", "")
    assert [jug_name(plan, x) for x in range(4)] == ["1", "moss", "3", "4"]
    assert [the_jug(plan, x) for x in range(4)] == ["jug 1 (white)", "the moss jug", "jug 3 (White)", "jug 4"]


def test_no_two_jugs_of_a_plan_have_the_same_name():
    for colours in (("a", "a", "b"), ("", "", ""), ("x", "", "2"), ("red", "Red", "RED")):
        plan = plan_of(*colours)
        names = [jug_name(plan, x).lower() for x in range(len(colours))]
        assert len(set(names)) == len(names), names


def test_a_layer_that_the_plan_has_not_is_a_number():
    assert jug_name(plan_of("rust"), 4) == "5"


def test_beside_a_figure_a_jug_has_no_article():
    plan = plan_of("rust", "cream", "Rust")
    assert [called_jug(plan, x) for x in range(3)] == ["jug 1 (rust)", "cream jug", "jug 3 (Rust)"]
