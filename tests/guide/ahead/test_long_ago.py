"""A session left open for months, or seen by a clock that is wrong: what the guide thinks costs what it costs next day."""

from __future__ import annotations

import time
from typing import Any

import pytest

from pourday.guide.ahead.day import forecast_day
from pourday.guide.rescue.on_return import what_is_open
from pourday.session import events as ev

Day = Any  # the `Told` of conftest.py
DAY = 24 * 60.0
"""min"""


def thought(day: Day, minute: float) -> None:
    """All that the first screen of a session shows: the outlook, what is open, the rest of the day."""
    state, now = day.state, day.t(minute)
    outlook = day.outlook(minute)
    what_is_open(state, outlook, now)
    forecast_day(state, outlook, now)


def cost(day: Day, minute: float) -> float:
    """Seconds of the processor."""
    began = time.process_time()
    thought(day, minute)
    return time.process_time() - began


@pytest.mark.parametrize("lit", [True, pytest.param(False, marks=pytest.mark.slow)])
def test_four_hundred_days_cost_what_a_day_and_a_half_costs(day: Day, lit: bool) -> None:
    day.melted().plugged().sealed().first_layers()
    if lit:
        day.at(60, ev.BurnerSet(state="on"))
    near, far = cost(day, 1.5 * DAY), cost(day, 400 * DAY)
    assert far < 3 * near


@pytest.mark.parametrize("minutes", [-20_751 * DAY, pytest.param(20_000 * DAY, marks=pytest.mark.slow)])
def test_a_clock_that_is_years_wrong_is_thought_about_like_any_other(day: Day, minutes: float) -> None:
    """A machine whose battery is empty wakes up in 1970; a record begun on it is 56 years old the next day."""
    day.melted().plugged().sealed().first_layers()
    far = max(minutes, -day.t(0) / 60 + 1)
    day.at(far, ev.Reopened(program="0", away=1e9), by="program")
    near = cost(day, 1.5 * DAY)
    assert cost(day, far) < 5 * near
