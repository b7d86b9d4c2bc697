"""Which readings go on record: steps, half minutes, every peak and turn, and nothing for noise alone."""

from __future__ import annotations

import random
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourday.probes.significance import COARSEST, EVERY, STEP, Significance


def kept(readings: list[tuple[float, float]]) -> list[tuple[float, float]]:
    significance = Significance()
    return [one for t, c in readings for one in significance.take(t, c)]


def test_a_steady_probe_is_kept_every_half_minute():
    assert [t for t, _ in kept([(float(t), 74.6) for t in range(121)])] == [0, 30, 60, 90, 120]


def test_a_rising_probe_is_kept_in_steps_of_three_tenths():
    steps = kept([(t * 5.0, 60 + t * 0.1) for t in range(100)])
    between = [b[1] - a[1] for a, b in pairwise(steps)]
    assert all(abs(step - STEP) < 0.11 for step in between)


def test_the_peak_is_kept_though_it_is_no_step_above_the_one_before():
    readings = [(t * 5.0, c) for t, c in enumerate([70.0, 70.3, 70.6, 70.8, 70.9, 70.8, 70.6, 70.4, 70.1])]
    assert max(kept(readings), key=lambda r: r[1]) == (20.0, 70.9)


@given(st.lists(st.floats(-10, 120), min_size=1, max_size=60), st.sampled_from([5.0, 10.0, 60.0]))
def test_nothing_kept_is_out_of_order_or_farther_apart_than_half_a_minute_and_no_value_is_missed(
    values, every
):
    readings = [(n * every, round(v, 1)) for n, v in enumerate(values)]
    on_record = kept(readings)
    times = [t for t, _ in on_record]
    assert times == sorted(times)
    assert len(set(times)) == len(times)
    assert set(on_record) <= set(readings)
    assert all(b - a <= max(EVERY, every) + every for a, b in pairwise(times))
    if len(on_record) > 1:
        # The extremes of all that was said are on record to within a step; of wild values that is the coarsest.
        assert max(v for _, v in readings) - max(v for _, v in on_record) <= COARSEST
        assert min(v for _, v in on_record) - min(v for _, v in readings) <= COARSEST


def test_noise_of_ten_lines_a_second_is_not_kept_line_by_line():
    rng = random.Random(3)
    readings = [(n / 10, 74.6 + rng.gauss(0, 0.5)) for n in range(36_000)]
    # At most one in nine seconds: what two megabytes in eight hours leave for each of four probes.
    assert len(kept(readings)) < 400


@pytest.mark.parametrize("every", [0.1, 1.0, 2.0, 5.0])
def test_noise_is_no_change_however_often_a_probe_reports(every):
    rng = random.Random(4)
    readings = [(n * every, 74.6 + rng.gauss(0, 0.5)) for n in range(round(3600 / every))]
    # Two megabytes in eight hours are about one in twelve seconds of each of four probes.
    assert len(kept(readings)) < 300
