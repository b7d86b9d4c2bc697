"""What really went in is told with what was not noted; balance and corrections stand in words."""

from __future__ import annotations

from pathlib import Path

import pytest

from pourday.reports.as_made import as_made, as_made_lines, dose_words
from pourday.reports.balance_table import balance_doubt, balance_table
from pourday.reports.corrections import corrections, say_correction
from pourday.session import events as ev
from pourday.session.fold import fold
from pourday.session.state import State
from pourday.store.reading import read_path
from tests.reports.slovenly import RECORD
from tests.reports.test_thirty_questions import FULL

BATCH = read_path(Path("tests/store/samples/version-3-batch.json"))


def test_each_jug_has_its_wax_and_doses_and_says_what_is_missing() -> None:
    who, jug = as_made(BATCH.state)
    assert [row.label for row in who.rows] == ["made by", "thermometer", "scale", "pot", "burner", "room"]
    said = [row.says for row in jug.rows]
    assert said[0].startswith("548 g, asked for 550 g")
    assert any("cedar, lot not noted: not weighed, heat not noted" in each for each in said)
    assert "As made:" in as_made_lines(State())[0]


def test_a_jug_of_which_nothing_was_said_says_so() -> None:
    state = fold([*FULL[:2], *FULL[8:9]])
    (jug,) = as_made(state)[1:]
    assert [(row.label, row.says.partition(",")[0]) for row in jug.rows] == [
        ("wax drawn", "not weighed"),
        ("scent", "not noted"),
        ("dye", "not noted"),
    ]


def test_a_small_dose_keeps_its_tenth_of_a_gram() -> None:
    plan, doses = BATCH.state.plan, BATCH.state.jugs[0].doses
    assert "0.4 g, asked for 0.4 g" in dose_words(plan, doses[0])


@pytest.mark.parametrize("path", [RECORD, Path("sessions/2026-10-25-demo-a.json")])
def test_the_balance_adds_up_to_what_was_melted(path: Path) -> None:
    """Every part is of the same whole: the shares make 100 % to the rounding of one decimal each."""
    rows = {row.where: float(row.share.rstrip("%")) for row in balance_table(read_path(path).state)}
    assert rows.pop("melted") == 100.0
    more = rows.pop("more than was melted", 0.0)
    assert sum(rows.values()) - more == pytest.approx(100.0, abs=0.3)


def test_nothing_poured_is_no_balance() -> None:
    assert balance_table(State()) == ()
    assert balance_doubt(read_path(RECORD).state) == ""


def test_what_was_brought_back_is_no_correction() -> None:
    (one,) = corrections(FULL, fold(FULL).plan)
    assert one.why == "the scale was not level"
    assert "taken back" in say_correction(one)
    back = ev.Entry(
        seq=len(FULL) + 1, at=FULL[-1].at, logged_at=FULL[-1].at, by="person", fact=ev.Undone(entry=18)
    )
    assert corrections([*FULL, back], fold(FULL).plan) == []


def test_what_was_put_right_has_both() -> None:
    right = ev.Corrected(entry=14, fact=ev.Poured(mould="B", layer=0, part="plug", kg=0.034))
    entry = ev.Entry(seq=len(FULL) + 1, at=FULL[-1].at, logged_at=FULL[-1].at, by="person", fact=right)
    said = [say_correction(one) for one in corrections([*FULL, entry], fold(FULL).plan)]
    assert any("was put right to “poured plug" in line and "why: not noted" in line for line in said)


def test_a_room_that_was_read_often_is_told_by_its_range() -> None:
    at = [ev.moment(1_795_608_000.0 + 600 * n) for n in range(9)]
    readings = [
        ev.Entry(
            seq=n + 1,
            at=at[n],
            logged_at=at[n],
            by="probe",
            fact=ev.Reading(place="room", celsius=18 + n / 4),
        )
        for n in range(9)
    ]
    room = as_made(fold(readings))[0].rows[-1].says
    assert room.startswith("18.0 °C to 20.0 °C, read 9 times from ")
    assert as_made(fold(readings[:1]))[0].rows[-1].says.startswith("18.0 °C at ")
