"""SIGKILL at random instants: every confirmed entry is there, in order, once, and the next start works."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from pourday.session import events as ev
from pourday.store.atomic import sweep
from pourday.store.library import list_sessions
from pourday.store.live import LiveSession
from pourday.store.reading import read_session

ID = "2026-11-25-a"

FILING = """
import os, sys, pathlib
from pourday.session import events as ev
from pourday.store.live import LiveSession
folder, now = pathlib.Path(sys.argv[1]), float(sys.argv[2])
live = LiveSession.open(folder, "2026-11-25-a", now=now)
assert not live.readonly, live.remarks
os.write(1, b"%d\\n" % live.entries[-1].seq)
while True:
    now += 0.01
    entry = live.file(ev.Reading(place="pot", celsius=70.0, typed="70" * (len(live.entries) % 30)), now=now)
    assert not live.unsaved
    os.write(1, b"%d\\n" % entry.seq)
"""

FINISHING = """
import os, sys, pathlib
from pourday.session import events as ev
from pourday.store.live import LiveSession
folder, now = pathlib.Path(sys.argv[1]), float(sys.argv[2])
os.write(1, b"ready\\n")
while True:
    live = LiveSession.begin(folder, "2026-11-25", now=now)
    for number in range(3):
        entry = live.file(ev.Noted(text=live.session), now=now + number)
        os.write(1, b"%s %d\\n" % (live.session.encode(), entry.seq))
    entry = live.finish("", now=now + 9)
    os.write(1, b"%s %d\\n" % (live.session.encode(), entry.seq))
"""


def run_and_kill(script: str, folder: Path, now: float, chance: random.Random) -> list[bytes]:
    """The whole lines it printed until it was killed; from its very start, or in the thick of its work."""
    child = subprocess.Popen(
        [sys.executable, "-c", script, str(folder), str(now)], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    assert child.stdout is not None
    assert child.stderr is not None
    first = b""
    if chance.random() < 0.8:
        first = os.read(child.stdout.fileno(), 1 << 16)
        time.sleep(chance.random() * 0.06)
    else:
        time.sleep(chance.random() * 0.25)
    child.send_signal(signal.SIGKILL)
    rest, errors = child.communicate()
    assert child.returncode == -signal.SIGKILL, errors.decode()
    return (first + rest).split(b"\n")[:-1]


def kill_while_filing(folder: Path, now: float, times: int, seed: int = 0) -> int:
    chance = random.Random(20261125 + seed)
    LiveSession.create(folder, ID, now=now).close()
    confirmed = 1
    for round_ in range(times):
        lines = run_and_kill(FILING, folder, now + 100 * (round_ + 1), chance)
        seqs = [int(line) for line in lines]
        assert seqs == sorted(set(seqs))
        confirmed = max([confirmed, *seqs])
        entries = read_session(folder, ID).entries
        assert [entry.seq for entry in entries] == list(range(1, len(entries) + 1))
        assert confirmed <= len(entries) <= confirmed + 2
    live = LiveSession.open(folder, ID, now=now + 100_000)
    assert not live.readonly
    assert live.unsaved == ()
    assert sum(isinstance(entry.fact, ev.Opened) for entry in live.entries) == 1
    live.close()
    return confirmed


def kill_while_finishing(folder: Path, now: float, times: int) -> None:
    chance = random.Random(20261126)
    for _ in range(times):
        last: dict[str, int] = {}
        for line in run_and_kill(FINISHING, folder, now, chance):
            session, _, seq = line.decode().partition(" ")
            if seq:
                last[session] = int(seq)
        sweep(folder)
        for session, seq in last.items():
            live = LiveSession.open(folder, session, now=now + 1_000)
            assert [entry.seq for entry in live.entries][:seq] == list(range(1, seq + 1))
            assert live.readonly == (seq == 5 or live.state.stage == "finished")
            live.close()
        empty = [row for row in list_sessions(folder) if row.trouble]
        assert all("holds no entry" in row.trouble for row in empty)
        assert len(empty) <= 1
        for path in folder.iterdir():
            assert path.name.startswith("2026-11-25-") or path.name == ".library.json"
            path.unlink()


def test_ten_kills_while_entries_are_filed_lose_nothing_confirmed(tmp_path, noon):
    assert kill_while_filing(tmp_path, noon, 10) > 10


def test_kills_while_sessions_are_begun_and_finished_leave_whole_ones(tmp_path, noon):
    kill_while_finishing(tmp_path, noon, 4)


@pytest.mark.slow
def test_three_hundred_kills_while_entries_are_filed_lose_nothing_confirmed(tmp_path, noon):
    """In ten sessions of thirty, for none is ever as long as three hundred starts would make it."""
    for seed in range(1, 11):
        folder = tmp_path / str(seed)
        folder.mkdir()
        assert kill_while_filing(folder, noon, 30, seed) > 30


@pytest.mark.slow
def test_a_hundred_kills_while_sessions_are_begun_and_finished_leave_whole_ones(tmp_path, noon):
    kill_while_finishing(tmp_path, noon, 100)
