"""The cards of a folder: from the records, remembered, and made anew where what is remembered is not of them."""

from __future__ import annotations

import json
import os
import shutil
from pathlib import Path

import pytest

from pourday.cli import main
from pourday.errors import Trouble
from pourday.plan.model import BlendPart, Layer, Mould, Plan
from pourday.reports.deviations import Kind
from pourday.session import events as ev
from pourday.shelf import card, index, listing, making
from pourday.shelf.index import SHELF, read_cards
from pourday.shelf.search import Search
from pourday.store.library import list_known, list_sessions
from pourday.store.live import LiveSession
from pourday.store.reading import read_path
from tests.shelf.cards import cards_of

SAMPLES = Path(__file__).parents[2] / "sessions"
NOON = 1_764_072_000.0
VIOLET = Plan(
    title="For the market",
    layers=(Layer(colour="violet"), Layer(colour="white")),
    blend=(BlendPart(wax="palm_pillar", lot="sack 7"),),
    moulds=(Mould(name="tall", wick="24 ply"),),
)


@pytest.fixture
def folder(tmp_path):
    """Two days of the demo, and a plan of violet palm that leaked, was judged, and burned later."""
    for path in SAMPLES.glob("*.json"):
        shutil.copy(path, tmp_path)
    live = LiveSession.create(tmp_path, "2025-11-25-a", now=NOON)
    live.file(ev.PlanFixed(plan=VIOLET), now=NOON + 1)
    live.file(ev.SealSeen(mould="A", weeps=True), now=NOON + 60)
    live.file(ev.Noted(text="The window stood open."), now=NOON + 70)
    live.finish("Good enough", now=NOON + 80)
    return tmp_path


def test_a_card_has_what_the_record_has(folder):
    card = cards_of(folder)["2025-11-25-a"]
    assert (card.title, card.colours, card.lots) == ("For the market", ("violet", "white"), ("sack 7",))
    assert [wax.split(",")[0].split()[0] for wax in card.waxes] == ["palm"]
    assert (card.wicks, card.verdict, card.notes) == (("24 ply",), "Good enough", ("The window stood open.",))
    assert card.faults == ("leak",)
    assert (card.finished, card.tested, card.no_fault) == (True, False, False)
    assert card.started == pytest.approx(NOON)


def test_what_became_of_its_candles_is_on_the_card_of_their_batch(folder):
    log = LiveSession.create(folder, "2025-11-25-a-candles", now=NOON + 90_000, batch="2025-11-25-a")
    log.file(ev.CandleLit(mould="A"), now=NOON + 90_001)
    log.file(ev.DefectSeen(mould="A", defect="tunnelling", where="flame"), now=NOON + 90_002)
    log.close()
    cards = cards_of(folder)
    assert set(cards) == {"2025-11-25-a", "2026-10-25-demo-a", "2026-10-25-demo-b"}
    assert cards["2025-11-25-a"].tested
    assert cards["2025-11-25-a"].faults == ("tunnelling", "leak")


def test_only_what_changed_is_read_again(folder, monkeypatch):
    before = cards_of(folder)
    read = []
    monkeypatch.setattr(
        index,
        "read_path",
        lambda path, disk: read.append(path.stem) or read_path(path, disk),
    )
    assert cards_of(folder) == before
    assert read == []
    os.utime(folder / "2026-10-25-demo-a.json", ns=(1, 1))
    assert cards_of(folder) == before
    assert read == ["2026-10-25-demo-a"]


@pytest.mark.parametrize("damage", ["gone", "torn", "foreign", "other program"])
def test_a_memory_that_is_lost_or_lies_costs_only_time(folder, damage):
    before = cards_of(folder)
    path = folder / SHELF
    rows = json.loads(path.read_text())
    match damage:
        case "gone":
            path.unlink()
        case "torn":
            path.write_bytes(path.read_bytes()[:-40])
        case "foreign":
            rows["_default"] = {key: {"wrong": 1} for key in rows["_default"]}
            path.write_text(json.dumps(rows))
        case "other program":
            for row in rows["_default"].values():
                row["made_by"] = 0
                row["card"]["colours"] = ["no such colour"]
            path.write_text(json.dumps(rows))
    assert cards_of(folder) == before


def test_a_session_that_cannot_be_read_has_no_card_and_hides_no_other(folder):
    (folder / "2025-01-01-a.json").write_text("{")
    assert "2025-01-01-a" not in cards_of(folder)
    assert len(cards_of(folder)) == 3


def test_how_far_it_has_come_is_told_with_what_is_known_by_then(folder, monkeypatch):
    monkeypatch.setattr(index, "EVERY", 1)
    steps = [(each.done, each.of, len(each.fresh)) for each in read_cards(folder)]
    assert steps == [(1, 3, 1), (2, 3, 1), (3, 3, 1)]
    assert [(each.done, len(each.fresh)) for each in read_cards(folder)] == [(3, 3)]


def test_what_the_list_says_of_files_nobody_listed_comes_along_and_is_taken_into_its_index(folder):
    (folder / "2025-01-01-a.json").write_text("{")
    rows, unread = list_known(folder, 1)
    assert len(unread) == 3
    assert {row.session for row in rows} == {row.session for row in list_sessions(folder)}
    assert not any(row.trouble or row.title for row in rows if row.file in unread)
    (folder / ".library.json").unlink()
    told = [row for progress in read_cards(folder, unlisted=unread) for row in progress.listed]
    whole = {row.file: row for row in list_sessions(folder)}
    assert {row.file: row for row in told if not row.trouble} == {file: whole[file] for file in unread}
    (folder / ".library.json").unlink()
    for _ in read_cards(folder, unlisted=[row.file for row in rows]):
        pass
    assert list_known(folder, 0)[1] == ["2025-01-01-a.json"]


def listed(folder, capsys, *words):
    """(status, standard output, what was complained of) of `pourday list WORDS`."""
    with pytest.raises(SystemExit) as ended:
        main(["--sessions", str(folder), "list", *words])
    told = capsys.readouterr()
    return ended.value.code, told.out, told.err


def test_the_command_lists_what_has_the_words(folder, capsys):
    _, out, _ = listed(folder, capsys, "violet", "not", "demo")
    assert [line.split()[0] for line in out.splitlines()] == ["2025-11-25-a"]
    assert "For the market; violet, white" in out
    _, out, _ = listed(folder, capsys, "rust", "older", "than", "2026-10-26")
    assert {line.split()[0] for line in out.splitlines()} == {"2026-10-25-demo-a", "2026-10-25-demo-b"}


def test_nothing_found_and_no_time_are_a_sentence_each(folder, capsys):
    status, _, said = listed(folder, capsys, "crimson")
    assert (status, said.count("No session has all of “crimson”.")) == (1, 1)
    status, _, said = listed(folder, capsys, "older", "than", "soon")
    assert (status, said.count("is no time after “older”")) == (1, 1)


def test_a_broken_session_is_listed_and_found_by_its_name(folder, capsys):
    (folder / "2025-01-01-a.json").write_text("{")
    _, out, _ = listed(folder, capsys)
    assert "2025-01-01-a         cannot be opened: " in out
    _, out, _ = listed(folder, capsys, "2025-01-01")
    assert out.splitlines()[0].startswith("2025-01-01-a")


def test_json_and_csv_say_the_same(folder, capsys):
    import csv
    import io

    _, out, _ = listed(folder, capsys, "--json")
    data = json.loads(out)["sessions"]
    _, out, _ = listed(folder, capsys, "--csv")
    rows = list(csv.DictReader(io.StringIO(out.removeprefix("\ufeff"))))
    assert [row["session"] for row in rows] == [each["session"] for each in data]
    for row, each in zip(rows, data, strict=True):
        assert row["colours"] == ", ".join(each["colours"])
        assert row["started_utc"] == each["started_utc"]


def test_a_text_that_a_spreadsheet_would_run_stays_a_text(tmp_path, capsys):
    live = LiveSession.create(tmp_path, "2025-11-25-a", now=NOON)
    live.file(ev.PlanDrafted(plan=Plan(title="=HYPERLINK(1)")), now=NOON + 1)
    live.close()
    _, out, _ = listed(tmp_path, capsys, "--csv")
    assert ",'=HYPERLINK(1)," in out


def test_every_kind_of_deviation_has_its_words():
    assert set(making.OFF_WORDS) == set(Kind.__args__)


def test_a_list_line_tells_what_the_day_was_of(folder):
    cards, summaries = cards_of(folder), list_sessions(folder)
    rows = listing.listed(summaries, cards, Search(wanted=(" leak",)))
    assert [row.summary.session for row in rows] == ["2025-11-25-a"]
    assert card.about_card(rows[0].card).startswith("violet, white; ")
    with pytest.raises(Trouble, match="No session has all of"):
        listing.refuse_nothing([], "leek")


def test_a_hostile_memory_steers_no_terminal_and_ends_no_search(folder):
    cards_of(folder)
    rows = json.loads((folder / SHELF).read_text())
    for number, row in enumerate(rows["_default"].values()):
        row["card"]["title"] = "\x1b]2;x\x07S\u202e"
        row["card"]["due"] = [
            {
                "at": (1e300, 1.7e9, 1.7e9)[number],
                "what": "burn test",
                "batch": "x",
                "letter": "A",
                "label": "\x1b[31mx",
                "title": "",
            }
        ]
        row["card"]["started"] = (1.7e9, -1e18, 1.7e9)[number]
    (folder / SHELF).write_text(json.dumps(rows))
    for known in cards_of(folder).values():
        assert "\x1b" not in card.hay(known)
        assert all("\x1b" not in due.says and abs(due.at) < 1e11 for due in known.due)


def test_stopped_half_way_the_next_reading_goes_on_from_there_and_the_list_has_what_was_read(
    folder, monkeypatch
):
    monkeypatch.setattr(index, "EVERY", 1)
    stopped = read_cards(folder)
    half = next(stopped).fresh
    stopped.close()
    read = list[str]()
    usual = index.read_path
    monkeypatch.setattr(index, "read_path", lambda path, disk: read.append(path.stem) or usual(path, disk))
    rest = cards_of(folder)
    assert set(half) == {name for name in rest if name not in read}
    assert len(half) == 1
    known, unread = list_known(folder, 0)
    assert unread == []
    assert {row.session for row in known} == set(rest)
