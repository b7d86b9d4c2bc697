"""Figures that are typed in the run with unknown wax: read in any unit, and refused where they cannot be."""

from __future__ import annotations

import pytest

from pourday.errors import Trouble
from pourday.heap.steps import RunStep
from pourday.plan.model import Plan
from pourday.session.heap import HeapState
from pourday.tui.heap.figures import COLDEST_AROUND, HOTTEST_AROUND, step_value, wax_temperature


def step(id_, kind):
    return RunStep(id=id_, row="it", word="IT", says="", kind=kind, answer=lambda _value, _text: ())


def read(id_, kind, text, heap=HeapState()):  # noqa: B008
    return step_value(step(id_, kind), text, Plan(), heap)


def test_a_figure_comes_back_in_si():
    assert read("sample", "weight", "40 g") == pytest.approx(0.040)
    assert read("around", "temperature", "68 f") == pytest.approx(20.0)
    assert read("liquid", "number", "870") == 870.0
    assert read("name", "words", "ends of a box") == 0.0


@pytest.mark.parametrize(
    ("id_", "kind", "text"),
    [
        ("around", "temperature", f"{COLDEST_AROUND - 1} c"),
        ("around", "temperature", f"{HOTTEST_AROUND + 1} c"),
        ("sample", "weight", "5 g"),
        ("sample", "weight", "2 kg"),
        ("liquid", "number", "300"),
    ],
)
def test_what_no_tin_air_or_liquid_can_have_is_asked_about(id_, kind, text):
    with pytest.raises(Trouble):
        read(id_, kind, text)


def test_a_block_sinks_as_wax_does_or_is_none():
    heap = HeapState(dry_kg=0.100)
    assert read("aside", "weight", "110 g", heap) == pytest.approx(0.110)
    with pytest.raises(Trouble, match="no wax"):
        read("aside", "weight", "40 g", heap)


def test_wax_at_the_heat_of_another_scale_is_asked_about():
    assert wax_temperature("61.5", "metric").celsius == 61.5
    with pytest.raises(Trouble, match="Type c or f"):
        wax_temperature("150", "metric")
