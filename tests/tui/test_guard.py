"""Keys that cannot have been meant: the first after nobody looked, and a "done" before its sentence could be read."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from pourday.tui.stove.guard import ASLEEP, SETTLES, STARTLED, KeyGuard


def awake(at: float = 0.0) -> KeyGuard:
    guard = KeyGuard()
    guard.wake(at)
    guard.sees("look A", "LOOK", at)
    return guard


@given(since=st.floats(0.0, 10.0))
def test_done_is_about_a_sentence_only_once_it_has_stood_for_a_moment(since):
    guard = awake()
    assert guard.sees("pour 1 A", "POUR", 50.0)
    assert guard.pressed(50.0 + since, light=False) == ""
    assert (guard.against_done(harmless=False) == "") == (50.0 + since - 50.0 >= SETTLES)
    assert guard.against_done(harmless=True) == ""


def test_the_first_done_after_minutes_without_a_key_only_wakes():
    guard = awake()
    guard.pressed(ASLEEP + 1, light=False)
    assert "woke" in guard.against_done(harmless=False)
    guard.pressed(ASLEEP + 2, light=False)
    assert guard.against_done(harmless=False) == ""


def test_after_a_gap_one_weighty_key_is_dropped_and_a_light_one_never():
    guard = awake()
    guard.startle()
    assert guard.pressed(1.0, light=False) == STARTLED
    assert guard.pressed(2.0, light=False) == ""
    guard.startle()
    assert guard.pressed(3.0, light=True) == ""
