"""The ensemble behind the pot's forecast: it goes through the readings and says how little one of them knows."""

from __future__ import annotations

import numpy as np
import pytest

from pourday.forecast.pot import PotSetup
from pourday.forecast.pot_fit import fit
from pourday.wax.materials import family

SETUP = PotSetup(wax=family("paraffin_pillar"), kg=1.0, room_c=21.0, mode="in air", mode_since=0.0)
TAU = 2400.0


def newton(minutes):
    """A jug that cools by Newton's law from 80 °C, above its melting range: no latent heat in it."""
    return [(60.0 * m, 21.0 + 59.0 * np.exp(-60.0 * m / TAU)) for m in minutes]


def at(ensemble, seconds: float) -> tuple[float, float]:
    """Mean and spread of the paths at a time they have."""
    row = int(np.argmin(np.abs(ensemble.path.times - seconds)))
    celsius = ensemble.path.celsius[row]
    mean = float(ensemble.weights @ celsius)
    return mean, float(np.sqrt(ensemble.weights @ (celsius - mean) ** 2))


def test_weights_are_shares_and_the_paths_go_through_what_was_read():
    readings = newton((0, 2, 4, 6))
    ensemble = fit(SETUP, readings)
    assert ensemble.weights.sum() == pytest.approx(1.0)
    for when, celsius in readings[1:]:
        assert at(ensemble, when)[0] == pytest.approx(celsius, abs=1.0)


def test_more_readings_leave_less_doubt():
    few, many = fit(SETUP, newton((0, 6))), fit(SETUP, newton((0, 1, 2, 3, 4, 5, 6)))
    assert at(many, 360.0)[1] < at(few, 360.0)[1]


def test_one_first_reading_that_all_others_deny_is_left_behind():
    wrong = [(0.0, 40.0), *newton((2, 3, 4, 5, 6))]
    assert at(fit(SETUP, wrong), 360.0)[0] == pytest.approx(newton((6,))[0][1], abs=1.5)


def test_a_fit_is_the_same_object_until_a_reading_comes():
    """It does not depend on the moment it is asked at, so a later look at the same readings fits nothing anew."""
    readings = newton((0, 2, 4))
    assert fit(SETUP, readings) is fit(SETUP, list(readings))
    assert fit(SETUP, newton((0, 2, 4, 6))) is not fit(SETUP, readings)
