"""Kills at random instants over everything that writes: every screen that files, and every file the program keeps.

`pytest -m slow -k kill tests/tui/test_kills_everywhere.py -s` runs POURDAY_KILLS of them (1,000 where nothing is said),
turn about over all, and prints how many there were, how fast, and how much of it had been confirmed before.
What writes a new file gets its place in `killed_files.py`, a new screen in `killed_screens.py`.
"""

from __future__ import annotations

import os
import random
import select
import signal
import time
from collections import Counter
from collections.abc import Callable, Iterable
from pathlib import Path

import pytest

from tests.tui.conftest import Kitchen
from tests.tui.killed_files import FILES, LONGEST, Tell
from tests.tui.killed_screens import SCREENS, AtScreen


def killed_while(work: Callable[[Path, Tell], None], folder: Path, chance: random.Random) -> list[str]:
    """What a forked process told until it was killed: at once, or in the thick of its work."""
    ours, theirs = os.pipe()
    pid = os.fork()
    if pid == 0:
        try:
            work(folder, lambda what: os.write(theirs, f"{what}\n".encode()) and None)
        except BaseException as broken:
            os.write(theirs, f"broken: {broken!r}\n".encode())
        finally:
            time.sleep(60)
            os._exit(1)
    os.close(theirs)
    said = b""
    if chance.random() < 0.8:
        select.select([ours], [], [], 30)
        said = os.read(ours, 1 << 16)
    time.sleep(chance.random() * 0.03)
    os.kill(pid, signal.SIGKILL)
    os.waitpid(pid, 0)
    while part := os.read(ours, 1 << 16):
        said += part
    os.close(ours)
    told = said.decode().split("\n")[:-1]
    assert not [line for line in told if line.startswith("broken")], told
    return told


def killed_at(screen: AtScreen, kitchen: Kitchen, begin: int, chance: random.Random) -> tuple[int, set[int]]:
    """Type on from number `begin` and kill; the first number not typed, and those the screen had confirmed."""
    terminal = kitchen.run(*screen.arguments(kitchen, begin))
    confirmed: set[int] = set()
    n = begin
    if chance.random() < 0.1:
        terminal.pump(chance.random() * 0.4)
    else:
        screen.enter(terminal)
        for _ in range(min(screen.most, chance.choice((1, 2, 3)))):
            terminal.type(screen.keys(n))
            n += 1
            if chance.random() < 0.7:
                said = terminal.until(lambda text, n=n: WOKEN in text or screen.confirmed(text, n - 1))
                if (
                    WOKEN in said
                ):  # The machine stood still for a while: what was typed then is to be typed again.
                    terminal.pump(0.6)
                    terminal.type(screen.keys(n - 1))
                    terminal.until(lambda text, n=n: screen.confirmed(text, n - 1))
            else:
                terminal.pump(chance.random() * 0.08)
            confirmed |= {k for k in range(begin, n) if screen.confirmed(terminal.text(), k)}
    terminal.kill()
    assert terminal.ended() == -signal.SIGKILL
    confirmed |= {k for k in range(begin, n) if screen.confirmed(terminal.text(), k)}
    terminal.close()
    return n, confirmed


# -- both -----------------------------------------------------------------------------------------------


WOKEN = "that key only woke the screen"
EVERY = 250
"""Kills between two words on how far it has come."""


class Suite:
    """All writers, each on a folder of its own, killed turn about."""

    def __init__(self, base: Path, seed: int) -> None:
        self.base, self.chance = base, random.Random(seed)
        self.kills: Counter[str] = Counter()
        self.confirmed: Counter[str] = Counter()
        self._told: dict[str, list[str]] = {}
        self._kitchens: dict[str, tuple[Kitchen, int]] = {}

    def kill(self, name: str) -> None:
        round_ = self.kills[name] // LONGEST
        folder = self.base / f"{name}-{round_}"
        fresh = not folder.exists()
        if fresh:
            folder.mkdir()
        self.kills[name] += 1
        if name in FILES:
            self._kill_file(name, folder, fresh=fresh)
        else:
            self._kill_screen(name, folder, fresh=fresh)

    def _kill_file(self, name: str, folder: Path, *, fresh: bool) -> None:
        writer = FILES[name]()
        if fresh:
            writer.prepare(folder)
            self._told[name] = []
        told = killed_while(writer.work, folder, self.chance)
        self.confirmed[name] += len(told)
        self._told[name] += told
        writer.check(folder, self._told[name])

    def _kill_screen(self, name: str, folder: Path, *, fresh: bool) -> None:
        screen = SCREENS[name]()
        if fresh:
            (folder / "sessions").mkdir()
            (folder / "home").mkdir()
            self._kitchens[name] = Kitchen(folder / "sessions", folder / "home"), 0
            screen.prepare(self._kitchens[name][0])
        kitchen, begin = self._kitchens[name]
        before = screen.filed(kitchen)
        after, confirmed = killed_at(screen, kitchen, screen.begins(kitchen, begin), self.chance)
        self._kitchens[name] = kitchen, max(after, begin + 1)
        kitchen.running.clear()
        self.confirmed[name] += len(confirmed)
        screen.check(kitchen, before, confirmed)


def run(base: Path, names: Iterable[str], many: int, seed: int) -> Suite:
    """So many kills turn about; prints how many there were and how fast."""
    suite, names, began = Suite(base, seed), list(names), time.monotonic()
    for number in range(1, many + 1):
        suite.kill(names[number % len(names)])
        if number % EVERY == 0 or number == many:
            took = time.monotonic() - began
            print(
                f"\n{number} kills in {took:.0f} s, {number / took:.1f} a second; nothing confirmed was lost.",
                flush=True,
            )
    for name in names:
        print(f"  {name}: {suite.kills[name]} kills, {suite.confirmed[name]} confirmed before them")
    return suite


def test_two_kills_of_every_file_lose_nothing_that_was_confirmed(tmp_path: Path) -> None:
    suite = run(tmp_path, FILES, 2 * len(FILES), 1)
    assert sum(suite.confirmed.values()) > 2 * len(FILES)


def test_a_kill_at_the_screens_of_a_day_loses_nothing_that_was_confirmed(tmp_path: Path) -> None:
    """One at each of them; all screens, again and again, in the slow suite."""
    names = "Stove", "Form", "Finish", "Flaws", "Burning"
    suite = run(tmp_path, names, len(names), 2)
    assert sum(suite.confirmed.values()) >= 1


@pytest.mark.slow
def test_a_thousand_kills_over_everything_lose_nothing_that_was_confirmed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    many = int(os.environ.get("POURDAY_KILLS", "1000"))
    with capsys.disabled():
        suite = run(tmp_path, [*FILES, *SCREENS], many, int(os.environ.get("POURDAY_SEED", "3")))
    assert sum(suite.confirmed.values()) > many
