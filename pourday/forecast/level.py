"""How full a mould is while its wax sets: the room that opens, what of it goes to the wall, what is still liquid.

Hot wax poured to a line takes up less and less room: as a liquid that cools, while it sets, and as a solid. What the set
wax loses by cooling draws it in as a body, away from the wall and down; everything else is missing in the middle, as a well
under an open surface and as a hollow under a crust. Weights are what was really poured, so wax is neither made nor lost
here; only the room it takes follows from the computed heat.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from pourday.forecast.mould import MouldRun
from pourday.forecast.mould_case import Array, Case, HeatField
from pourday.forecast.mould_grid import ring_areas, rows_of
from pourday.forecast.mould_read import HALF
from pourday.wax.materials import Wax

DRAWS_IN = 0.012
"""By how much set wax draws in, in length, while it cools to the room: 1.2 %. Published for beeswax rods cast upright in a
closed mould at 70 °C and read at 9 °C (PMC11876593, table 2, where the lengths beside it give 1.0 %); taken for every wax,
which is an estimate."""
OVER_K = 35.0
"""K from setting to the room over which it draws in so far, evenly (estimate: the rods cooled by 54 K from where they set.
With 35 K it comes to 3.4e-4 of the length a kelvin, between theirs and the 5e-4 and more published for paraffin pattern
waxes, “Crown pattern waxes: a study of their behavior on heating and cooling”)."""
COLD_C = 25.0
"""°C at which the solid densities of the wax table hold."""
TO_WALL = 2 / 3
"""Share of the contraction of a set tube that opens at its wall; the rest makes it shorter (derived: a body shrinks alike
in all directions)."""
FLOWS = 0.75
"""Solid share up to which wax still moves to where room opens (estimate)."""
MOMENTS = 28
"""Moments of an outlook at which its level is worked out."""


@dataclass(frozen=True, eq=False)
class Levels:
    """One mould's wax over time, on the clock of its pours: from its last pour until it is cold."""

    at_s: Array
    volume: Array
    """m³ that the wax takes up."""
    gap: Array
    """m³ between set wax and wall."""
    short: Array
    """m³ by which set wax has drawn down from where it stood after that pour, which filled what it had drawn down before:
    room, but none that is missing inside."""
    liquid: Array
    """Share of its weight that is liquid."""
    runs_to: Array
    """m below the surface of the lowest wax that still flows; 0 where none does."""
    crust: Array
    """m of wax at the surface, where it is thinnest, that does not flow any more."""

    def fills(self, at_s: float) -> float:
        """m³ that wax and wall gap take up at a time; the room to a line is what the mould holds to it, less this."""
        return float(np.interp(at_s, self.at_s, self.volume + self.gap))

    def just_after(self, after_s: float) -> tuple[float, float]:
        """m³ of wall gap and of wax so long after the last pour."""
        at_s = float(self.at_s[0]) + after_s
        return float(np.interp(at_s, self.at_s, self.gap)), float(np.interp(at_s, self.at_s, self.volume))

    def liquid_at(self, at_s: float) -> float:
        """Share of the weight that is liquid at a time."""
        return float(np.interp(at_s, self.at_s, self.liquid))

    def runs_to_at(self, at_s: float) -> float:
        """m below the surface of the lowest wax that flows at a time."""
        return float(np.interp(at_s, self.at_s, self.runs_to))

    def stands(self, at_s: float) -> float:
        """m³ of the mould that are not missing inside: wax, gap, and what the set wax has drawn down; it only falls."""
        return float(np.interp(at_s, self.at_s, self._stands))

    def stands_at(self, level: float) -> float | None:
        """The first time at which no more than this (m³) stands; None where that is not in the time computed."""
        return _falls_to(self.at_s, self._stands, level)

    def opens_only(self, room: float) -> float:
        """The time from which no more than this (m³) goes missing until all is cold."""
        when = _falls_to(self.at_s, self._stands, float(self._stands[-1]) + room)
        return float(self.at_s[-1]) if when is None else when

    def crusted(self, depth: float) -> float:
        """The first time at which a crust of this depth (m) stands over all that still flows."""
        when = _falls_to(self.at_s, -self.crust, -depth)
        return float(self.at_s[-1]) if when is None else when

    @property
    def _stands(self) -> Array:
        """m³ that are not missing inside, by moment. Wax that swells again fills no hollow, so it never rises."""
        return np.asarray(np.minimum.accumulate(self.volume + self.gap + self.short))


@dataclass(frozen=True, eq=False)
class Shrinkage:
    """What each pour of a mould does with its room, for every kg of it, from the last pour until all is cold.

    Arrays over `at_s` (s); those of a pour have the pours on their second axis.
    """

    at_s: Array
    volume: Array
    """m³/kg"""
    drawn_in: Array
    """m³/kg that its set wax has drawn in as a body."""
    liquid: Array
    """Share of it that is liquid."""
    runs_to: Array
    crust: Array

    def levels(self, kgs: Sequence[float], bulk: float = 1.0) -> Levels:
        """The levels of the mould with these weights poured, in order, of wax that takes up `bulk` times the room of its row
        in the table."""
        weights = np.asarray(kgs, dtype=np.float64)
        drawn_in = self.drawn_in @ weights
        return Levels(
            self.at_s,
            bulk * (self.volume @ weights),
            TO_WALL * drawn_in,
            (1 - TO_WALL) * (drawn_in - drawn_in[0]),
            self.liquid @ weights / weights.sum(),
            self.runs_to,
            self.crust,
        )


def shrinkage(run: MouldRun) -> Shrinkage:
    """Read off a computed mould that has its heat at every moment."""
    snaps = run.snaps
    picked = sorted({round(i) for i in np.linspace(0, len(snaps) - 1, MOMENTS)}) if len(snaps) else []
    begun = run.after_last_pour
    fields = [begun, *(snaps[i].field() for i in picked if snaps[i].at_s > begun.at_s)]
    # The cells grow coarser as the wax calms down: read together what shares them.
    by_cells = [
        _columns(run.case, list(alike)) for _, alike in groupby(fields, lambda field: field.heat.shape)
    ]
    at_s = np.array([field.at_s for field in fields])
    return Shrinkage(at_s, *(np.concatenate(column) for column in zip(*by_cells, strict=True)))


def levels(run: MouldRun, kgs: Sequence[float]) -> Levels:
    """The levels of a mould from its last pour on; `kgs` has the weight of each pour in it, in order."""
    return shrinkage(run).levels(kgs)


def specific_volume(wax: Wax, celsius: Array, solid: Array) -> Array:
    """m³/kg of wax that is partly set: the liquid and the set share each at its own density, any shapes.

    Pillar paraffin, cold, takes up 15 % less room than it did at 85 °C, as it was poured:

    >>> from pourday.wax.materials import family
    >>> pillar = family("paraffin_pillar")
    >>> hot, cold = (specific_volume(pillar, np.array(c), np.array(s)) for c, s in ((85.0, 0.0), (25.0, 1.0)))
    >>> [round(float(each) * 1e6) for each in (hot, cold)]  # cm³/kg
    [1307, 1105]
    """
    liquid = 1 / (wax.density_liquid * (1 - wax.liquid_expansion * (celsius - wax.density_liquid_at_c)))
    set_wax = (1 + 3 * DRAWS_IN / OVER_K * (celsius - COLD_C)) / wax.density_solid
    return np.asarray((1 - solid) * liquid + solid * np.minimum(set_wax, liquid))


def _columns(case: Case, fields: Sequence[HeatField]) -> tuple[Array, Array, Array, Array, Array]:
    """The columns of `Shrinkage` at moments that share their cells.

    All moments at once: read one by one they cost 15 times as much, near what the heat costs.
    """
    grid, heat = fields[0], np.stack([field.heat for field in fields])
    areas, dz = ring_areas(grid.r), np.diff(grid.z)
    volume, drawn_in, liquid = list[Array](), list[Array](), list[Array]()
    flows: NDArray[np.bool_] = np.zeros((len(fields), heat.shape[1]), dtype=bool)
    for k in range(int(grid.layer[-1]) + 1):
        pour, rows = case.pours[k], rows_of(grid.layer, k)
        curve = pour.heat_curve(case.width_scale)
        share = dz[rows, None] * areas
        mass = share / share.sum()
        celsius = curve.celsius_at(heat[:, rows])
        solid = curve.solid_at(celsius)
        takes = mass * specific_volume(pour.wax, celsius, solid)
        volume.append(takes.sum(axis=(1, 2)))
        liquid.append((mass * (1 - solid)).sum(axis=(1, 2)))
        cooled = np.maximum(curve.celsius_where_set(HALF) - celsius, 0.0)
        strain = (takes * solid * cooled).sum(axis=2) / np.maximum((takes * solid).sum(axis=2), 1e-15)
        held = np.where(solid[:, :, -1] > HALF, 3 * DRAWS_IN / OVER_K * strain, 0.0)
        drawn_in.append((held * takes.sum(axis=2)).sum(axis=1))
        flows[:, rows] = (solid < FLOWS).any(axis=2)
    high, any_flows = float(grid.z[-1]), flows.any(axis=1)
    lowest = np.where(any_flows, grid.z[flows.argmax(axis=1)], high)
    top = np.where(any_flows, grid.z[flows.shape[1] - flows[:, ::-1].argmax(axis=1)], 0.0)
    return (
        np.stack(volume, axis=1), np.stack(drawn_in, axis=1), np.stack(liquid, axis=1), high - lowest, high - top
    )  # fmt: skip


def _falls_to(at_s: Array, value: Array, level: float) -> float | None:
    """First time at which a value is at or below a level, by a straight line between two moments."""
    below = np.flatnonzero(value <= level)
    if not below.size:
        return None
    i = int(below[0])
    if i == 0:
        return float(at_s[0])
    share = (value[i - 1] - level) / max(value[i - 1] - value[i], 1e-30)
    return float(at_s[i - 1] + share * (at_s[i] - at_s[i - 1]))
