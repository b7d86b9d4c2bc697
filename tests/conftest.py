"""What holds for every test: one time zone, for bedtime and quiet hours are read off the clock on the wall, and English."""

from __future__ import annotations

import gc
import os
import sys
import time
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest

from tests.compiled_once import compile_once

if TYPE_CHECKING:
    from pourday.demo.day import Day
    from tests.demo.usual_day import UsualDay

os.environ["TZ"] = "UTC"
time.tzset()
# Programs that tests start, and the tests themselves, are compiled once and not at every start: a third of what a start costs.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False
os.environ["LANGUAGE"] = "en"

LONGEST = (
    "test_a_two_mould_day_is_planned_poured_undone_left_killed_resumed_and_finished",
    "test_thirty_kills_while_typing_lose_nothing_the_screen_confirmed",
    "test_thirty_kills_while_entries_are_filed_lose_nothing_confirmed",
)
"""They wait for a program at a terminal a third of their time, so the others run beside them and not after."""


NOT_COMPILED = pytest.StashKey[str]()
"""Why the tests could not be compiled beforehand, said at the end: the tests themselves run all the same, only slower."""

SHARED = ("usual_day", "played_day")
"""Fixtures that are dear, and made once by each process that needs them."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The longest first; then those that look at one played day beside each other, so that one process has them all."""

    def order(item: pytest.Item) -> tuple[bool, int]:
        shared = [name for name in SHARED if name in getattr(item, "fixturenames", ())]
        return item.name not in LONGEST, SHARED.index(shared[0]) if shared else len(SHARED)

    items.sort(key=order)


def pytest_collection_finish() -> None:
    """Seven thousand tests and all they import stay to the end: from here on nobody looks through them for what could be freed."""
    gc.collect()
    gc.freeze()


def pytest_xdist_setupnodes(config: pytest.Config) -> None:
    """Before the processes that run tests are started."""
    if not sys.dont_write_bytecode and (trouble := compile_once(config)):
        config.stash[NOT_COMPILED] = trouble


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    if trouble := config.stash.get(NOT_COMPILED, ""):
        terminalreporter.section(
            "the tests ran, but could not be compiled beforehand (tests/compiled_once.py)", red=True
        )
        terminalreporter.write(trouble)


def pytest_xdist_auto_num_workers() -> int:
    """One more than there are cores: what waits leaves its core to another."""
    return len(os.sched_getaffinity(0)) + 1 if hasattr(os, "sched_getaffinity") else (os.cpu_count() or 1) + 1


@pytest.fixture(scope="session")
def played_day(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., tuple[Day, list[str]]]:
    """`played_day(name, late=..., by_scale=...)`: the day of a plan of the set, played to its end, and what it said.

    Played once for all tests that look at it: none of them may change it.
    """
    from pourday.demo.day import Day
    from tests.demo.plan_set import BANDED, HELD_BACK, PLANS

    plans = PLANS | HELD_BACK | BANDED
    days: dict[tuple[object, ...], tuple[Day, list[str]]] = {}

    def day_of(name: str, **person: Any) -> tuple[Day, list[str]]:
        key = name, *sorted(person.items())
        if key not in days:
            said: list[str] = []
            day = Day(tmp_path_factory.mktemp(name), said.append, plan=plans[name], **person)
            day.play()
            days[key] = day, said
        return days[key]

    return day_of


@pytest.fixture(scope="session")
def usual_day(tmp_path_factory: pytest.TempPathFactory) -> UsualDay:
    """Two pillars in two colours, seed 1, played to its end. Played once for all tests that look at it: none may change it."""
    from tests.demo.usual_day import UsualDay

    day = UsualDay(tmp_path_factory.mktemp("usual"), 1)
    day.play()
    return day
