"""Kills at random instants over everything that writes: every screen that files, and every file the program keeps.

`pytest -m slow -k kill tests/tui/test_kills_everywhere.py -s` runs POURDAY_KILLS of them (1,000 where nothing is said),
as many of each writer, in POURDAY_LANES processes at once (4), and prints how many there were, how fast, and how much
of it had been confirmed before.
What writes a new file gets its place in `killed_files.py`, a new screen in `killed_screens.py`.
"""

from __future__ import annotations

import multiprocessing
import os
import random
import select
import shutil
import signal
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import dataclass
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


@dataclass(frozen=True)
class Bout:
    """So many kills of one writer, on a folder of its own."""

    name: str
    number: int
    kills: int
    base: Path
    seed: int

    def fought(self) -> tuple[int, int]:
        """Kill it that often, and look after each; how often it was killed, and how much had been confirmed before."""
        chance = random.Random(f"{self.seed} {self.name} {self.number}")
        folder = self.base / f"{self.name}-{self.number}"
        folder.mkdir()
        try:
            confirmed = (_kill_file if self.name in FILES else _kill_screen)(self, folder, chance)
        except BaseException as broken:
            broken.add_note(f"In bout {self.number} of {self.name}, seed {self.seed}, on {folder}.")
            raise
        shutil.rmtree(folder, ignore_errors=True)
        return self.kills, confirmed


def _kill_file(bout: Bout, folder: Path, chance: random.Random) -> int:
    writer, told = FILES[bout.name](), list[str]()
    writer.prepare(folder)
    for _ in range(bout.kills):
        told += killed_while(writer.work, folder, chance)
        writer.check(folder, told)
    return len(told)


def _kill_screen(bout: Bout, folder: Path, chance: random.Random) -> int:
    screen, kitchen = SCREENS[bout.name](), Kitchen(folder / "sessions", folder / "home")
    kitchen.folder.mkdir()
    (folder / "home").mkdir()
    screen.prepare(kitchen)
    begin, confirmed = 0, 0
    for _ in range(bout.kills):
        before = screen.filed(kitchen)
        after, seen = killed_at(screen, kitchen, screen.begins(kitchen, begin), chance)
        begin = max(after, begin + 1)
        kitchen.running.clear()
        confirmed += len(seen)
        screen.check(kitchen, before, seen)
    return confirmed


def bouts(base: Path, names: Iterable[str], many: int, seed: int) -> list[Bout]:
    """So many kills in all, as many of each, none of them longer than a folder should live."""
    names = list(names)
    shares = {name: many // len(names) + (at < many % len(names)) for at, name in enumerate(names)}
    longest = -(-max(shares.values()) // LONGEST)
    return [
        Bout(name, number, min(LONGEST, share - number * LONGEST), base, seed)
        for number in range(longest)
        for name, share in shares.items()
        if share > number * LONGEST
    ]


def run(base: Path, names: Iterable[str], many: int, seed: int, lanes: int = 0) -> Counter[str]:
    """So many kills in so many processes at once (0: in this one); what was confirmed of each, and how fast it went.

    Each lane has its own server of forked programs and its own terminals, so that one waits while another works.
    """
    began, done, confirmed, said = time.monotonic(), Counter[str](), Counter[str](), 0
    for bout, (kills, seen) in _fought(bouts(base, names, many, seed), lanes):
        done[bout.name] += kills
        confirmed[bout.name] += seen
        took = time.monotonic() - began
        if done.total() // EVERY > said or done.total() == many:
            said = done.total() // EVERY
            print(
                f"\n{done.total()} kills in {took:.0f} s, {done.total() / took:.1f} a second; nothing confirmed was lost.",
                flush=True,
            )
    for name in done:
        print(f"  {name}: {done[name]} kills, {confirmed[name]} confirmed before them", flush=True)
    print(f"Together {done.total()} kills, {confirmed.total()} confirmed before them, 0 lost.", flush=True)
    return confirmed


def _fought(all_: list[Bout], lanes: int) -> Iterator[tuple[Bout, tuple[int, int]]]:
    """Every bout with what came of it, as they end; the first that loses something ends the others."""
    if not lanes:
        yield from ((bout, bout.fought()) for bout in all_)
        return
    with ProcessPoolExecutor(lanes, multiprocessing.get_context("spawn")) as pool:
        running = {pool.submit(bout.fought): bout for bout in all_}
        try:
            for ended in as_completed(running):
                yield running[ended], ended.result()
        finally:
            pool.shutdown(cancel_futures=True)


def test_two_kills_of_every_file_lose_nothing_that_was_confirmed(tmp_path: Path) -> None:
    confirmed = run(tmp_path, FILES, 2 * len(FILES), 1)
    assert confirmed.total() > 2 * len(FILES)


def test_a_kill_at_the_screens_of_a_day_loses_nothing_that_was_confirmed(tmp_path: Path) -> None:
    """One at each of them; all screens, again and again, in the slow suite."""
    names = "Stove", "Form", "Finish", "Flaws", "Burning"
    assert run(tmp_path, names, len(names), 2).total() >= 1


@pytest.mark.slow
def test_a_thousand_kills_over_everything_lose_nothing_that_was_confirmed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    many, seed, lanes = (
        int(os.environ.get(f"POURDAY_{name}", usual))
        for name, usual in (("KILLS", "1000"), ("SEED", "3"), ("LANES", "4"))
    )
    with capsys.disabled():
        confirmed = run(tmp_path, [*FILES, *SCREENS], many, seed, lanes)
    assert confirmed.total() > many
    assert all(confirmed[name] for name in (*FILES, *SCREENS)), confirmed
