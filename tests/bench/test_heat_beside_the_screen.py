"""The screens while the worker computes beside them: lag of their loop, first forecast after a fact.

The yardstick of the lag is the same screen in the same run with nothing to compute; that of the first forecast a bare
Textual app from its start to its first paint, turn about.
"""

from __future__ import annotations

import asyncio
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from pourday.demo.scenario import START, two_pillars
from pourday.session import events as ev
from pourday.store.live import LiveSession
from pourday.tui.app import PourdayApp
from pourday.tui.rehearse.screen import RehearsalScreen
from pourday.tui.stove.screen import StoveScreen
from tests.bench.test_first_paint import BARE, first_paint

pytestmark = pytest.mark.bench

LAG_AT_MOST = 2.0
"""95 % point of the loop's lag while forecasts run, over the same without."""
FIRST_FORECAST = 1 / 3
"""From a filed pour to its forecast on screen, over a bare app from its start to its first paint."""


class Still:
    """A clock that stands where it is put."""

    def __init__(self, at: float) -> None:
        self.at = at

    def now(self) -> float:
        return self.at


class Nowhere:
    """Takes every question and answers none."""

    def ask(self, _query: object, _then: object, _over: object = None) -> int:
        return 0

    def drop(self, number: int) -> None:
        pass


def poured_session(folder: Path) -> LiveSession:
    """The demo plan with both plugs in and dry."""
    live = LiveSession.begin(folder, "bench", now=START)
    live.file(ev.PlanFixed(plan=two_pillars()), now=START)
    live.file(ev.JugMade(layer=0), now=START + 1700)
    for letter in "AB":
        live.file(ev.Poured(mould=letter, layer=0, part="plug", planned_kg=0.03), now=START + 1800)
        live.file(ev.SealSeen(mould=letter, weeps=False), now=START + 2300)
    return live


def computed(screen: StoveScreen, letter: str) -> int:
    """How many pours into a mould are in the forecast that the screen shows."""
    outlook = screen.controller.advice.outlook
    found = outlook.mould(letter) if outlook else None
    return len(found.heat.case.pours) if found else 0


async def lags(seconds: float) -> list[float]:
    """How late a sleep of 5 ms comes back, again and again, in s."""
    found = []
    until = time.perf_counter() + seconds
    while (begun := time.perf_counter()) < until:
        await asyncio.sleep(0.005)
        found.append(time.perf_counter() - begun - 0.005)
    return found


def test_the_screen_stays_as_quick_while_the_heat_is_computed(tmp_path: Path) -> None:
    """p95 of the loop's lag at most twice that of the same screen, the same facts, and no forecast."""

    async def measure() -> tuple[float, float]:
        app = PourdayApp(tmp_path)
        async with app.run_test(size=(120, 40)) as pilot:
            live = poured_session(tmp_path)
            clock = Still(START + 2400)
            screen = StoveScreen(live, clock)
            await app.push_screen(screen)
            await pilot.pause(1.5)
            adviser = screen.controller.adviser

            async def weighing() -> None:
                for step in range(12):
                    clock.at += 60
                    kg = 0.03 + clock.at % 1000 / 1e6
                    live.file(ev.Weighed(mould="AB"[step % 2], what="pour", kg=kg), now=clock.at)
                    screen.tick()
                    await asyncio.sleep(0.33)

            found: dict[bool, list[float]] = {False: [], True: []}
            beside = adviser.backend
            # Turn about, so that what else the machine does falls on both.
            for computes in (False, True) * 3:
                adviser.backend = beside if computes else Nowhere()
                task = asyncio.create_task(weighing())
                found[computes] += await lags(4.0)
                await task
                await pilot.pause(0.5)
        return tuple(float(np.percentile(found[x], 95)) for x in (False, True))

    rest, busy = asyncio.run(measure())
    print(
        f"\nloop lag p95: without {rest * 1e3:.2f} ms, computing {busy * 1e3:.2f} ms, ratio {busy / rest:.2f}"
    )
    assert busy <= LAG_AT_MOST * rest


def test_a_poured_layer_has_its_forecast_on_screen_within_a_third_of_a_bare_apps_start(
    tmp_path: Path,
) -> None:
    """From the filed fact to the drawn line, coarse; the middle of nine, each beside a bare start just before it."""
    bare = [sys.executable, "-c", BARE]

    async def measure() -> list[tuple[float, float]]:
        app = PourdayApp(tmp_path)
        async with app.run_test(size=(120, 40)) as pilot:
            live = poured_session(tmp_path)
            clock = Still(START + 2400)
            screen = StoveScreen(live, clock)
            await app.push_screen(screen)
            await pilot.pause(1.5)
            times = []
            for step in range(9):
                letter = "AB"[step % 2]
                start, _ = await asyncio.to_thread(first_paint, bare, b"PAINTED", tmp_path)
                await pilot.pause(0.2)
                clock.at += 60
                begun = time.perf_counter()
                live.file(
                    ev.Poured(mould=letter, layer=min(1, step // 2), part="layer", planned_kg=0.2),
                    now=clock.at,
                )
                screen.tick()
                pours = len(live.state.moulds[letter].pours)
                while time.perf_counter() < begun + 10 and computed(screen, letter) < pours:
                    await asyncio.sleep(0.001)
                await asyncio.sleep(0)
                times.append((time.perf_counter() - begun, start))
                await pilot.pause(1.0)
        return times

    times = asyncio.run(measure())
    ratio = float(np.median([first / start for first, start in times]))
    first, start = (float(np.median(column)) for column in zip(*times, strict=True))
    print(
        f"\nfirst forecast after {first * 1e3:.0f} ms, a bare start {start * 1e3:.0f} ms, ratio {ratio:.2f}"
    )
    assert ratio <= FIRST_FORECAST


def test_a_rehearsal_leaves_the_loop_as_quick_as_at_rest(tmp_path: Path) -> None:
    """The day and all that would shorten it computed beside, over the same screen when that is over."""

    async def measure() -> tuple[float, float]:
        app = PourdayApp(tmp_path)
        found: dict[bool, list[float]] = {False: [], True: []}
        async with app.run_test(size=(120, 40)) as pilot:
            for _ in range(3):
                screen = RehearsalScreen(two_pillars(), START)
                await app.push_screen(screen)
                while screen.controller.trying:
                    found[True] += await lags(0.25)
                found[False] += await lags(3.0)
                screen.leave()
                await pilot.pause(0.2)
        return tuple(float(np.percentile(found[x], 95)) for x in (False, True))

    rest, busy = asyncio.run(measure())
    print(
        f"\nrehearsal, loop lag p95: at rest {rest * 1e3:.2f} ms, computing {busy * 1e3:.2f} ms, ratio {busy / rest:.2f}"
    )
    assert busy <= LAG_AT_MOST * rest
