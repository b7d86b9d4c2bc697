"""What every cache saves on a played day: how often it answered, times what the answer costs to work out.

All of them are measured in one run, each by a stand-in that keeps what the cache would keep and takes the time of every
miss. A cache that saves nothing on a day is printed, and has to be needed elsewhere (`ELSEWHERE`) or go.
"""

from __future__ import annotations

import importlib
import pkgutil
import sys
import time
from collections import OrderedDict
from collections.abc import Callable
from functools import _lru_cache_wrapper
from pathlib import Path
from typing import Any

import pytest

import pourday
from pourday.demo.day import Day
from pourday.session import state
from tests.demo.plan_set import PLANS

pytestmark = pytest.mark.bench

WORTH = 0.001
"""Share of the day's processor time that a cache has to save."""
ELSEWHERE = (
    *("tui", "faults", "reports", "curve", "units", "guide.ahead", "guide.rescue", "urllib"),
    *(
        "guide.outlook.looks",
        "guide.outlook.room",
        "forecast.warming",
        "plan.volumes",
        "wax.materials._references",
    ),
    "learning.factors",
)
"""Where the caches are that no day played without a screen, a rescue or a mould filled with water comes by."""
SECONDS = 4
"""How often a screen looks at the guide between two acts, at least."""


class Measured:
    """Stands in for one `lru_cache`."""

    def __init__(self, name: str, cached: Any) -> None:
        self.name, self._work = name, cached.__wrapped__
        self._most = cached.cache_parameters()["maxsize"]
        self._known: OrderedDict[object, object] = OrderedDict()
        self.hits = self.misses = 0
        self.took = 0.0

    def __call__(self, *args: Any, **named: Any) -> Any:
        key = args, tuple(sorted(named.items()))
        if key in self._known:
            self.hits += 1
            self._known.move_to_end(key)
            return self._known[key]
        begun = time.process_time()
        answer = self._work(*args, **named)
        self.took += time.process_time() - begun
        self.misses += 1
        self._known[key] = answer
        if self._most is not None and len(self._known) > self._most:
            self._known.popitem(last=False)
        return answer

    @property
    def saved(self) -> float:
        """Seconds of processor time, at what a miss costs on average (of caches within caches: those left to it)."""
        return self.hits * self.took / self.misses if self.misses else 0.0


def all_measured(monkeypatch: pytest.MonkeyPatch) -> list[Measured]:
    """Every cache of the program, replaced wherever it is known by name."""
    for module in pkgutil.walk_packages(pourday.__path__, "pourday."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)
    stands: dict[int, Measured] = {}
    for name, module in list(sys.modules.items()):
        if name.startswith("pourday"):
            for attribute, value in list(vars(module).items()):
                if isinstance(value, _lru_cache_wrapper):
                    stand = stands.setdefault(
                        id(value),
                        Measured(f"{value.__module__}.{value.__name__}".removeprefix("pourday."), value),
                    )
                    monkeypatch.setattr(module, attribute, stand)
    return list(stands.values())


def cpu_of(work: Callable[[], None]) -> float:
    begun = time.process_time()
    work()
    return time.process_time() - begun


def test_every_cache_saves_something(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    day = Day(tmp_path, lambda _: None)
    caches = all_measured(monkeypatch)

    def looked_at() -> None:
        while day.step():
            for second in range(SECONDS):
                day.adviser.advise(day.live.state, day.now + second)

    whole = cpu_of(looked_at)
    print(f"\na day of two pillars: {whole:.1f} s of processor time")
    idle = []
    for each in sorted(caches, key=lambda c: -c.saved):
        print(f"{each.saved / whole:7.2%}  {each.hits:6} of {each.hits + each.misses:6}  {each.name}")
        if each.saved < WORTH * whole and not each.name.startswith(ELSEWHERE):
            idle.append(each.name)
    assert idle == []


def test_what_still_comes_into_a_mould_is_worth_keeping(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same agenda with it, and with it worked out each time; and so for the weigh sheet of a plan."""
    from pourday.guide.advice.agenda import agenda
    from pourday.guide.outlook import wax_left
    from pourday.plan.weigh import weigh_sheet

    day = Day(tmp_path, lambda _: None, plan=PLANS["votive"])
    while not any(mould.pours for mould in day.live.state.moulds.values()):
        day.step()
    advice = day.advise()
    assert advice.outlook is not None

    def agendas() -> None:
        for n in range(50):
            agenda(day.live.state, advice.outlook, day.now + n / 100)  # type: ignore[arg-type]

    agendas()
    kept = cpu_of(agendas)
    monkeypatch.setattr(wax_left, "sheet_of", weigh_sheet)
    weighed = cpu_of(agendas)

    def anew(self: state.State, letter: str) -> object:
        mould = self.moulds.get(letter, state.MouldState(letter))
        return state.sequence.remaining_pours(self.plan, self.waived, mould)

    monkeypatch.setattr(state.State, "remaining", anew)
    neither = cpu_of(agendas)
    print(
        f"\nan agenda: {kept * 20:.2f} ms; weighing each time {weighed * 20:.2f}; both anew {neither * 20:.2f}"
    )
    assert kept < weighed < neither
