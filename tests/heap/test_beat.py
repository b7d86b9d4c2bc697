"""A cooling curve while it is taken: beats, what it says so far, and when it is enough; curves from `tests/curve/tin.py`."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from pourday.curve.log import LEAST_READINGS
from pourday.heap.beat import EVERY, beats, enough, log_of, next_beat, reading_of
from pourday.session.events import CoolingBegun
from pourday.session.heap import CoolingAt
from tests.curve.tin import made, run

T = 1.8e9


def cooling(seconds, celsius, around: float | None = None) -> CoolingAt:
    readings = tuple((T + float(t), float(c)) for t, c in zip(seconds, celsius, strict=True))
    return CoolingAt(T, CoolingBegun(around_c=around), readings)


@cache
def tins():
    """Four cases with a seed that nothing was tuned on, read every 15 s or less often."""
    cases = [c for c in made(640)[600:] if c.kind == "plateau" and c.resolution < 1 and c.every >= 15][:4]
    return list(zip(cases, run(cases), strict=True))


def test_beats_come_every_quarter_of_a_minute_as_astm_d87_has_it():
    begun = cooling([], [])
    assert EVERY == 15.0
    assert [next_beat(begun, T + s) for s in (0.0, 1.0, 14.5, 15.0)] == [15.0, 14.0, 0.5, 15.0]
    assert [beats(begun, T + s) for s in (-5.0, 14.9, 15.0, 61.0)] == [0, 0, 1, 4]


def test_nothing_is_said_of_a_few_readings_nor_of_many_at_one_moment():
    assert (
        log_of(cooling(np.arange(LEAST_READINGS - 1) * 15.0, np.linspace(70, 60, LEAST_READINGS - 1))) is None
    )
    assert reading_of(cooling(np.zeros(40), np.linspace(70, 60, 40))) is None


def test_enough_is_said_of_a_plateau_once_it_lies_behind_and_the_answer_stays():
    """What was read when enough was said is what the whole log says, but for less than its own spread."""
    told = 0
    for case, (seconds, celsius, truth) in tins():
        for n in range(20, len(seconds), 10):
            part = cooling(seconds[:n], celsius[:n], case.around)
            reading = reading_of(part)
            if enough(part, reading):
                break
        else:
            continue
        whole = reading_of(cooling(seconds, celsius, case.around))
        if enough(part, reading) != "set":
            continue
        told += 1
        assert reading is not None
        assert whole is not None
        assert truth is not None
        assert reading.kind == "plateau"
        assert reading.congealing_c == pytest.approx(whole.congealing_c, abs=0.5)
        assert reading.congealing_c == pytest.approx(truth, abs=0.7)
    assert told >= 3


def test_enough_is_never_said_while_it_stands_on_its_plateau():
    fall = [75 - 0.5 * i for i in range(32)]
    flat = [59.2 - 0.002 * i for i in range(60)]
    celsius = [*fall, *flat]
    part = cooling(np.arange(len(celsius)) * 15.0, np.round(celsius, 1), 20.0)
    assert enough(part, reading_of(part)) == ""


def test_a_cold_tin_and_one_at_rest_are_enough():
    slow = 20 + 55 * 0.5 ** (np.arange(400) / 60)
    cold = cooling(np.arange(400) * 15.0, np.round(slow, 1))
    assert enough(cold, reading_of(cold)) == "cold"
    warm = 45 + 30 * 0.5 ** (np.arange(400) / 30)
    rests = cooling(np.arange(400) * 15.0, np.round(warm, 1), 45.0)
    assert enough(rests, reading_of(rests)) == "at rest"
    assert enough(rests, None) == ""
