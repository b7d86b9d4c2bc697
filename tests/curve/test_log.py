"""A log of cooling wax: what is understood of a file, and which sentence refuses the rest."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourday.curve.log import LEAST_READINGS, parse_log, read_log
from pourday.errors import Trouble

FALL = [80.0 - 0.5 * i for i in range(20)]


def table(head: str, times: list[str], mark: str = ",", figures: list[str] | None = None) -> str:
    figures = figures or [f"{value:.1f}" for value in FALL]
    rows = [f"{time}{mark}{figure}" for time, figure in zip(times, figures, strict=True)]
    return "\n".join([head, *rows]) + "\n"


SECONDS = [f"{15 * i}" for i in range(20)]


@pytest.mark.parametrize(
    "text",
    [
        table("seconds,celsius", SECONDS),
        table("Time (s),Temp (°C)", SECONDS),
        table("temperature sensor;x", SECONDS).replace("temperature sensor;x\n", ""),
        table("minutes;celsius", [f"{i / 4:.2f}".replace(".", ",") for i in range(20)], ";",
              [f"{value:.1f}".replace(".", ",") for value in FALL]),
        table("clock\tcelsius", [f"23:58:{i * 15:02d}" if i < 4 else f"{(23 if i < 8 else 0):02d}:{(59 if i < 8 else (i - 8) // 4):02d}:{i % 4 * 15:02d}" for i in range(20)], "\t"),
        table("timestamp,celsius", [f"2026-11-30T10:{i // 4:02d}:{i % 4 * 15:02d}" for i in range(20)]),
        "# taken at the stove\n\n" + table("seconds,celsius", SECONDS),
    ],
    ids=["plain", "named otherwise", "no names", "minutes and decimal commas", "over midnight", "timestamps", "remarks"],
)  # fmt: skip
def test_the_same_curve_is_read_however_it_is_written(text):
    log = parse_log(text)
    assert np.allclose(log.seconds, np.arange(20) * 15.0)
    assert np.allclose(log.celsius, FALL)
    assert log.resolution == 0.5


def test_fahrenheit_is_turned_into_celsius_with_the_step_of_its_probe():
    figures = [f"{176 - i}" for i in range(20)]
    for text in (
        table("seconds,fahrenheit", SECONDS, figures=figures),
        table("seconds,temp_f", SECONDS, figures=figures),
        table("seconds,temperature", SECONDS, figures=[f"{figure} °F" for figure in figures]),
    ):
        log = parse_log(text)
        assert log.celsius[0] == pytest.approx(80.0)  # 176 °F by the definition of the scale
        assert log.celsius[9] == pytest.approx(75.0)  # 167 °F
        assert log.resolution == pytest.approx(5 / 9)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "is empty"),
        ("seconds,celsius\n0,80\n15,79\n", f"has 2 readings; a curve takes {LEAST_READINGS}"),
        ("colour,celsius\nred,80\n", "no column “seconds”"),
        ("seconds,colour\n0,red\n", "no column “celsius”"),
        (table("seconds,celsius", SECONDS).replace("60,78.0", "60,hot"), "Line 6 of The log: “hot”"),
        (table("seconds,celsius", SECONDS).replace("60,78.0", "soon,78.0"), "“soon” is not a time"),
        (table("seconds,celsius", SECONDS).replace("60,78.0", "60"), "Line 6 of The log has no temperature"),
        (table("seconds,celsius", SECONDS[::-1]), "time runs backwards"),
        (table("seconds,celsius", ["0"] * 20), "have the same time"),
        (table("seconds,celsius", SECONDS).replace("60,78.0", "60,172 F"), "mixes °C and °F"),
        (table("seconds,celsius", SECONDS).replace("60,78.0", "60,900"), "900 °C"),
    ],
)
def test_a_log_that_cannot_be_read_is_refused_in_a_sentence(text, says):
    with pytest.raises(Trouble) as trouble:
        parse_log(text)
    assert says in str(trouble.value)


def test_a_reading_that_is_not_there_is_passed_over():
    assert len(parse_log(table("seconds,celsius", SECONDS).replace("60,78.0", "60,")).seconds) == 19


def test_a_file_that_is_not_there_and_one_that_is_no_text_are_refused(tmp_path):
    with pytest.raises(Trouble, match="cannot be read"):
        read_log(tmp_path / "no.csv")
    (tmp_path / "odd.csv").write_bytes(bytes(range(256)))
    with pytest.raises(Trouble, match="no table of text"):
        read_log(tmp_path / "odd.csv")


@given(st.text(alphabet="0123456789.,;:\t\n -+CFcelsiusondtm#\"'e", max_size=400))
def test_whatever_stands_in_a_file_is_read_or_refused_in_a_sentence(text):
    try:
        log = parse_log(text)
    except Trouble:
        return
    assert np.isfinite(log.celsius).all()
    assert (np.diff(log.seconds) > 0).all()


def test_figures_without_a_unit_that_no_wax_over_water_has_are_asked_about():
    figures = [f"{176 - i}" for i in range(20)]
    for head in ("seconds,temperature", "time,temp"):
        with pytest.raises(Trouble, match="Fahrenheit"):
            parse_log(table(head, SECONDS, figures=figures))
    with pytest.raises(Trouble, match="Fahrenheit"):
        parse_log(table("", SECONDS, figures=figures))
    assert parse_log(table("seconds,celsius", SECONDS, figures=figures)).celsius[0] == 176.0, (
        "who says °C means it"
    )


def test_a_log_that_only_warms_is_told_so_and_a_probe_put_into_hot_wax_is_not():
    with pytest.raises(Trouble, match="gets warmer, from 70 °C to 80 °C"):
        parse_log(table("seconds,celsius", SECONDS, figures=[f"{value:.1f}" for value in reversed(FALL)]))
    warmed = ["21.0", "55.0", "76.0", *(f"{value:.1f}" for value in FALL[:17])]
    assert parse_log(table("seconds,celsius", SECONDS, figures=warmed)).celsius[0] == 21.0


def test_a_time_may_bear_its_unit():
    for times in ([f"{15 * i} s" for i in range(20)], [f"{i / 4:.2f} min" for i in range(20)]):
        assert np.allclose(parse_log(table("time,celsius", times)).seconds, np.arange(20) * 15.0)
