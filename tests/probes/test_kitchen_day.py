"""A true probe through whole days of the simulated kitchen: wax put in, drawn, reheated, and no accusation."""

from __future__ import annotations

import random

import pytest

from pourday.demo.day import Day
from pourday.probes.source import read_source
from pourday.probes.watch import ProbeWatch
from pourday.tui.stove.live_probes import LiveProbes
from tests.demo.plan_set import PLANS

HOURS, EVERY, NOISE = 3.0, 2.0, 0.5


@pytest.mark.slow
@pytest.mark.parametrize("name", [None, *sorted(PLANS)[:3]])
def test_no_day_of_the_kitchen_makes_a_true_probe_a_liar(tmp_path, name):
    day = Day(tmp_path, lambda _: None, seed=3, plan=PLANS[name] if name else None)
    watch, rng = ProbeWatch({"pot": read_source("file:/x")}), random.Random(3)
    probes = LiveProbes(day.live, watch, None)  # type: ignore[arg-type]
    go_on, at, accused, kept, lines = day.kitchen.advance, day.now, 0, 0, 0

    def advance(to: float) -> None:
        nonlocal at, accused, kept, lines
        before = watch.probes[0].lie
        while at + EVERY < to and at - day.start < HOURS * 3600:
            at += EVERY
            go_on(at)
            probes.look_around(day.live.state, None)
            watch.heard("pot", [f"{rng.gauss(day.kitchen.true('pot'), NOISE):.1f}".encode()], at)
            lie = watch.probes[0].lie
            accused += lie not in (None, "warming") and before is None
            before, kept, lines = lie, kept + len(watch.kept()), lines + 1
        at = max(at, to)
        go_on(to)

    day.kitchen.advance = advance  # type: ignore[method-assign]
    day.play()
    assert lines > 1000
    assert accused < HOURS
    assert kept < 300 * HOURS
