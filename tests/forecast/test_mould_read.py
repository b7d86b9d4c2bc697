"""What is read off a computed mould, against curves whose answers are known in closed form."""

from __future__ import annotations

import math

import numpy as np
import pytest

from pourday.forecast.mould_read import NEAR_ROOM, near_room, rises, stays_below


def test_a_level_is_reached_between_two_steps_on_a_straight_line():
    at_s = np.array([0.0, 10.0, 20.0])
    assert rises(at_s, np.array([0.0, 1.0, 5.0]), 3.0) == pytest.approx(15.0)
    assert rises(at_s, np.array([0.0, 1.0, 2.0]), 3.0) is None


def test_what_dips_and_comes_back_counts_from_the_last_time_it_was_above():
    at_s = np.array([0.0, 10.0, 20.0, 30.0])
    assert stays_below(at_s, np.array([9.0, 3.0, 7.0, 3.0]), 5.0) == pytest.approx(25.0)
    assert stays_below(at_s, np.array([9.0, 3.0, 7.0, 6.0]), 5.0) is None


@pytest.mark.parametrize("tau", [600.0, 3000.0])
def test_a_lump_that_cools_by_newtons_law_is_near_the_room_when_that_law_says(tau):
    """T - room = 60 K exp(-t/tau): from any two times on the curve the law gives back every other."""
    fine, coarse = np.linspace(0, 12 * tau, 4000), np.linspace(0, 12 * tau, 25)
    times = [near_room(t, 21.0 + 60.0 * np.exp(-t / tau), 21.0) for t in (fine, coarse)]
    assert None not in times
    assert times[1] == pytest.approx(times[0], rel=1e-3)
    assert times[1] == pytest.approx(tau * math.log(60.0 / NEAR_ROOM), rel=1e-3)
    assert near_room(fine[:10], 21.0 + 60.0 * np.exp(-fine[:10] / tau), 21.0) is None
