"""A cooling curve while it is taken: when the next reading is due, what the readings say so far, and when they are enough."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np

from pourday.curve.log import LEAST_READINGS, CoolingLog, step_of
from pourday.curve.reading import CurveReading, read_curve
from pourday.session.heap import CoolingAt

EVERY = 15.0
"""s between two readings: ASTM D87."""
PAST = 5.0
"""K below its plateau from which on wax has surely set, and nothing more of it is to come: estimate."""
COLD_C = 30.0
"""°C below which no candle wax sets: the softest of the wax table is soft at 28."""
AT_REST = 1.0
"""K from the air or bath around the tin within which it has come to rest in it. Estimate."""


def next_beat(cooling: CoolingAt, now: float) -> float:
    """s until the next reading is due, 0 < s <= `EVERY`.

    >>> from pourday.session.events import CoolingBegun
    >>> next_beat(CoolingAt(100.0, CoolingBegun()), now=109.0)
    6.0
    """
    since_begun = max(0.0, now - cooling.begun_at)
    return EVERY - math.fmod(since_begun, EVERY)


def beats(cooling: CoolingAt, now: float) -> int:
    """How many readings have fallen due since it began."""
    return int(max(0.0, now - cooling.begun_at) // EVERY)


def log_of(cooling: CoolingAt) -> CoolingLog | None:
    """The readings as a log; None while they are too few to say anything."""
    merged: dict[float, list[float]] = {}
    for t, celsius in cooling.readings:
        merged.setdefault(t, []).append(celsius)
    if len(merged) < LEAST_READINGS:
        return None
    moments = np.array(sorted(merged))
    means = np.array([sum(merged[t]) / len(merged[t]) for t in moments])
    return CoolingLog(moments - moments[0], means, step_of([c for _, c in cooling.readings]))


def reading_of(cooling: CoolingAt) -> CurveReading | None:
    """What the readings say so far; None while they are too few."""
    log = log_of(cooling)
    return None if log is None else read_curve(log, cooling.fact.around_c)


Enough = Literal["", "set", "cold", "at rest"]


def enough(cooling: CoolingAt, reading: CurveReading | None) -> Enough:
    """Why nothing more is to come of the curve; empty while something is."""
    if reading is None or not cooling.readings:
        return ""
    last = [celsius for _, celsius in cooling.readings[-3:]]
    if (
        reading.kind == "plateau"
        and reading.congealing_c is not None
        and max(last) < reading.congealing_c - PAST
    ):
        return "set"
    if max(last) < COLD_C:
        return "cold"
    around = cooling.fact.around_c
    if around is not None and max(last) < around + AT_REST and min(last) > around - AT_REST:
        return "at rest"
    return ""
