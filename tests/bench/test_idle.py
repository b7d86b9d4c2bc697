"""What the stove costs while nobody types: against a bare app that shows one number ticking once a second.

Both run at pseudo-terminals of their own at the same time, so that a busy machine slows both alike.
"""

from __future__ import annotations

import fcntl
import os
import pty
import select
import signal
import struct
import sys
import termios
import time
from pathlib import Path

import psutil
import pytest

from pourday.demo.scenario import two_pillars
from pourday.session import events as ev
from pourday.store.live import LiveSession

pytestmark = pytest.mark.bench
SECONDS = 24.0
SETTLED = 8.0
"""Seconds until loading and the first forecasts are over."""
MOST = 1.5
"""Times the bare app's processor time."""
TIMERS = 3
BARE = """
import time
from textual.app import App
from textual.widgets import Static
class Bare(App):
    def compose(self):
        self.shown = Static("0")
        yield self.shown
    def on_mount(self):
        self.set_interval(1.0, lambda: self.shown.update(f"{time.time():.0f}"))
Bare().run()
"""


def started(command: list[str], folder: Path) -> tuple[psutil.Process, int]:
    pid, master = pty.fork()
    if pid == 0:
        env = {
            **os.environ,
            "TERM": "xterm-256color",
            "POURDAY_SESSIONS": str(folder),
            "POURDAY_CONFIG": str(folder / "settings.toml"),
        }
        os.execve(command[0], command, env)
    fcntl.ioctl(master, termios.TIOCSWINSZ, struct.pack("HHHH", 40, 120, 0, 0))
    return psutil.Process(pid), master


def drained(masters: list[int], seconds: float) -> dict[int, int]:
    """Bytes each program painted in that time, read as a terminal does."""
    said = dict.fromkeys(masters, 0)
    until = time.perf_counter() + seconds
    while (left := until - time.perf_counter()) > 0:
        for master in select.select(masters, [], [], left)[0]:
            said[master] += len(os.read(master, 1 << 16))
    return said


def spent(process: psutil.Process) -> float:
    times = process.cpu_times()
    return times.user + times.system


def waiting_day(folder: Path) -> str:
    """Two moulds with a layer cooling, the burner off, and timers running."""
    now = time.time()
    live = LiveSession.create(folder, "quiet", now=now - 3600)
    facts: list[tuple[float, ev.Fact]] = [
        (3600, ev.PlanDrafted(plan=two_pillars())),
        (3600, ev.PlanFixed(plan=two_pillars())),
        (3500, ev.BurnerSet(state="on")),
        (2000, ev.Reading(place="pot", celsius=85, typed="85")),
        (1900, ev.BurnerSet(state="off")),
        (1900, ev.WaterSeen()),
        (1800, ev.JugMade(layer=0)),
        *((1700, ev.Poured(mould=x, layer=0, part="plug", planned_kg=0.03)) for x in "AB"),
        *((1200, ev.SealSeen(mould=x, weeps=False)) for x in "AB"),
        *((60, ev.Poured(mould=x, layer=0, part="layer", planned_kg=0.2)) for x in "AB"),
        *((0, ev.TimerSet(name=f"timer {n}", due=ev.moment(now + 600 + 60 * n))) for n in range(TIMERS)),
    ]
    for ago, fact in facts:
        live.file(fact, now=now - ago)
    live.close()
    return live.session


def test_the_stove_at_rest_costs_half_as_much_again_as_one_ticking_number(tmp_path, capsys):
    session = waiting_day(tmp_path)
    bare = started([sys.executable, "-c", BARE], tmp_path)
    stove = started([sys.executable, "-m", "pourday", "resume", session], tmp_path)
    try:
        masters = [bare[1], stove[1]]
        drained(masters, SETTLED / 2)
        # Coming back asks for the burner and the pot; only then is there nothing to do but wait.
        for keys in (b" ", b"o", b"85", b"\r"):
            os.write(stove[1], keys)
            drained(masters, 0.7)
        drained(masters, SETTLED)
        before = [spent(process) for process, _ in (bare, stove)]
        said = drained(masters, SECONDS)
        shares = [(spent(p) - b) / SECONDS for (p, _), b in zip((bare, stove), before, strict=True)]
    finally:
        for process, master in (bare, stove):
            os.kill(process.pid, signal.SIGKILL)
            os.waitpid(process.pid, 0)
            os.close(master)
    ratio = shares[1] / shares[0]
    with capsys.disabled():
        print(
            f"\nbare {shares[0]:.2%} of a core, {said[bare[1]] / SECONDS:.0f} B/s; "
            f"stove {shares[1]:.2%}, {said[stove[1]] / SECONDS:.0f} B/s; ratio {ratio:.2f}"
        )
    assert said[stove[1]] > 0
    assert ratio <= MOST
