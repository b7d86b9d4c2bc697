"""What days taught of a kitchen: figures against a short script of its own that reads the records' JSON and nothing else."""

from __future__ import annotations

import json
import math
from datetime import datetime
from pathlib import Path

import pytest

from pourday.demo.scenario import two_pillars
from pourday.guide.advice.queries import Memory
from pourday.reports.kitchen_days import day_rows, known_kitchen
from pourday.reports.kitchen_report import kitchen_data, kitchen_text
from pourday.session import events as ev
from pourday.session.events import Entry
from pourday.store.kitchen_days import KITCHEN
from pourday.store.memories import Memories
from pourday.store.record import record_bytes
from pourday.tui.home.kitchen_query import KitchenQuery

NOON, MINUTE, DAY = 1_795_608_000.0, 60.0, 86400.0
NOW = NOON + 30 * DAY


def write_day(folder: Path, session: str, day: int, *, firm: float, demo: bool = False) -> None:
    """A day on which both moulds were seen soft until they carried, some minutes after their pour at minute 1."""

    def at(minute: float) -> ev.Moment:
        return ev.moment(NOON + day * DAY + minute * MINUTE)

    told = ev.Told(act="look A 1", word="LOOK A", moulds="A", early=at(35), likely=at(50), late=at(65))
    facts = [
        (0.0, ev.Opened(session=session, program="0", demo=demo)), (0.0, ev.PlanFixed(plan=two_pillars())),
        *((1.0, ev.Poured(mould=x, layer=0, part="layer", kg=0.1, celsius=82.0)) for x in "AB"),
        (2.0, told),
        *((firm * 0.3, ev.Looked(mould=x, cue="skinned")) for x in "AB"),
        *((firm - 4, ev.Looked(mould=x, cue="skinned")) for x in "AB"),
        *((firm + 4, ev.Looked(mould=x, cue="firm")) for x in "AB"),
        (300.0, ev.Finished()),
    ]  # fmt: skip
    entries = [
        Entry(seq=n, at=at(m), logged_at=at(m), by="person", fact=fact)
        for n, (m, fact) in enumerate(facts, 1)
    ]
    (folder / f"{session}.json").write_bytes(record_bytes(session, entries))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("days")
    write_day(place, "2026-11-25-a", 0, firm=45)
    write_day(place, "2026-11-26-a", 1, firm=50)
    write_day(place, "2026-11-27-a", 2, firm=90)
    write_day(place, "2026-11-28-a", 3, firm=20, demo=True)
    return place


def data(folder: Path) -> dict:
    return kitchen_data(day_rows(folder), Memories(folder).kitchen_choices(), NOW)


def test_days_and_forecasts_are_those_that_a_script_counts_in_the_records(folder: Path) -> None:
    counted, inside, offs = 0, 0, []
    days = []
    for path in folder.glob("2026*.json"):
        record = json.loads(path.read_text())
        if record["demo"]:
            continue
        days.append(record["session"])
        entries = [(datetime.fromisoformat(e["at"]).timestamp(), e["fact"]) for e in record["entries"]]
        (told,) = (f for _, f in entries if f["kind"] == "told")
        early, likely, late = (
            datetime.fromisoformat(told[x]).timestamp() for x in ("early", "likely", "late")
        )
        looks = [(t, f["cue"]) for t, f in entries if f["kind"] == "looked" and f["mould"] == "A"]
        came, not_yet = next(t for t, c in looks if c == "firm"), max(t for t, c in looks if c != "firm")
        poured = next(t for t, f in entries if f["kind"] == "poured" and f["mould"] == "A")
        counted += 1
        inside += not (came < early or not_yet > late)
        offs.append(((came + not_yet) / 2 - poured) / (likely - poured) - 1)
    found = data(folder)
    assert sorted(day["session"] for day in found["days"]) == sorted(days)
    (row,) = found["forecasts"]
    assert (row["kind"], row["month"], row["told"]) == ("look", "2026-11", counted)
    assert row["inside"] == pytest.approx(inside / counted, abs=1e-3)
    assert row["error"] == pytest.approx(sorted(offs)[1], abs=2e-3)


def test_the_factor_of_the_kitchen_is_the_weighted_mean_of_its_days(folder: Path) -> None:
    """Random effects worked out by hand from what the cache holds of each day."""
    day_rows(folder)
    rows = json.loads((folder / KITCHEN).read_text())["rows"]
    days = [row["day"] for row in rows if row["day"] and row["day"]["top"]]
    values = [(d["top"][0], d["top"][1] ** 2 + 0.1**2 * (NOW - d["at"]) / (365.25 * DAY)) for d in days]
    w = [1 / v for _, v in values]
    mean = sum(a * x for a, (x, _) in zip(w, values, strict=True)) / sum(w)
    q = sum(a * (x - mean) ** 2 for a, (x, _) in zip(w, values, strict=True))
    tau2 = max(0.1**2, (q - (len(w) - 1)) / (sum(w) - sum(a * a for a in w) / sum(w)))
    w = [1 / (v + tau2) for _, v in values]
    prior = 1 / (0.30**2 - 0.1**2)
    likely = math.exp(sum(a * x for a, (x, _) in zip(w, values, strict=True)) / (sum(w) + prior))
    top = data(folder)["factors"][0]
    assert top["likely"] == pytest.approx(likely, abs=2e-3)
    assert top["rests_on"]["days"] == len(days) == 3
    assert top["early"] < top["likely"] < top["late"]


def test_the_cache_may_be_deleted_and_is_worked_out_a_record_at_a_time(folder: Path) -> None:
    before = data(folder)
    (folder / KITCHEN).unlink()
    assert known_kitchen(folder, NOW) is None
    answers = list(KitchenQuery(folder).answers(Memory()))
    assert answers[-1] == 4
    assert len(answers) >= 4
    assert data(folder) == before
    assert known_kitchen(folder, NOW) is not None


def test_what_a_person_forgets_or_does_not_use_is_not_used_and_comes_back(folder: Path) -> None:
    memories = Memories(folder)
    whole = data(folder)
    memories.forget_day("2026-11-27-a", NOW)
    forgotten = data(folder)
    assert forgotten["factors"][0]["rests_on"]["days"] == 2
    assert forgotten["factors"][0]["likely"] > whole["factors"][0]["likely"]
    assert "forgotten" in "\n".join(kitchen_text(day_rows(folder), memories.kitchen_choices(), NOW))
    memories.forget_day("2026-11-27-a", NOW, forget=False)
    assert data(folder) == whole
    memories.use_no_days(NOW, none=True)
    assert known_kitchen(folder, NOW) is None
    memories.use_no_days(NOW, none=False)
    memories.forget_all_days(NOW)
    assert data(folder)["factors"][0]["rests_on"]["days"] == 0


def test_an_empty_folder_says_what_would_teach(tmp_path: Path) -> None:
    text = "\n".join(kitchen_text(day_rows(tmp_path), Memories(tmp_path).kitchen_choices(), NOW))
    assert "Looks at a surface teach" in text
