"""What it costs to work a day out ahead, against the same moulds computed once with every pour known."""

from __future__ import annotations

import time
from collections.abc import Callable

import msgspec
import pytest

from pourday.demo.scenario import START, two_pillars
from pourday.forecast.mould import COARSE, likely_early_late
from pourday.guide.ahead.day import ahead_of_plan
from pourday.plan.model import Layer

MOST_TIMES = 4.0
"""Four decisions one after another, and the pot between them, for what the yardstick does in one go."""


def least(job: Callable[[], object], times: int = 5) -> float:
    """Processor seconds of the quickest of some runs: what others do on the machine adds, it never takes away."""
    found = []
    for _ in range(times):
        begun = time.process_time()
        job()
        found.append(time.process_time() - begun)
    return min(found)


@pytest.mark.bench
def test_two_moulds_in_four_colours_cost_a_few_times_one_computation_of_them() -> None:
    layers = tuple(Layer(colour=colour) for colour in ("red", "white", "blue", "green"))
    plan = msgspec.structs.replace(two_pillars(), layers=layers)
    found = ahead_of_plan(plan, START)
    cases = [course.case for course in found.courses]
    once = least(lambda: likely_early_late(cases, grid=COARSE))
    whole = least(lambda: ahead_of_plan(plan, START))
    print(
        f"the whole day {whole * 1000:.0f} ms, its moulds once {once * 1000:.0f} ms: {whole / once:.1f} times"
    )
    assert whole < MOST_TIMES * once
