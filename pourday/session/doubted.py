"""Readings of the pot that were left out of its forecast in doubt: which of them bear each other out, which stand alone.

What is said as one is typed, the forecast, and the alarms about heat go by this one rule.
"""

from __future__ import annotations

from collections.abc import Iterable

from pourday.forecast.pot import bears_out
from pourday.session.state import ReadingAt

Pair = tuple[ReadingAt, ReadingAt]


def borne_out(readings: Iterable[ReadingAt]) -> tuple[list[Pair], list[ReadingAt]]:
    """(pairs of doubted readings of the pot that agree, those doubted ones that a later one could still bear out).

    Something was done to the pot that nobody filed: from the first of a pair on it is what the two say. A mistyped number
    between them parts them not; a reading that fits the forecast does, for it says that all is as it was.
    """
    pairs: list[Pair] = []
    alone: list[ReadingAt] = []
    for reading in readings:
        if reading.place != "pot":
            continue
        fellow = fellow_of(reading.t, reading.celsius, alone) if reading.doubt else None
        if fellow is not None:
            pairs.append((fellow, reading))
        alone = [*alone, reading] if reading.doubt and fellow is None else []
    return pairs, alone


def fellow_of(t: float, celsius: float, alone: list[ReadingAt]) -> ReadingAt | None:
    """The latest of these doubted readings that may be of the same wax as one of so many °C at `t` (s)."""
    return next((r for r in reversed(alone) if bears_out((t, celsius), (r.t, r.celsius))), None)
