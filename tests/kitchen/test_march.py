"""The simulated kitchen's time step, against solutions in closed form."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourday.kitchen.march import stages, step


@pytest.mark.parametrize("s", [2, 5, 20])
def test_it_is_of_second_order_in_time(s):
    """y' = -y from 1 to exp(-1): half the step leaves a quarter of the error."""

    def error(steps: int) -> float:
        y = np.array([1.0])
        for _ in range(steps):
            y = step(y, lambda v: -v, 1.0 / steps, s)
        return abs(float(y[0]) - np.exp(-1.0))

    assert error(8) / error(16) == pytest.approx(4.0, rel=0.25)


@given(st.floats(0.1, 600.0), st.floats(1e-4, 50.0))
def test_with_the_stages_it_asks_for_no_rate_up_to_the_bound_grows(seconds, stiffness):
    s = stages(seconds, stiffness)
    for rate in (0.05 * stiffness, 0.5 * stiffness, stiffness):
        (after,) = step(np.array([1.0]), lambda v, rate=rate: -rate * v, seconds, s)
        assert abs(after) <= 1.0


def test_what_flows_from_one_cell_to_the_next_is_kept_to_the_last_digits():
    def rate(v):
        flow = 0.3 * np.diff(v)
        return np.concatenate([[flow[0]], np.diff(flow), [-flow[-1]]])

    before = np.array([90.0, 20.0, 50.0, 20.0])
    after = step(before, rate, 30.0, stages(30.0, 1.2))
    assert after.sum() == pytest.approx(before.sum(), rel=1e-14)
    assert np.ptp(after) < np.ptp(before)
