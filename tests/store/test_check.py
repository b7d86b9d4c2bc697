"""`pourday check`: what is wrong, in words, and what can be saved, in a new file."""

from __future__ import annotations

from pathlib import Path

import pytest

from pourday.errors import Trouble
from pourday.session import events as ev
from pourday.store.check import check
from pourday.store.library import list_sessions
from pourday.store.live import LiveSession
from pourday.store.reading import read_session


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
    newer = (begun.folder / f"{begun.session}.journal").read_bytes().replace(b'"schema":2', b'"schema":99')
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
