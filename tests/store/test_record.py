"""Finished records: their schema, their versions, and what a stranger's tool can do with them."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import msgspec
import pytest

from pourday.plan.weigh import weigh_sheet
from pourday.session import events as ev
from pourday.session.events import SCHEMA
from pourday.store import clean, migrate
from pourday.store.live import LiveSession
from pourday.store.migrate import STEPS, migrated
from pourday.store.reading import read_path, read_session
from pourday.store.record import json_schema, record_bytes

SAMPLES = Path(__file__).parent / "samples"


def test_the_samples_hold_every_kind_of_fact_there_is():
    """So a fact that changes its shape without a new schema version is found out here."""
    samples = SAMPLES.glob(f"version-{SCHEMA}*.json")
    kinds = {type(entry.fact) for path in samples for entry in read_path(path).entries}
    assert kinds == set(ev.Fact.__args__)


@pytest.mark.parametrize("version", range(1, SCHEMA + 1))
@pytest.mark.parametrize("ending", ["json", "journal"])
def test_every_past_version_reads_as_it_did(version, ending):
    kept = read_path(SAMPLES / f"version-{version}.{ending}")
    state = kept.state
    assert state.plan.title == "Two striped pillars"
    assert [m.kg for m in state.moulds["A"].pours] == [None, 0.281]
    assert [(r.celsius, r.place) for r in state.readings] == [(73.5, "pot"), (61.0, "surface")]
    assert state.notes == ()
    assert state.burner == "unknown"
    assert state.verdict == ("both came out whole" if ending == "json" else "")


def test_there_is_a_step_from_every_past_version():
    assert sorted(STEPS) == list(range(1, SCHEMA))


def test_steps_are_taken_in_turn_and_what_is_no_entry_is_handed_on():
    steps = {1: lambda e: {**e, "a": 1}, 2: lambda e: {**e, "b": e["a"] + 1}}
    assert migrated({}, 1, steps=steps, to=3) == {"a": 1, "b": 2}
    assert migrated({"a": 5}, 2, steps=steps, to=3) == {"a": 5, "b": 6}
    assert migrated([1], 1, steps=steps, to=3) == [1]


def test_a_plan_of_version_1_weighs_out_to_what_it_did():
    """Version 2 counts what each vessel keeps; a day that was planned without it goes on as it was planned."""
    old = read_path(SAMPLES / "version-1.json").state.plan
    assert (old.loss, old.vessel_keeps) == (0.05, 0.0)
    sheet = weigh_sheet(old)
    assert sheet.total_wax == pytest.approx(sum(mould.finished for mould in sheet.moulds) * 1.05)
    nested = {"fact": {"kind": "corrected", "entry": 2, "fact": {"kind": "plan drafted", "plan": {}}}}
    assert migrated(nested, 1)["fact"]["fact"]["plan"]["vessel_keeps"] == 0.0


def test_an_older_journal_is_carried_on_in_the_new_schema_and_kept_as_it_was(begun, noon, monkeypatch):
    """A pretended version 0, in which a place was called a spot."""
    begun.close()
    path = begun.folder / f"{begun.session}.journal"
    old = path.read_bytes().replace(b'"schema":%d' % SCHEMA, b'"schema":0').replace(b'"place"', b'"spot"')
    path.write_bytes(old)

    def step(entry):
        fact = {("place" if key == "spot" else key): value for key, value in entry["fact"].items()}
        return {**entry, "fact": fact}

    monkeypatch.setattr("pourday.store.journal.refuse_newer", lambda *_: None)
    monkeypatch.setattr(clean, "migrated", lambda e, v: migrate.migrated(e, v, steps={0: step, **STEPS}))
    live = LiveSession.open(begun.folder, begun.session, now=noon + 600)
    assert [r.celsius for r in live.state.readings] == [70.0, 71.0, 72.0]
    assert (begun.folder / f"{begun.session}.schema-0").read_bytes() == old
    monkeypatch.undo()
    assert read_session(begun.folder, begun.session).entries == tuple(live.entries)


def test_the_schema_is_sound_and_takes_what_the_program_writes():
    schema = json.loads(json_schema())
    jsonschema.Draft202012Validator.check_schema(schema)
    whole = jsonschema.Draft202012Validator(schema)
    whole.validate(json.loads((SAMPLES / f"version-{SCHEMA}.json").read_bytes()))
    line = jsonschema.Draft202012Validator({"$defs": schema["$defs"], "$ref": "#/$defs/Entry"})
    for text in (SAMPLES / f"version-{SCHEMA}.journal").read_bytes().splitlines()[1:]:
        line.validate(json.loads(text))


@pytest.mark.parametrize(
    "spoilt", [("celsius", "hot"), ("celsius", 4_000), ("place", "moon"), ("colour", "sage")]
)
def test_the_schema_refuses_what_the_program_refuses(spoilt):
    record = json.loads((SAMPLES / f"version-{SCHEMA}.json").read_bytes())
    reading = next(e for e in record["entries"] if e["fact"]["kind"] == "reading")
    reading["fact"][spoilt[0]] = spoilt[1]
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(record, json.loads(json_schema()))


def test_a_record_is_plain_json_for_any_tool_one_entry_a_line(begun, noon):
    begun.finish("fine", now=noon + 600)
    text = (begun.folder / f"{begun.session}.json").read_text()
    record = json.loads(text)
    assert (record["pourday"], record["schema"], record["session"], record["demo"]) == (
        "record",
        SCHEMA,
        begun.session,
        False,
    )
    assert record["plan"] == json.loads(msgspec.json.encode(begun.state.plan))
    assert sum(line.startswith('  {"seq":') for line in text.splitlines()) == len(record["entries"]) == 5


def test_a_demo_is_marked_as_one_in_its_record(tmp_path, noon):
    live = LiveSession.create(tmp_path, "2026-11-25-a", now=noon, demo=True)
    live.finish("", now=noon + 1)
    assert json.loads((tmp_path / "2026-11-25-a.json").read_bytes())["demo"] is True


def test_a_record_laid_out_anew_by_another_tool_reads_the_same(begun, noon):
    begun.finish("fine", now=noon + 600)
    path = begun.folder / f"{begun.session}.json"
    before = read_path(path)
    path.write_text(json.dumps(json.loads(path.read_bytes()), indent=4, sort_keys=True))
    assert read_path(path) == before


def test_a_plan_changed_by_hand_at_the_top_counts_for_nothing_and_is_told(begun):
    path = begun.folder / f"{begun.session}.json"
    path.write_bytes(record_bytes(begun.session, begun.entries).replace(b'"room_c": 20.0', b'"room_c": 30.0'))
    kept = read_path(path)
    assert kept.state.plan.room_c == 20.0
    assert "the entries count" in kept.remarks[-1]
