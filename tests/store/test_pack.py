"""Moving house: what was packed comes out whole anywhere, and nothing that is there already is lost."""

from __future__ import annotations

import errno
import io
import os
import shutil
import subprocess
import sys
import zipfile
from contextlib import suppress
from pathlib import Path

import msgspec
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from pourday.demo.scenario import two_pillars
from pourday.errors import Trouble
from pourday.plan.model import Plan
from pourday.session import events as ev
from pourday.stock.lot import StockLot
from pourday.store.candles import open_log
from pourday.store.disk import DISK
from pourday.store.library import list_sessions
from pourday.store.live import LiveSession
from pourday.store.lock import Lock
from pourday.store.memories import Memories
from pourday.store.pack import archive, contents, is_packed, pack
from pourday.store.reading import read_session
from pourday.store.stock import Stock
from pourday.store.unpack import unpack
from pourday.wax.materials import families

A, B = "2026-11-25-a", "2026-11-25-b"


class House:
    """A machine: its sessions and its settings."""

    def __init__(self, folder: Path) -> None:
        self.sessions, self.settings = folder / "sessions", folder / "config" / "own.toml"
        self.sessions.mkdir(parents=True)

    def session(self, name: str, now: float, temperatures: list[float]) -> LiveSession:
        live = LiveSession.create(self.sessions, name, now=now)
        live.file(ev.PlanDrafted(plan=two_pillars()), now=now)
        for number, celsius in enumerate(temperatures):
            live.file(ev.Reading(place="pot", celsius=celsius), now=now + number)
        return live

    def set(self, text: str) -> None:
        self.settings.parent.mkdir(exist_ok=True)
        self.settings.write_text(text)

    def pack(self, target: Path, disk=DISK):
        return pack(self.sessions, self.settings, target, disk)

    def unpack(self, source: Path, disk=DISK):
        return unpack(source, self.sessions, self.settings, disk)

    def files(self) -> dict[str, bytes]:
        """Everything that is not made anew."""
        return {p.name: p.read_bytes() for p in sorted(self.sessions.iterdir()) if is_packed(p.name)}

    def readings(self) -> dict[str, list[float]]:
        """Temperatures of every session that the list shows, by its name; none may be in trouble."""
        rows = list_sessions(self.sessions)
        assert [row.trouble for row in rows] == [""] * len(rows)
        return {
            row.session: [r.celsius for r in read_session(self.sessions, row.session).state.readings]
            for row in rows
        }


@pytest.fixture
def old(tmp_path, noon) -> House:
    house = House(tmp_path / "old")
    house.session(A, noon, [70.0, 71.0]).close()
    done = house.session(B, noon, [80.0])
    done.finish("fine", now=noon + 600)
    done.close()
    memories = Memories(house.sessions)
    memories.keep_plan("pillars", two_pillars(), noon)
    memories.keep_wax(
        msgspec.structs.replace(
            families()["paraffin-58"] if "paraffin-58" in families() else next(iter(families().values())),
            id="own",
        )
    )
    house.set('units = "us"\n')
    return house


@pytest.fixture
def new(tmp_path) -> House:
    return House(tmp_path / "new")


def test_everything_comes_out_as_it_went_in(old, new, tmp_path):
    packed = old.pack(tmp_path / "p.zip")
    assert packed.left_out == ()
    done = new.unpack(tmp_path / "p.zip")
    assert (done.troubles, done.both) == ([], [])
    assert new.readings() == old.readings() == {A: [70.0, 71.0], B: [80.0]}
    assert new.settings.read_text() == 'units = "us"\n'
    here, there = Memories(new.sessions), Memories(old.sessions)
    assert (here.plans(), here.own_waxes()) == (there.plans(), there.own_waxes())
    assert here.plans()
    assert here.own_waxes()
    mine, theirs = new.files(), old.files()
    assert {n: d for n, d in mine.items() if n != ".memories.json"} == {
        n: d for n, d in theirs.items() if n != ".memories.json"
    }


def test_the_same_files_make_the_same_bytes_and_any_tool_opens_them(old, tmp_path):
    old.pack(tmp_path / "p.zip")
    shutil.copytree(old.sessions, tmp_path / "copied" / "sessions")
    again = House.__new__(House)
    again.sessions, again.settings = tmp_path / "copied" / "sessions", old.settings
    again.pack(tmp_path / "q.zip")
    assert (tmp_path / "p.zip").read_bytes() == (tmp_path / "q.zip").read_bytes()
    with zipfile.ZipFile(tmp_path / "p.zip") as zipped:
        assert zipped.testzip() is None
        assert zipped.read(f"sessions/{B}.json") == (old.sessions / f"{B}.json").read_bytes()


def test_doing_it_twice_changes_nothing(old, new, tmp_path):
    old.pack(tmp_path / "p.zip")
    new.unpack(tmp_path / "p.zip")
    before = new.files()
    done = new.unpack(tmp_path / "p.zip")
    assert (done.added, done.longer, done.both, done.troubles) == ([], [], [], [])
    assert new.files() == before


def test_a_session_carried_on_at_one_place_is_the_longer_one_at_both(old, new, tmp_path, noon):
    old.pack(tmp_path / "short.zip")
    new.unpack(tmp_path / "short.zip")
    live = LiveSession.open(old.sessions, A, now=noon + 100)
    live.file(ev.Reading(place="pot", celsius=72.0), now=noon + 101)
    live.close()
    old.pack(tmp_path / "long.zip")
    assert new.unpack(tmp_path / "long.zip").longer == [f"{A}.journal"]
    assert new.readings()[A] == [70.0, 71.0, 72.0]
    assert old.unpack(tmp_path / "short.zip").longer == []
    assert old.readings()[A] == [70.0, 71.0, 72.0]


def test_where_both_went_on_both_are_kept_and_can_be_carried_on(old, new, tmp_path, noon):
    old.pack(tmp_path / "p.zip")
    new.unpack(tmp_path / "p.zip")
    for house, celsius in ((old, 60.0), (new, 61.0)):
        live = LiveSession.open(house.sessions, A, now=noon + 100)
        live.file(ev.Reading(place="pot", celsius=celsius), now=noon + 101)
        live.close()
    old.pack(tmp_path / "q.zip")
    assert new.unpack(tmp_path / "q.zip").both == [(f"{A}.journal", f"{A}-unpacked.journal")]
    assert new.unpack(tmp_path / "q.zip").both == []
    assert new.readings()[A] == [70.0, 71.0, 61.0]
    assert new.readings()[f"{A}-unpacked"] == [70.0, 71.0, 60.0]
    live = LiveSession.open(new.sessions, f"{A}-unpacked", now=noon + 200)
    assert not live.readonly
    assert live.remarks == []
    live.close()


def test_a_finished_file_never_hides_what_a_journal_here_went_on_with(old, new, tmp_path, noon):
    old.pack(tmp_path / "p.zip")
    new.unpack(tmp_path / "p.zip")
    done = LiveSession.open(old.sessions, A, now=noon + 100)
    done.finish("fine", now=noon + 101)
    done.close()
    live = LiveSession.open(new.sessions, A, now=noon + 100)
    live.file(ev.Reading(place="pot", celsius=61.0), now=noon + 101)
    live.close()
    old.pack(tmp_path / "q.zip")
    new.unpack(tmp_path / "q.zip")
    new.pack(tmp_path / "r.zip")
    old.unpack(tmp_path / "r.zip")
    for house in (old, new):
        rows = list_sessions(house.sessions)
        finished = [row.session for row in rows if row.finished and row.session.startswith(A)]
        assert {tuple(house.readings()[name]) for name in finished} == {(70.0, 71.0)}
        assert [70.0, 71.0, 61.0] in house.readings().values()


def test_a_session_finished_there_is_finished_here(old, new, tmp_path, noon):
    old.pack(tmp_path / "p.zip")
    new.unpack(tmp_path / "p.zip")
    done = LiveSession.open(old.sessions, A, now=noon + 100)
    done.finish("fine", now=noon + 101)
    done.close()
    old.pack(tmp_path / "q.zip")
    assert new.unpack(tmp_path / "q.zip").both == []
    assert read_session(new.sessions, A).finished
    assert old.unpack(tmp_path / "p.zip").both == []
    assert read_session(old.sessions, A).finished


def test_a_plan_and_settings_that_differ_are_both_kept(old, new, tmp_path, noon):
    Memories(new.sessions).keep_plan("pillars", msgspec.structs.replace(two_pillars(), room_c=15.0), noon)
    new.set('units = "metric"\n')
    old.pack(tmp_path / "p.zip")
    for _ in range(2):
        new.unpack(tmp_path / "p.zip")
    assert {kept.name: kept.plan.room_c for kept in Memories(new.sessions).plans()} == {
        "pillars": 15.0,
        "pillars unpacked": two_pillars().room_c,
    }
    assert new.settings.read_text() == 'units = "metric"\n'
    assert [p.read_text() for p in new.settings.parent.glob("*.unpacked*")] == ['units = "us"\n']


def test_a_session_in_use_here_is_left_and_said(old, new, tmp_path, noon):
    old.pack(tmp_path / "p.zip")
    new.unpack(tmp_path / "p.zip")
    live = LiveSession.open(old.sessions, A, now=noon + 100)
    live.close()
    old.pack(tmp_path / "q.zip")
    held = Lock.take(new.sessions / f"{A}.lock")
    (trouble,) = new.unpack(tmp_path / "q.zip").troubles
    assert "Another program is writing" in trouble
    held.release()
    assert new.unpack(tmp_path / "q.zip").longer == [f"{A}.journal"]


@pytest.mark.parametrize("spoil", ["cut", "bit", "text", "empty"])
def test_a_spoilt_archive_is_refused_before_anything_is_written(old, new, tmp_path, spoil):
    old.pack(tmp_path / "p.zip")
    data = (tmp_path / "p.zip").read_bytes()
    middle = data.index(f"sessions/{A}.journal".encode()) + 60
    spoilt = {
        "cut": data[: len(data) // 2],
        "bit": data[:middle] + bytes([data[middle] ^ 0xFF]) + data[middle + 1 :],
        "text": b"a letter to my aunt",
        "empty": b"",
    }[spoil]
    (tmp_path / "p.zip").write_bytes(spoilt)
    with pytest.raises(Trouble, match="cannot be unpacked"):
        new.unpack(tmp_path / "p.zip")
    assert list(new.sessions.iterdir()) == []


@pytest.mark.parametrize(
    "inside",
    ["../evil.json", "sessions/../../evil.json", "/etc/evil.json", "sessions/x/y.json", "sessions/a\\b.json"],
)
def test_no_archive_writes_outside_the_folder(new, tmp_path, inside):
    (tmp_path / "p.zip").write_bytes(archive({inside: b"{}"}))
    (trouble,) = new.unpack(tmp_path / "p.zip").troubles
    assert "is no file of pourday" in trouble
    assert list(new.sessions.iterdir()) == []
    assert not list(tmp_path.rglob("evil*"))


def test_a_file_that_swells_is_not_swollen(new, tmp_path):
    good = archive({f"sessions/{A}.json": b"{}"})
    swollen = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(good)) as was, zipfile.ZipFile(swollen, "w", zipfile.ZIP_DEFLATED) as now:
        now.writestr("pack.json", was.read("pack.json"))
        now.writestr(f"sessions/{A}.json", b"0" * 200_000_000)
    (tmp_path / "p.zip").write_bytes(swollen.getvalue())
    with pytest.raises(Trouble, match="not what was packed"):
        new.unpack(tmp_path / "p.zip")


def test_what_is_no_archive_is_never_overwritten_and_an_older_one_is(old, tmp_path):
    (tmp_path / "p.zip").write_text("my recipes")
    with pytest.raises(Trouble, match="Something else stands there"):
        old.pack(tmp_path / "p.zip")
    assert (tmp_path / "p.zip").read_text() == "my recipes"
    old.pack(tmp_path / "q.zip")
    (old.sessions / f"{A}.journal").unlink()
    old.pack(tmp_path / "q.zip")
    assert f"sessions/{A}.journal" not in dict(contents((tmp_path / "q.zip").read_bytes(), "q.zip"))


def test_what_cannot_be_read_is_named_and_the_rest_is_packed(old, tmp_path):
    (old.sessions / "2026-11-26-a.journal").symlink_to("/dev/zero")
    packed = old.pack(tmp_path / "p.zip")
    (sentence,) = packed.left_out
    assert sentence.startswith("2026-11-26-a.journal was left out.")


NAMES = st.sampled_from([f"{A}.journal", f"{A}.json", f"{B}.journal", f"{A}.torn", f"{A}.schema-1"])


@settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    here=st.dictionaries(NAMES, st.binary(max_size=30)), there=st.dictionaries(NAMES, st.binary(max_size=30))
)
def test_no_bytes_of_either_side_are_ever_lost(tmp_path_factory, here, there):
    """Whatever the files hold, sound or not: each is found afterwards, whole or as the beginning of another."""
    place = tmp_path_factory.mktemp("house")
    house = House(place)
    for name, data in here.items():
        (house.sessions / name).write_bytes(data)
    (place / "p.zip").write_bytes(archive({f"sessions/{name}": data for name, data in there.items()}))
    done = house.unpack(place / "p.zip")
    assert done.troubles == []
    after = house.files().values()
    for data in [*here.values(), *there.values()]:
        assert any(found.startswith(data) for found in after)


def test_all_that_is_remembered_of_sessions_and_every_version_of_a_plan_comes_along(old, new, tmp_path, noon):
    there, here = Memories(old.sessions), Memories(new.sessions)
    there.keep_plan("pillars", msgspec.structs.replace(two_pillars(), title="second"), noon + 1)
    there.forget_day(B, noon)
    there.use_no_days(noon, none=True)
    old.pack(tmp_path / "p.zip")
    new.unpack(tmp_path / "p.zip")
    assert [kept.plan.title for kept in here.versions("pillars")] == ["second", two_pillars().title]
    assert here.kitchen_choices() == there.kitchen_choices()
    assert here.kitchen_choices().forgotten == {B}


def titled(*titles: str) -> list[Plan]:
    return [msgspec.structs.replace(two_pillars(), title=title) for title in titles]


@pytest.mark.parametrize(
    ("there", "here", "merged", "beside"),
    [
        ("ab", "ab", "ab", ""), ("abc", "ab", "abc", ""), ("ab", "abc", "abc", ""), ("abcd", "bd", "abcd", ""), ("ab", "b", "ab", ""),
        ("b", "ab", "ab", ""), ("abx", "aby", "aby", "abx"), ("x", "y", "y", "x"),
    ],
    ids="-".join,
)  # fmt: skip
def test_older_versions_of_a_plan_of_both_machines_are_there_and_the_newest_is_what_was_gone_on_to(
    old, new, tmp_path, noon, there, here, merged, beside
):
    for house, titles in ((old, there), (new, here)):
        memories = Memories(house.sessions)
        memories.forget_plan("pillars")
        for plan in titled(*titles):
            memories.keep_plan("pillars", plan, noon + ord(plan.title))
    old.pack(tmp_path / "p.zip")
    for _ in range(2):
        done = new.unpack(tmp_path / "p.zip")
        memories = Memories(new.sessions)
        kept = {plan.name: memories.versions(plan.name)[::-1] for plan in memories.plans()}
        assert {name: "".join(v.plan.title for v in each) for name, each in kept.items()} == {
            "pillars": merged, **({"pillars unpacked": beside} if beside else {}),
        }  # fmt: skip
        assert all(len({v.version for v in each}) == len(each) for each in kept.values())
    assert done.added == []


def test_of_more_versions_than_are_kept_the_newest_stay_and_doing_it_again_changes_nothing(
    old, new, tmp_path, noon, monkeypatch
):
    monkeypatch.setattr("pourday.store.memories.MOST_VERSIONS", 5)
    for house, titles in ((old, "abcdefgh"), (new, "e")):
        for plan in titled(*titles):
            Memories(house.sessions).keep_plan("many", plan, noon + ord(plan.title))
    old.pack(tmp_path / "p.zip")
    new.unpack(tmp_path / "p.zip")
    assert "".join(kept.plan.title for kept in Memories(new.sessions).versions("many")) == "hgfed"
    before = new.files()
    new.unpack(tmp_path / "p.zip")
    assert new.files() == before


def test_of_candles_that_were_burned_at_both_places_both_records_stay(old, new, tmp_path, noon):
    for house, text in ((old, "there"), (new, "here")):
        if house is new:
            old.pack(tmp_path / "first.zip")
            new.unpack(tmp_path / "first.zip")
            (new.sessions / f"{B}-candles.journal").unlink()
        log = open_log(house.sessions, read_session(house.sessions, B).state, now=noon + 700)
        log.file(ev.Noted(text=text), now=noon + 701)
        log.close()
    old.pack(tmp_path / "p.zip")
    done = new.unpack(tmp_path / "p.zip")
    assert done.both == [(f"{B}-candles.journal", f"{B}-candles-unpacked.journal")]
    said = {
        fact.text
        for name in (f"{B}-candles", f"{B}-candles-unpacked")
        for entry in read_session(new.sessions, name).entries
        if isinstance(fact := entry.fact, ev.Noted)
    }
    assert said == {"there", "here"}
    assert all(not row.trouble for row in list_sessions(new.sessions))


def test_another_machine_makes_the_same_bytes_of_the_same_files(old, tmp_path):
    """Another zone, language, umask and seed of hashes, the files put there in another order, the settings elsewhere."""
    other = tmp_path / "elsewhere"
    other.mkdir()
    for path in sorted(old.sessions.iterdir(), reverse=True):
        shutil.copy(path, other / path.name)
        os.utime(other / path.name, (1, 1))
    shutil.copy(old.settings, tmp_path / "mine.toml")
    made = []
    for number, (folder, config, zone, language, mask, seed) in enumerate(
        (
            (old.sessions, old.settings, "America/St_Johns", "C", 0o022, "1"),
            (other, tmp_path / "mine.toml", "Asia/Kathmandu", "nl_NL.UTF-8", 0o077, "2"),
        )
    ):
        target = tmp_path / f"{number}.zip"
        env = {**os.environ, "TZ": zone, "LANG": language, "LC_ALL": language, "PYTHONHASHSEED": seed}
        command = [sys.executable, "-m", "pourday", "--sessions", folder, "--config", config, "pack", target]
        subprocess.run(command, env=env, umask=mask, check=True, capture_output=True)
        made.append(target.read_bytes())
    assert made[0] == made[1]


def test_what_was_chosen_here_about_days_stands_beside_what_was_chosen_there(old, new, tmp_path, noon):
    Memories(old.sessions).forget_day(B, noon)
    Memories(old.sessions).use_no_days(noon, none=True)
    Memories(new.sessions).forget_day(A, noon)
    old.pack(tmp_path / "p.zip")
    new.unpack(tmp_path / "p.zip")
    choices = Memories(new.sessions).kitchen_choices()
    assert (choices.forgotten, choices.use_none) == ({A, B}, False)
    before = new.files()
    assert new.unpack(tmp_path / "p.zip").added == []
    assert new.files() == before


LOTS = st.dictionaries(st.sampled_from("abc"), st.integers(1, 9), max_size=3)
TITLES = st.dictionaries(st.sampled_from(["round", "tall"]), st.integers(1, 5), max_size=2)
DAYS = st.sets(st.sampled_from([A, B, "2026-11-26-a"]))
UNITS = st.sampled_from(["", 'units = "us"\n', 'units = "metric"\n'])
SIDE = st.tuples(LOTS, TITLES, DAYS, UNITS, st.sets(st.sampled_from([60.0, 61.0, 62.0])))


@settings(
    max_examples=5,
    phases=(Phase.explicit, Phase.generate),
    suppress_health_check=[HealthCheck.function_scoped_fixture],
    deadline=None,
)
@given(sides=st.tuples(SIDE, SIDE))
def test_whatever_two_machines_kept_all_of_it_is_there_after_a_merge(tmp_path_factory, noon, sides):
    """Stock, recipes, choices about days, settings and sessions: each side's is found on the merged one, twice over."""
    place = tmp_path_factory.mktemp("two")
    houses = [House(place / name) for name in ("here", "there")]
    for house, (lots, titles, days, units, celsius) in zip(houses, sides, strict=True):
        for lot, kg in lots.items():
            Stock(house.sessions).put(
                StockLot(kind="wax", product="palm", lot=lot, counted=kg, counted_at=noon)
            )
        for name, number in titles.items():
            Memories(house.sessions).keep_plan(
                name, msgspec.structs.replace(two_pillars(), title=str(number)), noon
            )
        for day in days:
            Memories(house.sessions).forget_day(day, noon)
        if units:
            house.set(units)
        for each in celsius:
            house.session(f"2026-11-25-{each:.0f}", noon, [each]).close()
        house.session(A, noon, sorted(celsius)).close()
    here, there = houses
    there.pack(place / "p.zip")
    there.pack(place / "q.zip")
    assert (place / "p.zip").read_bytes() == (place / "q.zip").read_bytes()
    assert here.unpack(place / "p.zip").troubles == []
    after = here.files()
    readings = list(here.readings().values())
    plans = {kept.plan.title for kept in Memories(here.sessions).plans()}
    lots_here = {(lot.lot, lot.counted) for lot in Stock(here.sessions).lots()}
    aside = b"".join(data for name, data in after.items() if name.startswith(".stock"))
    aside_settings = b"".join(path.read_bytes() for path in (place / "here" / "config").glob("*"))
    for lots, titles, days, units, celsius in sides:
        # Where one side's day is only the beginning of the other's, the longer one is kept.
        assert any(each[: len(celsius)] == sorted(celsius) for each in readings)
        assert all([each] in readings for each in celsius)
        assert {str(number) for number in titles.values()} <= plans
        assert days <= Memories(here.sessions).kitchen_choices().forgotten
        assert units.encode() in aside_settings
        for lot, kg in lots.items():
            assert (lot, kg) in lots_here or f'"counted":{kg}'.encode() in aside.replace(b" ", b"")
    assert here.unpack(place / "p.zip").added == []
    assert here.files() == after


@pytest.mark.parametrize("error", [errno.ENOSPC, pytest.param(errno.EIO, marks=pytest.mark.slow), None])
def test_every_call_refused_or_killed_once_loses_nothing(old, new, tmp_path, noon, faulty, killed, error):
    """And what was not unpacked then is unpacked by doing it again."""
    mine = new.session(A, noon, [50.0])
    mine.close()
    old.pack(tmp_path / "p.zip")
    before = new.files()
    counted = faulty()
    trial = House(tmp_path / "trial")
    shutil.copytree(new.sessions, trial.sessions, dirs_exist_ok=True)
    trial.unpack(tmp_path / "p.zip", counted)
    assert len(counted.calls) > 20
    for at in range(len(counted.calls)):
        house = House(tmp_path / f"house-{at}")
        shutil.copytree(new.sessions, house.sessions, dirs_exist_ok=True)
        with suppress(killed, Trouble, OSError):
            house.unpack(tmp_path / "p.zip", faulty(at, error))
        after = house.files()
        assert {name: after[name] for name in before} == before
        house.unpack(tmp_path / "p.zip")
        readings = list(house.readings().values())
        for temperatures in ([50.0], [70.0, 71.0], [80.0]):
            assert temperatures in readings, (at, counted.calls[at])


@pytest.mark.parametrize("error", [errno.ENOSPC, errno.EIO, None])
def test_an_earlier_archive_outlives_a_refusal(old, tmp_path, faulty, killed, error):
    target = tmp_path / "p.zip"
    old.pack(target)
    before = target.read_bytes()
    (old.sessions / f"{B}.json").unlink()
    counted = faulty()
    old.pack(tmp_path / "q.zip", counted)
    for at in range(len(counted.calls)):
        target.write_bytes(before)
        try:
            packed = old.pack(target, faulty(at, error))
        except (killed, Trouble):
            now = target.read_bytes()
            assert now in (before, (tmp_path / "q.zip").read_bytes())
        else:
            assert packed.left_out or target.read_bytes() == (tmp_path / "q.zip").read_bytes()


def test_what_was_chosen_of_the_kitchens_days_goes_along_and_undoes_nothing_chosen_here(
    old, new, tmp_path, noon
):
    theirs = Memories(old.sessions)
    theirs.forget_day(B, noon)
    theirs.forget_all_days(noon - 9.0)
    theirs.use_no_days(noon, none=True)
    old.pack(tmp_path / "p.zip")
    new.unpack(tmp_path / "p.zip")
    assert Memories(new.sessions).kitchen_choices() == theirs.kitchen_choices()
    other = House(tmp_path / "other")
    Memories(other.sessions).forget_day("another", noon)
    other.unpack(tmp_path / "p.zip")
    chosen = Memories(other.sessions).kitchen_choices()
    assert chosen.forgotten == {"another", B}
    assert not chosen.use_none
