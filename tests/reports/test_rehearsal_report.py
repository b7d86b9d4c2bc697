"""A rehearsal as text."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from pourday.demo.scenario import START, two_pillars
from pourday.guide.ahead.alternatives import Shorter
from pourday.guide.ahead.day import DayForecast, ahead_of_plan
from pourday.reports import rehearsal_report
from pourday.reports.rehearsal_report import rehearsal_text
from pourday.session.quiet_hours import PersonsClock
from tests.heat_once import rest_once

AWAKE = PersonsClock(quiet_from=0.0, quiet_to=0.0)
"""No quiet hours, or the day would go another way where the clock shows night as it begins."""


@pytest.fixture(autouse=True, scope="module")
def _rest_computed_once() -> Iterator[None]:
    """See tests/heat_once.py."""
    with pytest.MonkeyPatch.context() as patch:
        rest_once(patch)
        yield


@pytest.fixture(scope="module")
def text() -> list[str]:
    return rehearsal_text(two_pillars(), START, persons=AWAKE)


def test_it_tells_every_act_in_order_marked_as_an_estimate(text: list[str]) -> None:
    steps = ahead_of_plan(two_pillars(), START, clock=AWAKE).steps
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
    assert "shorten" not in "\n".join(rehearsal_text(two_pillars(), START, persons=AWAKE, try_shorter=False))


def test_a_unit_keeps_its_letter_where_nothing_is_gained(monkeypatch: pytest.MonkeyPatch) -> None:
    def no_shorter(found: DayForecast, **_: object) -> Iterator[Shorter]:
        yield Shorter("Pouring at 77 °C", 0.0, 0.0, "", found)

    monkeypatch.setattr(rehearsal_report, "shorter", no_shorter)
    assert "  No shorter by: pouring at 77 °C." in rehearsal_text(two_pillars(), START)


def test_nobody_is_called_in_the_quiet_hours_they_have_set() -> None:
    """A mould is emptied outside of them, whatever the time of day is here: by these in the last half hour of it."""
    night_owl = PersonsClock(quiet_from=0.0, quiet_to=23.5)
    text = rehearsal_text(two_pillars(), START, persons=night_owl, try_shorter=False)
    times = [line.split(" - ")[0].split()[-2:] for line in text if " DEMOULD " in line]
    assert len(times) == 2
    assert all(clock >= "23:30" for pair in times for clock in pair if ":" in clock), times
