"""Days side by side: what differs is named, and nothing else is."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

import msgspec
import pytest

from pourday import shelf_commands
from pourday.cli import main
from pourday.errors import Trouble
from pourday.session import events as ev
from pourday.session.fold import fold
from pourday.shelf.compare import ComparedDay, compare, compare_text
from pourday.store.reading import read_session

SAMPLES = Path(__file__).parents[2] / "sessions"
A, B = "2026-10-25-demo-a", "2026-10-25-demo-b"


def day(entries):
    return ComparedDay(fold(entries), entries)


@pytest.fixture(scope="module")
def entries():
    return read_session(SAMPLES, A).entries


def changed(entries, kind, **change):
    """The same day with the first fact of a kind told otherwise."""
    at = next(n for n, entry in enumerate(entries) if isinstance(entry.fact, kind))
    fact = msgspec.structs.replace(entries[at].fact, **change)
    return (*entries[:at], msgspec.structs.replace(entries[at], fact=fact), *entries[at + 1 :])


def with_plan(entries, **change):
    plan = next(entry.fact.plan for entry in entries if isinstance(entry.fact, ev.PlanFixed))
    for kind in (ev.PlanDrafted, ev.PlanFixed):
        entries = changed(entries, kind, plan=msgspec.structs.replace(plan, **change))
    return entries


def differing(one, other):
    return {(row.group, row.label) for row in compare([day(one), day(other)]).differences}


def test_a_day_beside_itself_differs_in_nothing(entries):
    comparison = compare([day(entries), day(entries)])
    assert comparison.differences == ()
    assert len(comparison.rows) > 40
    assert compare_text(comparison)[-1] == "Nothing differs of what is on record."


def test_one_thing_told_otherwise_is_the_one_difference(entries):
    plan = fold(entries).plan
    blend = (msgspec.structs.replace(plan.blend[0], lot="another sack"),)
    assert differing(entries, with_plan(entries, blend=blend)) == {("Wax", "lot")}
    assert differing(entries, with_plan(entries, room_c=25.0)) == {("Kitchen", "room planned")}
    layers = (msgspec.structs.replace(plan.layers[0], colour="slate"), *plan.layers[1:])
    assert {label for _, label in differing(entries, with_plan(entries, layers=layers))} == {
        "colour",
        "layer 1: colour",
    }
    finished = next(entry.fact for entry in entries if isinstance(entry.fact, ev.Finished))
    assert differing(entries, changed(entries, ev.Finished, verdict=finished.verdict + " Once more.")) == {
        ("How it came out", "verdict")
    }


def test_how_a_candle_left_its_mould_is_of_that_candle_alone(entries):
    first = next(entry.fact for entry in entries if isinstance(entry.fact, ev.Demoulded))
    other = "needed a tap" if first.release != "needed a tap" else "dropped out"
    assert differing(entries, changed(entries, ev.Demoulded, release=other)) == {
        (f"Candle {first.mould}", "came out")
    }


def test_what_no_scale_shows_is_no_difference(entries):
    pour = next(entry.fact for entry in entries if isinstance(entry.fact, ev.Poured) and entry.fact.kg)
    step = fold(entries).plan.scale_step
    near = changed(entries, ev.Poured, kg=round(pour.kg / step) * step + step / 10)
    same = changed(entries, ev.Poured, kg=round(pour.kg / step) * step)
    assert not {label for _, label in differing(same, near) if "weight" in label}


def compared(capsys, *options):
    """What `pourday compare` says of the two samples."""
    with pytest.raises(SystemExit) as ended:
        main(["--sessions", str(SAMPLES), "compare", A, B, *options])
    assert ended.value.code == 0
    return capsys.readouterr().out


def test_two_real_days_differ_where_their_records_do(capsys):
    data = json.loads(compared(capsys, "--json"))
    assert data["sessions"] == [A, B]
    rows = {(row["group"], row["what"]): row for row in data["rows"]}
    weights = rows["Candle A", "candle weighs"]
    stored = [read_session(SAMPLES, name).state.moulds["A"].candle_kg for name in (A, B)]
    assert weights["values"] == [f"{kg * 1000:.0f} g" for kg in stored]
    assert weights["differs"] == (weights["values"][0] != weights["values"][1])


def test_the_text_has_differences_first_and_all_when_asked(capsys):
    short, full = compared(capsys).splitlines(), compared(capsys, "--all").splitlines()
    assert len(full) > len(short)
    assert "--all shows them" in short[-1]
    assert not any("paraffin" in line for line in short)
    assert any("paraffin" in line for line in full)


def test_three_days_have_three_columns_and_more_are_refused(entries):
    comparison = compare([day(entries)] * 3)
    assert all(len(row.values) == 3 for row in comparison.rows)
    with pytest.raises(Trouble, match="two days, or three"):
        compare([day(entries)] * 4)
    with pytest.raises(Trouble, match="two days, or three"):
        compare([day(entries)])


def test_a_day_that_is_not_there_is_named():
    asked = argparse.Namespace(ids=[A, "2020-01-01-a"], json=False, all=False)
    with pytest.raises(Trouble, match="no session called 2020-01-01-a"):
        shelf_commands.compare_command(SAMPLES, asked)


def test_a_mould_that_only_one_day_has_stands_with_a_dash(entries):
    plan = fold(entries).plan
    rows = compare([day(entries), day(with_plan(entries, moulds=plan.moulds[:1]))]).rows
    of_second = [row for row in rows if row.group == "Candle B"]
    assert of_second
    assert all(row.values[1] == "-" for row in of_second if row.label == "mould")
