"""A torn day: an older program on the same folder, a disk that can only be read or goes away and comes back elsewhere,
sleep in the middle of a write, and a clock that is set. What the person saw, and what was on disk."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from pourday.session import events as ev
from pourday.store.reading import read_session
from tests.tui.conftest import Kitchen, Terminal

pytestmark = pytest.mark.slow

OLDER = "70d3c53"
"""The commit in which version 2 of the record was released."""
ROOT = Path(__file__).parents[2]
RUN_OLDER = "import sys; sys.path.insert(0, sys.argv.pop(1)); from pourday.cli import main; main()"
ON_OTHER_CLOCKS = """
import os, pathlib, sys, time
folder = pathlib.Path(sys.argv.pop(1))
def ahead(name):
    path = folder / name
    return float(path.read_text()) if path.exists() else 0.0
wall, gettime, sync = time.time, time.clock_gettime, os.fsync
time.time = lambda: wall() + ahead("wall")
time.clock_gettime = lambda clock: gettime(clock) + (ahead("boot") if clock == time.CLOCK_BOOTTIME else 0.0)
def slept(fd):
    # The machine sleeps in the middle of this write, for as long as the file says.
    asleep = folder / "sleeps"
    if asleep.exists():
        for name in ("wall", "boot"):
            (folder / name).write_text(str(ahead(name) + float(asleep.read_text())))
        asleep.unlink()
    sync(fd)
os.fsync = slept
from pourday.cli import main
sys.exit(main(sys.argv[1:]))
"""
HOUR, DAY = 3600.0, 86_400.0


def readings(kitchen: Kitchen, session: str = "2026-11-25-a") -> list[str]:
    return [fact.typed for fact in kitchen.facts(ev.Reading, session) if isinstance(fact, ev.Reading)]


def file(stove: Terminal, typed: str) -> None:
    stove.type(f"{typed}\r")
    stove.wait_for(f"{typed} °C")
    stove.until(lambda text: f"{typed} °C filed" in text or f"{typed} °C kept" in text)


# -- two programs, one of them older --------------------------------------------------------------------


@pytest.fixture(scope="module")
def older(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The program as it was released before."""
    folder = tmp_path_factory.mktemp("older")
    packed = subprocess.run(
        ["git", "-C", str(ROOT), "archive", OLDER, "pourday"], capture_output=True, check=False
    )
    if packed.returncode:
        pytest.skip("the history of the project is not here")
    subprocess.run(["tar", "-x", "-C", str(folder)], input=packed.stdout, check=True)
    return folder


def run_older(kitchen: Kitchen, older: Path, *arguments: str) -> Terminal:
    return kitchen.run(*arguments, command=(sys.executable, "-c", RUN_OLDER, str(older)))


def test_an_older_program_refuses_a_newer_record_in_words_and_leaves_it(
    kitchen: Kitchen, older: Path
) -> None:
    kitchen.begin(ev.Reading(place="pot", celsius=61.5, typed="61.5"))
    before = {p.name: p.read_bytes() for p in kitchen.folder.iterdir() if p.suffix == ".journal"}
    old = run_older(kitchen, older)
    old.wait_for("newer pourday")
    old.type("q")
    assert old.ended() == 0
    refused = run_older(kitchen, older, "resume", "2026-11-25-a")
    assert refused.ended() != 0
    assert b"newer pourday" in refused.raw
    assert {p.name: p.read_bytes() for p in kitchen.folder.iterdir() if p.suffix == ".journal"} == before
    stove = kitchen.run("resume", "2026-11-25-a")
    stove.wait_for("is it lit?")
    assert readings(kitchen) == ["61.5"]


def test_an_older_record_is_read_while_the_older_program_writes_and_carried_on_after_it(
    kitchen: Kitchen, older: Path
) -> None:
    made = (
        "import sys; sys.path.insert(0, sys.argv[1]); import pathlib, time\n"
        "from pourday.demo.scenario import two_pillars\n"
        "from pourday.session import events as ev\n"
        "from pourday.store.live import LiveSession\n"
        "live = LiveSession.create(pathlib.Path(sys.argv[2]), '2026-11-25-a', now=time.time() - 600)\n"
        "live.file(ev.PlanDrafted(plan=two_pillars()), now=time.time() - 600)\n"
        "live.file(ev.PlanFixed(plan=two_pillars()), now=time.time() - 600)\n"
    )
    subprocess.run([sys.executable, "-c", made, str(older), str(kitchen.folder)], check=True, cwd=older)
    journal = kitchen.folder / "2026-11-25-a.journal"
    assert b'"schema":2' in journal.read_bytes()
    old = run_older(kitchen, older, "resume", "2026-11-25-a")
    old.wait_for("is it lit?")
    file(old, "61.5")
    looks_on = kitchen.run("resume", "2026-11-25-a")
    looks_on.wait_for("READ ONLY")
    file(old, "62.5")
    looks_on.until(lambda _: readings(kitchen) == ["61.5", "62.5"])
    assert b'"schema":2' in journal.read_bytes(), "who only looks on changes nothing"
    old.kill()
    old.ended()
    looks_on.kill()
    looks_on.ended()
    stove = kitchen.run("resume", "2026-11-25-a")
    stove.wait_for("is it lit?")
    file(stove, "63.5")
    assert readings(kitchen) == ["61.5", "62.5", "63.5"]
    kept = [p for p in kitchen.folder.iterdir() if p.name.startswith("2026-11-25-a.schema-2")]
    assert len(kept) == 1, "the older file stands beside the new one"


# -- the disk -------------------------------------------------------------------------------------------


@pytest.fixture
def disk(kitchen: Kitchen) -> Iterator[Kitchen]:
    """The folder of sessions as a disk of its own, which can be set to be read only."""
    if os.geteuid() != 0:
        pytest.skip("mounting a disk needs root")
    command = ["mount", "-t", "tmpfs", "-o", "size=1m", "pourday-test", str(kitchen.folder)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        pytest.skip(f"this machine does not let us mount: {done.stderr.strip()}")
    yield kitchen
    for terminal in kitchen.running:
        terminal.close()
    subprocess.run(["umount", "-l", str(kitchen.folder)], check=True)


def remount(kitchen: Kitchen, how: str) -> None:
    """As a disk is that has found an error in itself: read only, under a running program."""
    for _ in range(100):
        done = subprocess.run(
            ["mount", "-o", f"remount,{how}", str(kitchen.folder)],
            capture_output=True,
            text=True,
            check=False,
        )
        if not done.returncode:
            return
        time.sleep(0.05)
    pytest.skip(f"this machine does not let us set a disk read only: {done.stderr.strip()}")


def test_a_disk_that_goes_read_only_is_said_and_nothing_said_meanwhile_is_lost(disk: Kitchen) -> None:
    session = disk.begin()
    stove = disk.run("resume", session)
    stove.wait_for("is it lit?")
    file(stove, "61.5")
    stove.kill()
    stove.ended()
    remount(disk, "ro")
    looks_on = disk.run("resume", session)
    looks_on.until(lambda text: "only be" in text or "only read" in text or "reads only" in text)
    looks_on.type("62.5\r")
    looks_on.pump(0.5)
    assert "62.5 °C filed" not in looks_on.text()
    assert readings(disk) == ["61.5"]
    looks_on.kill()
    looks_on.ended()
    remount(disk, "rw")
    stove = disk.run("resume", session)
    stove.wait_for("is it lit?")
    file(stove, "63.5")
    assert readings(disk) == ["61.5", "63.5"]


def test_a_disk_that_fills_is_said_and_what_waited_is_kept_once_there_is_room(disk: Kitchen) -> None:
    session = disk.begin()
    stove = disk.run("resume", session)
    stove.wait_for("is it lit?")
    file(stove, "61.5")
    full = disk.folder / "of another program"
    with suppress(OSError), full.open("wb", buffering=0) as other:
        for size in (1 << 16, 1 << 10, 1):
            with suppress(OSError):
                while True:
                    other.write(b"x" * size)
    # The last page of the journal has room left for some lines.
    typed = [f"{62 + n / 10:.1f}" for n in range(40)]
    kept = 0
    for each in typed:
        stove.type(f"{each}\r")
        said = stove.until(lambda text, each=each: re.search(f"{each} °C (filed|kept)|NOT SAVED", text))
        if "NOT SAVED" in said:
            break
        kept += 1
    assert "The disk is full." in stove.text()
    assert readings(disk) == ["61.5", *typed[:kept]]
    full.unlink()
    stove.wait_gone("NOT SAVED")
    assert readings(disk) == ["61.5", *typed[: kept + 1]]
    stove.kill()
    stove.ended()
    entries = disk.entries(session)
    assert [entry.seq for entry in entries] == list(range(1, len(entries) + 1))


def test_a_folder_that_goes_away_and_comes_back_elsewhere_has_all_that_was_confirmed(
    kitchen: Kitchen,
) -> None:
    """A stick that is pulled out, and put into another slot."""
    session = kitchen.begin()
    stove = kitchen.run("resume", session)
    stove.wait_for("is it lit?")
    file(stove, "61.5")
    elsewhere = kitchen.folder.with_name("elsewhere")
    kitchen.folder.rename(elsewhere)
    stove.type("62.5\r")
    stove.wait_for("NOT SAVED")
    assert "62.5 °C filed" not in stove.text()
    stove.kill()
    stove.ended()
    kitchen.folder = elsewhere
    kitchen.env["POURDAY_SESSIONS"] = str(elsewhere)
    again = kitchen.run("resume", session)
    again.wait_for("is it lit?", "Opened again")
    assert readings(kitchen)[:1] == ["61.5"]
    file(again, "63.5")
    assert readings(kitchen)[-1] == "63.5"


def test_a_folder_that_comes_back_to_its_place_takes_what_waited(kitchen: Kitchen) -> None:
    session = kitchen.begin()
    stove = kitchen.run("resume", session)
    stove.wait_for("is it lit?")
    file(stove, "61.5")
    away = kitchen.folder.with_name("away")
    kitchen.folder.rename(away)
    stove.type("62.5\r")
    stove.wait_for("NOT SAVED")
    away.rename(kitchen.folder)
    stove.wait_gone("NOT SAVED")
    assert readings(kitchen) == ["61.5", "62.5"]


# -- sleep, and clocks that are set ---------------------------------------------------------------------


class Clocked:
    """The program on clocks that a test can move."""

    def __init__(self, kitchen: Kitchen, ago: float = 600.0) -> None:
        self.kitchen, self.clocks = kitchen, kitchen.folder.parent / "clocks"
        self.clocks.mkdir()
        self.session = kitchen.begin(ago=ago)

    def resume(self) -> Terminal:
        command = (sys.executable, "-c", ON_OTHER_CLOCKS, str(self.clocks))
        stove = self.kitchen.run("resume", self.session, command=command)
        stove.wait_for("is it lit?")
        return stove

    def put(self, seconds: float) -> None:
        """Set the clock on the wall so much forward, or back."""
        (self.clocks / "new").write_text(str(seconds))
        (self.clocks / "new").rename(self.clocks / "wall")

    def gaps(self) -> list[ev.GapSeen]:
        return [gap for gap in self.kitchen.facts(ev.GapSeen, self.session) if isinstance(gap, ev.GapSeen)]


@pytest.fixture
def clocked(kitchen: Kitchen) -> Clocked:
    return Clocked(kitchen)


def test_sleep_in_the_middle_of_a_write_keeps_the_entry_whole_and_tells_the_gap(clocked: Clocked) -> None:
    stove = clocked.resume()
    file(stove, "61.5")
    (clocked.clocks / "sleeps").write_text(str(8 * HOUR))
    file(stove, "62.5")
    stove.wait_for("is it lit?")
    stove.until(lambda _: clocked.gaps() != [])
    file(stove, "63.5")
    assert readings(clocked.kitchen) == ["61.5", "62.5", "63.5"]
    (gap,) = clocked.gaps()
    assert (gap.cause, round(gap.seconds / HOUR)) == ("slept", 8)
    entries = clocked.kitchen.entries()
    assert [entry.seq for entry in entries] == list(range(1, len(entries) + 1))


def test_stopped_in_the_middle_of_a_burst_of_readings_nothing_is_lost_or_doubled(clocked: Clocked) -> None:
    stove = clocked.resume()
    for number in range(6):
        os.write(stove.master, f"{60 + number}.5\r".encode())
    stove.process.send_signal(19)  # SIGSTOP: as a machine that is put to sleep.
    time.sleep(3.0)
    stove.process.send_signal(18)
    stove.until(lambda _: len(readings(clocked.kitchen)) == 6)
    assert readings(clocked.kitchen) == [f"{60 + number}.5" for number in range(6)]


@pytest.mark.parametrize("by", [-HOUR, 3 * DAY])
def test_a_clock_that_is_set_is_told_and_readings_stay_in_order(clocked: Clocked, by: float) -> None:
    stove = clocked.resume()
    file(stove, "61.5")
    stove.type("t30 wick\r")
    stove.wait_for("Timer wick until")
    clocked.put(by)
    stove.until(lambda _: clocked.gaps() != [])
    file(stove, "62.5")
    assert readings(clocked.kitchen) == ["61.5", "62.5"]
    (gap,) = clocked.gaps()
    assert (gap.cause, round(gap.seconds)) == ("clock changed", pytest.approx(by, abs=2))
    entries = clocked.kitchen.entries()
    assert [entry.seq for entry in entries] == list(range(1, len(entries) + 1))
    assert "Traceback" not in stove.text()
    # The timer still takes the half hour it was given: it moves with the clock.
    stove.type("\x1b")
    stove.kill()
    stove.ended()
    again = clocked.resume()
    assert "Traceback" not in again.text()
    (timer,) = read_session(clocked.kitchen.folder, clocked.session).state.timers
    assert timer.due == pytest.approx(time.time() + by + 1800, abs=120)


def test_daylight_saving_changes_what_the_clock_shows_and_nothing_else(kitchen: Kitchen) -> None:
    """In Berlin on 25 October 2026 03:00 is 02:00 again: 01:00 UTC (the rule of the European Union since 1996)."""
    kitchen.env["TZ"] = "Europe/Berlin"
    ends = 1_792_890_000.0  # 2026-10-25 01:00 UTC
    clocked = Clocked(kitchen, ago=time.time() - ends + 620.0)
    clocked.put(ends - 20.0 - time.time())
    stove = clocked.resume()
    stove.wait_for("02:59")
    file(stove, "61.5")
    before = len(clocked.gaps())
    stove.until(lambda text: "02:00" in text.split("\n")[0])
    file(stove, "62.5")
    assert len(clocked.gaps()) == before
    one, other = (
        kitchen.entries()[-1],
        next(e for e in kitchen.entries() if getattr(e.fact, "typed", "") == "61.5"),
    )
    assert 0 < (one.at - other.at).total_seconds() < 120
