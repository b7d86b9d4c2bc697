"""What was seen of a layer, as plain rows: when an event had not come yet, and when it had.

Whoever reads a record makes the rows (`session/evidence.py`); what they say of a kitchen is worked out in `factors.py`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

SeenEvent = Literal["skin", "carries", "cold to the hand", "pulled away"]
"""skin: half of the surface solid; carries: somebody says that it carries the next colour; the last two are felt and seen
at the wall. Some call a surface carrying as soon as it has set, others once a crust takes no fingerprint."""


@dataclass(frozen=True, slots=True)
class SeenBetween:
    """One event of one layer, between the last look without it and the first look with it. Times in seconds since
    the epoch."""

    mould: str
    pours: int
    """How many pours stood in the mould: the layer looked at is the last of them."""
    event: SeenEvent
    after: float = -math.inf
    """When it was last seen not to have come; minus infinity where nobody looked before it came."""
    before: float = math.inf
    """When it was first seen to have come; infinite where it was not seen yet."""


@dataclass(frozen=True, slots=True)
class SurfaceLook:
    """How an open surface looked once. Several looks bound when it set from both sides; each may be wrong by itself."""

    mould: str
    pours: int
    at: float
    """Seconds since the epoch."""
    stage: Literal[0, 1, 2]
    """0 liquid, 1 half of it or more solid, 2 carrying the next colour."""


@dataclass(frozen=True, slots=True)
class SurfaceRead:
    """A temperature of the open wax as it was read."""

    mould: str
    pours: int
    at: float
    """Seconds since the epoch."""
    celsius: float
    error: float
    """K, one standard deviation of such a reading."""


Row = SeenBetween | SurfaceLook | SurfaceRead


def between(
    mould: str, pours: int, event: SeenEvent, looks: Sequence[tuple[float, bool]]
) -> list[SeenBetween]:
    """Rows from looks at one layer, each (seconds since the epoch, whether the event had come), in any order.

    Looks that contradict each other (there, and later not yet) become two rows, each with one side only, so that
    neither of them is taken for the whole truth.

    >>> between("A", 1, "skin", [(60.0, False), (120.0, True), (180.0, True)])
    [SeenBetween(mould='A', pours=1, event='skin', after=60.0, before=120.0)]
    """
    not_yet = [t for t, there in looks if not there]
    there = [t for t, there in looks if there]
    after, before = max(not_yet, default=-math.inf), min(there, default=math.inf)
    if not looks:
        return []
    if after < before:
        return [SeenBetween(mould, pours, event, after, before)]
    return [
        SeenBetween(mould, pours, event, before=before),
        SeenBetween(mould, pours, event, after=after),
    ]
