"""Facts in words: what several of them come to in one sentence."""

from __future__ import annotations

from pourday.plan.model import Layer, Plan
from pourday.session import events as ev
from pourday.session.describe import say_facts

PLAN = Plan(layers=(Layer(colour="plum"), Layer()))


def poured(mould: str, layer: int, planned_kg: float) -> ev.Poured:
    return ev.Poured(mould=mould, layer=layer, part="layer", planned_kg=planned_kg)


def test_what_is_said_alike_of_moulds_is_said_of_them_together() -> None:
    """Four equal pours were four sentences, and took the picture of the moulds from a small screen."""
    said = say_facts([poured("A", 0, 0.1591), poured("B", 0, 0.1592), poured("C", 0, 0.11)], PLAN)
    assert said == (
        "poured layer plum into A and B: not weighed, planned 159 g; "
        "poured layer plum into C: not weighed, planned 110 g"
    )
    looks = [ev.SealSeen(mould=mould, weeps=mould == "D") for mould in "ABCD"]
    assert say_facts(looks, PLAN) == "looked underneath A, B and C: dry; looked underneath D: it weeps"


def test_a_layer_without_a_colour_is_called_by_its_number_once() -> None:
    assert say_facts([poured("A", 1, 0.1)], PLAN) == "poured layer 2 into A: not weighed, planned 100 g"
    plug = ev.Poured(mould="A", layer=1, part="plug", planned_kg=0.03)
    assert say_facts([plug], PLAN).startswith("poured plug layer 2 into A")


def test_a_sentence_that_was_told_keeps_no_full_stop_inside_another() -> None:
    judged = ev.WickJudged(mould="A", wick="30 ply", came="passed", says="The wick suits it.")
    assert say_facts([judged], PLAN) == "wick of A judged: passed; The wick suits it"
