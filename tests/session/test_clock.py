"""A clock that was changed in the middle of a record: waits are as long as they were, whatever the wall clock said."""

from __future__ import annotations

from datetime import timedelta
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from pourday.session import events as ev
from pourday.session.clock import clock_change, on_newest_clock
from pourday.session.events import Entry

NOON = 1_792_922_400.0


def entry(seq: int, seconds: float, fact: ev.Fact) -> Entry:
    at = ev.moment(NOON + seconds)
    return Entry(seq=seq, at=at, logged_at=at, by="person", fact=fact)


def changed(by: float) -> ev.GapSeen:
    return ev.GapSeen(cause="clock changed", seconds=by)


def test_only_a_changed_clock_counts():
    assert clock_change(changed(3600.0)) == 3600.0
    assert clock_change(ev.Noted(text="x")) == 0.0
    entries = [entry(1, 0, ev.Noted(text="a")), entry(2, 60, ev.Noted(text="b"))]
    assert on_newest_clock(entries) is entries


@given(st.floats(-86_400, 86_400), st.floats(-86_400, 86_400))
def test_a_minute_before_each_change_is_still_a_minute_before_it(first, second):
    """The hands of a clock that runs on: each thing happened a minute after the last."""
    entries = [
        entry(1, 0, ev.Noted(text="a")),
        entry(2, 60 + first, changed(first)),
        entry(3, 120 + first, ev.Noted(text="b")),
        entry(4, 180 + first + second, changed(second)),
    ]
    times = [each.at for each in on_newest_clock(entries)]
    assert times[-1] == entries[-1].at
    for earlier, later in pairwise(times):
        assert abs((later - earlier) - timedelta(minutes=1)) < timedelta(milliseconds=3)


def test_moments_inside_a_fact_move_with_it():
    due = ev.moment(NOON + 600)
    entries = [entry(1, 0, ev.TimerSet(name="wick", due=due)), entry(2, 3660, changed(3600.0))]
    (moved, _) = on_newest_clock(entries)
    assert moved.fact.due - moved.at == due - entries[0].at
