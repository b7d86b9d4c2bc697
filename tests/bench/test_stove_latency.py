"""From a key to the paint that shows it, eight moulds on the bench and 5,000 readings behind, forecasts running.

Both programs run at a pseudo-terminal of their own, turn about; the yardstick shows what is typed and nothing else.
"""

from __future__ import annotations

import fcntl
import math
import os
import pty
import select
import signal
import statistics
import struct
import sys
import termios
import time
from pathlib import Path

import pytest
from msgspec.structs import replace

from pourday.demo.scenario import two_pillars
from pourday.session import events as ev
from pourday.store.live import LiveSession

pytestmark = pytest.mark.bench
MOULDS, READINGS = 8, 5000
ROUNDS = 25
MOST = 2.0
"""Times the bare app's, at the 95 % point."""
TYPED = "75.5"
CONFIRMED = f"{TYPED} °C "
"""What only the sentence has that says the reading is on disk, filed or kept in doubt."""
BARE = """
from textual.app import App
from textual.widgets import Static
class Bare(App):
    text, filed = "", 0
    def compose(self):
        self.shown = Static("ready", markup=False)
        yield self.shown
    def on_key(self, event):
        if event.key == "enter":
            self.text, self.filed = "", self.filed + 1
            self.shown.update(f"number {self.filed}: 75.5 °C filed.")
        else:
            self.text += event.character or ""
            self.shown.update(f"pot: {self.text}\u258f")
Bare().run()
"""


class Typist:
    """A program at a pseudo-terminal that is typed at and watched for what it paints."""

    def __init__(self, command: list[str], folder: Path, ready: str) -> None:
        pid, self.master = pty.fork()
        if pid == 0:
            env = {
                **os.environ,
                "TERM": "xterm-256color",
                "POURDAY_SESSIONS": str(folder),
                "POURDAY_CONFIG": str(folder / "settings.toml"),
            }
            os.execve(command[0], command, env)
        self.pid = pid
        fcntl.ioctl(self.master, termios.TIOCSWINSZ, struct.pack("HHHH", 40, 120, 0, 0))
        self.until(ready, 60)

    def until(self, marker: str, patience: float = 30.0) -> float:
        """Seconds until the program has painted that."""
        begun, said = time.perf_counter(), b""
        while marker.encode() not in said:
            left = patience - (time.perf_counter() - begun)
            assert select.select([self.master], [], [], max(0, left))[0], f"no {marker!r} in {said[-2000:]!r}"
            said += os.read(self.master, 1 << 16)
        return time.perf_counter() - begun

    def rest(self, seconds: float) -> None:
        """Read what is painted meanwhile, as a terminal does."""
        until = time.perf_counter() + seconds
        while (left := until - time.perf_counter()) > 0:
            if select.select([self.master], [], [], left)[0]:
                os.read(self.master, 1 << 16)

    def press(self, key: str, marker: str) -> float:
        self.rest(0)
        os.write(self.master, key.encode())
        return self.until(marker)

    def end(self) -> None:
        os.kill(self.pid, signal.SIGKILL)
        os.waitpid(self.pid, 0)
        os.close(self.master)


def big_day(folder: Path) -> str:
    """Eight moulds with a layer poured twenty minutes ago; the pot off heat, read every half second since."""
    now = time.time()
    plan = two_pillars()
    plan = replace(plan, moulds=tuple(plan.moulds[n % 2] for n in range(MOULDS)))
    live = LiveSession.create(folder, "big", now=now - 3600)
    letters = "ABCDEFGH"[:MOULDS]
    facts: list[tuple[float, ev.Fact]] = [
        (3600, ev.PlanDrafted(plan=plan)),
        (3600, ev.PlanFixed(plan=plan)),
        (3500, ev.BurnerSet(state="on")),
        (2600, ev.BurnerSet(state="off")),
        (1900, ev.JugMade(layer=0)),
        *((1800, ev.Poured(mould=x, layer=0, part="plug", planned_kg=0.03)) for x in letters),
        *((1500, ev.SealSeen(mould=x, weeps=False)) for x in letters),
        *((1200, ev.Poured(mould=x, layer=0, part="layer", planned_kg=0.2)) for x in letters),
    ]
    for n in range(READINGS):
        ago = 2520.0 - n / 2
        celsius = round(75.5 + 0.3 * math.sin(n / 50), 1)
        facts.append((ago, ev.Reading(place="pot", celsius=celsius, typed=f"{celsius}")))
    for ago, fact in sorted(facts, key=lambda pair: -pair[0]):
        live.file(fact, now=now - ago)
    live.close()
    return live.session


def typed(typist: Typist) -> tuple[list[float], float]:
    """Seconds of each digit of one reading, and of the Enter that files it; its forecasts run on into the next."""
    digits = []
    for n in range(len(TYPED)):
        digits.append(typist.press(TYPED[n], TYPED[: n + 1] + "▏"))
        typist.rest(0.03)
    return digits, typist.press("\r", CONFIRMED)


def test_a_key_is_painted_within_twice_a_bare_apps(tmp_path, capsys):
    session = big_day(tmp_path)
    python = sys.executable
    bare = Typist([python, "-c", BARE], tmp_path, "ready")
    stove = Typist([python, "-m", "pourday", "resume", session], tmp_path, "Opened again")
    try:
        stove.rest(5.0)
        stove.rest(10.0)
        times: dict[str, list[float]] = {"bare": [], "digits": [], "Enter": []}
        for _ in range(ROUNDS):
            for typist, name in ((bare, "bare"), (stove, "digits")):
                digits, enter = typed(typist)
                times[name] += digits
                times["bare" if name == "bare" else "Enter"].append(enter)
            bare.rest(0.02)
            stove.rest(0.2)
    finally:
        bare.end()
        stove.end()
    times["all keys"] = times["digits"] + times["Enter"]
    p95 = {name: statistics.quantiles(values, n=20)[-1] for name, values in times.items()}
    middle = {name: statistics.median(values) for name, values in times.items()}
    with capsys.disabled():
        print()
        for name in times:
            print(
                f"{name}: median {middle[name] * 1e3:.1f} ms, p95 {p95[name] * 1e3:.1f} ms, "
                f"{p95[name] / p95['bare']:.1f} times the bare app's"
            )
    assert p95["all keys"] <= MOST * p95["bare"]
