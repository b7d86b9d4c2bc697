"""Which rows a session's looks and readings give, and which they do not."""

from __future__ import annotations

import math
from dataclasses import replace

from pourday.learning.evidence import Row, SeenBetween, SurfaceLook, SurfaceRead
from pourday.session.evidence import evidence, seen_between
from pourday.session.mould import LookAt, MouldState, PourAt
from pourday.session.state import ReadingAt, State


def poured(t: float, layer: int) -> PourAt:
    return PourAt(seq=1, t=t, layer=layer, part="layer", kg=0.1, planned_kg=0.1, celsius=80.0)


def read(t: float, doubt: str = "", means: str = "infrared") -> ReadingAt:
    return ReadingAt(1, t, "surface", 60.0, "A", means, doubt)  # type: ignore[arg-type]


MOULD = MouldState(
    "A",
    pours=(poured(100.0, 0), poured(4000.0, 1)),
    looks=(LookAt(1000.0, "wet"), LookAt(2000.0, "skinned"), LookAt(3000.0, "firm"), LookAt(5000.0, "wet")),
)


def rows(mould: MouldState, *readings: ReadingAt) -> set[Row]:
    return set(evidence(State(moulds={"A": mould}, readings=readings)))


def test_each_look_is_a_row_of_the_layer_it_was_made_at():
    assert rows(MOULD) == {
        SurfaceLook("A", 1, 1000.0, 0),
        SurfaceLook("A", 1, 2000.0, 1),
        SurfaceLook("A", 1, 3000.0, 2),
        SurfaceLook("A", 2, 5000.0, 0),
    }


def test_looks_bound_every_event_that_comes_before_or_after_them():
    assert set(seen_between(MOULD)) == {
        SeenBetween("A", 1, "skin", 1000.0, 2000.0),
        SeenBetween("A", 1, "carries", 2000.0, 3000.0),
        SeenBetween("A", 2, "skin", 5000.0, math.inf),
        SeenBetween("A", 2, "carries", 5000.0, math.inf),
    }


def test_that_a_pour_was_made_is_no_evidence():
    assert rows(replace(MOULD, looks=())) == set()


def test_cold_is_evidence_once_it_is_said_and_never_by_being_left_out():
    said = rows(replace(MOULD, looks=(LookAt(3000.0, "firm"), LookAt(3900.0, "cold"))))
    assert SeenBetween("A", 1, "cold to the hand", -math.inf, 3900.0) in said
    assert not any(isinstance(row, SeenBetween) and row.event == "pulled away" for row in said)


def test_readings_in_doubt_and_those_by_touch_or_guess_are_none():
    bare = replace(MOULD, looks=())
    assert rows(bare, read(600.0), read(700.0, "cannot be"), read(800.0, means="touch")) == {
        SurfaceRead("A", 1, 600.0, 60.0, 3.0)
    }


def test_wax_that_came_out_again_teaches_nothing():
    out = replace(MOULD, pours=(poured(6000.0, 0),), emptied_at=5500.0)
    assert rows(out, read(600.0)) == set()


def test_an_empty_mould_has_none():
    assert rows(MouldState("A"), read(600.0)) == set()
