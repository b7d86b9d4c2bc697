"""What the watch over all probes says and keeps: each lie once, places, swaps, heaps, floods, tests, loss of signal."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from pourday.errors import Trouble
from pourday.probes.channel import ProbeChannel, ProbeNow
from pourday.probes.doubt import ProbeJudge, Surroundings
from pourday.probes.lateness import Lateness
from pourday.probes.offset import ProbeTest, offset_found, read_test
from pourday.probes.source import ProbeSpot, read_source
from pourday.probes.watch import ProbeReading, ProbeWatch
from pourday.session.state import ReadingAt


def watch(**sources: str) -> ProbeWatch:
    made = ProbeWatch({name: read_source(text) for name, text in sources.items()})
    made.around = Surroundings(room_c=20.0, boiling_c=100.0)
    return made


def say(probes: ProbeWatch, source: str, values: list[float], t: float, every: float = 1.0) -> float:
    """Values, one after the other; when the next one would come."""
    for value in values:
        probes.heard(source, [f"{value}".encode()], t)
        t += every
    return t


WAVER = [74.4, 74.6, 74.5, 74.7, 74.6, 74.8, 74.7, 74.9, 74.8, 75.0]


def test_a_reading_goes_on_record_with_its_place_and_its_probe():
    probes = watch(pot="file:/x", jug="place=jug file:/y")
    probes.heard("pot", [b"74.6"], 100.0)
    probes.heard("jug", [b"61.2"], 101.0)
    assert probes.kept() == [
        ProbeReading(100.0, ev_reading("pot", 74.6, "pot")),
        ProbeReading(101.0, ev_reading("jug", 61.2, "jug")),
    ]
    assert probes.kept() == []


def ev_reading(place, celsius, probe):
    from pourday.session.events import Reading

    return Reading(place=place, celsius=celsius, probe=probe)


def test_a_lie_is_said_once_is_kept_once_with_its_doubt_and_so_is_its_end():
    probes = watch(pot="file:/x")
    t = say(probes, "pot", WAVER, 0.0)
    probes.kept()
    t = say(probes, "pot", [60.0, 48.0, 40.0, 35.0, 31.0], t)
    said = probes.news()
    assert len(said) == 1
    assert "out of the wax?" in said[0]
    assert [r.fact.doubt for r in probes.kept()] == ["The probe: out of the wax."]
    t = say(probes, "pot", [28.0, 25.0, 23.0], t)
    assert probes.news() == []
    assert probes.probes[0].counted == 75.0
    say(probes, "pot", [74.9, 75.0], t)
    assert probes.news() == ["Probe pot counts again: 75.0 °C."]


def test_a_probe_on_the_bench_is_never_believed_to_be_wax_however_long_it_lies_there():
    probes = watch(pot="file:/x")
    t = say(probes, "pot", WAVER, 0.0)
    probes.kept()
    t = say(probes, "pot", [20.0 + 55 * 0.8**n + 0.1 * (n % 3) for n in range(200)], t)
    assert probes.probes[0].lie == "out of the wax"
    assert len([r for r in probes.kept() if not r.fact.doubt]) == 0


def test_wax_that_was_really_cooled_is_believed_once_it_stands():
    probes = watch(pot="file:/x")
    t = say(probes, "pot", WAVER, 0.0)
    t = say(probes, "pot", [70, 66, 63, 61, *[60.0 + 0.1 * (n % 4) for n in range(30)]], t)
    assert probes.probes[0].lie is None
    assert probes.probes[0].counted == pytest.approx(60.1, abs=0.2)


def test_after_wax_was_put_in_a_fall_is_no_lie():
    probes = watch(pot="file:/x")
    t = say(probes, "pot", WAVER, 0.0)
    probes.around = replace(probes.around, disturbed_at=t)
    say(probes, "pot", [60.0], t)
    assert probes.probes[0].lie is None


def test_two_probes_that_change_places_are_told_from_two_that_jump():
    probes = watch(pot="file:/x", jug="place=jug file:/y")
    for n, value in enumerate(WAVER):
        probes.heard("pot", [f"{value}".encode()], float(n))
        probes.heard("jug", [f"{value - 14}".encode()], float(n))
    for n in (10.0, 11.0):
        probes.heard("pot", [b"60.9"], n)
        probes.heard("jug", [b"74.9"], n)
    assert [p.lie for p in probes.probes] == ["swapped", "swapped"]
    probes.put_into("pot", ProbeSpot("jug"))
    probes.put_into("jug", ProbeSpot("pot"))
    probes.heard("pot", [b"60.9"], 12.0)
    probes.heard("jug", [b"74.9"], 12.0)
    assert [(p.lie, p.place, p.counted) for p in probes.probes] == [(None, "jug", 60.9), (None, "pot", 74.9)]


def test_two_cannot_be_in_one_place():
    probes = watch(pot="file:/x", other="file:/y")
    assert [p.place for p in probes.probes] == ["pot", None]
    probes.put_into("other", ProbeSpot("pot"))
    assert [p.place for p in probes.probes] == [None, "pot"]


def test_a_source_of_two_numbers_is_two_probes_by_their_places():
    probes = watch(stove='pattern="A={pot} B={surface a} C={third}" file:/x')
    probes.heard("stove", [b"A=74.6 B=55.0 C=20.0"], 1.0)
    assert [(p.name, p.place, p.mould, p.celsius) for p in probes.probes] == [
        ("stove pot", "pot", "", 74.6),
        ("stove surface a", "surface", "A", 55.0),
        ("stove third", None, "", 20.0),
    ]
    assert [r.fact.place for r in probes.kept()] == ["pot", "surface"]


def test_lines_in_a_heap_after_a_silence_tell_of_a_while_ago_and_only_the_last_counts():
    probes = watch(pot="file:/x")
    say(probes, "pot", WAVER, 0.0)
    probes.heard("pot", [f"{70 - n / 10:.1f}".encode() for n in range(40)][:20], 60.0)
    assert len([n for n in probes.news() if "heaps" in n]) == 1
    assert probes.probes[0].raw == "68.1"


def test_a_clock_of_another_zone_is_no_delay_and_is_said_once():
    probes = watch(pot="file:/x")
    for n in range(30):
        probes.heard("pot", [f"{1_790_000_000 + n - 7200} {74 + n % 3 / 10}".encode()], 1_790_000_000.0 + n)
    assert probes.probes[0].lie is None
    assert [n for n in probes.news() if "clock" in n] == [
        "The clock of the probe pot is set differently: what counts is when its lines arrive."
    ]
    assert Lateness().clock_off == 0.0


def test_garbage_and_a_flood_are_said_once_each():
    probes = watch(pot="file:/x")
    for n in range(9):
        probes.heard("pot", [b"\x1b]0;owned\x07\x1b[2Jhello \x00"], float(n))
    for n in range(20):
        probes.heard("pot", [b"74.6"] * 20, 20.0 + n / 50, dropped=500)
    said = probes.news()
    assert len(said) == 2
    assert "“hello”" in said[0]
    assert "more than 100 lines a second" in said[1]
    assert all(text.isprintable() for text in said)


def test_what_the_record_says_it_was_in_last_is_where_it_still_is():
    known = [ReadingAt(1, 50.0, "jug", 61.0, "", "probe", "", "pot")]
    probes = ProbeWatch({"pot": read_source("file:/x")}, {}, known)
    (pot,) = probes.probes
    assert (pot.place, pot.counted, pot.counted_at) == ("jug", 61.0, 50.0)
    assert pot.is_lost(70.0)


def test_signal_is_lost_after_three_usual_intervals_but_not_within_ten_seconds():
    probes = watch(pot="file:/x")
    t = say(probes, "pot", WAVER, 0.0, every=8.0)
    last = t - 8.0
    (pot,) = probes.probes
    assert not pot.is_lost(last + 23)
    assert pot.is_lost(last + 25)
    t = say(probes, "pot", WAVER, t, every=1.0)
    (pot,) = probes.probes
    assert not pot.is_lost(t - 1 + 9)
    assert pot.is_lost(t - 1 + 11)
    assert not ProbeChannel("pot", ProbeSpot("pot")).now().is_lost(1e9)


def test_a_value_that_does_not_count_is_no_signal():
    probes = watch(pot="file:/x")
    t = say(probes, "pot", WAVER, 0.0)
    t = say(probes, "pot", [850.0] * 15, t)
    (pot,) = probes.probes
    assert isinstance(pot, ProbeNow)
    assert pot.is_lost(t)
    assert not pot.counts(t)


def test_what_was_typed_wins_once_somebody_said_so_until_both_agree_again():
    probes = watch(pot="file:/x")
    t = say(probes, "pot", WAVER, 0.0)
    probes.kept()
    assert probes.typed(ProbeSpot("pot"), 74.0, t) is None
    asked = probes.typed(ProbeSpot("pot"), 71.0, t)
    assert asked is not None
    assert asked.counted == 75.0
    probes.channel("pot").overrule(t, 71.0)
    t = say(probes, "pot", [75.0, 74.8] * 30, t)
    assert probes.kept() == []
    assert not probes.probes[0].counts(t)
    assert probes.typed(ProbeSpot("pot"), 72.0, t) is None
    assert probes.typed(ProbeSpot("pot"), 74.1, t) is None
    assert probes.probes[0].counts(t)


def test_the_rate_of_a_rising_pot_is_its_slope():
    probes = watch(pot="file:/x")
    t = say(probes, "pot", [round(70 + n * 0.05, 2) for n in range(60)], 0.0)
    assert probes.probes[0].rate == pytest.approx(0.05, abs=0.002)
    assert t == 60.0


# -- held into ice and boiling water -------------------------------------------------------------------


def test_a_probe_is_corrected_by_what_it_says_in_ice_and_in_boiling_water():
    day = date(2026, 11, 30)
    in_ice = offset_found("ice", [(n * 1.0, 0.42 + 0.02 * (n % 2)) for n in range(20)], 100.0, day)
    assert in_ice.text == "-0.43 K in ice on 2026-11-30"
    assert read_test(in_ice.text) == in_ice
    # At 1600 m water boils near 94.7 °C (hypsometric; the altitude's own figure is checked in tests/plan/test_water.py).
    boiling = offset_found("boiling water", [(n * 1.0, 95.1) for n in range(20)], 94.7, day)
    assert boiling.kelvin == pytest.approx(-0.4)
    probes = ProbeWatch({"pot": read_source("file:/x")}, {"pot": in_ice})
    probes.heard("pot", [b"75.03"], 0.0)
    assert probes.probes[0].celsius == pytest.approx(74.6)
    assert probes.channel("pot").as_said == [(0.0, 75.03)]


@pytest.mark.parametrize(
    ("readings", "says"),
    [
        ([(0.0, 0.1), (1.0, 0.1)], "long enough"),
        ([(n * 1.0, 10 - n / 2) for n in range(20)], "stand still"),
        ([(n * 1.0, 21.0) for n in range(20)], "more than 5"),
    ],
)
def test_what_is_no_test_is_refused(readings, says):
    with pytest.raises(Trouble, match=says):
        offset_found("ice", readings, 100.0, date(2026, 11, 30))


def test_a_test_is_old_after_half_a_year():
    test = ProbeTest(-0.4, "ice", date(2026, 1, 1))
    assert not test.is_old(date(2026, 7, 1))
    assert test.is_old(date(2026, 7, 4))
    for text in (
        "",
        "0.4",
        "-0.4 K in oil on 2026-01-01",
        "-0.4 K in ice on 2026-13-01",
        "9.9 K in ice on 2026-01-01",
    ):
        with pytest.raises(Trouble):
            read_test(text)


def test_a_frozen_value_of_a_probe_in_whole_degrees_is_given_more_time():
    fine, coarse = ProbeJudge(), ProbeJudge()
    around = Surroundings()
    for n in range(60):
        fine.judge(n * 5.0, 70 + (n // 3) * 0.1, "pot", around)
        coarse.judge(n * 5.0, 60.0 + n // 4, "pot", around)
    for n in range(60, 170):
        t = n * 5.0
        fine_lie = fine.judge(t, 72.0, "pot", around)
        coarse_lie = coarse.judge(t, 74.0, "pot", around)
    assert fine_lie == "frozen"
    assert coarse_lie is None


def test_a_source_that_is_gone_is_said_once_until_it_comes_again_and_a_program_that_ends_each_time_is_not():
    probes = watch(pot="file:/x", radio="command:read-once")
    for n in range(4):
        probes.lost("pot", "It cannot be read.")
        probes.heard("radio", [b"61.2"], float(n))
        probes.lost("radio", "It ended with status 0.")
    assert probes.news() == ["Probe pot: It cannot be read."]
    assert probes.probes[0].trouble == "It cannot be read."
    probes.heard("pot", [b"61.2"], 9.0)
    probes.lost("pot", "It cannot be read.")
    probes.lost("pot", "It cannot be read.")
    assert probes.news() == ["Probe pot: It cannot be read."]
    alone = watch(pot="-")
    alone.lost("pot", "Nothing more comes.")
    assert alone.news() == ["Probe pot: Nothing more comes."]
