"""What it costs to put an entry on disk: event 10,000 against event 10, and both against a bare line + sync."""

from __future__ import annotations

import os
import statistics
import time

import pytest

from pourday.session import events as ev
from pourday.store.live import LiveSession

pytestmark = pytest.mark.bench
NOON = 1_795_608_000.0
ROUNDS = 200


def timed(act) -> float:
    start = time.perf_counter()
    act()
    return time.perf_counter() - start


def test_a_save_costs_the_same_late_in_the_day_and_little_more_than_a_bare_line(tmp_path, capsys):
    """The three are measured turn about, so that a busy disk slows all of them alike."""
    fact = ev.Reading(place="pot", celsius=74.5, typed="74.5")
    early = LiveSession.create(tmp_path, "early", now=NOON)
    late = LiveSession.create(tmp_path, "late", now=NOON)
    append = late._journal.append
    late._journal.append = late._journal._text.__iadd__
    for _ in range(10_000):
        late.file(fact, now=NOON)
    late._journal.append = append
    (tmp_path / "late.journal").write_bytes(late._journal.text())
    bare = os.open(tmp_path / "bare", os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    line = ev.encode(early.entries[0]) + b"\n"

    def bare_line() -> None:
        os.write(bare, line)
        os.fsync(bare)

    late.file(fact, now=NOON)
    times: dict[str, list[float]] = {"bare": [], "early": [], "late": []}
    for number in range(ROUNDS):
        if number % 20 == 0:
            early.close()
            early = LiveSession.create(tmp_path, f"early-{number}", now=NOON)
            for _ in range(9):
                early.file(fact, now=NOON)
        times["bare"].append(timed(bare_line))
        times["early"].append(timed(lambda live=early: live.file(fact, now=NOON)))
        times["late"].append(timed(lambda: late.file(fact, now=NOON)))
    os.close(bare)
    middle = {name: statistics.median(values) for name, values in times.items()}
    growth, over = middle["late"] / middle["early"], middle["early"] / middle["bare"]
    with capsys.disabled():
        shown = ", ".join(f"{name} {1e3 * value:.3f} ms" for name, value in middle.items())
        print(f"\n{shown}; event 10,000 to event 10: {growth:.2f}; event 10 to a bare line: {over:.2f}")
    assert len(late.entries) > 10_000
    assert late.unsaved == ()
    assert growth < 1.5
    assert over < 3
