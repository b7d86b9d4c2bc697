"""The person's clock: nobody at the bench at night, the last top-up before bed, and a time to leave by."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pourday.demo.scenario import START
from pourday.guide.acts.menu import menu
from pourday.guide.advice.agenda import agenda
from pourday.session import events as ev
from pourday.session.quiet_hours import LAST_THINGS, PersonsClock

Day = Any  # the `Told` of conftest.py
HOUR = 3600.0
MIDNIGHT = START - 7 * HOUR
"""The first midnight of the day that the tests tell, UTC."""


def acts(day: Day, minute: float, clock: PersonsClock) -> list[Any]:
    return list(agenda(day.state, day.outlook(minute), day.t(minute), clock))


_HOURS = st.integers(0, 47).map(lambda half: half / 2)


@settings(max_examples=200, deadline=None)
@given(_HOURS, _HOURS, st.integers(0, 7 * 24 * 60))
def test_awake_is_the_same_time_or_the_next_end_of_the_quiet_hours(
    quiet_from: float, quiet_to: float, minute: int
) -> None:
    clock, t = PersonsClock(quiet_from, quiet_to), MIDNIGHT + 60 * minute
    awake = clock.awake(t)
    assert not clock.quiet(awake)
    if not clock.quiet(t):
        assert awake == t
    else:
        assert (awake - MIDNIGHT) % (24 * HOUR) == pytest.approx(quiet_to * HOUR)
        assert t < awake <= t + 24 * HOUR
        assert all(clock.quiet(x) for x in (t + (awake - t) * i / 5 for i in range(5)))


def test_equal_hours_mean_no_quiet_hours() -> None:
    clock = PersonsClock(7.0, 7.0)
    assert not any(clock.quiet(MIDNIGHT + HOUR * h) for h in range(24))
    assert clock.bed(START) == float("inf")


def test_only_who_has_quiet_hours_lets_a_candle_stand_overnight() -> None:
    evening = MIDNIGHT + 20 * HOUR
    assert PersonsClock(22.0, 7.0).overnight(evening) == MIDNIGHT + 31 * HOUR
    assert PersonsClock(7.0, 7.0).overnight(evening) == evening


def test_the_day_ends_at_bedtime_or_when_the_person_must_leave() -> None:
    assert PersonsClock().ends(START) == MIDNIGHT + 22 * HOUR
    assert PersonsClock(bedtime=21.0).ends(START) == MIDNIGHT + 21 * HOUR
    assert PersonsClock(hard_stop=MIDNIGHT + 17 * HOUR).ends(START) == MIDNIGHT + 17 * HOUR
    assert PersonsClock(hard_stop=START - 60).ends(START) == MIDNIGHT + 22 * HOUR


# -- the last top-up ---------------------------------------------------------------------------------


@pytest.fixture
def last_layers(day: Day) -> Day:
    """The last layers poured at 19:00, the tops firm about an hour and a half later."""
    minute = 12 * 60
    day.melted().plugged().sealed().first_layers(minute - 120)
    return day.second_layers(minute)


def test_the_last_top_up_is_worked_back_from_bedtime_with_its_look_and_its_heat(last_layers: Day) -> None:
    minute = 12 * 60 + 1
    usual = {x: a for a in acts(last_layers, minute, PersonsClock()) if a.kind == "look" for x in a.moulds}
    bed = PersonsClock(bedtime=20.25)
    early = {x: a for a in acts(last_layers, minute, bed) if a.kind == "look" for x in a.moulds}
    for letter in "AB":
        assert early[letter].due <= MIDNIGHT + 20.25 * HOUR - LAST_THINGS
        if early[letter].due < usual[letter].due - 60:
            assert "Worked back from 20:15" in early[letter].why
    assert early["A"].due < usual["A"].due


def test_a_top_up_that_cannot_be_made_before_bed_keeps_until_the_morning(last_layers: Day) -> None:
    early = [a for a in acts(last_layers, 12 * 60 + 1, PersonsClock(bedtime=19.5)) if a.kind == "look"]
    assert early
    for act in early:
        assert act.due == MIDNIGHT + 31 * HOUR
        assert "it keeps until then" in act.why


def test_nothing_wakes_anybody_after_the_last_pour(last_layers: Day) -> None:
    clock = PersonsClock(bedtime=19.5)
    for act in acts(last_layers, 12 * 60 + 31, clock):
        assert not clock.quiet(act.due)


def test_demoulding_is_a_matter_for_the_next_morning_however_early_the_core_is_cold(day: Day) -> None:
    """Pillars stand overnight (common practice, no source); the forecast says from when one may look."""
    day.melted().plugged().sealed().first_layers().second_layers().topped_up()
    for act in (a for a in day.acts(281).values() if a.kind == "demould"):
        assert act.window.likely < MIDNIGHT + 24 * HOUR
        assert act.due == MIDNIGHT + 31 * HOUR
        assert "A pillar stands overnight" in act.why
        assert "may be looked at from about" in act.why


def test_a_layer_that_falls_into_the_night_says_what_waiting_costs(day: Day) -> None:
    late = 13.9 * 60
    day.melted().plugged(late).sealed(late + 10).first_layers(late + 11)
    looks = [a for a in day.acts(late + 12).values() if a.kind == "look"]
    assert [a.moulds for a in looks if "quiet hours" in a.caution]
    assert all("warm it before you pour" in a.caution for a in looks if "quiet hours" in a.caution)


# -- leaving by a time -------------------------------------------------------------------------------


def _must_leave(day: Day, minute: float, hour: float) -> Any:
    day.at(minute, ev.HardStop(at=ev.moment(MIDNIGHT + hour * HOUR)))
    return next((a for a in day.acts(minute + 1).values() if a.kind == "stop"), None)


def test_a_day_without_a_hard_stop_has_no_word_about_it(day: Day) -> None:
    day.melted().plugged().sealed().first_layers()
    assert not [a for a in day.acts(52).values() if a.kind == "stop"]


def test_a_hard_stop_says_what_there_is_time_for_and_what_to_leave(day: Day) -> None:
    day.melted().plugged().sealed().first_layers()
    act = _must_leave(day, 52, 9.75)
    assert act.word == "LEAVE"
    assert "By 09:45 the burner is off" in act.says
    assert "Leave for tomorrow:" in act.says
    tomorrow = act.says.split("Leave for tomorrow:")[1]
    assert "the top-up into A" in tomorrow
    assert "cold: warm it" in act.says
    assert act.due < MIDNIGHT + 9.75 * HOUR == act.closes


def test_with_time_enough_nothing_is_left_for_tomorrow(day: Day) -> None:
    day.melted().plugged().sealed().first_layers()
    act = _must_leave(day, 52, 17.0)
    assert "Leave for tomorrow" not in act.says
    assert act.says.count("cream into") == 2
    assert act.says.count("the top-up into") == 2


@pytest.mark.parametrize("hours", [(9.0, 10.0, 11.0, 12.0, 14.0)])
def test_the_later_one_leaves_the_more_is_done_today(day_of: type, hours: tuple[float, ...]) -> None:
    left = []
    for hour in hours:
        day = day_of().melted().plugged().sealed().first_layers()
        says = _must_leave(day, 52, hour).says
        left.append(says.partition("Leave for tomorrow:")[2].count("into"))
    assert left == sorted(left, reverse=True)
    assert left[0] > left[-1]


def test_leaving_puts_the_burner_off_and_is_then_done_with(day: Day) -> None:
    day.melted().plugged().sealed().first_layers()
    _must_leave(day, 52, 9.0)
    day.at(112, ev.BurnerSet(state="on"))
    act = next(a for a in day.acts(113).values() if a.kind == "stop")
    day.at(113, *act.records)
    assert day.state.burner == "off"
    assert not [a for a in day.acts(114).values() if a.kind == "stop"]


def test_a_hard_stop_can_be_said_and_taken_back_from_the_menu(day: Day) -> None:
    day.melted()
    question = menu(day.state, day.outlook(31), day.now(31).act, day.t(31))
    times = next(c for c in question.choices if c.key == "t").then
    assert times.choices[0].label == "08:00"
    day.at(32, *times.choices[3].facts)
    assert day.state.hard_stop == MIDNIGHT + 9.5 * HOUR
    again = next(
        c for c in menu(day.state, day.outlook(33), day.now(33).act, day.t(33)).choices if c.key == "t"
    )
    day.at(33, *next(c for c in again.then.choices if c.key == "n").facts)
    assert day.state.hard_stop is None


@pytest.mark.parametrize(
    ("lit_at", "off_at", "asked"),
    [(20.0, None, True), (20.0, 21.9, False), (22.5, None, False)],
    ids=["still lit", "off in time", "lit after bedtime"],
)
def test_the_end_of_the_day_is_still_asked_for_while_the_burner_lit_before_it_is_on(
    day: Day, lit_at: float, off_at: float | None, asked: bool
) -> None:
    day.melted().plugged().sealed().first_layers(60 * 12.5)
    day.at(60 * (lit_at - 7), ev.BurnerSet(state="on"))
    if off_at is not None:
        day.at(60 * (off_at - 7), ev.BurnerSet(state="off"))
    found = [a for a in day.acts(60 * 15.8).values() if a.kind == "stop" and a.due <= day.t(60 * 15.8)]
    assert bool(found) is asked
    if asked:
        assert found[0].records[0] == ev.BurnerSet(state="off")
        day.at(60 * 15.8, *found[0].records)
        assert not [a for a in day.acts(60 * 15.9).values() if a.id == found[0].id]


# -- staying up --------------------------------------------------------------------------------------


def test_who_stays_up_is_at_the_bench_until_then_that_night_and_no_other() -> None:
    up = PersonsClock(up_until=MIDNIGHT + 25 * HOUR)
    assert up.ends(START) == up.ends(MIDNIGHT + 23 * HOUR) == MIDNIGHT + 25 * HOUR
    assert not up.quiet(MIDNIGHT + 24.5 * HOUR)
    assert up.quiet(MIDNIGHT + 25 * HOUR)
    assert up.awake(MIDNIGHT + 26 * HOUR) == MIDNIGHT + 31 * HOUR
    assert up.quiet(MIDNIGHT + 47 * HOUR), "the next night is as usual"
    assert up.quiet(MIDNIGHT + 1 * HOUR), "and so is the night before"
    assert up.ends(MIDNIGHT + 26 * HOUR) == MIDNIGHT + 46 * HOUR


@settings(max_examples=200, deadline=None)
@given(_HOURS, _HOURS, st.integers(1, 9), st.integers(0, 48 * 2))
def test_staying_up_moves_the_end_of_one_day_and_never_brings_it_nearer(
    quiet_from: float, quiet_to: float, hours: int, half: int
) -> None:
    """Until any hour of the next nine, at any time: an hour of the day that is no night changes nothing."""
    now = MIDNIGHT + 1800 * half
    usual, up = (
        PersonsClock(quiet_from, quiet_to),
        PersonsClock(quiet_from, quiet_to, up_until=now + HOUR * hours),
    )
    if not usual.quiet(now):
        assert up.ends(now) >= usual.ends(now)
    assert not up.quiet(now) or usual.quiet(now)
    assert up.quiet(now + 34 * HOUR) == usual.quiet(now + 34 * HOUR)


def test_a_day_begun_at_night_sends_nobody_to_bed_at_once(day: Day) -> None:
    """Begun at ten to ten, with quiet hours from ten, its first word was BED, with nothing loaded yet."""
    late = PersonsClock(quiet_from=_hour_of(day.t(10)), quiet_to=_hour_of(day.t(10 + 9 * 60)))
    assert not [act for act in acts(day, 20, late) if act.kind == "stop"]
    assert not late.of(day.state).quiet(day.t(60))
    early = PersonsClock(quiet_from=_hour_of(day.t(90)), quiet_to=_hour_of(day.t(90 + 9 * 60)))
    assert early.of(day.state).quiet(day.t(100)), "begun an hour and a half before: that is an evening to end"


def _hour_of(t: float) -> float:
    return (t - MIDNIGHT) / HOUR % 24


def test_staying_up_can_be_said_and_taken_back_from_the_menu(day: Day) -> None:
    def asked(minute: float) -> Any:
        question = menu(day.state, day.outlook(minute), day.now(minute).act, day.t(minute))
        return next(c for c in question.choices if c.key == "y").then

    day.melted()
    times = asked(31)
    assert [c.label[-5:] for c in times.choices[:-1]] == [f"{h % 24:02d}:00" for h in range(21, 30)], (
        "not an hour of this day"
    )
    day.at(32, *times.choices[3].facts)
    assert day.state.stays_up == MIDNIGHT + 24 * HOUR
    usual = PersonsClock()
    assert usual.of(day.state).ends(day.t(33)) == MIDNIGHT + 24 * HOUR
    day.at(33, *next(c for c in asked(33).choices if c.key == "n").facts)
    assert usual.of(day.state).ends(day.t(34)) == MIDNIGHT + 22 * HOUR


def test_who_began_at_night_can_go_to_bed_as_usual_all_the_same(day: Day) -> None:
    late = PersonsClock(quiet_from=_hour_of(day.t(10)), quiet_to=_hour_of(day.t(10 + 9 * 60)))
    assert not late.of(day.state).quiet(day.t(60))
    day.at(59, ev.StaysUp())
    assert late.of(day.state).quiet(day.t(60))


def test_who_stays_up_until_the_morning_is_awake_in_the_morning() -> None:
    """Until eight with quiet hours to seven: what was due at half past eight went to the next day."""
    up = PersonsClock(up_until=MIDNIGHT + 32 * HOUR)
    due = MIDNIGHT + 32.5 * HOUR
    assert up.before_bed(due, MIDNIGHT + 31.9 * HOUR) == (due, "")
    assert up.before_bed(due, MIDNIGHT + 23 * HOUR) == (due, "")
