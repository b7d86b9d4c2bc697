"""A flame turned low: its share of the full one is a prior until readings say better."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from pourday.forecast.pot import Guess, PotForecast, PotSetup, after_change, forecast, low_turned
from pourday.forecast.pot_law import USUAL_POT
from pourday.forecast.pot_prior import unknown_values
from pourday.kitchen.pot import Pot
from pourday.wax.materials import family

PILLAR = family("paraffin_pillar")
MINUTE = 60.0


def low_share(view: PotForecast) -> float:
    """The share of the full flame that a forecast takes a low one for, likely."""
    low = unknown_values(view.setup, view.ensemble.z)["low"]
    return float(USUAL_POT.low * np.exp(USUAL_POT.low_sd * (view.weights @ low)))


def held_low(low: float, seed: int = 3) -> tuple[PotForecast, Pot]:
    """A pot of the kitchen melted at full and held low for 70 min, read every seven; and what it became."""
    pot = Pot(PILLAR, 0.8, 1.5, np.random.default_rng(seed))
    pot.truth = replace(pot.truth, low=low, steps=100)
    t, readings = 0.0, list[tuple[float, float]]()
    pot.burner(True)
    while pot.wax_c < 82.0:
        pot.advance(5 * MINUTE)
        t += 5 * MINUTE
        readings.append((t, pot.wax_c))
    start = PotSetup(
        wax=PILLAR, kg=0.8, mode="on heat", mode_since=0.0, start_c=Guess(20.0, 1.0), bath_c=Guess(20.0, 2.0)
    )
    setup = after_change(forecast(start, readings, t), t, "on low")
    pot.burner(True, pot.truth.low)
    readings.clear()
    for _ in range(10):
        pot.advance(7 * MINUTE)
        t += 7 * MINUTE
        readings.append((t, pot.wax_c))
    return forecast(setup, readings, t), pot


def test_before_any_reading_a_low_flame_is_the_priors_and_lies_between_off_and_full() -> None:
    hot = {"start_c": Guess(80.0, 0.5), "bath_c": Guess(88.0, 1.0)}
    off, low, full = (
        forecast(PotSetup(wax=PILLAR, kg=0.8, mode=mode, mode_since=0.0, **hot), (), 0.0).at(30 * MINUTE)[1]
        for mode in ("off heat", "on low", "on heat")
    )
    assert off + 3.0 < low < full - 3.0


@pytest.mark.parametrize("low", [0.12, 0.2, 0.3, 0.42])
def test_readings_teach_how_strong_this_stoves_low_flame_is(low: float) -> None:
    """Against the simulated kitchen, which shares no code with the forecast: 40 minutes ahead within its own band."""
    view, pot = held_low(low)
    ahead = view.now + 40 * MINUTE
    early, _, late = view.at(ahead)
    pot.advance(40 * MINUTE)
    assert early - 1.5 <= pot.wax_c <= late + 1.5
    assert late - early < 8.0


def test_a_stronger_low_flame_is_learned_as_a_stronger_one() -> None:
    shares = [low_share(held_low(low)[0]) for low in (0.12, 0.25, 0.42)]
    assert shares == sorted(shares)
    assert shares[2] > 1.5 * shares[0]


def test_what_was_learned_of_a_low_flame_outlasts_a_full_one() -> None:
    view, _ = held_low(0.42)
    full = after_change(view, view.now, "on heat")
    again = after_change(forecast(full, (), view.now + 5 * MINUTE), view.now + 5 * MINUTE, "on low")
    assert low_share(forecast(again, (), view.now + 6 * MINUTE)) == pytest.approx(low_share(view), rel=0.05)


def test_a_low_flame_set_lower_warms_less_and_how_much_less_is_not_known_well() -> None:
    view, _ = held_low(0.3)
    again = after_change(view, view.now, "on low")
    lower = low_turned(again, Guess(math.log(0.6), 0.25))
    as_it_was, set_lower = (forecast(setup, (), view.now) for setup in (again, lower))
    assert low_share(set_lower) == pytest.approx(0.6 * low_share(as_it_was), rel=0.1)
    ahead = view.now + 40 * MINUTE
    assert set_lower.at(ahead)[1] < as_it_was.at(ahead)[1] - 2.0
    wide, narrow = (high - low for low, _, high in (set_lower.at(ahead), as_it_was.at(ahead)))
    assert wide > narrow
    assert after_change(set_lower, ahead, "off heat").carried is not None
