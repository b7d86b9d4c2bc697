"""Days made after each other drawn as a tree, whatever they name as the day before."""

from __future__ import annotations

import random

import pytest

from pourday.errors import Trouble
from pourday.shelf.card import DayCard
from pourday.shelf.family import family_data, family_lines, family_of


def cards(*rows) -> dict[str, DayCard]:
    return {
        name: DayCard(session=name, parent=parent, started=1e9 + n, finished=True, **more)
        for n, (name, parent, more) in enumerate(rows)
    }


DAYS = cards(
    ("a", "", {"title": "Two stripes", "faults": ("rings",)}),
    ("b", "a", {"change": "pour at 78C (because of rings)", "came": "better", "no_fault": True}),
    ("c", "a", {"change": "warm the mould", "came": "same", "faults": ("rings",)}),
    ("d", "b", {"verdict": "Good enough"}),
    ("x", "", {"title": "Alone"}),
)


def test_a_family_is_drawn_from_its_oldest_day_whoever_is_asked_for():
    lines = [f"{branch}{session}  {told}" for branch, session, told in family_lines(family_of(DAYS, "d"))]
    assert lines == [
        "a  Two stripes → rings",
        "├ b  pour at 78C (because of rings) → better; no fault seen",
        "│ └ d  no change was named → Good enough",
        "└ c  warm the mould → the same; rings",
    ]
    assert family_of(DAYS, "d") == family_of(DAYS, "a")
    assert [row["session"] for row in family_data(family_of(DAYS, "c"))] == ["a", "b", "d", "c"]
    assert len(family_lines(family_of(DAYS, "x"))) == 1
    with pytest.raises(Trouble, match="no session called y"):
        family_of(DAYS, "y")


def test_a_circle_or_a_day_that_is_gone_ends_nothing():
    circle = cards(("a", "b", {}), ("b", "a", {}), ("c", "b", {}), ("e", "e", {}), ("f", "gone", {}))
    assert {session for _, session, _ in family_lines(family_of(circle, "c"))} == {"a", "b", "c"}
    assert len(family_lines(family_of(circle, "e"))) == 1
    assert [session for _, session, _ in family_lines(family_of(circle, "f"))] == ["f"]


def test_a_family_of_five_thousand_days_in_a_row_is_a_tree_as_well():
    long = cards(*((f"d{n}", f"d{n - 1}" if n else "", {}) for n in range(5_000)))
    assert [session for _, session, _ in family_lines(family_of(long, "d4999"))][:3] == ["d0", "d1", "d2"]


def test_everybody_of_a_family_is_drawn_once():
    """The oracle: who is reached from the oldest by naming it as the day before."""
    choose = random.Random(1)
    rows = [
        (f"d{n}", f"d{choose.randrange(n)}" if n and choose.random() < 0.8 else "", {}) for n in range(300)
    ]
    made = cards(*rows)
    for name in choose.sample(sorted(made), 20):
        first = name
        while made[first].parent:
            first = made[first].parent
        want = {first}
        for other, parent, _ in rows:
            if parent in want:
                want.add(other)
        drawn = [session for _, session, _ in family_lines(family_of(made, name))]
        assert sorted(drawn) == sorted(want)
