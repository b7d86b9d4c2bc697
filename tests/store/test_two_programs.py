"""Two programs and one session: one writes, the other follows; a kill locks nobody out."""

from __future__ import annotations

import os
import signal
import subprocess
import sys

import pytest

from pourday.errors import Trouble
from pourday.plan.model import Plan
from pourday.session import events as ev
from pourday.session.fold import fold
from pourday.store.live import LiveSession

WRITER = """
import os, sys, pathlib
from pourday.session import events as ev
from pourday.store.live import LiveSession
live = LiveSession.open(pathlib.Path(sys.argv[1]), "2026-11-25-a", now=float(sys.argv[2]))
os.write(1, b"open\\n")
for line in sys.stdin:
    live.file(ev.Noted(text=line.strip()), now=float(sys.argv[2]) + len(live.entries))
    os.write(1, b"filed\\n")
"""


@pytest.fixture
def writer(begun, noon):
    """Another process that holds the session and files each line it is given."""
    begun.close()
    child = subprocess.Popen(
        [sys.executable, "-c", WRITER, str(begun.folder), str(noon + 500)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        bufsize=1,
    )
    assert child.stdout.readline() == "open\n"
    yield child
    child.kill()
    child.communicate()


def test_the_second_program_reads_only_says_so_and_follows_live(writer, begun, noon):
    second = LiveSession.open(begun.folder, begun.session, now=noon + 600)
    assert second.readonly
    assert f"process {writer.pid}" in second.remarks[-1]
    with pytest.raises(Trouble, match="only be read here"):
        second.file(ev.CameBack(), now=noon + 601)
    for text in ("one", "two"):
        writer.stdin.write(f"{text}\n")
        assert writer.stdout.readline() == "filed\n"
        assert [entry.fact for entry in second.follow()] == [ev.Noted(text=text)]
    assert second.follow() == ()
    assert [text for _, text in second.state.notes] == ["one", "two"]
    assert second.state == fold(second.entries)


def test_a_lock_left_by_a_kill_locks_nobody_out(writer, begun, noon):
    writer.send_signal(signal.SIGKILL)
    writer.wait()
    assert (begun.folder / f"{begun.session}.lock").read_text() == f"{writer.pid}\n"
    live = LiveSession.open(begun.folder, begun.session, now=noon + 600)
    assert not live.readonly
    live.close()
    assert not (begun.folder / f"{begun.session}.lock").exists()


@pytest.mark.parametrize("content", [b"", b"1\n", b"\xff\x00 rubbish", b"9" * 100])
def test_what_a_lock_file_says_never_matters(begun, noon, content):
    begun.close()
    (begun.folder / f"{begun.session}.lock").write_bytes(content)
    assert not LiveSession.open(begun.folder, begun.session, now=noon + 600).readonly


def test_a_follower_sees_a_change_of_what_was_said_before(begun, noon):
    second = LiveSession.open(begun.folder, begun.session, now=noon + 300)
    begun.undo(now=noon + 301)
    begun.file(ev.Corrected(entry=2, fact=ev.Reading(place="pot", celsius=40.0)), now=noon + 302)
    second.follow()
    assert [r.celsius for r in second.state.readings] == [40.0, 71.0]
    assert second.state == begun.state


def test_a_follower_waits_for_the_end_of_a_half_written_line(begun, noon):
    second = LiveSession.open(begun.folder, begun.session, now=noon + 300)
    line = ev.encode(
        ev.Entry(seq=5, at=ev.moment(noon), logged_at=ev.moment(noon), by="person", fact=ev.CameBack())
    )
    with (begun.folder / f"{begun.session}.journal").open("ab", buffering=0) as file:
        file.write(line[:30])
        assert second.follow() == ()
        file.write(line[30:] + b"\n")
        assert [entry.seq for entry in second.follow()] == [5]


def test_a_follower_lives_through_the_finish_and_through_a_replaced_file(begun, noon):
    second = LiveSession.open(begun.folder, begun.session, now=noon + 300)
    journal = begun.folder / f"{begun.session}.journal"
    os.rename(journal, begun.folder / "aside")
    begun.file(ev.Noted(text="written again"), now=noon + 301)
    assert [entry.seq for entry in second.follow()] == [5]
    begun.file(ev.PlanFixed(plan=Plan()), now=noon + 302)
    begun.finish("good", now=noon + 303)
    assert [entry.seq for entry in second.follow()] == [6, 7]
    assert second.state.stage == "finished"
    assert second.follow() == ()


def test_a_follower_tells_when_the_file_cannot_be_read_and_carries_on_later(begun, noon):
    second = LiveSession.open(begun.folder, begun.session, now=noon + 300)
    journal = begun.folder / f"{begun.session}.journal"
    os.rename(journal, begun.folder / "aside")
    with pytest.raises(Trouble, match="There is no session called"):
        second.follow()
    os.rename(begun.folder / "aside", journal)
    begun.file(ev.Noted(text="back"), now=noon + 301)
    assert [entry.seq for entry in second.follow()] == [5]
    assert second.state == begun.state
