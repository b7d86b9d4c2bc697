"""What is in a mould as it truly is: rings of wax in (r, z) by enthalpy, level, well, wall gap, joints.

State is the enthalpy of every ring, J/kg; temperatures are read off the lot's curve, flows run between
neighbours, so heat is conserved whatever the step. Each pour adds rows on top that are fine at both of
its faces, where skins and joints live. Wax keeps its place while it cools; the volume it loses first lowers
the surface, and once the edge has set leaves a well, a gap at the wall and hollows (`hollows.py`).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from pourday.kitchen import march
from pourday.kitchen.hollows import FEEDS, Hollows, pockets
from pourday.kitchen.shells import MouldTruth, Shell, facing_up, radiation, upright
from pourday.kitchen.truth import GRID_C, Floats, Lot

_FINEST, _COARSEST, _GROWTH = 0.0005, 0.008, 1.45
"""m, the thinnest row at a face of a pour, the thickest inside, and by how much a row is thicker than its neighbour. Chosen."""
_RINGS = np.array([6.5, 6.5, 6.0, 5.5, 4.5, 3.5, 2.5, 1.5]) / 36.5
"""Widths of the rings from the axis to the wall, share of the radius. Chosen."""
_WATCHED = 3 * 3600.0
"""s after a pour in which its joint may still remelt. Chosen."""
_WATCHED_DEPTH = 0.040
"""m below a joint in which that is followed. Chosen."""
_K_AIR = 0.026
"""W/(m K) of the air in the gap at the wall, about 25 °C (handbook)."""
_ROD = 0.010
"""m that a rod is pushed beyond the crust where nobody says how deep (estimate)."""
_WARMED = 0.004
"""m that two minutes of hot air warm. Derived: about the square root of 1e-7 m²/s, the diffusivity of wax, times 120 s."""
_NEAR = 0.015
"""m below a set hollow whose wax takes in the heat of what is poured into it. Estimate."""
_WAX_EMISSIVITY = 0.95
"""As of other organic surfaces (estimate; see `forecast/coefficients.py`)."""


@dataclass(slots=True, eq=False)
class Joint:
    """The face under one pour, and how far the wax below it was molten at most since."""

    layer: int
    row: int
    """First row above the face."""
    lowest: int
    peak: Floats
    """Largest melted share since the pour, rows `lowest` to `row`."""
    at: float


class Seam(NamedTuple):
    """How deep the wax under a joint was remelted at most, m."""

    mean: float
    """Area mean."""
    edge: float
    """At the mould wall."""


def graded(thickness: float) -> Floats:
    """Heights of the rows of one pour, m, bottom to top: fine at both faces, coarse between.

    No row is much thinner than `_FINEST`: what little may be left between the halves is spread over them, for a
    sliver of a row would ask for ten times the stages of every step.
    """
    half: list[float] = []
    size = _FINEST
    while sum(half) + size < thickness / 2 and size < _COARSEST:
        half.append(size)
        size *= _GROWTH
    middle = thickness - 2 * sum(half)
    count = round(middle / min(size, _COARSEST))
    if half and (count == 0 or middle < count * _FINEST):
        stretch = thickness / (2 * sum(half))
        half, count = [stretch * height for height in half], 0
    count = count if half else 1
    return np.array([*half, *[middle / max(count, 1)] * count, *reversed(half)])


class Filling:
    """The wax in one mould. Times in s; `heat_out` counts J lost, the wall's warming included."""

    def __init__(self, lot: Lot, shell: Shell, truth: MouldTruth) -> None:
        self.lot, self.shell, self.truth = lot, shell, truth
        self._least_cp = float((np.diff(lot.enthalpy) / np.diff(GRID_C)).min())
        cold, warm = (float(lot.volume_at(lot.solidus_c - below)) for below in (15.0, 5.0))
        self._contracts = (warm - cold) / warm / 10.0
        """Share of its volume that set wax loses per kelvin."""
        self._sets_at = float(np.interp(0.5, lot.melted, GRID_C))
        """°C below which wax holds its shape."""
        self.hollows = Hollows()
        edges = shell.radius * np.concatenate([[0.0], np.cumsum(_RINGS)])
        self.r_edges: Floats = edges / edges[-1] * shell.radius
        self._dr = np.diff(self.r_edges)
        self.ring_share: Floats = np.diff(self.r_edges**2) / shell.radius**2
        self.heights: Floats = np.empty(0)
        self.layers: list[int] = []
        self.pours: list[int] = []
        """First row of every pour."""
        self.enthalpy: Floats = np.empty((0, len(_RINGS)))
        self.mass: Floats = np.empty((0, len(_RINGS)))
        self.joints: list[Joint] = []
        self.heat_in = 0.0
        self.heat_out = 0.0
        self.mould_c: float | None = None
        """°C of the mould before wax comes to it; None for the room's."""
        self.spilled = 0.0
        """kg that ran over the rim."""
        self.flat = 0.0
        """m³ of the mould up to the level of the surface at the wall."""
        self.highest = 0.0
        """m, the highest level any pour reached while it was liquid."""
        self._floor = 0.0
        self._poured_at = -math.inf

    @property
    def empty(self) -> bool:
        """Whether nothing was poured in yet."""
        return not self.pours

    @property
    def kg(self) -> float:
        """kg of wax in it."""
        return float(self.mass.sum())

    @property
    def celsius(self) -> Floats:
        """°C of every ring, rows x rings."""
        return self.lot.celsius_at(self.enthalpy)

    @property
    def melted(self) -> Floats:
        """Melted share of every ring, 0 to 1."""
        return self.lot.melted_at(self.celsius)

    @property
    def energy(self) -> float:
        """J above 0 °C."""
        return float((self.mass * self.enthalpy).sum())

    @property
    def volume(self) -> float:
        """m³ of wax now."""
        return float((self.mass * self.lot.volume_at(self.celsius)).sum())

    @property
    def well(self) -> float:
        """m³ of the open hollow in the middle of the surface."""
        return max(self.flat - self._filled, 0.0) if self.pours else 0.0

    @property
    def hollow(self) -> float:
        """m³ of the hollows below the surface, those a relief hole leads to included."""
        return float(self.hollows.hidden.sum() + self.hollows.vented.sum())

    @property
    def level(self) -> float:
        """m above the inside bottom of the surface at the wall."""
        return self.shell.height_for(self.flat)

    def room(self, level: float) -> float:
        """m³ of wax that can still be poured before it stands at `level` m, down open holes and well included."""
        return max(self.shell.volume(level) - self.volume - self.hollows.volume, 0.0)

    @property
    def _filled(self) -> float:
        """m³ below the surface: wax, gap and every hollow."""
        return self.volume + self.hollows.volume + float(self.hollows.vented.sum())

    def pour(self, layer: int, kg: float, enthalpy: float, room_c: float, at: float) -> None:
        """Add wax: down open relief holes first, then on top; what does not fit is spilled.

        The cool wall takes its share of the heat of what is poured on top.
        """
        hot = float(self.lot.celsius_at(enthalpy))
        per_kg = float(self.lot.volume_at(hot))
        held = min(kg, self.room(self.shell.height) / per_kg)
        self.spilled += kg - held
        if held <= 0:
            return
        if self.pours:
            self._settle()
            if self._edge_set():
                self._floor = self.flat
        self.heat_in += held * enthalpy
        inside = self._pour_inside(held, enthalpy, per_kg)
        above = held - inside
        if above > 1e-9:
            self.hollows.close()
            cold = room_c if self.mould_c is None else self.mould_c
            wall = self.truth.wall_heat * 2 / self.shell.radius * above / self.lot.density * (hot - cold)
            wall = min(0.5 * wall, 0.1 * above * enthalpy)
            self.heat_out += wall
            self._stack(layer, above, enthalpy - wall / above, at)
        self._poured_at = at
        self._settle()
        self.highest = max(self.highest, self.level)

    def _pour_inside(self, kg: float, enthalpy: float, per_kg: float) -> float:
        """Fill the hollows that a relief hole leads to; returns the kg that went there."""
        vented = self.hollows.vented
        inside = 0.0
        for row in np.flatnonzero(vented).tolist():
            part = min(kg - inside, float(vented[row]) / per_kg)
            if part <= 0:
                break
            share = self._beside(row)
            before = self._row_volumes()
            mass = self.mass + part * share
            self.enthalpy = (self.mass * self.enthalpy + part * share * enthalpy) / mass
            self.mass = mass
            # What of it melts swells, so the hollow holds a little less than its volume of hot wax.
            swollen = float((self._row_volumes() - before).sum())
            vented[row] = max(float(vented[row]) - swollen, 0.0) if part * per_kg < vented[row] else 0.0
            inside += part
        return inside

    def _beside(self, row: int) -> Floats:
        """Weights, rows x rings, of the wax that what is poured into a hollow mixes with."""
        melted = self.melted
        pocket = next((p for p in reversed(pockets(self.heights, melted)) if p.low <= row < p.high), None)
        if pocket is not None:
            weight = np.where(melted >= FEEDS, self.mass, 0.0)
            weight[: pocket.low] = weight[pocket.high :] = 0.0
        else:
            near = np.cumsum(self.heights[row::-1])[::-1] <= _NEAR
            near[-1] = True
            weight = np.zeros_like(self.mass)
            weight[: row + 1][near] = self.mass[: row + 1][near]
        return np.asarray(weight / weight.sum())

    def warm(self, celsius: float) -> None:
        """Warm the surface to that temperature with hot air; what is warmer stays as it is."""
        low = int(np.searchsorted(-np.cumsum(self.heights[::-1])[::-1], -_WARMED))
        low = min(low, len(self.heights) - 1)
        before, volumes, cold = self.energy, self._row_volumes(), self.celsius
        top = np.maximum(self.enthalpy[low:], float(self.lot.enthalpy_at(celsius)))
        self.enthalpy = np.vstack([self.enthalpy[:low], top])
        self.heat_in += self.energy - before
        self._shrink(cold, volumes)

    def take_out(self, layer: int) -> tuple[float, float]:
        """Take that layer and all above it out again, set or not; returns kg and J/kg, both 0 where there is none."""
        first = next((row for row, of in enumerate(self.layers) if of >= layer), len(self.layers))
        mass, enthalpy = self.mass[first:], self.enthalpy[first:]
        kg, heat = float(mass.sum()), float((mass * enthalpy).sum())
        self.heat_out += heat
        self.heights, self.layers = self.heights[:first], self.layers[:first]
        self.mass, self.enthalpy = self.mass[:first], self.enthalpy[:first]
        self.pours = [row for row in self.pours if row < first]
        self.joints = [joint for joint in self.joints if joint.row < first]
        self.hollows.unstack(first)
        self.flat = self._floor = self._filled if self.pours else 0.0
        self.highest = self.level
        return kg, heat / kg if kg > 0 else 0.0

    def relieve(self, depth: float | None = None) -> bool:
        """Push relief holes `depth` m down from the surface; True where they lead somewhere.

        Without a depth as far as it takes: through every crust into the lowest wax that still runs or the lowest
        hollow, with a hot rod where it has set.
        """
        there = pockets(self.heights, self.melted)
        if depth is None:
            ends = [p.high for p in there if not p.open]
            ends += (np.flatnonzero(self.hollows.hidden > 0) + 1).tolist()
            depth = (float(self.heights[min(ends) :].sum()) if ends else 0.0) + _ROD
        return self.hollows.poke(self.heights, depth, there)

    def _stack(self, layer: int, kg: float, enthalpy: float, at: float) -> None:
        """Rows for the new wax; a film too thin for rows of its own is stirred into the top one."""
        thickness = kg / self.lot.density / self.shell.area
        if self.pours and thickness < 2 * _FINEST:
            add = kg * self.ring_share
            total = self.mass[-1] + add
            self.enthalpy[-1] = (self.mass[-1] * self.enthalpy[-1] + add * enthalpy) / total
            self.heights[-1] += thickness
            self.mass[-1] = total
            return
        rows = graded(thickness)
        first = len(self.heights)
        self.hollows.stack(len(rows))
        if self.pours:
            depth = np.cumsum(self.heights[::-1])[::-1]
            lowest = int(np.searchsorted(-depth, -_WATCHED_DEPTH))
            self.joints.append(Joint(layer, first, lowest, self.melted[lowest:first], at))
        self.pours.append(first)
        self.layers += [layer] * len(rows)
        self.heights = np.concatenate([self.heights, rows])
        self.mass = np.vstack([self.mass, kg * np.outer(rows / thickness, self.ring_share)])
        self.enthalpy = np.vstack([self.enthalpy, np.full((len(rows), len(_RINGS)), enthalpy)])

    def advance(self, now: float, until: float, room: Callable[[float], float]) -> None:
        """March to `until`. Steps are short after a pour and grow with its age."""
        while until - now > 1e-6 and self.pours:
            age = now - self._poured_at
            longest = min(max(1.0, 0.06 * age), 240.0 if age < 6 * 3600 else 600.0)
            seconds = min(longest, until - now)
            self._march(seconds, room(now + seconds / 2))
            now += seconds
            self._watch(now)

    def _march(self, seconds: float, room_c: float) -> None:
        """One step of all nodes, `seconds` long and in a room of that temperature; what shrinks leaves its hollow."""
        rings, rows, outside = self._conductances(room_c)
        per_kg = 1.0 / self.mass
        total = outside.copy()
        total[:, :-1] += rings
        total[:, 1:] += rings
        total[:-1] += rows
        total[1:] += rows
        knots = self.lot.enthalpy

        def rate(enthalpy: Floats) -> Floats:
            c = np.interp(enthalpy, knots, GRID_C)
            into = outside * (room_c - c)
            across = rings * (c[:, 1:] - c[:, :-1])
            up = rows * (c[1:] - c[:-1])
            into[:, :-1] += across
            into[:, 1:] -= across
            into[:-1] += up
            into[1:] -= up
            return np.asarray(into * per_kg)

        stiffness = float((2 * total * per_kg).max()) / self._least_cp
        before, warm, volumes = self.energy, self.celsius, self._row_volumes()
        self.enthalpy = march.step(self.enthalpy, rate, seconds, march.stages(seconds, stiffness))
        self.heat_out += before - self.energy
        self._shrink(warm, volumes)

    def _row_volumes(self) -> Floats:
        """m³ of wax by row."""
        return np.asarray((self.mass * self.lot.volume_at(self.celsius)).sum(axis=1))

    def _shrink(self, warm: Floats, volumes: Floats) -> None:
        """Say where the volume went that was lost since the wax was that warm and took up that much."""
        celsius, melted = self.celsius, self.melted
        weight = self.mass * (2.0 - melted - self.lot.melted_at(warm))
        cooled = np.minimum(warm, self._sets_at) - np.minimum(celsius, self._sets_at)
        cooled = (weight * cooled).sum(axis=1) / np.maximum(weight.sum(axis=1), 1e-12)
        shorter = self.hollows.shrink(
            self.heights,
            melted,
            volumes - self._row_volumes(),
            self._contracts * cooled,
            self.shell.area,
        )
        self.flat -= shorter
        self._floor -= shorter
        self._settle()

    def _conductances(self, room_c: float) -> tuple[Floats, Floats, Floats]:
        """W/K between rings, between rows, and from every cell to the room."""
        lot, c = self.lot, self.celsius
        m = lot.melted_at(c)
        k = lot.conductivity_solid * (1 - m) + lot.conductivity_liquid * m * (1 + (lot.swirl - 1) * m * m)
        half_r, half_z = self._dr / 2 / k, self.heights[:, None] / 2 / k
        crowd = self.shell.crowd
        faces = 2 * math.pi * crowd * np.outer(self.heights, self.r_edges[1:-1])
        rings = faces / (half_r[:, :-1] + half_r[:, 1:])
        area = self.shell.area * self.ring_share
        rows = area / (half_z[:-1] + half_z[1:])
        outside = np.zeros_like(c)
        side = 2 * math.pi * crowd * self.shell.radius * self.heights
        outside[:, -1] = side / (self._wall_resistance(c[:, -1], room_c) + half_r[:, -1])
        outside[0] += area / (1 / self.truth.base + self.truth.wall + half_z[0])
        outside[-1] += area / (1 / self._top_film(room_c) + half_z[-1])
        return rings, rows, outside

    def _wall_resistance(self, outer: Floats, room_c: float) -> Floats:
        """m²K/W of air film, wall and shrinkage gap beside every row."""
        t = self.truth
        # The air film lets go of most of the heat's fall on its way out (estimate).
        surface = room_c + 0.8 * (outer - room_c)
        film = t.side * upright(surface, room_c, max(self.level, 0.05))
        film = film + radiation(t.emissivity, surface, room_c)
        gap = self.shell.radius * self.hollows.strain / 3
        return np.asarray(1 / film + t.wall + gap / _K_AIR)

    def _top_film(self, room_c: float) -> float:
        """W/m²K at the open surface; deep in the mould it sees the wall and stale air: a third less one width down (estimate)."""
        surface = float(self.lot.celsius_at(self.enthalpy[-1]) @ self.ring_share)
        open_air = facing_up(surface, room_c, 2 * self.shell.radius)
        open_air += float(radiation(_WAX_EMISSIVITY, surface, room_c))
        depth = max(self.shell.height - self.level, 0.0) / (2 * self.shell.radius)
        return self.truth.top * open_air / (1 + 0.5 * depth)

    def face(self, room_c: float) -> Floats:
        """°C of the open surface over each ring."""
        c, film = self.celsius[-1], self._top_film(room_c)
        k = self.lot.conductivity_solid
        inner = 2 * k / float(self.heights[-1])
        return np.asarray((inner * c + film * room_c) / (inner + film))

    def _edge_set(self) -> bool:
        return bool(self.melted[-1, -1] < 0.5)

    def _settle(self) -> None:
        """The surface follows the volume until its edge has set; set edges stay where they are.

        Wax that melts again under a set edge swells and rises over it.
        """
        lowest = self.flat if self._edge_set() else self._floor
        self.flat = max(self._filled, lowest)

    def _watch(self, now: float) -> None:
        """How far a fresh seam was melted on either side: what will tell whether it welds."""
        fresh = [joint for joint in self.joints if now - joint.at < _WATCHED]
        if fresh:
            melted = self.melted
            for joint in fresh:
                np.maximum(joint.peak, melted[joint.lowest : joint.row], out=joint.peak)

    def seam(self, layer: int) -> Seam | None:
        """The joint under the first pour of a layer; None where there is none."""
        for joint in self.joints:
            if joint.layer == layer and self.layers[joint.row - 1] != layer:
                heights = self.heights[joint.lowest : joint.row][::-1]
                depths = np.array([reach(heights, ring, 0.5) for ring in joint.peak[::-1].T])
                return Seam(float(depths @ self.ring_share), float(depths[-1]))
        return None


def reach(heights: Floats, share: Floats, limit: float) -> float:
    """m from a face down to where a share falls below the limit, between row centres; rows face first."""
    centres = np.cumsum(heights) - heights / 2
    below = np.flatnonzero(share < limit)
    if not len(below):
        return float(heights.sum())
    j = int(below[0])
    if j == 0:
        return float(centres[0] * share[0] / limit)
    part = (share[j - 1] - limit) / (share[j - 1] - share[j])
    return float(centres[j - 1] + part * (centres[j] - centres[j - 1]))
