"""`pourday check`: what is wrong, in words, and what can be saved, in a new file."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest

from pourday.errors import Trouble
from pourday.session import events as ev
from pourday.session.events import SCHEMA
from pourday.store import check as checking
from pourday.store.disk import Disk
from pourday.store.library import list_sessions
from pourday.store.live import LiveSession
from pourday.store.reading import read_session


def check(*about) -> list[checking.FileFinding]:
    return list(checking.check(*about))


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_a_sound_folder_has_no_findings(begun):
    assert check(begun.folder) == []
    assert check(begun.folder, begun.session) == []


def test_a_lost_line_is_noted_in_its_place_and_everything_else_keeps_its_number(begun, noon):
    begun.file(ev.Corrected(entry=4, fact=ev.Reading(place="pot", celsius=60.0)), now=noon + 300)
    begun.close()
    path = begun.folder / f"{begun.session}.journal"
    lines = path.read_bytes().splitlines(keepends=True)
    lines[2] = b"\x00\x00garbled\n"
    path.write_bytes(b"".join(lines))
    before = contents(begun.folder)
    (finding,) = check(begun.folder)
    assert finding.serious
    assert "damaged at line 3" in finding.says
    assert "Whole entries found: 4; lost between them: 1." in finding.says
    after = contents(begun.folder)
    assert {name: after[name] for name in before} == before
    live = LiveSession.open(begun.folder, finding.repaired, now=noon + 600)
    assert "Entry 2 was lost" in live.entries[1].fact.text
    assert live.entries[1].by == "program"
    assert [r.celsius for r in live.state.readings] == [71.0, 60.0]
    live.close()
    assert [row.trouble == "" for row in list_sessions(begun.folder)] == [True, False]


def test_checking_again_finds_the_repaired_session_and_writes_no_second_one(begun):
    begun.close()
    path = begun.folder / f"{begun.session}.journal"
    path.write_bytes(path.read_bytes().replace(b"71.0", b"hot!"))
    first = check(begun.folder, begun.session)
    names = sorted(contents(begun.folder))
    assert check(begun.folder, begun.session) == first
    assert sorted(contents(begun.folder)) == names


@pytest.mark.parametrize("share", [0.3, 0.7, 0.9, 0.99])
def test_of_a_record_cut_short_every_whole_entry_is_saved(begun, noon, share):
    for number in range(40):
        begun.file(ev.Noted(text=f"note {number}"), now=noon + 300 + number)
    entries = tuple(begun.entries)
    begun.finish("", now=noon + 600)
    path = begun.folder / f"{begun.session}.json"
    data = path.read_bytes()
    cut = data[: int(len(data) * share)]
    path.write_bytes(cut)
    (finding,) = check(begun.folder)
    whole = cut.count(b"}},\n")
    kept = read_session(begun.folder, finding.repaired)
    assert whole > 3
    assert kept.entries[:whole] == entries[:whole]
    assert len(kept.entries) in (whole, whole + 1)


@pytest.mark.parametrize(("number", "kept"), [(1_004, True), (5_000, False)])
def test_a_number_far_out_of_order_is_not_believed_for_it_would_bring_a_thousand_notes(begun, number, kept):
    begun.close()
    path = begun.folder / f"{begun.session}.journal"
    path.write_bytes(path.read_bytes().replace(b'{"seq":4,', b'{"seq":%d,' % number))
    (finding,) = check(begun.folder)
    repaired = read_session(begun.folder, finding.repaired).entries
    assert len(repaired) == (number if kept else 3)
    assert ("Left out, because their numbers leap by more than 1000: 1." in finding.says) != kept


@pytest.mark.parametrize(("back", "told"), [(1.0, False), (3.0, True)])
def test_a_clock_that_went_back_is_told_from_two_seconds_on(begun, noon, back, told):
    begun.file(ev.Noted(text="before"), now=noon + 300)
    begun.file(ev.Noted(text="after"), now=noon + 300 - back)
    assert any("the clock went back" in finding.says for finding in check(begun.folder)) == told


def test_a_spoilt_end_and_a_copy_are_told_and_are_not_serious(begun):
    begun.close()
    path = begun.folder / f"{begun.session}.journal"
    (begun.folder / "copy.journal").write_bytes(path.read_bytes() + b'{"seq"')
    before = contents(begun.folder)
    findings = check(begun.folder)
    assert [finding.serious for finding in findings] == [False, False]
    assert "is a copy" in findings[0].says
    assert "never confirmed" in findings[1].says
    assert contents(begun.folder) == before


def test_a_newer_or_empty_or_foreign_file_is_explained_and_left(begun):
    begun.close()
    newer = (
        (begun.folder / f"{begun.session}.journal")
        .read_bytes()
        .replace(b'"schema":%d' % SCHEMA, b'"schema":99')
    )
    (begun.folder / "newer.journal").write_bytes(newer)
    (begun.folder / "foreign.json").write_bytes(b'{"x": 1}')
    (begun.folder / "empty.journal").touch()
    findings = {finding.file: finding for finding in check(begun.folder)}
    assert "newer pourday" in findings["newer.journal"].says
    assert "No whole entry" in findings["foreign.json"].says
    assert "No whole entry" in findings["empty.journal"].says
    assert not any(finding.repaired for finding in findings.values())


def test_a_full_disk_is_told_and_does_not_hide_the_finding(begun, faulty, full):
    begun.close()
    path = begun.folder / f"{begun.session}.journal"
    path.write_bytes(path.read_bytes().replace(b"71.0", b"hot!"))
    disk = faulty()

    def refuses(*_: object) -> int:
        raise OSError(full, "full")

    disk.write = refuses
    (finding,) = check(begun.folder, None, disk)
    assert "damaged at line 4" in finding.says
    assert "The disk is full." in finding.says
    assert finding.repaired == ""
    assert sorted(contents(begun.folder)) == [path.name]


def test_asking_for_a_session_that_is_not_there_is_refused(begun):
    with pytest.raises(Trouble, match="There is no session called 2020-01-01-a"):
        check(begun.folder, "2020-01-01-a")
    with pytest.raises(Trouble, match="is not the name of a session"):
        check(begun.folder, "../x")


# -- any folder, in bounded time --------------------------------------------------------------------

ROWS = {
    "ones": (b'{"entries":[', b"1,"),
    "empty rows": (b'{"entries":[', b"{},"),
    "numbers alone": (b'{"entries":[', b'{"seq":1},'),
    "beginnings of entries": (b"", b'{"seq":1,\n'),
    "nested": (b"", b"["),
    "zeros": (b"", b"\0"),
}


@pytest.mark.parametrize("name", ["a.json", "a.journal"])
@pytest.mark.parametrize("kind", ROWS)
def test_rubbish_costs_no_more_than_its_size(tmp_path, kind, name):
    """A megabyte of `[1,1,…]` took eleven seconds; measured against the same number of rows of a sound file."""
    head, row = ROWS[kind]
    spent = []
    for size in (100_000, 1_000_000):
        (tmp_path / name).write_bytes(head + row * (size // len(row)))
        began = time.process_time()
        assert len(check(tmp_path)) == 1
        spent.append(time.process_time() - began)
    assert spent[1] < 1.5
    assert spent[1] < 20 * max(spent[0], 0.02)


def test_entries_whose_numbers_leap_again_and_again_bring_no_sea_of_notes(begun):
    """Each leap is small enough to be believed alone; all of them would be a file a thousand times as large."""
    begun.close()
    path = begun.folder / f"{begun.session}.journal"
    line = path.read_bytes().splitlines(keepends=True)[-1]
    more = (line.replace(b'{"seq":4,', b'{"seq":%d,' % (900 * number)) for number in range(1, 500))
    path.write_bytes(path.read_bytes() + b"".join(more))
    (finding,) = check(begun.folder)
    assert "Left out" in finding.says
    assert len(read_session(begun.folder, finding.repaired).entries) < 3_000


class Counting(Disk):
    """Which names are opened, and how often."""

    def __init__(self) -> None:
        self.opened: list[str] = []

    def open(self, path: Path, flags: int, mode: int = 0o644) -> int:
        self.opened.append(path.name)
        return super().open(path, flags, mode)


def test_special_looping_sparse_and_foreign_files_are_named_and_never_opened(begun):
    begun.close()
    folder = begun.folder
    os.mkfifo(folder / "pipe.journal")
    (folder / "loop.json").symlink_to("loop.json")
    (folder / "elsewhere.journal").symlink_to("/dev/zero")
    (folder / "folder.json").mkdir()
    (folder / "sparse.journal").touch()
    os.truncate(folder / "sparse.journal", 1 << 40)
    (folder / "holiday.jpg").write_bytes(b"\xff" * 100)
    disk = Counting()
    found = {finding.file: finding for finding in check(folder, None, disk)}
    assert disk.opened == [f"{begun.session}.journal"]
    assert found.keys() == {
        "pipe.journal", "loop.json", "elsewhere.journal", "folder.json", "sparse.journal", "holiday.jpg",
    }  # fmt: skip
    assert "not an ordinary file" in found["pipe.journal"].says
    assert "links are not followed" in found["loop.json"].says
    assert "1099512 MB, far more than any session (up to 17 MB)" in found["sparse.journal"].says
    assert "no file of pourday" in found["holiday.jpg"].says
    assert [found[name].serious for name in ("pipe.journal", "holiday.jpg")] == [True, False]


def test_what_the_program_itself_leaves_in_its_folder_is_not_called_foreign(begun):
    for name in (
        ".library.json",
        ".shelf.json",
        ".memories.json",
        ".memories.json.broken",
        ".stock.json",
        ".stock.json.broken-2",
        ".pourday-0123456789abcdef.tmp",
    ):
        (begun.folder / name).write_text("{}")
    for name in ("a.torn", "a.torn-2", "a.schema-1", "a.schema-1-3", "a.lock"):
        (begun.folder / name).write_text("")
    assert check(begun.folder) == []


def test_no_file_is_opened_twice_even_where_something_is_saved_from_it(begun):
    begun.close()
    path = begun.folder / f"{begun.session}.journal"
    path.write_bytes(path.read_bytes().replace(b"71.0", b"hot!"))
    disk = Counting()
    (finding,) = check(begun.folder, None, disk)
    assert finding.repaired
    assert disk.opened.count(path.name) == 1


def test_somebody_who_waits_is_told_which_file_is_looked_at(begun):
    seen: list[tuple[str, int, int]] = []
    (begun.folder / "b.json").write_text("{}")
    list(checking.check(begun.folder, at=lambda *where: seen.append(where)))
    assert seen == [(f"{begun.session}.journal", 0, 2), ("b.json", 1, 2)]


@pytest.mark.slow
def test_ten_megabytes_and_ten_thousand_files_cost_in_proportion(tmp_path, noon):
    """Ratios at 0.1, 1 and 10 MB, and at 10 and 1,000 files; the limit of one file is 16 MB."""
    live = LiveSession.create(tmp_path, "a", now=noon)
    live.file(ev.Reading(place="pot", celsius=71.0), now=noon)
    live.close()
    path = tmp_path / "a.journal"
    *head, last = path.read_bytes().splitlines(keepends=True)
    costs = []
    for size in (100_000, 1_000_000, 10_000_000):
        rows = size // len(last)
        path.write_bytes(
            b"".join([*head, *(last.replace(b'"seq":2', b'"seq":%d' % (2 + n)) for n in range(rows))])
        )
        began = time.process_time()
        assert check(tmp_path) == []
        costs.append(time.process_time() - began)
    assert costs[2] < 10
    assert costs[2] < 20 * costs[1]
    one = b"".join([*head, last])
    path.unlink()
    for count in (100, 1_000):
        for number in range(count):
            (tmp_path / f"a{number}.journal").write_bytes(one)
        began = time.process_time()
        assert len(check(tmp_path)) == count
        costs.append(time.process_time() - began)
    assert costs[4] < 20 * costs[3]
