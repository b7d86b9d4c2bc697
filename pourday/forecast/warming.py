"""Warming a mould that waited too long, and what a pour then melts: promised to a person, so on the low side.

Warm air or a warm box is computed as the room of the mould for a while. What is promised is the least over
the early, likely and late run, for wax that arrives a little colder than it was read in the jug.
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
"""s of warming after which nobody would go on (estimates)."""
LANDS = 2.0
"""K that wax loses from the jug's reading to the surface (estimate)."""


@dataclass(frozen=True, slots=True)
class Warming:
    """Air at `air_c` around a mould until its surface has come to `to_c`."""

    air_c: float
    to_c: float
    longest_s: float
    """s after which it is given up."""
    edge: bool = False
    """Whether it is the edge that has to come to `to_c`, and not the mean of the surface."""


def in_air(to_c: float) -> Warming:
    """Warm air on the surface and the outside, until the surface reads `to_c`, °C."""
    return Warming(AIR_C, to_c, AIR_LONGEST)


def in_box(to_c: float) -> Warming:
    """The whole mould in a box or water, until the edge has come to `to_c`, °C."""
    return Warming(BOX_C, to_c, BOX_LONGEST, edge=True)


@dataclass(frozen=True, eq=False)
class Warmed:
    """One run of a mould that was warmed."""

    run: MouldRun
    """With the warming in it; from `ready_s` on the mould stands in the room again."""
    ready_s: float
    """When it was warm enough, or given up; s on the clock of its pours."""
    reached: bool
    """Whether it got there at all in the longest time that is tried."""


def warmed(run: MouldRun, at_s: float, how: Warming) -> Warmed:
    """The mould after one warming that begins at `at_s`, s on the clock of its pours."""
    warming = _in_warmth(run, at_s, how.air_c, how.longest_s)
    s, room = top_surface(warming), run.case.at(at_s).room_c
    warm = np.flatnonzero((s.edge_c if how.edge else s.mean_c) >= how.to_c)
    ready = float(s.at_s[warm[0]]) if warm.size else float(s.at_s[-1])
    after = replace(warming.case, around=(*warming.case.around, Around(room_c=room, from_s=ready)))
    return Warmed(replace(warming, case=after), ready, bool(warm.size))


@lru_cache(maxsize=16)
def _in_warmth(run: MouldRun, at_s: float, air_c: float, longest_s: float) -> MouldRun:
    """The mould in warm air for the longest time; how far it is to be warmed only says where in it to stop.

    So one computation, cached, serves every temperature that is tried.
    """
    field = replace(run.field_at(at_s), at_s=at_s)
    before = tuple(a for a in run.case.around if a.from_s <= at_s) or run.case.around[:1]
    case = replace(run.case, around=(*before, Around(room_c=air_c, from_s=at_s)))
    return simulate_all([case], grid=COARSE, until_s=at_s + longest_s, start=[field])[0]


@dataclass(frozen=True)
class Promise:
    """What at least is to be expected of a pour: m of old wax that melt again."""

    edge: float
    """1 mm in from the wall,"""
    axis: float
    """and in the middle."""
    celsius: float
    """What the pour is read at in the jug, °C."""
    takes_s: float = 0.0
    """Warming before it, s; likely."""
    reached: bool = True
    """Whether the warming gets there in the longest time that is tried, in all runs."""

    @property
    def least(self) -> float:
        """m of old wax that melt again where they melt least."""
        return min(self.edge, self.axis)


def promises(
    tried: Sequence[tuple[MouldRun, float]], celsius: float, wax: Wax, height: float
) -> list[Promise]:
    """What one pour would melt in each of several runs, (run, s on the clock of its pours); computed side by side.

    `celsius` as read in the jug, `height` of the new layer in m. Raises `Trouble` for a time before the last pour.
    """
    pours = [PourInto(at_s=t, celsius=celsius - LANDS, wax=wax, height=height) for _, t in tried]
    melted = remelt_each([(run, pour) for (run, _), pour in zip(tried, pours, strict=True)])
    return [Promise(f.edge, f.axis, celsius) for f in melted]


def promise(
    runs: Sequence[MouldRun], at_s: Sequence[float], celsius: float, wax: Wax, height: float
) -> Promise:
    """The least that one pour would melt in any of the runs, each met at its own time; see `promises`."""
    return least(promises(list(zip(runs, at_s, strict=True)), celsius, wax, height))


def least(three: Sequence[Promise]) -> Promise:
    """The promise that holds whichever of the three runs (early, likely, late) turns out to be true."""
    return Promise(min(f.edge for f in three), min(f.axis for f in three), three[0].celsius)
