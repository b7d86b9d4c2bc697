"""What is read off a computed mould: surface, crust, core, and the times at which something happens."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, fields

import numpy as np

from pourday.forecast.mould_case import Array, Case, HeatField
from pourday.forecast.mould_grid import middles, ring_areas, rows_of
from pourday.forecast.mould_solver import Batch

HALF, FIRM, SET = 0.5, 0.9, 0.99
"""Solid share of a first skin, of a surface that carries, and of wax taken as solid (estimates: no published figure says at
what share a thumb, a colour or a knife finds wax set)."""
EDGE = 0.001
"""m: the edge is read this far in from the wall, where a fingertip or a thermometer would touch it (estimate)."""
CRUSTS = {"crust_2mm": 0.002, "crust_5mm": 0.005}
"""Depth in m of each crust whose time is told (estimates)."""
NEAR_ROOM = 3.0
"""K above the room at which a candle counts as cold (estimate: about what a hand no longer tells)."""

EVENTS = (
    "skin_edge", "skin", "skin_axis", "firm_edge", "firm", "firm_axis", "set_edge", "set", "set_axis",
    "crust_2mm", "crust_5mm", "solid", "near_room",
)  # fmt: skip
"""Per layer. skin: half solid; firm: 0.9; set: 0.99. Without a place it is the area mean of the surface.
Crust: depth at the axis that is set. solid: nothing liquid left, for good. near_room: hottest point."""


@dataclass(frozen=True, eq=False)
class Surface:
    """The open surface of one layer over time; arrays over `at_s` (s)."""

    at_s: Array
    edge_c: Array
    mean_c: Array
    axis_solid: Array
    edge_solid: Array
    mean_solid: Array
    crust: Array
    """m of set wax below the surface at the axis."""
    down_to_2mm_c: Array
    """Hottest point at the axis from the surface to this depth; infinite in a thinner layer."""
    down_to_5mm_c: Array
    hottest_c: Array
    """Hottest point of this layer."""

    def __reduce__(self) -> tuple[Callable[..., Surface], tuple[Array]]:
        """Sent as one array: whoever takes it in holds up the keys for every single one."""
        return _surface_of, (np.stack([getattr(self, each.name) for each in fields(self)]),)


def _surface_of(rows: Array) -> Surface:
    """A surface from its arrays, one a row."""
    return Surface(*rows)


@dataclass
class Trace:
    """What is noted of a batch at every step; one array a step, whose first axis is the moulds."""

    at_s: list[Array] = field(default_factory=list)
    """s on each mould's clock, shape (moulds,)."""
    surface: list[Array] = field(default_factory=list)
    """°C of the open wax, shape (moulds, rings)."""
    axis: list[Array] = field(default_factory=list)
    """°C of the innermost ring, shape (moulds, rows)."""
    hottest: list[Array] = field(default_factory=list)
    """°C of the hottest ring of each row, shape (moulds, rows)."""

    def note(self, batch: Batch) -> None:
        """Notes where the batch is now; its temperatures are those of the last `Batch.prepare`."""
        self.at_s.append(batch.t.copy())
        self.surface.append(batch.surface())
        self.axis.append(batch.celsius[:, batch.first : -1, 0].copy())
        self.hottest.append(batch.celsius[:, batch.first : -1, : batch.rings].max(axis=2))


@dataclass(frozen=True, eq=False)
class NotedSteps:
    """A trace that is whole, each of its lists as one array whose first axis is the steps."""

    at_s: Array
    surface: Array
    axis: Array
    hottest: Array

    @classmethod
    def of(cls, trace: Trace) -> NotedSteps:
        """The lists of a trace, stacked; each gets the shape (steps, …)."""
        return cls(*(np.stack(noted) for noted in (trace.at_s, trace.surface, trace.axis, trace.hottest)))


@dataclass(frozen=True, eq=False)
class TraceShare:
    """What of a trace is about one mould, number `m` of the batch, until it was done after `steps` steps."""

    grid: HeatField
    """The field it began with, for its edges and layers."""
    noted: NotedSteps
    m: int
    steps: int

    @property
    def at_s(self) -> Array:
        """Time of each step in s, shape (steps,)."""
        return self.of(self.noted.at_s)

    def of(self, noted: Array, rows: int | None = None) -> Array:
        """One of the arrays for this mould alone, shape (steps, ...); of the first `rows` rows only."""
        mine = noted[: self.steps, self.m]
        return mine if rows is None else mine[:, :rows]


def surface_of(case: Case, part: TraceShare) -> Surface:
    """The open surface over one stretch of time in which the same layer was on top."""
    grid, noted = part.grid, part.noted
    k, n = int(grid.layer[-1]), grid.layer.size
    curve = case.pours[k].heat_curve(case.width_scale)
    top = part.of(noted.surface)
    areas = ring_areas(grid.r)
    areas = areas / areas.sum()
    solid = curve.set_at(top)
    axis_c, edge_c = _at_axis(top, grid.r), _at_edge(top, grid.r)
    down_c, depth = _down(axis_c, part.of(noted.axis, n), grid, k)
    whole = _thickness(grid, k)
    to_2mm, to_5mm = (_hottest_down_to(x, down_c, depth, whole) for x in CRUSTS.values())
    hottest = part.of(noted.hottest, n)[:, rows_of(grid.layer, k)].max(axis=1)
    return Surface(
        part.at_s, edge_c, top @ areas,
        curve.set_at(axis_c), curve.set_at(edge_c), solid @ areas,
        _crust(down_c, depth, curve.celsius_where_set(SET), whole), to_2mm, to_5mm, hottest,
    )  # fmt: skip


def hottest_of(part: TraceShare, k: int) -> Array:
    """°C of the hottest point of pour k at each step, shape (steps,), whether it lies open or covered."""
    grid = part.grid
    rows, dz = rows_of(grid.layer, k), np.diff(grid.z)
    t = part.of(part.noted.hottest, grid.layer.size)
    # A layer's hottest place is often its seam, between two rows.
    seams = (t[:, 1:] * dz[:-1] + t[:, :-1] * dz[1:]) / (dz[1:] + dz[:-1])
    at_seam = seams[:, max(rows.start - 1, 0) : rows.stop].max(axis=1)
    return np.asarray(np.maximum(t[:, rows].max(axis=1), at_seam))


def _at_axis(rings: Array, r: Array) -> Array:
    """Value at r = 0, shape (steps,), from the means of the rings (steps, rings): a parabola through the first two."""
    mean_square = (r[1:3] ** 2 + r[:2] ** 2) / 2
    slope = (rings[:, 1] - rings[:, 0]) / (mean_square[1] - mean_square[0])
    return np.asarray(rings[:, 0] - slope * mean_square[0])


def _at_edge(rings: Array, r: Array) -> Array:
    """Value `EDGE` in from the wall, shape (steps,): by the parabola through the three rings around it."""
    place, mid = r[-1] - EDGE, np.sqrt((r[1:] ** 2 + r[:-1] ** 2) / 2)
    j = int(np.clip(np.argmin(np.abs(mid - place)), 1, mid.size - 2))
    a, b, c = mid[j - 1 : j + 2]
    weights = (
        (place - b) * (place - c) / ((a - b) * (a - c)),
        (place - a) * (place - c) / ((b - a) * (b - c)),
        (place - a) * (place - b) / ((c - a) * (c - b)),
    )
    return np.asarray(rings[:, j - 1 : j + 2] @ np.array(weights))


def _thickness(grid: HeatField, k: int) -> float:
    """Height of pour k, m."""
    rows = rows_of(grid.layer, k)
    return float(grid.z[rows.stop] - grid.z[rows.start])


def _down(surface_c: Array, column_c: Array, grid: HeatField, k: int) -> tuple[Array, Array]:
    """The axis of pour k from its surface down to its seam: °C (steps, points), depths in m (points,).

    `surface_c` (steps,) is the surface itself, `column_c` (steps, rows) the middles of the rows below.
    """
    rows, mid = rows_of(grid.layer, k), middles(grid.z)
    points, depth = [surface_c, *column_c[:, rows].T[::-1]], [0.0, *(grid.z[-1] - mid[rows])[::-1]]
    if (first := rows.start) > 0:
        share = (grid.z[first] - mid[first - 1]) / (mid[first] - mid[first - 1])
        points.append(column_c[:, first - 1] + share * (column_c[:, first] - column_c[:, first - 1]))
        depth.append(float(grid.z[-1] - grid.z[first]))
    return np.column_stack(points), np.array(depth)


def _crust(t: Array, depth: Array, set_c: float, whole: float) -> Array:
    """m of set wax from the surface down, shape (steps,): to the first point warmer than `set_c`.

    `t` (steps, points) at `depth` (points,); `whole` is the layer's height, for a layer set through.
    """
    warm = t > set_c
    i = np.where(warm.any(axis=1), warm.argmax(axis=1), 0)
    rows = np.arange(t.shape[0])
    j = np.maximum(i - 1, 0)
    rise = np.maximum(t[rows, i] - t[rows, j], 1e-9)
    part = depth[j] + (depth[i] - depth[j]) * np.clip((set_c - t[rows, j]) / rise, 0, 1)
    return np.where(warm.any(axis=1), np.where(i == 0, 0.0, part), whole)


def _hottest_down_to(place: float, t: Array, depth: Array, whole: float) -> Array:
    """°C of the hottest point from the surface down to a depth of `place` m, shape (steps,).

    Once that has set, the crust is that thick. Asked of the crust itself the time would be rough: it deepens
    faster and faster, at the end from row to row, while this temperature falls through any level smoothly.
    Infinite for a layer thinner than that, so that such a crust never comes.
    """
    if whole < place:
        return np.full(t.shape[0], np.inf)
    j = int(np.searchsorted(depth, place))
    hottest = np.asarray(t[:, :j].max(axis=1))
    if j == depth.size:
        return hottest
    share = (place - depth[j - 1]) / (depth[j] - depth[j - 1])
    return np.asarray(np.maximum(hottest, t[:, j - 1] + share * (t[:, j] - t[:, j - 1])))


def rises(at_s: Array, value: Array, level: float) -> float | None:
    """First time a value reaches a level, by a straight line between two steps; None if it does not.

    >>> rises(np.array([0.0, 10.0, 20.0]), np.array([0.0, 0.4, 1.0]), level=0.7)
    15.0
    """
    above = value >= level
    if not above.any():
        return None
    i = int(above.argmax())
    if i == 0:
        return float(at_s[0])
    share = (level - value[i - 1]) / (value[i] - value[i - 1])
    return float(at_s[i - 1] + share * (at_s[i] - at_s[i - 1]))


def stays_below(at_s: Array, value: Array, level: float) -> float | None:
    """The time from which a value stays below a level; None if it is above it at the end.

    >>> stays_below(np.array([0.0, 10.0, 20.0]), np.array([60.0, 50.0, 40.0]), level=45.0)
    15.0
    """
    above = np.flatnonzero(value > level)
    if above.size == 0:
        return float(at_s[0])
    i = int(above[-1])
    if i == at_s.size - 1:
        return None
    share = (value[i] - level) / (value[i] - value[i + 1])
    return float(at_s[i] + share * (at_s[i + 1] - at_s[i]))


def near_room(at_s: Array, hottest_c: Array, room_c: float) -> float | None:
    """When the hottest point is within `NEAR_ROOM` of the room for good, s; None if not in the time computed.

    The last steps are hours long and the difference decays exponentially: its logarithm falls in a straight line.
    """
    above = np.log(np.maximum(hottest_c - room_c, 1e-6))
    return stays_below(at_s, above, float(np.log(NEAR_ROOM)))


def surface_times(s: Surface, set_c: float) -> dict[str, float | None]:
    """Times in s of those `EVENTS` that a surface shows while it lies open; the wax is set at `set_c`."""
    out: dict[str, float | None] = {}
    for name, level in (("skin", HALF), ("firm", FIRM), ("set", SET)):
        out[name + "_edge"] = rises(s.at_s, s.edge_solid, level)
        out[name] = rises(s.at_s, s.mean_solid, level)
        out[name + "_axis"] = rises(s.at_s, s.axis_solid, level)
    for name, hottest in zip(CRUSTS, (s.down_to_2mm_c, s.down_to_5mm_c), strict=True):
        out[name] = rises(s.at_s, -hottest, -set_c)
    return out


def volumes(case: Case, grid: HeatField) -> Array:
    """m³ that the wax of every cell takes up, warm as it is; shape (rows, rings).

    Liquid by its density at its temperature; below the liquidus the volume falls with the heat
    given off, down to the density of the cold solid (estimate: it splits the whole shrinkage
    between melting and cooling about as it is measured).
    """
    areas, dz = ring_areas(grid.r), np.diff(grid.z)
    out = np.empty_like(grid.heat)
    for k in range(int(grid.layer[-1]) + 1):
        p, rows = case.pours[k], rows_of(grid.layer, k)
        curve = p.heat_curve(case.width_scale)
        mass = p.density * dz[rows, None] * areas
        cold, hot = curve.heat_at([25.0, p.wax.liquidus_c])
        v_cold, v_hot = 1 / p.wax.density_solid, 1 / p.wax.density_at(p.wax.liquidus_c)
        share = np.clip((grid.heat[rows] - cold) / (hot - cold), 0, 1)
        t = curve.celsius_at(grid.heat[rows])
        liquid = 1 / (p.wax.density_liquid * (1 - p.wax.liquid_expansion * (t - p.wax.density_liquid_at_c)))
        out[rows] = mass * np.where(t > p.wax.liquidus_c, liquid, v_cold + (v_hot - v_cold) * share)
    return out
