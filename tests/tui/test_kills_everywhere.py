"""Kills at random instants over everything that writes: every screen that files, and every file the program keeps.

`pytest -m slow -k kill tests/tui/test_kills_everywhere.py -s` runs POURDAY_KILLS of them (1,000 where nothing is said),
turn about over all, and prints how many there were, how fast, and how much of it had been confirmed before.
"""

from __future__ import annotations

import os
import random
import re
import select
import shutil
import signal
import time
from collections import Counter
from collections.abc import Callable, Iterable
from contextlib import suppress
from pathlib import Path
from typing import ClassVar

import pytest
from msgspec.structs import replace

from pourday.console import save_new
from pourday.demo.scenario import two_pillars
from pourday.session import events as ev
from pourday.store.candles import open_log
from pourday.store.library import list_sessions
from pourday.store.live import LiveSession
from pourday.store.memories import Memories
from pourday.store.pack import contents, pack
from pourday.store.reading import read_session
from pourday.store.settings import load, save
from pourday.store.unpack import unpack
from pourday.wax.materials import family
from tests.tui.conftest import Kitchen, Terminal

NOON = 1_795_608_000.0
ID = "2026-11-25-a"
LONGEST = 60
"""Kills after which a writer begins on a new folder: no record is ever as long as a thousand starts would make it."""
Tell = Callable[[object], None]


def batch(folder: Path, session: str = ID) -> None:
    """A finished day with one candle out of its mould."""
    live = LiveSession.create(folder, session, now=NOON)
    for fact in (
        ev.PlanFixed(plan=two_pillars()),
        ev.Poured(mould="A", layer=0, part="layer", kg=0.3),
        ev.Demoulded(mould="A", release="dropped out"),
    ):
        live.file(fact, now=NOON)
    live.finish("", now=NOON + 1)
    live.close()


# -- what writes without a screen -----------------------------------------------------------------------


class Filing:
    """The record of a day: readings, notes, one taken back now and then."""

    def prepare(self, folder: Path) -> None:
        live = LiveSession.create(folder, ID, now=NOON)
        live.file(ev.PlanFixed(plan=two_pillars()), now=NOON)
        live.close()

    def work(self, folder: Path, tell: Tell) -> None:
        live = LiveSession.open(folder, ID, now=NOON)
        assert not live.readonly
        for n in range(10_000):
            fact: ev.Fact = ev.Noted(text="x" * (n % 70)) if n % 3 else ev.Reading(place="pot", celsius=70.0)
            if n % 11 == 10:
                fact = ev.Undone(entry=live.entries[-1].seq)
            entry = live.file(fact, now=NOON + n)
            assert not live.unsaved
            tell(entry.seq)

    def check(self, folder: Path, told: list[str]) -> None:
        entries = read_session(folder, ID).entries
        assert [entry.seq for entry in entries] == list(range(1, len(entries) + 1))
        assert len(entries) >= max(map(int, told), default=0)


class Candles(Filing):
    """The record of what became of a batch's candles, begun and carried on beside it."""

    NAME = f"{ID}-candles"

    def prepare(self, folder: Path) -> None:
        batch(folder)

    def work(self, folder: Path, tell: Tell) -> None:
        live = open_log(folder, read_session(folder, ID).state, now=NOON)
        assert not live.readonly
        for n in range(10_000):
            entry = live.file(ev.Noted(text=f"flaw {n}"), now=NOON + n)
            tell(entry.seq)

    def check(self, folder: Path, told: list[str]) -> None:
        assert len(read_session(folder, ID).entries) == 5, "the batch's own record is not touched"
        if not told:
            return
        entries = read_session(folder, self.NAME).entries
        assert [entry.seq for entry in entries] == list(range(1, len(entries) + 1))
        assert len(entries) >= max(map(int, told))


class Finishing:
    """Days begun and finished, one after the other."""

    def prepare(self, folder: Path) -> None: ...

    def work(self, folder: Path, tell: Tell) -> None:
        while True:
            live = LiveSession.begin(folder, "2026-11-25", now=NOON)
            for number in range(3):
                tell(f"{live.session} {live.file(ev.Noted(text=str(number)), now=NOON).seq}")
            tell(f"{live.session} {live.finish('', now=NOON + 9).seq}")
            live.close()

    def check(self, folder: Path, told: list[str]) -> None:
        for session, seq in dict(line.split() for line in told[-8:]).items():
            entries = read_session(folder, session).entries
            assert [entry.seq for entry in entries][: int(seq)] == list(range(1, int(seq) + 1))
        assert sum(bool(row.trouble) for row in list_sessions(folder)) <= 1 + len(told) // 4 + LONGEST


class Remembered:
    """Own waxes and kept plans."""

    def prepare(self, folder: Path) -> None: ...

    def work(self, folder: Path, tell: Tell) -> None:
        memories = Memories(folder)
        known = {plan.name: int(plan.plan.title) for plan in memories.plans()}
        for n in range(max(known.values(), default=0) + 1, 10_000):
            memories.keep_plan(f"plan {n % 7}", replace(two_pillars(), title=str(n)), NOON)
            memories.keep_wax(replace(family("soy_pillar"), id=f"own_{n % 7}", name=f"mine {n % 7} of a box"))
            tell(n)

    def check(self, folder: Path, told: list[str]) -> None:
        memories = Memories(folder)
        kept = {plan.name: int(plan.plan.title) for plan in memories.plans()}
        waxes = {wax.name for wax in memories.own_waxes().values()}
        assert not memories.remarks
        for n in map(int, told[-7:]):
            assert kept[f"plan {n % 7}"] >= n
            assert any(name.startswith(f"mine {n % 7} ") for name in waxes)


class Settled:
    """The settings, one changed after the other."""

    def prepare(self, folder: Path) -> None: ...

    def work(self, folder: Path, tell: Tell) -> None:
        path = folder / "settings.toml"
        for n in range(int(load(path).settings.who or 0) + 1, 10_000):
            save(path, "who", str(n))
            save(path, "units", ("metric", "us")[n % 2])
            tell(n)

    def check(self, folder: Path, told: list[str]) -> None:
        loaded = load(folder / "settings.toml")
        assert int(loaded.settings.who or 0) >= max(map(int, told), default=0)


class Packing:
    """The archive of everything, written anew over the one before."""

    def prepare(self, folder: Path) -> None:
        Filing().prepare(folder)
        batch(folder, "2026-11-24-a")
        Memories(folder).keep_plan("mine", two_pillars(), NOON)

    def work(self, folder: Path, tell: Tell) -> None:
        live = LiveSession.open(folder, ID, now=NOON)
        for n in range(10_000):
            entry = live.file(ev.Noted(text=f"note {n}"), now=NOON)
            assert not pack(folder, folder / "none.toml", folder / "backup.zip").left_out
            tell(entry.seq)

    def check(self, folder: Path, told: list[str]) -> None:
        target = folder / "backup.zip"
        if not told and not target.exists():
            return
        inside = dict(contents(target.read_bytes(), target.name))
        assert inside[f"sessions/{ID}.journal"].count(b'\n{"seq":') >= max(map(int, told), default=0)
        assert inside["sessions/2026-11-24-a.json"] == (folder / "2026-11-24-a.json").read_bytes()


class Unpacking:
    """Another machine's archive merged into what is here, which has gone on by itself."""

    def prepare(self, folder: Path) -> None:
        there = folder / "there"
        there.mkdir()
        for number in range(5):
            batch(there, f"2026-10-0{number + 1}-a")
        Filing().prepare(there)
        Memories(there).keep_plan("theirs", two_pillars(), NOON)
        pack(there, there / "none.toml", folder / "backup.zip")
        self.anew(folder)

    def anew(self, folder: Path) -> None:
        shutil.rmtree(folder / "here", ignore_errors=True)
        (folder / "here").mkdir()
        Filing().prepare(folder / "here")
        live = LiveSession.open(folder / "here", ID, now=NOON)
        live.file(ev.Noted(text="only here"), now=NOON)
        live.close()
        Memories(folder / "here").keep_plan("ours", two_pillars(), NOON)

    def work(self, folder: Path, tell: Tell) -> None:
        tell("began")
        unpack(folder / "backup.zip", folder / "here", folder / "here" / "none.toml")
        tell("done")

    def check(self, folder: Path, told: list[str]) -> None:  # noqa: ARG002
        here = folder / "here"
        entries = read_session(here, ID).entries
        assert any(getattr(entry.fact, "text", "") == "only here" for entry in entries)
        assert "ours" in {plan.name for plan in Memories(here).plans()}
        assert not [row for row in list_sessions(here) if row.trouble]
        # Asked for once more it comes to its end, whatever the kill left.
        unpack(folder / "backup.zip", here, here / "none.toml")
        assert {plan.name for plan in Memories(here).plans()} == {"ours", "theirs"}
        assert len([row for row in list_sessions(here) if row.session.startswith("2026-10-")]) == 5
        self.anew(folder)


class Papers:
    """Pages to print and plan files, each a new file."""

    WHOLE: ClassVar = b"<p>" * 100_000

    def prepare(self, folder: Path) -> None: ...

    def work(self, folder: Path, tell: Tell) -> None:
        for n in range(len(list(folder.glob("*.html"))) + 1, 10_000):
            with suppress(Exception):
                save_new(folder / f"{n}.html", self.WHOLE)
                tell(n)

    def check(self, folder: Path, told: list[str]) -> None:
        for path in folder.glob("*.html"):
            data = path.read_bytes()
            assert data == self.WHOLE or (not data and path.stem not in told)


FILES = {
    each.__name__: each
    for each in (Filing, Candles, Finishing, Remembered, Settled, Packing, Unpacking, Papers)
}


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


# -- what writes from a screen --------------------------------------------------------------------------


class AtScreen:
    """Keys that file one numbered thing, when the screen has confirmed it, and what of it is on disk."""

    resumes: tuple[str, ...] = (ID,)
    ready = ""

    def prepare(self, kitchen: Kitchen) -> None: ...

    def enter(self, terminal: Terminal) -> None:
        terminal.wait_for(self.ready)

    def keys(self, n: int) -> str:
        raise NotImplementedError

    def confirmed(self, text: str, n: int) -> bool:
        raise NotImplementedError

    def filed(self, kitchen: Kitchen) -> list[int]:
        """Every number that is on record, in order."""
        raise NotImplementedError


class Stove(AtScreen):
    ready = "is it lit?"

    def prepare(self, kitchen: Kitchen) -> None:
        kitchen.begin()

    def keys(self, n: int) -> str:
        return f"{40 + n / 10:.1f}\r"

    def confirmed(self, text: str, n: int) -> bool:
        return bool(re.search(rf"{40 + n / 10:.1f} °C (filed|kept)", text))

    def filed(self, kitchen: Kitchen) -> list[int]:
        readings = [fact for fact in kitchen.facts(ev.Reading, ID) if isinstance(fact, ev.Reading)]
        return [round(float(reading.typed) * 10) - 400 for reading in readings]


class Notes(AtScreen):
    """Flaws of a candle, noted weeks after the day."""

    resumes = (f"{ID}-candles",)
    ready = "261125a-A"

    def prepare(self, kitchen: Kitchen) -> None:
        batch(kitchen.folder)
        open_log(kitchen.folder, read_session(kitchen.folder, ID).state, now=NOON).close()

    def keys(self, n: int) -> str:
        return f"nflaw {n}\r"

    def confirmed(self, text: str, n: int) -> bool:
        return f"note: flaw {n}." in text

    def filed(self, kitchen: Kitchen) -> list[int]:
        facts = kitchen.facts(ev.Noted, f"{ID}-candles")
        return [int(fact.text.split()[1]) for fact in facts if isinstance(fact, ev.Noted)]


class Form(AtScreen):
    """The plan, its title changed again and again."""

    ready = "name of the session"

    def prepare(self, kitchen: Kitchen) -> None:
        live = LiveSession.create(kitchen.folder, ID, now=time.time() - 60)
        live.file(ev.PlanDrafted(plan=two_pillars()), now=time.time() - 60)
        live.close()

    def keys(self, n: int) -> str:
        return f"\x1b[A\x1b[Apl {n}\x1b[B"

    def confirmed(self, text: str, n: int) -> bool:
        return text.startswith(f"Plan: pl {n} ") and "› room" in text and "NOT SAVED" not in text

    def filed(self, kitchen: Kitchen) -> list[int]:
        drafts = [fact for fact in kitchen.facts(ev.PlanDrafted, ID) if isinstance(fact, ev.PlanDrafted)]
        return [int(fact.plan.title.split()[1]) for fact in drafts if fact.plan.title.startswith("pl ")]


class Choices(AtScreen):
    """The settings, opened from the first screen."""

    resumes = ()
    ready = "q leave"

    def enter(self, terminal: Terminal) -> None:
        super().enter(terminal)
        terminal.type("k")
        terminal.wait_for("› units")
        terminal.type("\x1b[B\x1b[B")
        terminal.wait_for("› altitude")

    def keys(self, n: int) -> str:
        return f"{n + 1} m\x1b[B\x1b[A"

    def confirmed(self, text: str, n: int) -> bool:
        return re.search(rf"› altitude +‹? ?{n + 1} m(?! *▏)", text) is not None

    def filed(self, kitchen: Kitchen) -> list[int]:
        path = Path(kitchen.env["HOME"]) / ".config" / "pourday" / "settings.toml"
        return [round(load(path).settings.altitude) - 1] if path.exists() else []


SCREENS = {each.__name__: each for each in (Stove, Notes, Form, Choices)}


def killed_at(screen: AtScreen, kitchen: Kitchen, begin: int, chance: random.Random) -> tuple[int, set[int]]:
    """Type on from number `begin` and kill; the first number not typed, and those the screen had confirmed."""
    terminal = kitchen.run(*(("resume", *screen.resumes) if screen.resumes else ()))
    confirmed: set[int] = set()
    n = begin
    if chance.random() < 0.1:
        terminal.pump(chance.random() * 0.4)
    else:
        screen.enter(terminal)
        for _ in range(chance.choice((1, 2, 3))):
            terminal.type(screen.keys(n))
            n += 1
            if chance.random() < 0.7:
                terminal.until(lambda text, n=n: screen.confirmed(text, n - 1))
            else:
                terminal.pump(chance.random() * 0.08)
            confirmed |= {k for k in range(begin, n) if screen.confirmed(terminal.text(), k)}
    terminal.kill()
    assert terminal.ended() == -signal.SIGKILL
    confirmed |= {k for k in range(begin, n) if screen.confirmed(terminal.text(), k)}
    return n, confirmed


# -- both -----------------------------------------------------------------------------------------------


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
        after, confirmed = killed_at(screen, kitchen, begin, self.chance)
        self._kitchens[name] = kitchen, after
        kitchen.running.clear()
        self.confirmed[name] += len(confirmed)
        filed = screen.filed(kitchen)
        if name == "Choices":
            assert not confirmed or filed[-1] >= max(confirmed)
            return
        assert filed[: len(before)] == before
        assert filed == sorted(set(filed)), "filed twice, or out of order"
        assert confirmed <= set(filed), "confirmed and lost"


def run(base: Path, names: Iterable[str], many: int, seed: int) -> Suite:
    """So many kills turn about; prints how many there were and how fast."""
    suite, names, began = Suite(base, seed), list(names), time.monotonic()
    for number in range(many):
        suite.kill(names[number % len(names)])
    took = time.monotonic() - began
    print(f"\n{many} kills in {took:.0f} s, {many / took:.1f} a second; nothing that was confirmed was lost.")
    for name in names:
        print(f"  {name}: {suite.kills[name]} kills, {suite.confirmed[name]} confirmed before them")
    return suite


def test_two_kills_of_every_file_lose_nothing_that_was_confirmed(tmp_path: Path) -> None:
    suite = run(tmp_path, FILES, 2 * len(FILES), 1)
    assert sum(suite.confirmed.values()) > 2 * len(FILES)


def test_a_kill_at_every_screen_loses_nothing_that_was_confirmed(tmp_path: Path) -> None:
    suite = run(tmp_path, SCREENS, len(SCREENS), 2)
    assert sum(suite.confirmed.values()) >= 1


@pytest.mark.slow
def test_a_thousand_kills_over_everything_lose_nothing_that_was_confirmed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    many = int(os.environ.get("POURDAY_KILLS", "1000"))
    with capsys.disabled():
        suite = run(tmp_path, [*FILES, *SCREENS], many, int(os.environ.get("POURDAY_SEED", "3")))
    assert sum(suite.confirmed.values()) > many
