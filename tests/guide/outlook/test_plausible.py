"""Readings and weights that can hardly be: held against boiling water, melting points, and what was drawn and fits."""

from __future__ import annotations

from typing import Any

from pourday.guide.acts.weighing import weight_name, weight_question
from pourday.guide.outlook.plausible import impossible
from pourday.guide.outlook.plausible_weight import too_heavy
from pourday.session import events as ev

Day = Any  # the `Told` of conftest.py


def test_a_jug_that_does_not_exist_has_no_temperature(day: Day) -> None:
    assert "No jug" in impossible(day.state, day.outlook(5), "jug", 60.0)


def test_water_is_not_hotter_than_it_boils(day: Day) -> None:
    """100 °C at sea level; the probe may be off by a few kelvin."""
    outlook = day.outlook(5)
    assert impossible(day.state, outlook, "bath", 102.0) == ""
    assert "boils" in impossible(day.state, outlook, "bath", 112.0)
    assert "kitchen" in impossible(day.state, outlook, "room", 97.9)


def test_a_surface_that_was_seen_set_is_not_as_hot_as_liquid_wax(waiting: Day) -> None:
    outlook = waiting.outlook(60)
    assert impossible(waiting.state, outlook, "surface", 78.0, mould="A") == ""
    waiting.at(100, ev.Looked(mould="A", cue="firm"))
    assert "has set" in impossible(waiting.state, waiting.outlook(101), "surface", 97.9, mould="A")
    assert impossible(waiting.state, waiting.outlook(101), "surface", 52.0, mould="A") == ""


def _pour(day: Day, index: int) -> int:
    return int(day.state.moulds["A"].pours[index].seq)


def test_more_than_the_jug_held_cannot_have_left_it(waiting: Day) -> None:
    drawn = waiting.outlook(60).jug(0).wax
    outlook = waiting.outlook(60)
    fits = ev.Weighed(mould="A", what="pour", kg=0.150, typed="150 g", pour=_pour(waiting, -1))
    assert too_heavy(waiting.state, outlook, fits) == ""
    doubted = too_heavy(
        waiting.state,
        outlook,
        ev.Weighed(mould="A", what="pour", kg=drawn * 1.1, typed="x", pour=_pour(waiting, -1)),
    )
    assert "jug of rust held" in doubted


def test_a_weight_says_which_pour_it_is_of_and_asks_where_an_earlier_one_has_none(waiting: Day) -> None:
    assert weight_name(waiting.state, "A") == "A, one of its pours"
    question = weight_question(waiting.state, waiting.outlook(60), "A", 0.15, "150 g")
    assert question is not None
    assert [c.label.split(",")[0] for c in question.choices] == ["pour of rust", "plug of rust"]
    plug = question.choices[1].facts[0]
    assert isinstance(plug, ev.Weighed)
    assert plug.pour == _pour(waiting, 0)
    waiting.at(61, plug)
    assert waiting.state.moulds["A"].pours[0].kg == 0.15
    assert weight_name(waiting.state, "A") == "A, pour of rust"
    assert weight_question(waiting.state, waiting.outlook(62), "A", 0.15, "150 g") is None
