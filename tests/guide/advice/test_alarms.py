"""Alarms: raised once, kept by a deadband, come back when nothing was done, hidden by nothing."""

from __future__ import annotations

from itertools import pairwise
from typing import Any, get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from pourday.demo.scenario import two_pillars
from pourday.guide.acts.act import Act, Kind, Urgency
from pourday.guide.acts.stove_reads import water_due
from pourday.guide.advice.agenda import order_now
from pourday.guide.advice.alarms import alarm_facts
from pourday.plan.water import boiling_c
from pourday.session import events as ev
from pourday.session.act_id import ActId
from pourday.session.alarm_words import ALARM_WORDS
from pourday.session.describe import say_fact
from tests.guide.facts import both_jugs, hot

Day = Any  # the `Told` of conftest.py


def test_the_ceiling_is_an_alarm_at_the_ceiling_and_not_below(lit: Day) -> None:
    ceiling = lit.outlook(0).ceiling_c
    assert lit.at(5, hot(ceiling - 0.1)).alarms(5) == []
    assert lit.at(6, hot(ceiling)).alarms(6) == ["ceiling"]
    assert lit.alarms(6.5) == []


def test_the_ceiling_alarm_puts_the_burner_off_with_one_key(lit: Day) -> None:
    now = lit.at(5, hot(94.0)).now(5)
    assert now.word == "HEAT OFF"
    assert now.act.kind == "alarm"
    assert "94 °C" in now.says
    assert "93 °C" in now.says
    lit.at(6, *now.act.records)
    assert lit.state.burner == "off"
    assert lit.state.alarms["ceiling"].acknowledged_at is not None


def test_the_alarm_ends_only_below_the_deadband(lit: Day) -> None:
    ceiling = lit.outlook(0).ceiling_c
    lit.at(5, hot(ceiling + 1)).alarms(5)
    lit.at(6, hot(ceiling - 1)).alarms(6)
    assert "ceiling" in lit.state.alarms
    lit.at(7, hot(ceiling - 2.1)).alarms(7)
    assert lit.state.alarms == {}


def test_inside_the_deadband_an_alarm_that_ended_is_not_raised_anew(lit: Day) -> None:
    ceiling = lit.outlook(0).ceiling_c
    lit.at(5, hot(ceiling + 1)).alarms(5)
    lit.at(6, hot(ceiling - 3)).alarms(6)
    assert lit.at(7, hot(ceiling - 1)).alarms(7) == []


@pytest.mark.parametrize("altitude", [0.0, 1500.0, 3000.0])
def test_a_pot_two_kelvin_above_local_boiling_is_a_dry_pot(day_of: type, altitude: float) -> None:
    """Water boils at 100, 95 and 90 °C at 0, 1500 and 3000 m in the U.S. Standard Atmosphere 1976 with the
    steam tables (from memory, to 0.3 K)."""
    boiling = {0.0: 100.0, 1500.0: 95.0, 3000.0: 90.0}[altitude]
    assert boiling_c(altitude) == pytest.approx(boiling, abs=0.3)
    told = day_of(plan=replace(two_pillars(), altitude=altitude)).at(0, ev.BurnerSet(state="on"))
    assert "dry pot" not in told.at(5, hot(boiling + 1.5)).alarms(5)
    assert "dry pot" in told.at(6, hot(boiling + 2.5)).alarms(6)
    now = told.now(6)
    assert now.word == "HEAT OFF"
    assert "no water into a hot dry pot" in now.says


def test_the_dry_pot_stands_before_the_ceiling(lit: Day) -> None:
    assert sorted(lit.at(5, hot(103.0)).alarms(5)) == ["ceiling", "dry pot"]
    assert str(lit.now(5).act.id) == "alarm dry pot"


def test_a_reading_in_doubt_still_raises_the_alarm_and_a_sound_one_ends_it(lit: Day) -> None:
    """108 °C does not fit the forecast, but a dry pot looks exactly like that."""
    doubted = ev.Reading(place="pot", celsius=108.0, doubt="above boiling water")
    assert lit.at(5, doubted).alarms(5) == ["dry pot", "ceiling"]
    lit.at(6, hot(70.0)).alarms(6)
    assert lit.state.alarms == {}


def test_a_lit_burner_and_ten_minutes_of_silence_call_the_person(lit: Day) -> None:
    assert lit.alarms(9.9) == []
    assert lit.alarms(10) == ["watch"]
    now = lit.now(10)
    assert now.word == "ANSWER"
    lit.at(11, *now.act.records)
    lit.alarms(11)
    assert lit.state.alarms == {}


def test_anything_a_person_says_answers_the_watch_and_nothing_the_program_says(lit: Day) -> None:
    lit.at(8, ev.Told(act="x", word="WAIT"), by="program")
    assert lit.alarms(10.5) == ["watch"]
    lit.at(11, ev.Noted(text="here"))
    assert lit.alarms(20.9) == []


def test_with_the_burner_off_nobody_is_watched(lit: Day) -> None:
    lit.at(5, ev.BurnerSet(state="off"))
    assert lit.alarms(60) == []


def test_a_burner_nobody_knows_is_watched_like_a_lit_one(day: Day) -> None:
    day.at(1, ev.Reopened(program="0", away=60.0), by="program")
    assert "watch" in day.alarms(12)
    assert "not known to be off" in day.state.alarms["watch"].says


def test_the_bath_is_asked_for_by_what_may_have_boiled_away_and_is_an_alarm_ten_minutes_later(
    lit: Day,
) -> None:
    for minute in (5, 13, 21):
        lit.at(minute, hot(50.0))
    due = (lit.act(21, "water").due - lit.t(0)) / 60
    assert 15 <= due <= 30
    lit.at(due - 0.5, hot(50.0))
    due = (lit.act(due, "water").due - lit.t(0)) / 60
    assert lit.now(due + 0.1).act.kind == "water"
    lit.at(due + 5, ev.WatchAnswered())
    assert lit.alarms(due + 9.5) == []
    assert lit.alarms(due + 10.1) == ["water"]
    lit.at(due + 11, ev.WaterSeen())
    lit.alarms(due + 11)
    assert lit.state.alarms == {}
    lit.at(due + 18, hot(52.0)).at(due + 26, hot(53.0)).at(due + 34, hot(53.0))
    lit.at(due + 42, hot(53.0))
    assert "water" in lit.alarms(due + 51.5)


def test_a_bath_of_a_litre_over_a_strong_flame_is_asked_for_sooner_than_a_deep_one(day_of: type) -> None:
    """A kilowatt and more, by how fast the wax was hot: over a kilogram of steam an hour once it boils."""
    dues = []
    for litres in (1.0, 4.0):
        day = day_of(plan=replace(two_pillars(), bath=litres / 1000)).at(0, ev.BurnerSet(state="on"))
        for minute, celsius in ((5, 45.0), (8, 62.0), (12, 84.0)):
            day.at(minute, hot(celsius))
        dues.append((water_due(day.state, day.outlook(12)) - day.t(0)) / 60)
    assert dues[0] < dues[1] - 3.0
    assert dues[1] <= 30.0


def test_the_alarm_for_the_bath_tells_one_time_however_long_it_stands(lit: Day) -> None:
    for minute in (5, 13, 21, 29, 37):
        lit.at(minute, hot(50.0))
    due = lit.act(37, "water").due
    assert "water" in lit.alarms(41)
    said = lit.at(42, hot(60.0)).now(42.5)
    assert said.word == "CHECK WATER"
    assert said.act.due == lit.act(42.5, "water").due == pytest.approx(due, abs=240)
    assert "since 07:00" in said.says


def test_an_acknowledged_alarm_comes_back_while_its_cause_stays(lit: Day) -> None:
    lit.at(5, hot(95.0)).alarms(5)
    lit.at(6, ev.AlarmAcknowledged(alarm="ceiling"))
    assert str(lit.now(7).act.id) != "alarm ceiling"
    assert lit.alarms(10.9) == []
    assert lit.alarms(11.1) == ["ceiling"]
    assert str(lit.now(11.1).act.id) == "alarm ceiling"


def test_with_the_burner_off_an_old_reading_does_not_ring_for_ever(lit: Day) -> None:
    lit.at(5, hot(95.0))
    lit.at(6, *lit.now(5).act.records)
    for minute in range(7, 240, 9):
        lit.alarms(minute)
    assert lit.state.alarms == {}


def test_lighting_again_does_not_raise_an_old_reading_anew(lit: Day) -> None:
    lit.at(5, hot(95.0))
    lit.at(6, *lit.now(5).act.records)
    for minute in range(7, 120, 6):
        lit.alarms(minute)
    lit.at(120, ev.BurnerSet(state="on"))
    assert lit.alarms(121) == []
    assert lit.at(122, hot(93.5)).alarms(122) == ["ceiling"]


def test_lighting_again_does_not_silence_an_alarm_that_stands(lit: Day) -> None:
    lit.at(5, hot(95.0))
    lit.at(6, *lit.now(5).act.records).at(6.5, ev.BurnerSet(state="on"))
    lit.alarms(7)
    assert "ceiling" in lit.state.alarms
    assert lit.alarms(12) == ["ceiling"]


def test_nobody_is_told_to_light_the_burner_while_the_pot_is_above_its_ceiling(lit: Day) -> None:
    lit.at(5, hot(95.0))
    lit.at(6, *lit.now(5).act.records)
    for minute in range(7, 60, 2):
        lit.alarms(minute)
        if lit.state.alarms:
            assert "heat on" not in [
                a.kind for a in order_now(list(lit.acts(minute).values()), lit.t(minute))
            ]


def test_a_jug_over_the_ceiling_is_an_alarm_like_the_pot(lit: Day) -> None:
    jug = ev.Reading(place="jug", celsius=95.0)
    assert lit.at(5, ev.JugMade(layer=0), jug).alarms(5) == ["ceiling"]
    assert "The jug read 95 °C" in lit.now(5).says


def test_a_lit_burner_nobody_reads_is_an_alarm_once_the_forecast_is_over_the_ceiling(lit: Day) -> None:
    lit.at(10, hot(55.0)).at(20, hot(80.0), ev.WaterSeen())
    raised = {}
    for minute in range(21, 40):
        lit.at(minute, ev.WatchAnswered())
        for alarm in lit.alarms(minute):
            raised.setdefault(alarm, minute)
    pot = lit.outlook(raised["near ceiling"]).pot
    ceiling = lit.outlook(0).ceiling_c
    assert pot.at(lit.t(raised["near ceiling"]))[1] >= ceiling
    assert pot.at(lit.t(raised["near ceiling"] - 3))[1] < ceiling
    assert lit.now(39).word == "HEAT OFF"
    lit.at(39, *lit.now(39).act.records)
    lit.alarms(39.5)
    assert "near ceiling" not in lit.state.alarms


def test_a_thermometer_that_fell_silent_is_an_alarm_only_once_it_has_spoken(lit: Day) -> None:
    for minute in range(5, 60, 5):
        lit.at(minute, ev.WatchAnswered(), ev.WaterSeen())
        assert "silent" not in lit.alarms(minute)
    lit.at(60, hot(50.0))
    for minute in (65, 70, 75, 79):
        assert "silent" not in lit.at(minute, ev.WatchAnswered(), ev.WaterSeen()).alarms(minute)
    assert "silent" in lit.at(80, ev.WatchAnswered(), ev.WaterSeen()).alarms(80)
    lit.at(81, hot(51.0)).alarms(81)
    assert "silent" not in lit.state.alarms


@pytest.mark.parametrize("minutes", [3, 10, 30])
def test_the_watch_waits_as_long_as_the_person_has_set(lit: Day, minutes: float) -> None:
    def watched(minute: float) -> bool:
        facts = alarm_facts(lit.state, lit.outlook(minute), lit.t(minute), watch=60 * minutes)
        return "watch" in [f.alarm for f in facts if isinstance(f, ev.AlarmRaised)]

    assert not watched(minutes - 0.1)
    assert watched(minutes)


def test_short_reheats_add_up_to_a_look_at_the_water(day: Day) -> None:
    """Water boils away while the burner is lit, however often it is turned off between."""
    day.at(0, ev.BurnerSet(state="on"), ev.WaterSeen())
    for start in (0, 30, 60, 90):
        day.at(start, ev.BurnerSet(state="on")).at(start + 7, ev.BurnerSet(state="off"))
    day.at(120, ev.BurnerSet(state="on"))
    assert day.act(120.5, "water").due <= day.t(122.5)
    assert "water" in day.alarms(133)


def test_away_longer_than_said_calls(day: Day) -> None:
    day.at(5, ev.WentAway(back_by=ev.moment(day.t(20))))
    assert day.now(6).word == "BACK 07:20"
    assert day.alarms(24) == []
    assert day.alarms(26) == ["away"]
    day.at(27, *day.now(26).act.records)
    assert day.state.away_since is None


# -- nothing dangerous is hidden ---------------------------------------------------------------------


@pytest.mark.parametrize("seen", [(), ("firm",), ("cold",)])
def test_a_burner_nobody_knows_comes_before_everything(day: Day, seen: tuple[ev.Cue, ...]) -> None:
    day.melted().plugged().sealed().first_layers()
    day.at(130, *(ev.Looked(mould=x, cue=cue) for x in "AB" for cue in seen))
    day.at(400, ev.Reopened(program="0", away=200 * 60), by="program")
    now = day.now(400.1)
    assert now.word == "HEAT?"
    assert now.act.question is not None
    facts = [f for c in now.act.question.choices for f in c.facts]
    assert {f.state for f in facts if isinstance(f, ev.BurnerSet)} == {"on", "low", "off"}
    day.at(401, ev.BurnerSet(state="off"))
    assert day.now(401).act.kind != "burner?"


_ACTS = st.lists(
    st.builds(
        Act,
        id=st.builds(ActId, st.text("abc", min_size=1, max_size=3)),
        kind=st.sampled_from(get_args(Kind)),
        word=st.just("X"),
        says=st.just(""),
        why=st.just(""),
        due=st.floats(0, 200),
        closes=st.none() | st.floats(0, 300),
        urgency=st.sampled_from(Urgency),
    ),
    max_size=8,
    unique_by=lambda act: act.id,
)


@settings(max_examples=300, deadline=None)
@given(_ACTS, st.randoms())
def test_the_most_pressing_comes_first_in_whatever_order_the_acts_are_found(
    acts: list[Act], random: Any
) -> None:
    now = 100.0
    first = order_now(acts, now)
    shuffled = list(acts)
    random.shuffle(shuffled)
    assert order_now(shuffled, now) == first
    assert {act.id for act in first} == {act.id for act in acts if act.due <= now}
    assert [act.urgency for act in first] == sorted(act.urgency for act in first)
    for one, other in pairwise(first):
        if one.urgency == other.urgency:
            assert (one.closes or float("inf")) <= (other.closes or float("inf"))


def test_what_is_late_counts_up(day: Day) -> None:
    day.melted().plugged().sealed()
    pour = day.now(51)
    closes = (pour.act.closes - day.t(0)) / 60
    day.at(closes - 2.5, ev.Reading(place="jug", celsius=84.0))
    before = day.now(closes - 2).time
    after = day.at(closes + 2.5, ev.Reading(place="jug", celsius=84.0)).now(closes + 3).time
    assert (before.text, before.late) == ("2:00", False)
    assert (after.text, after.late) == ("+3:00", True)
    assert after.label.startswith("late, closed")
    assert pour.act.late(day.t(closes + 3)) == pytest.approx(180)
    assert pour.act.late(day.t(closes - 3)) == 0


# -- what was read where, and what may end an alarm ---------------------------------------------------------


def in_jug(celsius: float) -> ev.Reading:
    return ev.Reading(place="jug", celsius=celsius)


@pytest.mark.parametrize(
    ("after", "stands"),
    [
        (in_jug(75.0), True),  # Another vessel says nothing of the pot.
        (ev.Reading(place="pot", celsius=9.0, doubt="far too cold"), True),  # Nor does a slip of the keys.
        (hot(80.0), False),
        (ev.Reading(place="pot", celsius=99.0, doubt="far too hot"), True),
    ],
    ids=["a cool jug", "a doubted reading", "the pot itself", "doubted and hotter"],
)
def test_only_a_sound_reading_of_the_same_place_ends_an_alarm(
    lit: Day, after: ev.Reading, stands: bool
) -> None:
    lit.at(5, hot(lit.outlook(0).ceiling_c + 4)).alarms(5)
    lit.at(6, after).alarms(6)
    assert ("ceiling" in lit.state.alarms) is stands


@pytest.mark.parametrize("order", [(0, 1), (1, 0)])
def test_two_readings_of_one_moment_alarm_in_whatever_order_they_were_filed(
    lit: Day, order: tuple[int, int]
) -> None:
    read = (hot(lit.outlook(0).ceiling_c + 4), in_jug(75.0))
    assert lit.at(5, *(read[i] for i in order)).alarms(5) == ["ceiling"]


def test_an_acknowledged_ceiling_does_not_come_back_for_a_cooler_jug(lit: Day) -> None:
    ceiling = lit.outlook(0).ceiling_c
    lit.at(5, hot(ceiling + 0.5)).alarms(5)
    lit.at(5.5, ev.BurnerSet(state="off"), ev.AlarmAcknowledged(alarm="ceiling"))
    assert lit.at(9, in_jug(75.0)).alarms(11) == []


def test_with_the_burner_off_a_jug_too_hot_is_not_answered_by_turning_it_off(lit: Day) -> None:
    lit.at(4, ev.BurnerSet(state="off")).at(5, in_jug(lit.outlook(0).ceiling_c + 1))
    now = lit.now(5.1)
    assert now.word == "TOO HOT"
    assert "burner off" not in now.says
    assert now.act.records == (ev.AlarmAcknowledged(alarm="ceiling"),)


@pytest.mark.parametrize("lit_before", [True, False])
def test_a_burner_nobody_knows_that_was_lit_may_be_over_its_ceiling_by_the_forecast(
    lit: Day, lit_before: bool
) -> None:
    lit.at(20, hot(89.0))
    if not lit_before:
        lit.at(20.5, ev.BurnerSet(state="off"))
    lit.at(22, ev.Reopened(program="0", away=30.0), by="program")
    raised = [name for minute in (24, 26, 28, 30) for name in lit.alarms(minute)]
    assert ("near ceiling" in raised) is lit_before


def test_a_question_for_the_burner_once_skipped_is_asked_again_when_nobody_knows_it_anew(day: Day) -> None:
    day.melted().at(40, ev.Reopened(program="0", away=600.0), by="program")
    skip = next(a for a in day.acts(41).values() if a.kind == "burner?")
    assert skip.urgency == 0
    day.at(41, ev.Waived(act=f"back burner {day.state.gaps[-1].end:.0f}"))
    assert next(a for a in day.acts(42).values() if a.kind == "burner?").urgency == 6
    day.at(43, ev.BurnerSet(state="on")).at(50, ev.Reopened(program="0", away=60.0), by="program")
    assert next(a for a in day.acts(51).values() if a.kind == "burner?").urgency == 0


def test_the_flame_goes_down_before_a_pour_that_has_time(day: Day) -> None:
    day.melted().plugged().sealed().first_layers().at(130, ev.Looked(mould="B", cue="firm")).jug(131, 1)
    day.at(132, ev.BurnerSet(state="on"), in_jug(84.0)).at(133, hot(84.0), ev.WaterSeen())
    due = [act.kind for act in order_now(tuple(day.acts(134).values()), day.t(134))]
    assert "pour" in due
    # Low where that surely keeps below the ceiling, else out.
    assert {"heat low", "heat off"} & set(due)
    assert due.index(next(kind for kind in due if kind.startswith("heat"))) < due.index("pour")


def test_an_alarm_says_what_the_newest_reading_says_and_not_what_it_said_as_it_was_raised(lit: Day) -> None:
    lit.at(5, hot(95.0)).alarms(5)
    assert "95 °C" in lit.now(5).says
    lit.at(6, hot(97.0)).alarms(6)
    assert "97 °C" in lit.now(6).says
    assert "95 °C" not in lit.now(6).says


def test_a_hot_pot_that_is_empty_since_is_no_alarm_any_more(lit: Day) -> None:
    """All its wax stands in jugs, and one of them was read cool: there is nothing left to let fall."""
    lit.at(5, hot(95.0)).alarms(5)
    lit.at(6, *(ev.JugMade(layer=layer) for layer in range(len(lit.state.plan.layers))))
    lit.alarms(7)
    assert "ceiling" in lit.state.alarms, "nobody read a jug yet"
    lit.at(8, ev.Reading(place="jug", celsius=82.0))
    lit.alarms(8)
    assert not lit.state.alarms


def test_no_alarm_is_called_on_screen_by_its_name_for_files() -> None:
    for name, words in ALARM_WORDS.items():
        said = say_fact(ev.AlarmEnded(alarm=name), two_pillars())
        assert words in said


def test_a_low_flame_that_was_left_for_an_hour_rings_no_heat_by_the_forecast_alone(day: Day) -> None:
    """How strong it is nobody has read: likely over the ceiling it may as well be at 80 °C."""
    both_jugs(day).at(56, ev.BurnerSet(state="low")).at(58, ev.Reading(place="jug", celsius=88.0))
    raised, over = set[str](), False
    for minute in range(60, 130, 2):
        day.at(minute, ev.WatchAnswered(), ev.WaterSeen())
        raised |= set(day.alarms(minute))
        outlook = day.outlook(minute)
        over = over or outlook.pot.at(day.t(minute))[1] >= outlook.ceiling_c
    assert over, "by the likely forecast it is too hot"
    assert not raised & {"near ceiling", "ceiling", "dry pot"}
