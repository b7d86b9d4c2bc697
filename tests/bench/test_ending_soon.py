"""From the signal that tells the program to end until it has ended, the record closed and the terminal given back."""

from __future__ import annotations

import os
import pty
import select
import signal
import sys
import time
from pathlib import Path

import pytest

from pourday.demo.scenario import two_pillars
from pourday.session import events as ev
from pourday.store.live import LiveSession

pytestmark = pytest.mark.bench
SOON = 1.0
"""Seconds a clean end may take on an idle machine."""


def ended_in(folder: Path, number: int) -> float:
    """Seconds from the signal to the end of a program at the stove."""
    live = LiveSession.begin(folder, "2026-11-25", now=time.time())
    live.file(ev.PlanFixed(plan=two_pillars()), now=time.time())
    live.close()
    pid, master = pty.fork()
    if pid == 0:
        env = {**os.environ, "TERM": "xterm-256color", "POURDAY_CONFIG": str(folder / "settings.toml")}
        command = [sys.executable, "-m", "pourday", "resume", live.session, "--sessions", str(folder)]
        os.execve(command[0], command, env)
    said, begun = b"", 0.0
    while True:
        if select.select([master], [], [], 0.05)[0]:
            try:
                said += os.read(master, 1 << 16)
            except OSError:  # Nobody holds the other end any more.
                break
        elif b"FIRE" in said and not begun:
            begun = time.perf_counter()
            os.kill(pid, number)
    os.waitpid(pid, 0)
    os.close(master)
    return time.perf_counter() - begun


@pytest.mark.parametrize("number", [signal.SIGHUP, signal.SIGTERM, signal.SIGINT])
def test_a_signal_ends_it_within_a_second(tmp_path: Path, number: int) -> None:
    took = ended_in(tmp_path, number)
    print(f"\n{signal.Signals(number).name}: ended after {took:.2f} s")
    assert took < SOON
