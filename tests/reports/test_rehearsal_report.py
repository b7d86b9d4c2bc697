"""A rehearsal as text."""

from __future__ import annotations

import pytest

from pourday.demo.scenario import START, two_pillars
from pourday.guide.ahead import ahead_of_plan
from pourday.reports.rehearsal_report import rehearsal_text


@pytest.fixture(scope="module")
def text() -> list[str]:
    return rehearsal_text(two_pillars(), START)


def test_it_tells_every_act_in_order_marked_as_an_estimate(text: list[str]) -> None:
    steps = ahead_of_plan(two_pillars(), START).steps
    assert "An estimate; nothing is recorded." in text[0]
    places = []
    for step in steps:
        found = [n for n, line in enumerate(text) if step.says in line and step.word in line]
        assert found
        places.append(min(n for n in found if n > (places[-1] if places else -1)))
    assert places == sorted(places)


def test_it_ends_with_what_the_day_comes_to_and_what_would_shorten_it(text: list[str]) -> None:
    whole = "\n".join(text)
    assert "Two bands of 42-79 mm keep you here until about " in whole
    assert "What would shorten it, and at what price:" in whole
    assert "One band fewer: about " in whole
    assert "What is seen on the day decides." in text[-1]


def test_the_ways_to_a_shorter_day_can_be_left_out() -> None:
    assert "shorten" not in "\n".join(rehearsal_text(two_pillars(), START, try_shorter=False))
