"""What is due across batches: in text, as data, and as a calendar that a library which reads such files understands."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path

import icalendar
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourday.burn.due import CandleDue
from pourday.plan.model import BlendPart, Layer, Mould, Plan
from pourday.reports.burn_report import burn_report
from pourday.reports.due_report import due_calendar, due_data, due_text
from pourday.session import events as ev
from pourday.shelf.candles_due import due_in
from pourday.store.candles import open_log, read_log
from pourday.store.live import LiveSession
from pourday.store.reading import read_session
from pourday.times import DAY, local

NOON = 1_795_608_000.0
HOUR = 3600.0


def batch(folder: Path, *, session: str = "2026-11-25-a", wax: str = "paraffin_pillar", scent: float = 0.0, count: int = 1,
          demo: bool = False, finished: bool = True) -> None:  # fmt: skip
    """A poured day whose candles left their moulds at noon."""
    plan = Plan(
        title="Advent; red, white", moulds=(Mould(count=count),), blend=(BlendPart(wax=wax),),
        layers=(Layer(colour="red", scent_load=scent),), wick="30 ply",
    )  # fmt: skip
    live = LiveSession.create(folder, session, now=NOON - DAY, demo=demo)
    live.file(ev.PlanFixed(plan=plan), now=NOON - DAY)
    for letter in "ABCDE"[:count]:
        live.file(ev.Poured(mould=letter, layer=0, part="layer", kg=0.5), now=NOON - DAY / 2)
        live.file(ev.Demoulded(mould=letter, release="dropped out"), now=NOON)
        live.file(ev.Weighed(mould=letter, what="candle", kg=0.5), now=NOON)
    if finished:
        live.finish("", now=NOON)
    live.close()


def log_of(folder: Path, now: float, session: str = "2026-11-25-a") -> LiveSession:
    return open_log(folder, read_session(folder, session).state, now=now)


def whats(folder: Path, now: float) -> list[tuple[str, bool]]:
    return [(row.what, row.is_due(now)) for row in due_in(folder, now)[0]]


def test_a_candle_rests_may_be_tested_and_then_given(tmp_path):
    batch(tmp_path, scent=0.06)
    assert whats(tmp_path, NOON) == [("burn test", False), ("ready to give", False)]
    assert whats(tmp_path, NOON + 1.1 * DAY) == [("burn test", True), ("ready to give", False)]
    assert whats(tmp_path, NOON + 7.1 * DAY) == [("burn test", True), ("ready to give", True)]


def test_what_was_poured_weeks_ago_and_finished_is_lit_in_a_record_of_its_own(tmp_path):
    batch(tmp_path)
    before = (tmp_path / "2026-11-25-a.json").read_bytes()
    then = NOON + 20 * DAY
    live = log_of(tmp_path, then)
    live.file(ev.CandleLit(mould="A", kg=0.5), now=then)
    assert whats(tmp_path, then + HOUR) == [("burning", True)]
    live.file(ev.BurnEnded(mould="A", how="snuffed"), now=then + 4 * HOUR)
    assert whats(tmp_path, then + 4.5 * HOUR) == [("weigh cold", False)]
    live.file(ev.WeighedCold(mould="A", kg=0.476), now=then + 6 * HOUR)
    assert whats(tmp_path, then + 6 * HOUR) == [("burn again", True)]
    live.file(ev.WickJudged(mould="A", wick="30 ply", came="passed"), now=then + 7 * HOUR)
    assert whats(tmp_path, then + 8 * HOUR) == []
    live.close()
    assert (tmp_path / "2026-11-25-a.json").read_bytes() == before
    log = read_log(tmp_path, "2026-11-25-a")
    assert log is not None
    text = "\n".join(burn_report(read_session(tmp_path, "2026-11-25-a").state, log))
    assert "6.0 g/h ± 0.2" in text
    assert "at 20.0 days" in text


@pytest.mark.parametrize(
    ("to", "left"), [("gift", ["ready to give"]), ("test", ["burn test"]), ("melt again", [])]
)
def test_where_a_candle_goes_says_what_is_due(tmp_path, to, left):
    batch(tmp_path)
    with_log = log_of(tmp_path, NOON)
    with_log.file(ev.CandleGoes(mould="A", to=to), now=NOON)
    with_log.close()
    assert [what for what, _ in whats(tmp_path, NOON + 30 * DAY)] == left


def test_demos_are_not_due_and_a_broken_log_is_told_of(tmp_path):
    batch(tmp_path, session="2026-11-25-demo-a", demo=True)
    batch(tmp_path)
    (tmp_path / "2026-11-25-a-candles.journal").write_bytes(b'{"pourday":"journal","schema":1}\n')
    rows, remarks = due_in(tmp_path, NOON + DAY)
    assert rows == ()
    assert len(remarks) == 1
    assert "2026-11-25-a-candles.journal" in remarks[0]


def test_several_batches_stand_by_time_with_what_is_due_first(tmp_path):
    batch(tmp_path, session="2026-11-25-a", wax="soy_pillar")
    batch(tmp_path, session="2026-11-25-b", count=2)
    now = NOON + 1.5 * DAY
    rows, _ = due_in(tmp_path, now)
    assert [row.label for row in rows if row.is_due(now)] == ["261125b-A", "261125b-B"]
    assert [row.at for row in rows if not row.is_due(now)] == sorted(
        row.at for row in rows if not row.is_due(now)
    )
    text = "\n".join(due_text(rows, now))
    assert text.index("261125b-A may be burned to test") < text.index("To come:") < text.index("261125a-A")
    data = json.loads(json.dumps(due_data(rows, now)))
    assert [row["candle"] for row in data["due"]] == [row.label for row in rows]
    assert all(datetime.fromisoformat(row["from"]).tzinfo for row in data["due"])


def test_a_calendar_says_what_the_text_says(tmp_path):
    batch(tmp_path, count=3)
    rows, _ = due_in(tmp_path, NOON)
    calendar = icalendar.Calendar.from_ical(due_calendar(rows, NOON))
    events = calendar.walk("VEVENT")
    assert len(events) == len(rows)
    assert not calendar.errors
    for event, row in zip(events, rows, strict=True):
        assert not event.errors
        assert str(event["SUMMARY"]) == row.says
        assert event.decoded("DTSTART") == local(row.at).date()
        assert (event.decoded("DTEND") - event.decoded("DTSTART")).days == 1
        assert row.title in str(event["DESCRIPTION"])
    assert len({str(event["UID"]) for event in events}) == len(rows)


def test_a_lit_candle_has_its_hours_in_the_calendar(tmp_path):
    batch(tmp_path)
    live = log_of(tmp_path, NOON + 5 * DAY)
    live.file(ev.CandleLit(mould="A"), now=NOON + 5 * DAY)
    live.close()
    rows, _ = due_in(tmp_path, NOON + 5 * DAY)
    (event,) = icalendar.Calendar.from_ical(due_calendar(rows, NOON)).walk("VEVENT")
    assert event.decoded("DTSTART") == datetime.fromtimestamp(NOON + 5 * DAY, UTC)
    assert (event.decoded("DTEND") - event.decoded("DTSTART")).total_seconds() == 4 * HOUR


@given(st.text(max_size=120), st.text(max_size=200))
def test_any_title_comes_back_whole_and_no_line_is_too_long(label, title):
    from pourday.text import plain

    rows = (CandleDue(NOON, "burn test", "b", "A", plain(label, 80), plain(title, 200)),)
    text = due_calendar(rows, NOON)
    assert all(len(line.encode()) <= 75 for line in text.split("\r\n"))
    assert "\n" not in text.replace("\r\n", "")
    (event,) = icalendar.Calendar.from_ical(text).walk("VEVENT")
    assert str(event["SUMMARY"]) == plain(rows[0].says, 500)


def test_an_empty_calendar_can_be_read_too():
    assert icalendar.Calendar.from_ical(due_calendar((), NOON)).walk("VEVENT") == []
