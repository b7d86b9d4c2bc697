"""Alarms from probes on wires: no signal over a lit burner, heat that stands, a ceiling about to be passed."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from pourday.guide.advice.adviser import Adviser
from pourday.guide.advice.alarm import Alarm
from pourday.guide.advice.alarms import alarms
from pourday.guide.advice.now import what_now, with_live_figure
from pourday.guide.advice.probe_alarms import HOT_FOR, PASSES_IN, lost_signal, passes_in, rising, stands
from pourday.probes.channel import ProbeNow
from pourday.session import events as ev

Day = Any  # the `Told` of conftest.py

PROBE = ProbeNow(
    name="pot",
    place="pot",
    mould="",
    jug=None,
    raw="",
    celsius=74.6,
    heard_at=0.0,
    counted=74.6,
    counted_at=0.0,
    lie=None,
    overruled=False,
    trouble="",
    interval=1.0,
    rate=None,
    offset=0.0,
)


def probe(day: Day, minute: float, **more) -> ProbeNow:
    """The probe in the pot, heard at this minute of the day."""
    t = day.t(minute)
    return replace(PROBE, heard_at=t, counted_at=t, **more)


def by_probe(celsius: float, doubt: str = "") -> ev.Reading:
    return ev.Reading(place="pot", celsius=celsius, probe="pot", doubt=doubt)


def names(day: Day, minute: float, *probes: ProbeNow) -> list[str]:
    """The alarms that are raised now, or stand."""
    there = alarms(day.state, day.outlook(minute), day.t(minute), probes=probes)
    return [alarm.id for alarm in there if alarm.holds or alarm.id in day.state.alarms]


def test_a_probe_that_falls_silent_over_a_lit_burner_is_an_alarm_that_says_how_old_its_last_value_is(
    lit: Day,
) -> None:
    heard = probe(lit, 5)
    lit.at(5, by_probe(74.6), by="probe")
    assert names(lit, 5 + 9 / 60, heard) == []
    assert names(lit, 5 + 11 / 60, heard) == ["signal"]
    (alarm,) = lost_signal(lit.state, lit.outlook(7), [heard], lit.t(7))
    assert "74.6 °C" in alarm.says or "75 °C" in alarm.says
    assert "2 min ago" in alarm.says
    lit.at(8, ev.BurnerSet(state="off"))
    assert names(lit, 9, heard) == []


def test_three_usual_intervals_of_a_slow_probe_are_waited_for(lit: Day) -> None:
    slow = probe(lit, 5, interval=20.0)
    assert names(lit, 5 + 59 / 60, slow) == []
    assert names(lit, 5 + 61 / 60, slow) == ["signal"]


def test_a_reading_by_hand_after_it_takes_the_watch_over(lit: Day) -> None:
    heard = probe(lit, 5)
    assert names(lit, 7, heard) == ["signal"]
    lit.at(7, ev.Reading(place="pot", celsius=75.0, typed="75"))
    assert names(lit, 7.5, heard) == []


def test_one_that_was_taken_out_of_all_places_or_never_heard_in_this_heat_is_not_missed(lit: Day) -> None:
    assert names(lit, 7, replace(probe(lit, 5), place=None)) == []
    assert names(lit, 7, replace(PROBE, counted_at=None)) == []
    assert names(lit, 7, probe(lit, -30)) == []
    assert names(lit, 7, probe(lit, 5, overruled=True)) == []


def test_what_does_not_count_is_missed_too_and_why_is_said(lit: Day) -> None:
    wild = replace(probe(lit, 5), heard_at=lit.t(7), lie="no contact")
    (alarm,) = lost_signal(lit.state, lit.outlook(7), [wild], lit.t(7))
    assert isinstance(alarm, Alarm)
    assert "a wire is open" in alarm.says


def test_heat_of_a_probe_has_to_stand_for_ten_seconds_and_typed_heat_has_not(lit: Day) -> None:
    ceiling = lit.outlook(0).ceiling_c
    lit.at(5, by_probe(ceiling - 1), by="probe").at(5.1, by_probe(ceiling + 0.4), by="probe")
    assert names(lit, 5.1) == []
    assert names(lit, 5.1 + (HOT_FOR - 1) / 60) == []
    assert names(lit, 5.1 + (HOT_FOR + 1) / 60) == ["ceiling"]
    lit.at(5.2, by_probe(ceiling - 0.5), by="probe").at(5.3, by_probe(ceiling + 0.2), by="probe")
    assert names(lit, 5.31) == []
    assert stands(lit.state, lit.state.readings[0], 0.0, lit.t(6))


def test_what_a_probe_says_in_doubt_raises_no_heat_and_ends_none(lit: Day) -> None:
    ceiling = lit.outlook(0).ceiling_c
    lit.at(5, by_probe(700.0 - 400, "The probe: no contact."), by="probe")
    assert names(lit, 6) == []
    lit.at(6, ev.Reading(place="pot", celsius=ceiling + 1))
    assert lit.alarms(6) == ["ceiling"]
    lit.at(7, by_probe(22.0, "The probe: out of the wax."), by="probe")
    lit.alarms(7)
    assert "ceiling" in lit.state.alarms


def test_a_pot_that_rises_so_fast_that_it_passes_its_ceiling_soon_is_an_alarm(lit: Day) -> None:
    ceiling = lit.outlook(0).ceiling_c
    rate = 0.06
    near = probe(lit, 5, counted=ceiling - rate * (PASSES_IN - 10), rate=rate)
    far = probe(lit, 5, counted=ceiling - rate * (PASSES_IN + 30), rate=rate)
    assert names(lit, 5, far) == []
    assert names(lit, 5, near) == ["near ceiling"]
    assert "burner off" in rising(lit.state, lit.outlook(5), [near], lit.t(5))[0].says
    assert names(lit, 5, replace(near, rate=0.0)) == []
    assert names(lit, 5, replace(near, rate=-0.1)) == []
    assert passes_in(lit.outlook(5), near, lit=False) == pytest.approx(PASSES_IN - 10)
    lit.at(5, ev.AlarmRaised(alarm="near ceiling", says="x"), by="program")
    # What was an alarm stays one a little farther off: it does not flutter.
    assert names(lit, 5, far) == ["near ceiling"]


def test_nobody_is_asked_to_read_where_a_probe_reads_by_itself_until_it_falls_silent(lit: Day) -> None:
    lit.at(1, ev.Reading(place="pot", celsius=25.0, typed="25"))

    def kinds(*probes: ProbeNow) -> set[str]:
        adviser = Adviser()
        adviser.probes = probes
        return {act.kind for act in adviser.advise(lit.state, lit.t(10)).acts}

    assert "read" in kinds()
    assert kinds(probe(lit, 10)) == kinds() - {"read"}
    assert kinds(probe(lit, 8)) == kinds()
    assert kinds(probe(lit, 10, lie="frozen")) == kinds()
    assert kinds(probe(lit, 10, place="jug")) == kinds()


def test_the_figure_of_a_probe_stands_large_with_its_place_and_moves_with_each_line(lit: Day) -> None:
    lit.at(5, by_probe(60.0), by="probe")
    heard = probe(lit, 6, counted=61.2)
    outlook = lit.outlook(6)
    acts = list(lit.acts(6).values())
    first = what_now(lit.state, outlook, acts, lit.t(6), [heard])
    assert first.degrees.text == "61.2°"
    assert first.degrees.label.startswith("probe, pot, target")
    assert first.probe == "pot"
    later = with_live_figure(first, [replace(heard, counted=61.4)], lit.t(6), "metric")
    assert later.degrees.text == "61.4°"
    gone = what_now(lit.state, outlook, acts, lit.t(8), [heard])
    assert gone.probe == ""
    assert not gone.degrees.label.startswith("probe")
