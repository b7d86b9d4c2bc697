"""What the clocks of the machine tell about the time in which nobody looked.

Three clocks: the wall clock, which people and time servers set; one that only runs while the
machine is awake (monotonic); one that also runs while it sleeps (boot time, where there is one).
Sleep is boot time against monotonic; a changed clock is the wall clock against boot time; a
stall is the awake clock running on while the program did not.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

LEAST = 2.0
"""Seconds from which a gap is worth an entry. Chosen."""

Cause = Literal["slept", "clock changed", "stalled"]


@dataclass(frozen=True, slots=True)
class Clocks:
    """One look at all clocks, seconds."""

    wall: float
    awake: float
    boot: float | None = None
    """None on a system without it; then a clock put forward and a sleep look the same, and sleep is said."""


@dataclass(frozen=True, slots=True)
class Gap:
    """A stretch of time in which nobody looked, or a jump of the clock."""

    cause: Cause
    seconds: float
    """How long; of a changed clock by how much it was put forward, less than 0 where it was put back."""


@dataclass(frozen=True, slots=True)
class Watch:
    """What is remembered between two looks."""

    last: Clocks
    ahead: float
    """Of the wall clock over the clock that never stops, as of the last change that was told."""
    asleep: float
    """Of the boot clock over the awake one, likewise."""


def watch(clocks: Clocks) -> Watch:
    """Begin to watch."""
    return Watch(clocks, clocks.wall - _steady(clocks), _steady(clocks) - clocks.awake)


def look(watched: Watch, clocks: Clocks) -> tuple[Watch, tuple[Gap, ...]]:
    """What happened since the last look: nothing mostly; sleep, a stall and a changed clock each for itself.

    Small steps add up against the last change that was told, so a clock pushed a second at a time
    is found out as well.
    """
    gaps: list[Gap] = []
    stalled = clocks.awake - watched.last.awake
    if stalled > LEAST:
        gaps.append(Gap("stalled", stalled))
    ahead, asleep = clocks.wall - _steady(clocks), _steady(clocks) - clocks.awake
    slept, changed = asleep - watched.asleep, ahead - watched.ahead
    if clocks.boot is None and changed > LEAST:
        slept, changed = changed, 0.0
        watched = Watch(watched.last, ahead, watched.asleep)
    if slept > LEAST:
        gaps.append(Gap("slept", slept))
        watched = Watch(watched.last, watched.ahead, asleep)
    if abs(changed) > LEAST:
        gaps.append(Gap("clock changed", changed))
        watched = Watch(watched.last, ahead, watched.asleep)
    return Watch(clocks, watched.ahead, watched.asleep), tuple(gaps)


def busy(watched: Watch, clocks: Clocks) -> Watch:
    """The program itself was at work until now, as on a slow disk: no stall; sleep and a changed clock are still told."""
    return Watch(clocks, watched.ahead, watched.asleep)


def _steady(clocks: Clocks) -> float:
    return clocks.awake if clocks.boot is None else clocks.boot
