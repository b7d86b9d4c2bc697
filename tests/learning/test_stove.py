"""What readings of the pot teach of a stove: against readings of a pot that obeys the law, and the closed form of normal numbers."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from pourday.forecast.pot import Guess, PotSetup, after_change, forecast
from pourday.forecast.pot_law import USUAL_POT
from pourday.forecast.pot_model import run, table
from pourday.forecast.pot_prior import UNKNOWNS, members_of
from pourday.learning.days import YEAR, SaidOn, next_day_of
from pourday.learning.factors import LogFactor
from pourday.learning.kitchen import DayTaught, kitchen
from pourday.learning.stove import (
    DAY_SHARE_OF,
    UNKNOWN_OF,
    StoveTaught,
    next_stove,
    spread_of,
    stove_taught,
)
from pourday.wax.materials import family

COLD = PotSetup(
    wax=family("paraffin_pillar"), kg=1.0, mode="on heat", mode_since=0.0, start_c=Guess(20.0, 1.0),
    bath_c=Guess(20.0, 1.0), water_kg=1.75, water_sd=0.1,
)  # fmt: skip


def a_day(power: float, minutes: int = 40):
    """Readings every four minutes of a pot that obeys the law, all as usual but its burner so many times the usual."""
    setup = replace(COLD, law=replace(USUAL_POT, power=USUAL_POT.power * power))
    times = np.arange(0.0, 60.0 * minutes, 20.0)
    usual = members_of(setup, np.zeros((1, len(UNKNOWNS["on heat"]))), np.zeros(1), 0.0, None)
    path = run(table(COLD.wax), usual, "on heat", times)
    readings = [(float(t), float(c)) for t, c in zip(times, path.celsius[:, 0], strict=True)][12::12]
    return forecast(COLD, readings, 60.0 * minutes)


@pytest.mark.parametrize("power", [0.5, 2.0])
def test_a_weak_or_strong_burner_is_told_by_its_readings(power: float) -> None:
    taught = stove_taught([a_day(power)])
    assert taught is not None
    assert taught.readings == 9
    said = taught.said["power"]
    # What else may be off of pot, wax and water leaves its part of it open, and says so.
    assert abs(said.mean - math.log(power)) < 2 * said.sigma
    assert said.mean * math.log(power) > 0.15
    assert said.sigma < spread_of("power")
    assert "lag" not in taught.said


def test_water_is_learned_where_nobody_said_how_much_there_is() -> None:
    """A bath of twice the usual water warms as slowly; one that was told is not doubted."""
    double = replace(COLD, water_kg=3.5)
    times = np.arange(0.0, 2400.0, 20.0)
    usual = members_of(double, np.zeros((1, len(UNKNOWNS["on heat"]))), np.zeros(1), 0.0, None)
    path = run(table(COLD.wax), usual, "on heat", times)
    readings = [(float(t), float(c)) for t, c in zip(times, path.celsius[:, 0], strict=True)][12::12]
    untold, told_of = replace(COLD, water_kg=1.75, water_sd=0.35), replace(COLD, water_kg=3.5, water_sd=0.1)
    said, other = (stove_taught([forecast(setup, readings, 2400.0)]) for setup in (untold, told_of))
    assert said is not None
    assert said.said["water"].mean > 0.0
    assert other is None or "water" not in other.said


def test_a_day_without_readings_teaches_nothing_of_its_stove() -> None:
    assert stove_taught([forecast(COLD, (), 600.0)]) is None


def test_what_was_carried_from_stretch_to_stretch_counts_once() -> None:
    """The same readings, and a stretch after them in which nothing was read: nothing is added."""
    first = a_day(2.0)
    off = forecast(after_change(first, first.now, "off heat"), (), first.now + 600.0)
    alone, both = stove_taught([first]), stove_taught([first, off])
    assert alone is not None
    assert both is not None
    assert both.said["power"] == alone.said["power"]


def day(n: int, power: float, sigma: float = 0.1) -> DayTaught:
    return DayTaught(f"d{n}", 0.0, 0, stove=StoveTaught(8, {"power": LogFactor(power, sigma)}))


def test_one_day_is_the_normal_rule_of_bayes_and_no_day_the_usual_stove() -> None:
    for figure in UNKNOWN_OF:
        assert next_stove([], 0.0, figure) == pytest.approx((0.0, spread_of(figure)))
    whole = USUAL_POT.power_sd
    within = (DAY_SHARE_OF["power"] * whole) ** 2
    between = whole**2 - within
    known = kitchen([day(1, 0.8)], 0.0).stove("power").factor
    assert known.mean == pytest.approx(0.8 * between / (between + within + 0.01))
    assert known.sigma**2 == pytest.approx(between * (within + 0.01) / (between + within + 0.01) + within)


def test_the_law_of_the_next_day_goes_into_its_prior() -> None:
    known = kitchen([day(n, 0.8) for n in range(3)], 0.0)
    law = known.prior({}, "").law
    assert law == known.law
    assert law.power == pytest.approx(USUAL_POT.power * math.exp(known.stove("power").factor.mean))
    assert law.power_sd < USUAL_POT.power_sd
    assert (law.uptake, law.air) == (USUAL_POT.uptake, USUAL_POT.air)
    assert (known.stove("power").days, known.stove("power").looks) == (3, 24)
    assert known.factor("top", "").days == 0


def test_days_that_contradict_each_other_widen_what_is_known_of_a_stove() -> None:
    steady = kitchen([day(n, 0.1 * (-1) ** n) for n in range(4)], 0.0).law
    torn = kitchen([day(n, 0.7 * (-1) ** n) for n in range(4)], 0.0).law
    assert torn.power_sd > 1.4 * steady.power_sd


def test_an_older_day_counts_for_less_of_a_stove() -> None:
    new, old = SaidOn(LogFactor(0.0, 0.1), 10 * YEAR), LogFactor(0.6, 0.1)
    means = [next_day_of([new, SaidOn(old, t)], 10 * YEAR, 0.4, 0.1).mean for t in (0.0, 5 * YEAR, 10 * YEAR)]
    assert means == sorted(means)
    assert means[0] < 0.8 * means[2]
