"""What each command costs as a record grows, and as a folder fills: no faster than the size, and ten seconds at most.

Processor time of this process, as ratios within one run. `python -m tests.bench.test_command_cost` prints the table.
"""

from __future__ import annotations

import contextlib
import io
import os
import sys
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path

import pytest

from pourday.cli import main
from pourday.demo.scenario import START, two_pillars
from pourday.session import events as ev
from pourday.session.events import Entry
from pourday.store.record import record_bytes

ID, OTHER = "2026-10-25-a", "2026-10-26-a"
SIZES = (0.1, 1.0, 10.0)
"""MB of one record,"""
FILES = (10, 1_000, 10_000)
"""and records of one folder."""
PATIENCE = 10.0
"""s in which every command answers, or says with a moving line what it is at."""
SLACK = 1.6
"""Times as much as the size itself that the cost may grow: what a first call loads, and the noise of the machine."""
ONE = {
    "check": ["check"], "check ID": ["check", ID], "list": ["list"], "show": ["show", ID], "story": ["show", ID, "--story"],
    "csv": ["show", ID, "--csv"], "json": ["show", ID, "--json"], "due": ["due"], "kitchen": ["kitchen"],
    "why": ["why", ID, "A", "--fault", "join split"], "compare": ["compare", ID, OTHER], "pack": ["pack", "NEW"],
    "print": ["print", ID, "record", "--out", "NEW"], "from": ["plan", "--from", ID], "shopping": ["shopping", ID],
    "unpack": ["unpack", "PACKED"],
}  # fmt: skip
"""Commands that read a long record."""
MANY = {name: ONE[name] for name in ("check", "due", "list", "kitchen", "why", "pack", "unpack")} | {
    "due again": ["due"], "list again": ["list"], "find": ["list", "violet"], "family": ["family", ID], "stock": ["stock"],
    "moulds": ["moulds"],
}  # fmt: skip
"""Commands that look across a folder."""
TOO_LONG = {"kitchen", "due"}
"""Commands that read ten thousand records for the first time: they say what they are at, and remember it even where they are
stopped; what one has read the others need not read again."""


def day(session: str, readings: int = 20) -> bytes:
    """A finished record with one candle out of its mould, and so many readings and notes."""
    entries: list[Entry] = []

    def add(after: float, fact: ev.Fact) -> None:
        t = datetime.fromtimestamp(START + after, UTC)
        by = "program" if isinstance(fact, ev.Opened) else "person"
        entries.append(Entry(seq=len(entries) + 1, at=t, logged_at=t, by=by, fact=fact))

    add(0, ev.Opened(session=session, program="0"))
    add(1, ev.PlanFixed(plan=two_pillars()))
    for n in range(readings):
        fact: ev.Fact = ev.Reading(place="pot", celsius=60 + n % 20 / 10, typed="60")
        add(2 + n, fact if n % 3 else ev.Noted(text=f"a note of some length, as people write them: {n}"))
    add(readings + 100, ev.Poured(mould="A", layer=0, part="layer", kg=0.3))
    add(readings + 40_000, ev.Demoulded(mould="A", release="dropped out"))
    add(readings + 50_000, ev.Finished(verdict="fine"))
    return record_bytes(session, entries)


def fill(folder: Path, megabytes: float, files: int) -> None:
    """So many records, the first of them so long."""
    long = int(megabytes * 1e6 / 137)
    (folder / f"{ID}.json").write_bytes(day(ID, long))
    small = day("2026-01-01-a")
    for n in range(files - 1):
        name = OTHER if n == 0 else f"2026-09-{n:05d}"
        (folder / f"{name}.json").write_bytes(small.replace(b"2026-01-01-a", name.encode()))


def cost(home: Path, words: list[str]) -> float:
    """Processor seconds of one command, its output thrown away."""
    (home / "new").unlink(missing_ok=True)
    argv = [word.replace("NEW", str(home / "new")).replace("PACKED", str(home / "packed")) for word in words]
    argv += ["--sessions", str(home / "sessions"), "--config", str(home / "settings.toml")]
    began = time.process_time()
    with (
        open(os.devnull, "w") as nobody,
        contextlib.redirect_stdout(nobody),
        contextlib.redirect_stderr(io.StringIO()),
        contextlib.suppress(SystemExit),
    ):
        main(argv)
    return time.process_time() - began


def table(commands: dict[str, list[str]], sizes: list[tuple[float, int]]) -> dict[str, list[float]]:
    """The cost of each command in folders of these sizes (MB of the long record, number of files)."""
    costs: dict[str, list[float]] = {name: [] for name in commands}
    for megabytes, files in sizes:
        with tempfile.TemporaryDirectory() as place:
            home = Path(place)
            (home / "sessions").mkdir()
            fill(home / "sessions", megabytes, files)
            cost(home, ["pack", "PACKED"])
            for name, words in commands.items():
                costs[name].append(cost(home, words))
    return costs


def grows_no_faster(costs: list[float], sizes: tuple[float, ...]) -> bool:
    """Whether each step costs at most in proportion, leaving out what no size explains (the first, smallest one)."""
    steps = zip(costs, costs[1:], sizes, sizes[1:], strict=False)
    return all(after <= SLACK * before * large / small for before, after, small, large in steps)


@pytest.mark.bench
def test_a_long_record_costs_no_more_than_its_length() -> None:
    for name, costs in table(ONE, [(size, 2) for size in SIZES]).items():
        assert grows_no_faster(costs, SIZES), (name, costs)
        assert costs[-1] < PATIENCE, (name, costs)


@pytest.mark.bench
def test_a_full_folder_costs_no_more_than_its_number_of_files() -> None:
    for name, costs in table(MANY, [(0.01, files) for files in FILES]).items():
        assert grows_no_faster(costs, FILES), (name, costs)
        assert costs[-1] < PATIENCE or name in TOO_LONG, (name, costs)


if __name__ == "__main__":
    for commands, sizes in ((ONE, [(size, 2) for size in SIZES]), (MANY, [(0.01, files) for files in FILES])):
        for name, costs in table(commands, sizes).items():
            sys.stdout.write(f"{name:12}" + "".join(f"{seconds:9.2f}" for seconds in costs) + "\n")
