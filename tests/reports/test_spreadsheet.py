"""A record as CSV, read back by Python's own reader: every row whole, figures as figures, no formula in any cell."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pourday.plan.model import Layer, Plan
from pourday.reports.spreadsheet import COLUMNS, csv_bytes
from pourday.session import events as ev
from pourday.session.events import Entry, Fact
from pourday.session.fold import fold
from pourday.store.reading import read_path

NOON = 1_795_608_000.0


def rows_of(entries: list[Entry]) -> list[dict[str, str]]:
    data = csv_bytes(fold(entries), entries).decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(data, newline=""), strict=True))


def record(plan: Plan, *facts: Fact) -> list[Entry]:
    at = [ev.moment(NOON + 60 * n) for n in range(len(facts) + 2)]
    all_facts = (ev.Opened(session="s", program="0"), ev.PlanFixed(plan=plan), *facts)
    return [
        Entry(seq=n + 1, at=at[n], logged_at=at[n], by="person", fact=fact)
        for n, fact in enumerate(all_facts)
    ]


def test_each_figure_of_a_shipped_record_is_in_its_row() -> None:
    stored = read_path(Path("sessions/2026-10-25-demo-a.json"))
    rows = rows_of(list(stored.entries))
    pours = [pour for mould in stored.state.moulds.values() for pour in mould.pours]
    assert sum(row["what"] == "pour" for row in rows) == len(pours)
    told = {int(row["entry"]): row for row in rows}
    for pour in pours:
        assert float(told[pour.seq]["kg"]) == pytest.approx(pour.kg, rel=1e-5)
    for reading in stored.state.readings:
        row = told[reading.seq]
        assert (float(row["temperature_c"]), row["place"]) == (pytest.approx(reading.celsius), reading.place)
        assert row["utc"].endswith("Z")


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=40), st.text(max_size=40))
def test_no_text_is_a_formula_or_breaks_a_row(colour: str, typed: str) -> None:
    plan = Plan(layers=(Layer(colour=colour),))
    entries = record(
        plan,
        ev.Poured(mould="A", layer=0, part="layer", kg=0.2),
        ev.Reading(place="pot", celsius=80.0, typed=typed, doubt=colour),
    )
    pour, reading = rows_of(entries)
    assert set(pour) == set(COLUMNS)
    for cell, text in ((pour["colour"], colour), (reading["typed"], typed), (reading["remark"], colour)):
        assert cell in (text, f"'{text}")
        if not text.lstrip("+-").replace(".", "").replace(",", "").isdigit():
            assert not cell.startswith(("=", "+", "-", "@", "\t", "\r"))


def test_what_was_taken_back_is_not_in_it_and_what_was_corrected_is_as_it_was_put_right() -> None:
    entries = record(
        Plan(),
        ev.Reading(place="pot", celsius=80.0),
        ev.Reading(place="pot", celsius=81.0),
        ev.Undone(entry=3),
        ev.Corrected(entry=4, fact=ev.Reading(place="jug", celsius=82.0)),
    )
    (row,) = rows_of(entries)
    assert (row["place"], row["temperature_c"], row["entry"]) == ("jug", "82", "4")
