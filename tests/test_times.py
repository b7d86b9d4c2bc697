"""How times and spans are written."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator

import pytest

from pourday.demo.scenario import two_pillars
from pourday.session import events as ev
from pourday.session.describe import say_fact
from pourday.times import clock, countdown, days, letters, letters_short, span

SUNDAY_SEVEN = 1_792_911_600.0
"""07:00 UTC on 25 October 2026, a Sunday."""
HOUR = 3600.0


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0, "0:00"),
        (9.9, "0:09"),
        (249, "4:09"),
        (3599, "59:59"),
        (3600, "1h00"),
        (83 * 60, "1h23"),
        (24 * HOUR, "1d 0h"),
        (52 * HOUR, "2d 4h"),
        (-249, "+4:09"),
        (-83 * 60, "+1h23"),
    ],
)
def test_a_countdown_counts_down_to_nothing_and_then_up_with_a_plus(seconds: float, text: str) -> None:
    assert countdown(seconds) == text


@pytest.mark.parametrize(
    ("after", "text"),
    [
        (0, "07:00"),
        (7.5 * HOUR, "14:30"),
        (17 * HOUR, "Mon 00:00"),
        (-8 * HOUR, "Sat 23:00"),
        (24 * HOUR, "Mon 07:00"),
        (7 * 24 * HOUR, "01 Nov 07:00"),
    ],
)
def test_a_clock_time_names_its_day_unless_it_is_today(after: float, text: str) -> None:
    assert clock(SUNDAY_SEVEN + after, SUNDAY_SEVEN) == text


def test_without_a_now_the_clock_alone_is_written() -> None:
    assert clock(SUNDAY_SEVEN + 30 * HOUR) == "13:00"


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (45, "45 s"),
        (-45, "45 s"),
        (90, "2 min"),
        (12 * 60, "12 min"),
        (125 * 60, "2 h 05"),
        (47 * HOUR, "47 h 00"),
        (72 * HOUR, "3 days"),
    ],
)
def test_a_span_is_written_as_it_is_said(seconds: float, text: str) -> None:
    assert span(seconds) == text


def test_one_day_is_not_days() -> None:
    assert (days(1), days(7)) == ("1 day", "7 days")


@pytest.mark.parametrize(("moulds", "text"), [("", ""), ("A", "A"), ("AB", "A and B"), ("ABC", "A, B and C")])
def test_moulds_are_listed_as_they_are_said(moulds: str, text: str) -> None:
    assert letters(moulds) == text


@pytest.mark.parametrize(
    ("moulds", "aloud", "short"),
    [
        ("", "", ""),
        ("C", "C", "C"),
        ("ABC", "A, B and C", "A B C"),
        ("ABCDEFGH", "A to H", "A-H"),
        ("ABCDG", "A to D and G", "A-D G"),
        ("ACDEFGK", "A, C to G and K", "A C-G K"),
        ("DCBA", "D, C, B and A", "D C B A"),
    ],
)
def test_many_letters_in_a_row_are_said_by_the_first_and_the_last(moulds, aloud, short):
    assert (letters(moulds), letters_short(moulds)) == (aloud, short)


def test_a_time_that_never_comes_is_said_in_words() -> None:
    assert clock(float("inf")) == clock(float("inf"), SUNDAY_SEVEN) == "no time in sight"


@pytest.mark.parametrize(
    ("fact", "text"),
    [
        (ev.Waived(act="drop 1", why="cream: colour seen"), "cream: colour seen"),
        (ev.Waived(act="cure A", why="cured"), "A cured"),
        (ev.Waived(act="end 1792962000", why="cleared up"), "cleared up for the day"),
        (ev.Waived(act="add wax", why="all wax is in"), "all wax is in"),
        (ev.Waived(act="water 1792962000"), "left out: water"),
        (ev.Waived(act="heat on 1792962000"), "left out: heat on"),
        (ev.Waived(act="pour 1 A"), "left out: pour cream A"),
        (ev.Waived(act="look A 2"), "left out: look A"),
        (ev.Waived(act="melt jug 0 1"), "left out: melt jug rust"),
        (ev.Waived(act="decide short A 14"), "left out: decide short A"),
        (ev.Waived(act="back look A 1792962000"), "left out: on return, look A"),
        (ev.GapSeen(seconds=-3600, cause="clock changed"), "the clock was put back by 60 min"),
        (ev.GapSeen(seconds=3600, cause="clock changed"), "the clock was put forward by 60 min"),
        (ev.GapSeen(seconds=3600, cause="slept"), "gap of 60 min: slept"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_what_was_done_is_not_said_to_be_left_out(fact: ev.Fact, text: str) -> None:
    assert say_fact(fact, two_pillars()) == text


@pytest.fixture
def in_berlin() -> Iterator[None]:
    before = os.environ.get("TZ")
    os.environ["TZ"] = "Europe/Berlin"
    time.tzset()
    yield
    os.environ.pop("TZ") if before is None else os.environ.update(TZ=before)
    time.tzset()


@pytest.mark.usefixtures("in_berlin")
def test_over_the_hour_that_clocks_show_twice_the_zone_says_which_is_meant() -> None:
    """Summer time ended on 25 October 2026 at 01:00 UTC (directive 2000/84/EC: the last Sunday of October)."""
    end = SUNDAY_SEVEN - 6 * HOUR
    before = end - 70 * 60  # 01:50 in summer time
    assert clock(before) == "01:50"
    assert clock(before + 30 * 60, before) == "02:20 CEST"
    assert clock(before + 90 * 60, before) == "02:20 CET"
    assert clock(before + 140 * 60, before) == "03:10 CET"
    assert clock(end + 3 * HOUR, end + 2 * HOUR) == "05:00"
    assert clock(end + 20 * 24 * HOUR, before) == "14 Nov 02:00"
