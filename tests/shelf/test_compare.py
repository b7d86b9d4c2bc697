"""Days side by side: what differs is named, and nothing else is."""

from __future__ import annotations

import argparse
import itertools
import json
from datetime import datetime
from pathlib import Path

import msgspec
import pytest

from pourday import shelf_commands
from pourday.cli import main
from pourday.errors import Trouble
from pourday.plan.model import BlendPart, Cylinder, Product, TriedChange
from pourday.session import events as ev
from pourday.session.fold import fold
from pourday.shelf.compare import compare, compare_text
from pourday.shelf.told_of_day import ComparedDay, told_of_day
from pourday.store.reading import read_session
from pourday.wax.materials import family

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


OF_NO_CANDLE = {
    "moulds.set_weight": "what the form reckons with",
    "blend.share": "of a single wax",
    "blend.price_per_kg": "money",
    "blend.at_hand": "stock",
    "layers.swatch": "for the picture",
    "scent_limit": "of the bottle's sheet; the load itself is compared",
    "scent_flash_c": "of the bottle's sheet",
    "scent_price_per_kg": "money",
    "pot": "what it could hold",
    "loss": "what the form reckons with",
    "vessel_keeps": "what the form reckons with",
    "parent": "the tree shows it",
    "typed": "how it was typed",
}
"""Fields of a plan in which two days may differ without a row about it, and why."""
OTHERWISE = {
    "units": "us", "material": "plastic", "shape": Cylinder(diameter=0.09, height=0.1), "scent_basis": "within",
    "dye_form": "pure", "wax": "palm", "swatch": "#112233", "holes": 2, "limit_c": 80.0, "set_weight": 0.5,
    "pour_c": 75.0, "scent_limit": 0.1, "scent_flash_c": 60.0, "scent_price_per_kg": 9.0, "price_per_kg": 9.0,
    "at_hand": 1.0, "pot": 0.002, "bath": 0.003, "shares": (1.0, 2.0), "layers.blend": (BlendPart(wax="palm"),), "altitude": 500.0,
    "tried": TriedChange(letter="A", fault="", cause="", says="hotter"), "scents": (Product(name="rose"),),
    "dyes": (Product(name="red"),), "typed": {"title": "other"}, "own": (msgspec.structs.replace(family("palm"), id="own"),),
}  # fmt: skip


def changed_fields(of, path=()):
    """(path, the struct with that one field told otherwise), of a plan and the first of everything in it."""
    for name in of.__struct_fields__:
        value = getattr(of, name)
        whole = ".".join((*path, name))
        if name in OTHERWISE or whole in OTHERWISE:
            other = OTHERWISE.get(whole, OTHERWISE.get(name))
        elif isinstance(value, tuple) and value:
            for below, first in changed_fields(value[0], (*path, name)):
                yield below, msgspec.structs.replace(of, **{name: (first, *value[1:])})
            continue
        elif isinstance(value, bool):
            other = not value
        elif isinstance(value, str):
            other = value + " otherwise"
        else:
            other = value + 1 if isinstance(value, int) else value * 1.5 + 0.01
        yield whole, msgspec.structs.replace(of, **{name: other})


def test_every_field_of_a_plan_that_makes_a_candle_another_one_has_a_row(entries):
    plan, silent = fold(entries).plan, set()
    base = day(entries)
    for path, other in changed_fields(plan):
        if path == "own":  # Of use only with a blend that names it.
            other = msgspec.structs.replace(other, blend=(BlendPart(wax="own"),))
        same = {
            field: getattr(other, field)
            for field in plan.__struct_fields__
            if getattr(other, field) != getattr(plan, field)
        }
        if not compare([base, day(with_plan(entries, **same))]).differences:
            silent.add(path)
    assert silent == set(OF_NO_CANDLE)


def test_every_kind_of_fact_of_a_day_shows_in_a_row(entries):
    kinds = dict.fromkeys(type(entry.fact) for entry in entries)
    base, silent = day(entries), set()
    for kind in kinds.keys() - {ev.Opened, ev.PlanDrafted, ev.PlanFixed}:
        at = next(n for n, entry in enumerate(entries) if isinstance(entry.fact, kind))
        if not compare([base, day((*entries[:at], *entries[at + 1 :]))]).differences:
            silent.add(kind)
    assert silent <= {ev.Told, ev.AlarmAcknowledged, ev.AlarmEnded, ev.AlarmRaised}


def test_what_was_done_at_the_stove_is_counted_as_the_record_has_it(capsys):
    """Turns of the burner, readings, the hottest of them and the time, counted here from the file alone."""
    rows = {row["what"]: row["values"] for row in json.loads(compared(capsys, "--json"))["rows"] if row["group"] == "At the stove"}  # fmt: skip
    for column, name in enumerate((A, B)):
        facts = [(e["at"], e["fact"]) for e in json.loads((SAMPLES / f"{name}.json").read_text())["entries"]]
        # A low flame that is set higher burns stronger, and is low still.
        states = [fact.get("knob") or fact["state"] for _, fact in facts if fact["kind"] == "burner"]
        high = {"off": 0, "lower": 1, "low": 2, "higher": 3, "on": 4}
        ups = sum(high[b] > high[a] for a, b in itertools.pairwise(["off", *states]))
        assert rows["burner turned up"][column] == f"{ups} times"
        read = [fact for _, fact in facts if fact["kind"] == "reading"]
        assert rows["readings"][column] == str(len(read))
        hottest = max(fact["celsius"] for fact in read if fact["place"] in ("pot", "jug"))
        assert rows["hottest wax"][column] == f"{hottest:.1f} °C"
        begun = next(datetime.fromisoformat(at) for at, fact in facts if fact["kind"] == "burner")
        ended = max(datetime.fromisoformat(at) for at, fact in facts if fact["kind"] == "poured")
        minutes = round((ended - begun).total_seconds() / 60)
        assert rows["first heat to last pour"][column] == f"{minutes // 60} h {minutes % 60:02d}"
    assert rows["burner turned up"] == ["4 times", "6 times"], "counted by hand in the two files"


def test_what_only_another_day_has_stands_where_it_stands_there(entries):
    """A top-up more, say: not at the end of its candle."""
    poured = [
        n for n, entry in enumerate(entries) if isinstance(entry.fact, ev.Poured) and entry.fact.mould == "A"
    ]
    fewer = (*entries[: poured[-1]], *entries[poured[-1] + 1 :])
    labels = [row.label for row in compare([day(fewer), day(entries)]).rows if row.group == "Candle A"]
    assert labels == [row.label for row in compare([day(entries)] * 2).rows if row.group == "Candle A"]


def test_each_thing_of_a_day_is_told_once_and_the_same_things_in_either_units(entries):
    day = ComparedDay(fold(entries), entries)
    metric, us = dict(told_of_day(day, "metric")), list(told_of_day(day, "us"))
    assert [name for name, _ in us] == list(metric)
    assert any(metric[name] != says for name, says in us)
