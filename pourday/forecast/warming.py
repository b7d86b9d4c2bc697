"""Warming a mould that waited too long, and what a pour then melts: for promises, so on the low side.

Warm air or a warm box is the room of the mould for a while. What is promised is the least over the early,
likely and late outlook, for wax that lands a little colder than it was read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from pourday.forecast.fuse import top_surface
from pourday.forecast.mould import MouldRun, simulate_all
from pourday.forecast.mould_case import COARSE, Around, PourInto
from pourday.forecast.remelt import remelt_each
from pourday.wax.materials import Wax

AIR_C = 80.0
"""Warm air that is kept moving over surface and mould, as it arrives there (estimate)."""
BOX_C = 48.0
"""A warm box, or water outside the mould (common practice, no source: 45-50 °C)."""
AIR_LONGEST, BOX_LONGEST = 3600.0, 5 * 3600.0
LANDS = 2.0
"""K that wax loses from the jug's reading to the surface (estimate)."""


@dataclass(frozen=True, slots=True)
class Warming:
    """Air at `air_c` around a mould until its surface has come to `to_c`."""

    air_c: float
    to_c: float
    longest_s: float
    edge: bool = False
    """Measured at the edge instead of over the area."""


def in_air(to_c: float) -> Warming:
    """Warm air on the surface and the outside, until the surface reads this."""
    return Warming(AIR_C, to_c, AIR_LONGEST)


def in_box(to_c: float) -> Warming:
    """The whole mould in a box or water, until the edge has come to this."""
    return Warming(BOX_C, to_c, BOX_LONGEST, edge=True)


@dataclass(frozen=True, eq=False)
class Warmed:
    """A mould warmed from a moment on, one outlook."""

    outlook: MouldRun
    """With the warming in it; the room is back once it is ready."""
    ready_s: float
    reached: bool
    """Whether it got there at all in the longest time that is tried."""


def warmed(outlook: MouldRun, at_s: float, how: Warming) -> Warmed:
    """The mould after one warming that begins at a time on the clock of its pours."""
    run = _in_warmth(outlook, at_s, how.air_c, how.longest_s)
    s, room = top_surface(run), outlook.case.at(at_s).room_c
    warm = np.flatnonzero((s.edge_c if how.edge else s.mean_c) >= how.to_c)
    ready = float(s.at_s[warm[0]]) if warm.size else float(s.at_s[-1])
    after = replace(run.case, around=(*run.case.around, Around(room_c=room, from_s=ready)))
    return Warmed(replace(run, case=after), ready, bool(warm.size))


@lru_cache(maxsize=16)
def _in_warmth(outlook: MouldRun, at_s: float, air_c: float, longest_s: float) -> MouldRun:
    """The whole time in warm air; how far one warms only says where in it one stops."""
    field = replace(outlook.field_at(at_s), at_s=at_s)
    before = tuple(a for a in outlook.case.around if a.from_s <= at_s) or outlook.case.around[:1]
    case = replace(outlook.case, around=(*before, Around(room_c=air_c, from_s=at_s)))
    return simulate_all([case], grid=COARSE, until_s=at_s + longest_s, start=[field])[0]


@dataclass(frozen=True)
class Promise:
    """What at least is to be expected of a pour, m of old wax that melt again."""

    edge: float
    axis: float
    celsius: float
    takes_s: float = 0.0
    """Warming before it, s; likely."""
    reached: bool = True
    """Whether the warming gets there in the longest time that is tried, in all outlooks."""

    @property
    def least(self) -> float:
        return min(self.edge, self.axis)


def promises(
    tried: Sequence[tuple[MouldRun, float]], celsius: float, wax: Wax, height: float
) -> list[Promise]:
    """What this pour melts in each of these outlooks at its time; computed side by side."""
    pours = [PourInto(at_s=t, celsius=celsius - LANDS, wax=wax, height=height) for _, t in tried]
    melted = remelt_each([(outlook, pour) for (outlook, _), pour in zip(tried, pours, strict=True)])
    return [Promise(f.edge, f.axis, celsius) for f in melted]


def promise(
    outlooks: Sequence[MouldRun], at_s: Sequence[float], celsius: float, wax: Wax, height: float
) -> Promise:
    """The least that this pour melts in any of the outlooks, each at its own time."""
    return least(promises(list(zip(outlooks, at_s, strict=True)), celsius, wax, height))


def least(three: Sequence[Promise]) -> Promise:
    """What at least comes of a pour, whichever of these it turns out to be."""
    return Promise(min(f.edge for f in three), min(f.axis for f in three), three[0].celsius)
