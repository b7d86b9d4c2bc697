"""What a mould that is left for the night is told about its hollow: its size by the wax as it stands, and what to do."""

from __future__ import annotations

import re
from typing import Any

from pourday.guide.advice.hollow_left import hollow_words
from pourday.guide.outlook.room import left_inside

Day = Any  # the `Told` of conftest.py


def test_the_hollow_is_said_as_big_as_it_is_computed_and_with_what_to_do(day: Day) -> None:
    day.melted().plugged().sealed().first_layers().second_layers()
    outlook = day.outlook(200)
    known = left_inside(outlook, "A")
    assert known is not None
    said = hollow_words(outlook, [("A", None)], "in the morning")
    size = re.search(r"A \(about (\d+) ml, (\d+) g of wax\)", said)
    assert size, said
    assert float(size[1]) == round(known[0] * 1e6)
    assert abs(float(size[2]) - known[1] * 1e3) <= 1.0
    assert "in the morning open it" in said


def test_a_hollow_that_is_filled_late_tonight_is_smaller_or_none(day: Day) -> None:
    day.melted().plugged().sealed().first_layers().second_layers()
    outlook = day.outlook(200)
    untouched, filled = left_inside(outlook, "A"), left_inside(outlook, "A", day.t(320))
    assert untouched is not None
    assert filled is not None
    assert filled[0] < untouched[0]


def test_nothing_is_said_of_no_mould(day: Day) -> None:
    assert hollow_words(day.outlook(5), [], "in the morning") == ""
