"""A record as CSV, read back by Python's own reader: every row whole, figures as figures, no formula in any cell."""

from __future__ import annotations

import csv
import io
import shutil
import subprocess
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


@settings(max_examples=60, deadline=None)
@given(st.text(min_size=1, max_size=40), st.text(max_size=40))
def test_no_name_of_a_scent_is_a_formula(product: str, lot: str) -> None:
    entries = record(
        Plan(),
        ev.JugMade(layer=0, planned_kg=0.4),
        ev.JugWeighed(layer=0, kg=0.41, typed=product),
        ev.JugDosed(layer=0, what="scent", product=product, lot=lot, kg=0.02, celsius=80.0, typed=lot),
    )
    jug, wax, dose = rows_of(entries)
    assert (jug["what"], wax["what"], dose["what"]) == ("jug", "wax in the jug", "scent")
    assert (wax["kg"], dose["kg"], dose["temperature_c"]) == ("0.41", "0.02", "80")
    for cell in (wax["typed"], dose["typed"], dose["remark"]):
        if not cell.lstrip("+-").replace(".", "").replace(",", "").isdigit():
            assert not cell.startswith(("=", "+", "-", "@", "\t", "\r"))


BURN = (
    ev.CandleLit(mould="A", wick="flat braid 24", room_c=20.5, kg=0.354, typed="354 g"),
    ev.BurnSeen(
        mould="A", look=3600.0, flame=0.031, across=0.042, across_other=0.040, depth=0.006, wall=0.008
    ),
    ev.BurnSeen(mould="A", look=7200.0, mushroom=True, soot="wisps"),
    ev.BurnEnded(mould="A", how="snuffed"),
    ev.AfterGlow(mould="A", glow=12.0),
    ev.WeighedCold(mould="A", kg=0.341, typed="341 g"),
)


def test_every_burn_row_is_read_with_its_figures_in_their_columns() -> None:
    lit, first, second, ended, glow, cold = rows_of(record(Plan(), *BURN))
    assert (lit["what"], lit["kg"], lit["temperature_c"], lit["remark"]) == (
        "candle lit",
        "0.354",
        "20.5",
        "flat braid 24",
    )
    figures = ("flame_m", "pool_m", "pool_other_m", "depth_m", "wall_m", "seconds")
    assert [float(first[name]) for name in figures] == [0.031, 0.042, 0.04, 0.006, 0.008, 3600]
    assert (second["remark"], second["seconds"]) == ("mushroom, soot wisps", "7200")
    assert (ended["what"], ended["remark"]) == ("burn ended", "snuffed")
    assert (glow["seconds"], cold["kg"], cold["typed"]) == ("12", "0.341", "341 g")
    assert {row["mould"] for row in (lit, first, second, ended, glow, cold)} == {"A"}


def test_another_reader_than_python_s_own_finds_the_same_cells(tmp_path: Path) -> None:
    """A second reader of RFC 4180 (Gnumeric's converter) where there is one; else this is left to hand."""
    converter = shutil.which("ssconvert")
    if converter is None:
        pytest.skip("no spreadsheet here")
    entries = record(
        Plan(layers=(Layer(colour="=1+1"),)), *BURN, ev.Poured(mould="A", layer=0, part="layer", kg=0.2)
    )
    source, back = tmp_path / "record.csv", tmp_path / "back.csv"
    source.write_bytes(csv_bytes(fold(entries), entries))
    middle = tmp_path / "record.xlsx"
    for one, other in ((source, middle), (middle, back)):
        subprocess.run([converter, str(one), str(other)], check=True, capture_output=True, timeout=120)
    read = list(csv.DictReader(io.StringIO(back.read_text(encoding="utf-8-sig"), newline="")))
    ours = rows_of(entries)
    assert [row["what"] for row in read] == [row["what"] for row in ours]
    assert [row["remark"] for row in read] == [row["remark"] for row in ours]
    for theirs, mine in zip(read, ours, strict=True):
        for name in ("kg", "flame_m", "pool_m", "seconds", "temperature_c"):
            assert (theirs[name] == "") == (mine[name] == "")
            if mine[name]:
                assert float(theirs[name]) == pytest.approx(float(mine[name]))
    assert read[-1]["colour"] in ("'=1+1", "=1+1")
    assert "2" not in read[-1]["colour"]
