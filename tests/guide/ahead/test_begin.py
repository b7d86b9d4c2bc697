"""When to begin, and when one is done."""

from __future__ import annotations

from datetime import datetime
from itertools import pairwise

import pytest

from pourday.demo.scenario import two_pillars
from pourday.errors import Trouble
from pourday.guide.ahead.alternatives import briefly, keeps_you
from pourday.guide.ahead.begin import NEAR, rehearsed
from pourday.guide.ahead.day import past_bedtime
from pourday.learning.kitchen import DayTaught, kitchen
from pourday.learning.said import NODES, SaidAlong
from pourday.session.quiet_hours import PersonsClock
from pourday.times import between, clock, local, read_clock, shorter

PLAN = two_pillars()
USUAL = PersonsClock()
AWAKE = PersonsClock(quiet_from=0.0, quiet_to=0.0)


def at(hour: int, minute: int = 0, day: int = 25) -> float:
    return datetime(2026, 10, day, hour, minute).timestamp()


def test_a_day_begun_in_the_morning_begins_now_and_needs_no_word() -> None:
    day, says = rehearsed(PLAN, at(9), persons=USUAL)
    assert (day.now, says) == (at(9), "")


def test_a_rehearsal_begins_with_what_earlier_days_taught_of_the_kitchen() -> None:
    """A kitchen whose tops lose a third less by a day that was sure of it: layers take longer, and so does the day."""
    sure = SaidAlong((1.0, 0.0, 0.0, 0.0, 0.0), tuple(-0.5 * ((x + 1.5) / 0.2) ** 2 for x in NODES))
    slow = DayTaught("d", at(9), 20, (sure,), (sure,))
    usual, _ = rehearsed(PLAN, at(9), persons=AWAKE)
    here, _ = rehearsed(PLAN, at(9), persons=AWAKE, kitchen=kitchen([slow], at(9)))
    assert usual.end is not None
    assert here.end is not None
    assert here.end.likely > usual.end.likely + 20 * 60
    assert here.prior.mean[0] < -0.3


def test_a_night_is_never_rehearsed_unsaid() -> None:
    hour = 19
    day, says = rehearsed(PLAN, at(hour), persons=USUAL)
    assert day.now == at(7, day=26)
    assert says.startswith(f"Begun {clock(at(7, day=26), at(hour))}: begun now it would run into the night.")
    assert not past_bedtime(day)
    # Who has no quiet hours, or asks for the hour, has it.
    assert rehearsed(PLAN, at(hour), persons=AWAKE)[0].now == at(hour)
    asked, word = rehearsed(PLAN, at(9), persons=USUAL, begins_at=at(hour))
    assert asked.now == at(hour)
    assert "bedtime" in word or "quiet hours" in word


def test_to_be_done_by_a_time_the_day_begins_so_much_sooner() -> None:
    day, says = rehearsed(PLAN, at(7), persons=USUAL, done_at=at(18))
    assert day.end is not None
    assert abs(day.end.likely - at(18)) <= NEAR
    assert at(7) < day.now < at(18)
    assert says.startswith(f"Begin at {clock(day.now)} to be done by about 18:00.")
    whole = rehearsed(PLAN, day.now, persons=USUAL, begins_at=day.now)[0]
    assert whole.end is not None
    assert whole.end.likely == pytest.approx(day.end.likely)


def test_what_cannot_be_done_in_time_any_more_is_said_and_begun_at_once() -> None:
    day, says = rehearsed(PLAN, at(12), persons=USUAL, done_at=at(13))
    assert day.now == at(12)
    assert "cannot be done by 13:00 any more" in says


@pytest.mark.parametrize(
    ("text", "hour", "minute", "day"),
    [
        ("9", 9, 0, 26),
        ("14", 14, 0, 25),
        ("14:15", 14, 15, 25),
        ("9.30", 9, 30, 26),
        ("2 pm", 14, 0, 25),
        ("12am", 0, 0, 26),
        ("12 pm", 12, 0, 25),
        ("24", 0, 0, 26),
        ("11:59", 11, 59, 26),
    ],
)
def test_a_time_of_day_is_the_next_one_there_is(text: str, hour: int, minute: int, day: int) -> None:
    assert read_clock(text, at(12)) == at(hour, minute, day)


@pytest.mark.parametrize("text", ["", "soon", "25", "9:75", "13 pm", "0 am", "-3"])
def test_what_is_no_time_of_day_is_refused(text: str) -> None:
    with pytest.raises(Trouble):
        read_clock(text, at(12))


def test_a_range_is_shortened_by_meaning_longest_first() -> None:
    now = at(12)
    ways = shorter(at(14, 40), at(15, 10), now, "14:55")
    assert ways[:3] == ("14:40-15:10", "until 15:10", "±15 min")
    assert all(len(a) >= len(b) for a, b in pairwise(ways))
    assert shorter(at(14), at(14), now, "14:00") == ("",)


def test_the_day_is_named_once_where_it_is_the_same() -> None:
    day, _ = rehearsed(PLAN, at(23), persons=USUAL)
    assert day.end is not None
    seen_from = at(23)
    likely = clock(day.end.likely, seen_from)
    assert likely.startswith("Mon ")
    assert not between(day.end.early, day.end.late, seen_from, likely).startswith("Mon")
    assert keeps_you(day).endswith(briefly(day).removeprefix("Keeps you here until "))
    assert local(day.end.likely).day == 26
