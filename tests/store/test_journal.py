"""The journal: durable before it returns, a spoilt end set aside, nothing cut in silence."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from pourday.errors import Trouble
from pourday.session import events as ev
from pourday.session.events import SCHEMA
from pourday.store.journal import parse
from pourday.store.live import LiveSession
from pourday.store.reading import read_session


def journal(live: LiveSession) -> Path:
    return live.folder / f"{live.session}.journal"


def test_every_line_is_on_disk_when_file_returns(tmp_path, noon, faulty):
    """The last two calls that touch the journal are a write and a sync, in that order, for each entry."""
    disk = faulty()
    live = LiveSession.create(tmp_path, "2026-11-25-a", now=noon, disk=disk)
    live.file(ev.Noted(text="first"), now=noon)
    for text in ("a", "b"):
        before = len(disk.calls)
        live.file(ev.Noted(text=text), now=noon)
        assert [c for c in disk.calls[before:] if c in ("write", "fsync")] == ["write", "fsync"]
        assert f'"text":"{text}"' in journal(live).read_text().splitlines()[-1]


def test_creating_makes_the_name_durable_too(tmp_path, noon, faulty):
    disk = faulty()
    LiveSession.create(tmp_path, "2026-11-25-a", now=noon, disk=disk)
    assert "sync_folder" in disk.calls[disk.calls.index("write") :]


@pytest.mark.parametrize(
    "spoilt",
    [b'{"seq":5,"at":"2026-11-2', b"\0\0\0\0\0\0\0\0", b'{"seq":5,"at":\0\0\0\n', b"\xff\xfe half a page"],
    ids=["cut", "zeros", "zeros and newline", "rubbish"],
)
def test_a_spoilt_end_is_kept_in_a_file_and_the_journal_goes_on_cleanly(begun, noon, spoilt):
    begun.close()
    with journal(begun).open("ab") as file:
        file.write(spoilt)
    live = LiveSession.open(begun.folder, begun.session, now=noon + 600)
    torn = begun.folder / f"{begun.session}.torn"
    assert torn.read_bytes() == spoilt
    assert any("set aside in 2026-11-25-a.torn" in remark for remark in live.remarks)
    live.file(ev.Noted(text="goes on"), now=noon + 601)
    kinds = [type(e.fact).__name__ for e in parse(journal(live).read_bytes(), "j").entries]
    assert kinds == ["Opened", "Reading", "Reading", "Reading", "Reopened", "Noted"]


def test_a_second_spoilt_end_does_not_overwrite_the_first(begun, noon):
    for number, spoilt in enumerate((b"one", b"two")):
        begun.close()
        with journal(begun).open("ab") as file:
            file.write(spoilt)
        begun = LiveSession.open(begun.folder, begun.session, now=noon + 600 + number)
    assert (begun.folder / "2026-11-25-a.torn").read_bytes() == b"one"
    assert (begun.folder / "2026-11-25-a.torn-2").read_bytes() == b"two"


def test_a_last_line_that_lacks_only_its_newline_counts(begun, noon):
    begun.close()
    whole = journal(begun).read_bytes()
    journal(begun).write_bytes(whole[:-1])
    live = LiveSession.open(begun.folder, begun.session, now=noon + 600)
    assert [e.seq for e in live.entries] == [1, 2, 3, 4, 5]
    assert journal(begun).read_bytes().startswith(whole)
    assert not (begun.folder / "2026-11-25-a.torn").exists()


def test_reading_alone_changes_nothing(begun):
    begun.close()
    with journal(begun).open("ab") as file:
        file.write(b'{"seq":5')
    before = journal(begun).read_bytes()
    kept = read_session(begun.folder, begun.session)
    assert len(kept.entries) == 4
    assert "was never confirmed" in kept.remarks[0]
    assert journal(begun).read_bytes() == before
    assert sorted(os.listdir(begun.folder)) == [f"{begun.session}.journal"]


def test_damage_in_the_middle_is_refused_with_file_and_line(begun, noon):
    begun.close()
    lines = journal(begun).read_bytes().splitlines(keepends=True)
    lines[2] = b'{"seq":2,"at"\n'
    damaged = b"".join(lines)
    journal(begun).write_bytes(damaged)
    with pytest.raises(Trouble, match=r"2026-11-25-a\.journal is damaged at line 3\.") as refused:
        LiveSession.open(begun.folder, begun.session, now=noon + 600)
    assert "pourday check" in refused.value.instead
    assert journal(begun).read_bytes() == damaged
    assert os.listdir(begun.folder) == [f"{begun.session}.journal"]


def test_a_last_line_changed_by_hand_is_refused_not_set_aside(begun, noon):
    """It is whole JSON with a value nobody can mean, so it was once confirmed."""
    begun.close()
    changed = journal(begun).read_bytes().replace(b"72.0", b"7200.0")
    journal(begun).write_bytes(changed)
    with pytest.raises(Trouble, match="line 5"):
        LiveSession.open(begun.folder, begun.session, now=noon + 600)
    assert journal(begun).read_bytes() == changed


@pytest.mark.parametrize(
    "content", [b"", b"\0" * 64, b'{"pourday":"jour', b'{"pourday":"journal","schema":1,"session":"x"}\n']
)
def test_a_journal_cut_off_while_it_was_created_says_that_nothing_is_lost(tmp_path, noon, content):
    (tmp_path / "2026-11-25-a.journal").write_bytes(content)
    with pytest.raises(Trouble, match=r"2026-11-25-a\.journal holds no entry\..*Nothing is lost"):
        LiveSession.open(tmp_path, "2026-11-25-a", now=noon)
    assert LiveSession.begin(tmp_path, "2026-11-25", now=noon).session == "2026-11-25-b"


def test_a_newer_schema_is_refused_with_words(begun, noon):
    begun.close()
    newer = journal(begun).read_bytes().replace(b'"schema":%d' % SCHEMA, b'"schema":99')
    journal(begun).write_bytes(newer)
    with pytest.raises(Trouble, match=r"written by a newer pourday.*version 99"):
        LiveSession.open(begun.folder, begun.session, now=noon)
    assert journal(begun).read_bytes() == newer
