"""What a line of a probe says: numbers, units, moments, words for a broken wire, and nothing where it is not plain."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourday.errors import Trouble
from pourday.probes.line import read_pattern, understand
from pourday.probes.line_buffer import LONGEST, LineBuffer
from pourday.probes.source import read_source
from pourday.text import plain, steerless

ANY = read_pattern("", "", "")


@pytest.mark.parametrize(
    ("line", "celsius"),
    [
        ("74.6", 74.6),
        ("T=74.6C", 74.6),
        ("T1=74.6", 74.6),
        ("74,6 °C", 74.6),
        ("-12.5", -12.5),
        ("temp: 165.2 F, humidity 33", 74.0),
        ("165.2℉", 74.0),
        ("08:00:01 74.6", 74.6),
        ("2026-11-30 74.6", 74.6),
    ],
)
def test_the_one_number_that_can_be_a_temperature_is_taken(line, celsius):
    (one,) = understand(line, ANY)
    assert one.celsius == pytest.approx(celsius)


@pytest.mark.parametrize(
    "line",
    ["", "hello", "74.6 33.2", "12 34 56", '{"a": 1, "b": 2}', "v1.2.3", "74.6x", "boo\ufffd5n", "0x4a"],
)
def test_where_it_is_not_plain_which_number_is_meant_none_is_taken(line):
    assert understand(line, ANY) == ()


@pytest.mark.parametrize(
    ("line", "fault"),
    [("nan", "no contact"), ("probe OPEN", "no contact"), ("---", "no contact"), ("T: shorted", "short")],
)
def test_a_probe_may_say_itself_that_its_wire_is_broken(line, fault):
    (one,) = understand(line, ANY)
    assert one.celsius is None
    assert one.fault == fault


def test_a_moment_in_the_line_is_told_from_the_temperature():
    # 2026-11-30T08:00:00Z is 1796025600 s since 1970 (datetime of the standard library).
    for line in (
        "2026-11-30T08:00:00Z 74.6",
        "1796025600 74.6",
        "74.6 1796025600000",
        "2026-11-30T09:00:00+01:00;74.6",
    ):
        (one,) = understand(line, ANY)
        assert (one.celsius, one.stamp) == (74.6, 1796025600.0)


def test_a_pattern_says_which_number_is_which_place():
    pattern = read_pattern("T1={pot} T2={jug} {}", "", "F")
    heard = understand("x T1=165.2   T2=68.0C 9", pattern)
    assert [(u.channel, round(u.celsius, 1)) for u in heard] == [("pot", 74.0), ("jug", 68.0)]
    assert understand("T1=nan T2=150 x", pattern)[0].fault == "no contact"
    assert understand("T2=1", pattern) == ()


def test_keys_say_which_of_json_is_which_place():
    pattern = read_pattern("", "pot:t.a,jug:b", "")
    heard = understand('{"ts": 1796025600, "t": {"a": 74.6}, "b": "68 C", "c": 1}', pattern)
    assert [(u.channel, u.celsius, u.stamp) for u in heard] == [
        ("pot", 74.6, 1796025600.0),
        ("jug", 68.0, 1796025600.0),
    ]
    for broken in ("74.6", "[1]", "{", '{"t": 1, "b": true}', "[" * 299):
        assert understand(broken, pattern) == ()


@pytest.mark.parametrize(
    "text",
    [
        "",
        "pot",
        "place=moon file:/x",
        "place=pot:A file:/x",
        "unit=K file:/x",
        "pattern={} file:/x",
        'pattern="{a} {a}" file:/x',
        'pattern="{a} file:/x',
        "key= file:/x",
        "key=a pattern={b} file:/x",
        "place=pot place=jug file:/x",
        "file:",
        "command:",
        "mqtt://host",
        "mqtt:///topic",
        "http://host/x",
        "file:/x\x1b[2J",
        "file:/" + "x" * 2000,
    ],
)
def test_a_source_that_makes_no_sense_is_refused_with_what_to_write(text):
    with pytest.raises(Trouble) as refused:
        read_source(text)
    assert refused.value.instead
    assert "\x1b" not in str(refused.value)


def test_options_stand_before_the_source_and_never_inside_a_command():
    spec = read_source("unit=F place=surface:b command:read place=pot unit=C")
    assert spec.target == "command:read place=pot unit=C"
    assert spec.place == ("surface", "B", None)
    assert spec.pattern.unit == "F"


@given(st.binary(max_size=300), st.sampled_from(["", "T={pot} J={jug}"]))
def test_no_line_whatever_breaks_anything_or_comes_through_raw(data, pattern):
    shown = plain(data.decode("utf-8", "replace"), 120)
    assert steerless(shown) == shown
    for one in understand(shown, read_pattern(pattern, "", "")):
        assert one.celsius is None or one.celsius == one.celsius


@given(st.lists(st.binary(max_size=200), max_size=20))
def test_lines_come_out_whole_however_they_are_cut(pieces):
    whole = LineBuffer().feed(b"".join(pieces))
    buffer = LineBuffer()
    assert [line for piece in pieces for line in buffer.feed(piece)] == whole


def test_a_megabyte_without_an_end_is_dropped_and_the_line_after_it_is_read():
    buffer = LineBuffer()
    for _ in range(16):
        assert buffer.feed(b"x" * 65536) == []
    assert len(buffer._begun) <= LONGEST
    assert buffer.feed(b"\n74.6\n") == [b"74.6"]
