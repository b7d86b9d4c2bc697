"""Warming a set layer, and the promise of what a pour then melts: held to limits that need no solver."""

from __future__ import annotations

import numpy as np
import pytest

from pourday.forecast.fuse import top_surface
from pourday.forecast.mould import COARSE, Around, MouldRun, PourInto, RoundMould, simulate
from pourday.forecast.remelt import remelt
from pourday.forecast.warming import LANDS, in_air, in_box, promise, warmed
from pourday.wax.materials import family

WAX = family("paraffin_pillar")
ROOM, NIGHT = 20.0, 14 * 3600.0


@pytest.fixture(scope="module")
def cold() -> MouldRun:
    """A 40 mm layer in a 75 mm pillar mould, computed until it is cold."""
    return simulate(
        RoundMould(0.0375, 0.150), [PourInto(0.0, 85.0, WAX, height=0.040)], Around(ROOM), grid=COARSE
    )


def test_warm_air_brings_the_surface_to_what_was_asked_and_the_room_comes_back(cold: MouldRun) -> None:
    after = warmed(cold, NIGHT, in_air(45.0))
    s = top_surface(after.run)
    assert after.reached
    assert float(np.interp(after.ready_s, s.at_s, s.mean_c)) == pytest.approx(45.0, abs=2.0)
    assert after.run.case.at(after.ready_s + 1).room_c == ROOM
    assert after.run.case.at(NIGHT + 1).room_c == 80.0


def test_warmer_takes_longer(cold: MouldRun) -> None:
    ready = [warmed(cold, NIGHT, in_air(celsius)).ready_s for celsius in (40.0, 45.0, 50.0)]
    assert NIGHT < ready[0] < ready[1] < ready[2]


def test_a_box_never_gets_wax_warmer_than_itself(cold: MouldRun) -> None:
    after = warmed(cold, NIGHT, in_box(60.0))
    s = top_surface(after.run)
    assert not after.reached
    assert float(s.hottest_c[-1]) < 48.0


def test_the_time_in_the_box_is_that_of_a_heat_balance(cold: MouldRun) -> None:
    """Heat to bring all of the wax to 42 °C over what a film of 4 to 12 W/m²K brings at the mean difference."""
    takes = warmed(cold, NIGHT, in_box(42.0)).ready_s - NIGHT
    radius, height = 0.0375, 0.040
    mass = WAX.density_solid * np.pi * radius**2 * height
    heat = mass * (WAX.cp_solid * (42.0 - 22.0) + WAX.latent_transition)
    area = 2 * np.pi * radius * height + 2 * np.pi * radius**2
    mean_difference = (26.0 - 6.0) / np.log(26.0 / 6.0)
    soonest, latest = (heat / (film * area * mean_difference) for film in (12.0, 4.0))
    assert soonest < takes < latest


def test_a_promise_is_the_least_over_the_outlooks_for_wax_that_lands_colder(cold: MouldRun) -> None:
    warm = warmed(cold, NIGHT, in_air(50.0))
    both = promise((cold, warm.run), (NIGHT, warm.ready_s), 93.0, WAX, 0.040)
    alone = promise((warm.run,), (warm.ready_s,), 93.0, WAX, 0.040)
    as_read = remelt(warm.run, [PourInto(warm.ready_s, 93.0, WAX, height=0.040)])[0]
    assert both.least <= alone.least <= min(as_read.axis, as_read.edge)
    assert alone.least > both.least
    assert LANDS > 0
