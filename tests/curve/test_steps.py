"""A falling curve from readings in steps."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from pourday.curve.log import CoolingLog
from pourday.curve.steps import crossings, dwells


def log(celsius: np.ndarray, every: float = 15.0, resolution: float = 1.0) -> CoolingLog:
    return CoolingLog(
        seconds=np.arange(len(celsius)) * every, celsius=np.asarray(celsius, float), resolution=resolution
    )


@given(st.lists(st.integers(min_value=20, max_value=90), min_size=3, max_size=60))
def test_what_was_passed_never_rises_and_time_goes_on(celsius):
    moments, passed = crossings(log(np.array(celsius, float)))
    assert len(moments) == len(passed)
    assert (np.diff(passed) <= 1e-9).all()
    assert (np.diff(moments) >= 0).all()


def test_a_whole_degree_is_passed_between_two_readings():
    moments, passed = crossings(log(np.array([61.0, 60.0, 60.0, 59.0])))
    assert list(passed) == [60.5, 59.5]
    assert list(moments) == [7.5, 37.5]


def test_a_body_without_latent_heat_gives_off_as_much_in_every_degree():
    """Newton's law of cooling, solved: T = 20 + 70 exp(-t/1000); the heat in each kelvin is 1000 K·s per K."""
    t = np.arange(0, 1500, 1.0)
    fine = CoolingLog(seconds=t, celsius=np.round(20 + 70 * np.exp(-t / 1000), 2), resolution=0.01)
    _, heat = dwells(*crossings(fine), 2.0, 20.0)
    assert len(heat) > 20
    assert np.allclose(heat, 1000.0, rtol=0.02)
