"""The person's own timers: a word before, at and after."""

from __future__ import annotations

from typing import Any

import pytest

from pourday.guide.acts.timers import timer_acts
from pourday.session import events as ev

Day = Any  # the `Told` of conftest.py


@pytest.fixture
def timed(day: Day) -> Day:
    """A timer of fourteen minutes, set at 52 while nothing else is due."""
    day.melted().plugged().sealed().first_layers()
    return day.at(52, ev.TimerSet(name="bread", due=ev.moment(day.t(66))))


def test_a_timer_is_announced_two_minutes_ahead_and_asks_for_nothing_yet(timed: Day) -> None:
    assert timed.now(63.9).word == "WAIT"
    soon = timed.now(64.1)
    assert soon.word == "SOON"
    assert soon.act.records == ()
    assert "runs out at 08:06" in soon.says


def test_at_its_time_it_is_there_and_done_ends_it(timed: Day) -> None:
    now = timed.now(66)
    assert now.word == "TIMER"
    timed.at(67, *now.act.records)
    assert timed.now(67.5).word != "TIMER"


def test_left_alone_it_is_said_again_ever_seldomer(timed: Day) -> None:
    said = [timer_acts(timed.state, timed.t(66 + m))[0] for m in range(60)]
    again = [m for m in range(1, 60) if said[m].id != said[m - 1].id]
    assert again == [5, 15, 35]
    assert "ran out 15 min ago" in said[15].says


def test_a_short_timer_is_not_announced_as_it_is_set(day: Day) -> None:
    day.melted().at(31, ev.TimerSet(name="tea", due=ev.moment(day.t(34))))
    assert not [a for a in day.acts(32.5).values() if a.kind == "timer" and a.due <= day.t(32.5)]


def test_a_timer_never_hides_the_stove(day: Day) -> None:
    day.at(0, ev.BurnerSet(state="on"), ev.TimerSet(name="tea", due=ev.moment(day.t(8))))
    day.at(1, ev.Reopened(program="0", away=60.0), by="program")
    assert day.now(7).word == "HEAT?"
    assert day.now(9).word == "HEAT?"
