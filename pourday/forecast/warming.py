"""Warming a mould that waited too long, and what a pour then melts: for promises, so on the low side.

Warm air or a warm box is the room of the mould for a while. What is promised is the least over the early,
likely and late outlook, for wax that lands a little colder than it was read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pourday.forecast.fuse import top_surface
from pourday.forecast.mould import Outlook, simulate_all
from pourday.forecast.mould_case import COARSE, Around, Pour
from pourday.forecast.remelt import Remelt, remelt
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

    outlook: Outlook
    """With the warming in it; the room is back once it is ready."""
    ready_s: float
    reached: bool
    """Whether it got there at all in the longest time that is tried."""


def warmed(outlook: Outlook, at_s: float, how: Warming) -> Warmed:
    """The mould after one warming that begins at a time on the clock of its pours."""
    field = replace(outlook.field_at(at_s), at_s=at_s)
    before = tuple(a for a in outlook.case.around if a.from_s <= at_s) or outlook.case.around[:1]
    room = outlook.case.at(at_s).room_c
    case = replace(outlook.case, around=(*before, Around(room_c=how.air_c, from_s=at_s)))
    run = simulate_all([case], grid=COARSE, until_s=at_s + how.longest_s, start=[field])[0]
    s = top_surface(run)
    warm = np.flatnonzero((s.edge_c if how.edge else s.mean_c) >= how.to_c)
    ready = float(s.at_s[warm[0]]) if warm.size else float(s.at_s[-1])
    after = replace(case, around=(*case.around, Around(room_c=room, from_s=ready)))
    return Warmed(replace(run, case=after), ready, bool(warm.size))


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


def promise(
    outlooks: Sequence[Outlook], at_s: Sequence[float], celsius: float, wax: Wax, height: float
) -> Promise:
    """The least that this pour melts in any of the outlooks, each at its own time."""
    found = [_poured(o, t, celsius, wax, height) for o, t in zip(outlooks, at_s, strict=True)]
    return Promise(min(f.edge for f in found), min(f.axis for f in found), celsius)


def _poured(outlook: Outlook, at_s: float, celsius: float, wax: Wax, height: float) -> Remelt:
    return remelt(outlook, [Pour(at_s=at_s, celsius=celsius - LANDS, wax=wax, height=height)])[0]
