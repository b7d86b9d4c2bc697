"""What earlier days say is read from the records of a folder, those of demos for demos alone."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from pourday.errors import Trouble
from pourday.faults import earlier
from pourday.faults.earlier import batches_like, days_before, days_seen
from pourday.faults.record import EarlierDay, TriedBefore
from pourday.faults.table import faults
from pourday.plan.model import BlendPart, TriedChange
from pourday.reports.faults_report import fault_list, faults_told, why_data, why_of, why_text
from pourday.session import events as ev
from pourday.store.candles import open_log
from pourday.store.live import LiveSession
from pourday.store.reading import read_session
from tests.faults.days import DAY, START, WrittenDay, pillar
from tests.faults.written import topped, usual_day

CHANGED = TriedChange(letter="A", fault="join split", cause="poured cool", says="Pour hotter.")


def written(folder, number: int, bad: bool, *, demo: bool = False, **plan) -> str:
    """A day in the folder, its cream poured cold where it is to be bad."""
    session = f"2026-03-{number:02d}-a"
    day = WrittenDay(pillar(**plan), session, START + number * DAY)
    day = topped(usual_day(day, lip=67.0 if bad else 85.0))
    answer = (
        ev.DefectSeen(mould="A", defect="join split", when="demoulding") if bad else ev.NoFaultSeen(mould="A")
    )
    day.tell(answer)
    live = LiveSession.create(folder, session, now=day.start, demo=demo)
    for entry in day.entries[1:]:
        live.file(entry.fact, now=entry.t, by=entry.by)
    live.finish("", now=day.start + 2 * DAY)
    live.close()
    return session


def test_lots_and_outcomes_of_earlier_days_are_found_and_those_of_demos_are_not(tmp_path):
    first = written(tmp_path, 1, True, blend=(BlendPart(wax="paraffin_pillar", lot="sack 1"),))
    written(tmp_path, 2, True, demo=True)
    second = written(tmp_path, 3, False, parent=first, tried=CHANGED)
    log = open_log(tmp_path, read_session(tmp_path, second).state, now=START + 9 * DAY)
    log.file(ev.ChangeJudged(came="better"), now=START + 9 * DAY)
    log.close()
    today = written(tmp_path, 5, True)
    batch = read_session(tmp_path, today).state
    days = days_before(batches_like(tmp_path, batch), batch)
    assert {day.session for day in days} == {first, second}
    assert {day.session: day.tried for day in days}[second] == TriedBefore(
        "join split", "poured cool", "better"
    )
    assert {day.session: day.lots for day in days}[first] == {"paraffin_pillar": "sack 1"}
    why = why_of(tmp_path, today, "A", "layers separate")
    assert "a change against it came out better before" in why.diagnosis.first.speaks_for


def test_of_very_many_days_the_newest_before_it_and_the_newest_of_all_are_read_once(tmp_path, monkeypatch):
    monkeypatch.setattr(earlier, "MOST_READ", 3)
    monkeypatch.setattr(earlier, "MOST_DAYS", 2)
    for number in range(1, 9):
        live = LiveSession.create(tmp_path, f"2026-03-{number:02d}-a", now=START + number * DAY)
        live.finish("", now=START + number * DAY + 60)
    read = list[str]()
    usual = earlier.read_session
    monkeypatch.setattr(
        earlier, "read_session", lambda folder, name: read.append(name) or usual(folder, name)
    )
    batches = batches_like(tmp_path, usual(tmp_path, "2026-03-05-a").state)
    assert sorted(read) == [f"2026-03-{number:02d}-a" for number in (3, 4, 5, 7, 8)]
    assert sorted(batch.state.session for batch in batches) == sorted(read)


def test_days_are_held_against_each_other_from_the_fifth_on(tmp_path):
    for number in (1, 2, 3):
        written(tmp_path, number, number < 3)
    state = read_session(tmp_path, "2026-03-01-a").state
    assert [day.bad for day in days_seen(batches_like(tmp_path, state), faults()["join split"])] == [
        False,
        True,
        True,
    ]
    assert "with fewer than 5 nothing is said" in "\n".join(
        why_text(why_of(tmp_path, "2026-03-01-a", "A", "join split"), "A")
    )
    for number in (4, 5, 6):
        written(tmp_path, number, number == 4)
    why = why_of(tmp_path, "2026-03-01-a", "A", "join split")
    assert why.days == 6
    assert any(row.key == "lip" and row.bad_with == 3 and row.good_with == 0 for row in why.across)


def test_the_answer_as_data_has_what_other_programs_ask_for(tmp_path):
    session = written(tmp_path, 1, True)
    data = why_data(why_of(tmp_path, session, "A", "join split"))
    assert list(data["causes"][0]) == ["cause", "odds", "for", "against", "not_recorded"]
    assert sum(cause["odds"] for cause in data["causes"]) == pytest.approx(1, abs=0.01)
    assert data["causes"][0]["cause"] == "poured too cool"
    assert "instead of 67 °C" in data["change"]["says"]


def test_a_caution_comes_before_the_causes(tmp_path):
    session = written(tmp_path, 1, True)
    lines = why_text(why_of(tmp_path, session, "A", "hollow", with_days=False), "A")
    assert lines[1].startswith("CAUTION:")
    assert lines.index("What it can come from:") > 1


def test_without_a_name_what_was_said_is_asked_after_and_else_there_is_a_list(tmp_path):
    session = written(tmp_path, 1, True)
    assert faults_told(tmp_path, session, "A") == ["join split"]
    assert faults_told(tmp_path, written(tmp_path, 2, False), "A") == []
    assert len(fault_list("A")) > len(faults())
    with pytest.raises(Trouble, match="Nothing was poured into B"):
        faults_told(tmp_path, session, "B")


def test_a_day_whose_plan_cannot_be_weighed_any_more_is_told_and_not_weighed():
    day = usual_day(WrittenDay())
    record = day.record(earlier=(EarlierDay("x", 0.0),))
    assert record.heat is not None
    broken = replace(day.plan, blend=(BlendPart(wax="nobody knows it"),))
    with pytest.raises(Trouble, match="nobody knows it"):
        _ = day.tell(ev.PlanRevised(plan=broken)).record().sheet
