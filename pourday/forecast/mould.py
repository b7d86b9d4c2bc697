"""Layers in moulds: what the wax will do, computed.

`simulate` runs one mould, `simulate_all` several in one array, `likely_early_late` the spread.
A run can begin from a kept field, so that a new fact costs only what comes after the last pour.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from pourday.forecast import mould_read as read
from pourday.forecast.mould_case import (
    COARSE,
    FINE,
    FINEST,
    Around,
    Array,
    Case,
    Field,
    Films,
    Pour,
    Resolution,
    Vessel,
    equal_cylinder,
)
from pourday.forecast.mould_grid import pour, ring_areas, rings, rows_of, settled
from pourday.forecast.mould_outside import wall_of
from pourday.forecast.mould_read import EVENTS, Surface
from pourday.forecast.mould_solver import Batch

__all__ = [
    "COARSE", "EVENTS", "FINE", "FINEST", "Around", "Case", "Films", "Layer", "Outlook", "Pour", "Resolution",
    "Section", "Spread", "Surface", "Vessel", "equal_cylinder", "likely_early_late", "simulate", "simulate_all",
]  # fmt: skip

LONGEST = 72 * 3600.0
"""s after the last pour at which a forecast ends whatever the wax does."""
CRUST = 0.006
"""m of crust at the axis from which on the open surface has nothing more to say."""
SURFACE_SPREAD, WIDTH_SPREAD = 0.20, 0.25
"""Early and late runs: coefficients and melting-range width this share up or down (estimate, both at
once; of each alone the likely spread is about 1.4 times as large)."""


@dataclass(frozen=True, eq=False)
class Section:
    """A mould cut through its axis at one moment. Edges in m; arrays of shape (rows, rings)."""

    z: Array
    r: Array
    layer: Array
    celsius: Array
    solid: Array


@dataclass(frozen=True, eq=False)
class Snap:
    """The state of a batch at a moment, decoded when it is asked for."""

    batch: Batch
    m: int
    at_s: float
    state: Array

    def field(self) -> Field:
        return self.batch.field(self.m, self.at_s, self.state)


@dataclass(frozen=True, eq=False)
class Layer:
    """One pour's future. Times in s on the clock of the pours; None: not in the time computed, or
    covered by the next pour first."""

    poured_s: float
    times: dict[str, float | None]
    surface: Surface


@dataclass(frozen=True, eq=False)
class Outlook:
    """One mould's future."""

    case: Case
    layers: tuple[Layer, ...]
    """One per pour since the start of this run, `first` being the number of the first of them."""
    first: int
    solid_s: float | None
    """Nothing liquid left anywhere."""
    demould_s: float | None
    """Hottest point within 3 K of the room."""
    kept: Field
    """The heat just after the last pour; start from here when something changes."""
    snaps: tuple[Snap, ...]
    """The heat at a few dozen moments, for pictures and what-ifs."""
    energy_error: float
    """Heat that went missing over the heat given off: rounding only."""

    def field_at(self, at_s: float) -> Field:
        """The heat at a time, straight between the two nearest kept moments."""
        times = [s.at_s for s in self.snaps]
        i = int(np.clip(np.searchsorted(times, at_s, side="right"), min(1, len(times) - 1), len(times) - 1))
        before, after = self.snaps[max(i - 1, 0)].field(), self.snaps[i].field()
        if after.heat.shape != before.heat.shape or at_s >= after.at_s or after.at_s == before.at_s:
            return after if at_s >= after.at_s else before
        w = (max(at_s, before.at_s) - before.at_s) / (after.at_s - before.at_s)
        return replace(
            before,
            at_s=at_s,
            heat=before.heat + w * (after.heat - before.heat),
            side_c=before.side_c + w * (after.side_c - before.side_c),
            base_c=before.base_c + w * (after.base_c - before.base_c),
        )

    def section(self, at_s: float) -> Section:
        """Temperature and solid share over the cut at a time."""
        f = self.field_at(at_s)
        celsius, solid = np.empty_like(f.heat), np.empty_like(f.heat)
        for k in range(int(f.layer[-1]) + 1):
            rows = rows_of(f.layer, k)
            curve = self.case.pours[k].heat_curve(self.case.width_scale)
            celsius[rows] = curve.celsius_at(f.heat[rows])
            solid[rows] = curve.solid_at(celsius[rows])
        return Section(f.z, f.r, f.layer.astype(np.float64), celsius, solid)

    def liquid(self, at_s: float) -> Array:
        """Liquid share of each layer at a time, by volume."""
        s, f = self.section(at_s), self.field_at(at_s)
        weight = np.diff(f.z)[:, None] * np.diff(f.r**2)[None, :]
        k = range(int(f.layer[-1]) + 1)
        rows = [rows_of(f.layer, i) for i in k]
        return np.array([1 - float((s.solid[i] * weight[i]).sum() / weight[i].sum()) for i in rows])


class _Run:
    """A batch from its first pour to the end, gathering what is read off on the way."""

    def __init__(self, cases: Sequence[Case], grid: Resolution, start: Sequence[Field] | None) -> None:
        self.cases, self.grid = cases, grid
        count = len(cases)
        self.now: list[Field | None] = list(start) if start else [None] * count
        self.first = [int(f.layer[-1]) if f else 0 for f in self.now]
        self.kept: list[Field | None] = list(self.now)
        self.snaps: list[list[Snap]] = [[] for _ in cases]
        self.parts: list[list[_Part]] = [[] for _ in cases]
        self.begun = 0.0
        """When the last thing was poured or moved: what happens since then is fast at first."""
        self.lost = [0.0] * count
        self.energy = [_energy(c, f) if f else 0.0 for c, f in zip(cases, self.now, strict=True)]
        most = max(rings(c, grid).size - 1 for c in cases)
        self.r = [f.r if f else rings(c, grid, most) for c, f in zip(cases, self.now, strict=True)]

    def breaks(self) -> list[float]:
        """Times at which something is poured or moved, in order."""
        times = {p.at_s for c, k, f in zip(self.cases, self.first, self.now, strict=True)
                 for p in c.pours[k + 1 if f else 0 :]}
        begins = min([*times, *(f.at_s for f in self.now if f)])
        times |= {a.from_s for c in self.cases for a in c.around if a.from_s > begins}
        return sorted(times | {begins})

    def pour_due(self, at_s: float) -> None:
        for m, case in enumerate(self.cases):
            done = int(f.layer[-1]) + 1 if (f := self.now[m]) else 0
            for k in range(done, len(case.pours)):
                if case.pours[k].at_s > at_s:
                    break
                before = _energy(case, old) if (old := self.now[m]) else 0.0
                new = pour(case, old, k, self.grid, self.r[m])
                new = replace(new, at_s=at_s)
                self.energy[m] += _energy(case, new) - before
                self.now[m] = self.kept[m] = new

    def segment(self, end_s: float, until_s: float | None) -> None:
        """Runs all moulds that hold something up to a time, or until none has anything left to do.

        Once every last surface carries a crust, the cells are joined to fewer.
        """
        last = end_s == float("inf")
        if self._stretch(end_s, until_s, fine=last):
            late = settled([f for f in self.now if f], self.grid)
            for m, f in zip([m for m, f in enumerate(self.now) if f], late, strict=True):
                self.now[m] = f
            self._stretch(end_s, until_s, fine=False)

    def _stretch(self, end_s: float, until_s: float | None, *, fine: bool) -> bool:
        """One batch; true when it ended because its surfaces had set (only asked where `fine`)."""
        inside = [m for m, f in enumerate(self.now) if f]
        fields = [f for f in self.now if f]
        cases = [self.cases[m] for m in inside]
        batch, trace = Batch(cases, fields), read.Trace()
        begun, next_snap = batch.t, batch.t
        cold = np.array([c.at(begun).room_c + read.NEAR_ROOM for c in cases])
        last = end_s == float("inf")
        depth = [int(np.searchsorted(f.z, f.z[-1] - CRUST)) - 1 for f in fields]
        crusted = np.arange(len(fields)), np.maximum(depth, 0)
        set_c = np.array([c.pours[int(f.layer[-1])].heat_curve(c.width_scale).celsius_where_solid(read.SET)
                          for c, f in zip(cases, fields, strict=True)])
        end_s = min(end_s, self.begun + LONGEST) if until_s is None else min(end_s, until_s)
        while True:
            rate = batch.prepare()
            trace.note(batch)
            over = batch.t >= end_s or (last and until_s is None and bool((trace.hottest[-1].max(axis=1) < cold).all()))
            set_now = fine and not over and bool((trace.axis[-1][crusted] < set_c).all())
            if over or set_now or batch.t >= next_snap:
                state = batch.x.copy()
                for i, m in enumerate(inside):
                    self.snaps[m].append(Snap(batch, i, batch.t, state))
                next_snap = batch.t + max(30.0, 0.06 * (batch.t - self.begun))
            if over or set_now:
                break
            dt = min(self.grid.step_most, max(2.0, self.grid.step * (batch.t - self.begun)))
            left = end_s - batch.t
            batch.step(left if left <= dt * 1.001 else min(dt, left / 2) if left < 2 * dt else dt, rate)
        lost = batch.lost()
        for i, m in enumerate(inside):
            self.now[m] = self.snaps[m][-1].field()
            self.lost[m] += float(lost[i])
            self.parts[m].append(_Part(fields[i], trace, i))
        return set_now

    def outlook(self, m: int) -> Outlook:
        case, parts = self.cases[m], self.parts[m]
        room = case.at(self.snaps[m][-1].at_s).room_c
        layers = []
        for k in range(self.first[m], len(case.pours)):
            mine = [p for p in parts if int(p.grid.layer[-1]) == k]
            later = [p for p in parts if int(p.grid.layer[-1]) >= k]
            if not mine:
                continue
            surface = _joined([read.surface_of(case, p.grid, p.trace, p.m) for p in mine])
            times = read.surface_times(surface)
            at, hottest = _hottest(later, k)
            curve = case.pours[k].heat_curve(case.width_scale)
            times["solid"] = read.stays_below(at, hottest, curve.celsius_where_solid(read.SET))
            times["near_room"] = read.stays_below(at, hottest, room + read.NEAR_ROOM)
            layers.append(Layer(case.pours[k].at_s, times, surface))
        solids, rooms = ([x.times[name] for x in layers] for name in ("solid", "near_room"))
        left = self.energy[m] - self.lost[m] - _energy(case, self.snaps[m][-1].field())
        kept = self.kept[m]
        assert kept is not None
        return Outlook(
            case, tuple(layers), self.first[m], _latest(solids), _latest(rooms), kept, tuple(self.snaps[m]),
            abs(left) / max(abs(self.lost[m]), 1.0),
        )  # fmt: skip


@dataclass(frozen=True, eq=False)
class _Part:
    """One mould's share of one stretch of computing."""

    grid: Field
    trace: read.Trace
    m: int


def _latest(times: Sequence[float | None]) -> float | None:
    found = [t for t in times if t is not None]
    return max(found) if len(found) == len(times) and found else None


def _joined(parts: Sequence[Surface]) -> Surface:
    if len(parts) == 1:
        return parts[0]
    return Surface(**{f.name: np.concatenate([getattr(p, f.name) for p in parts]) for f in fields(Surface)})


def _hottest(parts: Sequence[_Part], k: int) -> tuple[Array, Array]:
    """Times and hottest point of pour k, covered or not."""
    at = np.concatenate([p.trace.at_s for p in parts])
    out = []
    for p in parts:
        n, rows, dz = p.grid.layer.size, rows_of(p.grid.layer, k), np.diff(p.grid.z)
        t = np.stack([h[p.m] for h in p.trace.hottest])[:, :n]
        # A layer's hottest place is often its seam, between two rows.
        seams = (t[:, 1:] * dz[:-1] + t[:, :-1] * dz[1:]) / (dz[1:] + dz[:-1])
        mine = seams[:, max(rows.start - 1, 0) : rows.stop]
        out.append(np.maximum(t[:, rows].max(axis=1), mine.max(axis=1)))
    return at, np.concatenate(out)


def _energy(case: Case, f: Field) -> float:
    """J in wax and wall, above 0 °C."""
    dz, areas = np.diff(f.z), ring_areas(f.r)
    density = np.array([case.pours[int(k)].density for k in f.layer])
    wall = wall_of(case)[1]
    side = wall * 2 * np.pi * f.r[-1] * float((f.side_c * dz).sum())
    return float((f.heat * areas * (density * dz)[:, None]).sum()) + side + wall * float((f.base_c * areas).sum())


def simulate_all(
    cases: Sequence[Case],
    *,
    grid: Resolution = FINE,
    until_s: float | None = None,
    start: Sequence[Field] | None = None,
) -> list[Outlook]:
    """Outlooks of several moulds computed in one array.

    Runs until the hottest point of every mould is within 3 K of its room, or up to `until_s` on
    the clock of the pours. With `start` (one kept field per mould, all of one moment) only what
    comes after it is computed. Raises `Trouble` for a mould that cannot be computed.
    """
    for case in cases:
        case.check()
    run = _Run(cases, grid, start)
    breaks = run.breaks()
    for at_s, end_s in zip(breaks, [*breaks[1:], float("inf")], strict=True):
        if until_s is not None and at_s >= until_s:
            break
        run.begun = at_s
        run.pour_due(at_s)
        run.segment(end_s, until_s)
    return [run.outlook(m) for m in range(len(cases))]


def simulate(
    vessel: Vessel,
    pours: Sequence[Pour],
    around: Around | Sequence[Around] = Around(),  # noqa: B008
    *,
    grid: Resolution = FINE,
    until_s: float | None = None,
    start: Field | None = None,
) -> Outlook:
    """The outlook of one mould; see `simulate_all`."""
    places = (around,) if isinstance(around, Around) else tuple(around)
    case = Case(vessel, tuple(pours), places)
    return simulate_all([case], grid=grid, until_s=until_s, start=[start] if start else None)[0]


@dataclass(frozen=True, eq=False)
class Spread:
    """Three outlooks of one mould, from what moves the times most."""

    early: Outlook
    likely: Outlook
    late: Outlook

    def times(self, layer: int, event: str) -> tuple[float | None, float | None, float | None]:
        """Early, likely and late time of an event of a layer (number as poured), in s, in rising order."""
        found = [o.layers[layer - o.first].times[event] for o in (self.early, self.likely, self.late)]
        return _rising(found)

    @property
    def demould_s(self) -> tuple[float | None, float | None, float | None]:
        return _rising([o.demould_s for o in (self.early, self.likely, self.late)])

    @property
    def solid_s(self) -> tuple[float | None, float | None, float | None]:
        return _rising([o.solid_s for o in (self.early, self.likely, self.late)])


def _rising(found: list[float | None]) -> tuple[float | None, float | None, float | None]:
    early, likely, late = found
    known = [t for t in found if t is not None]
    return (min(known) if early is not None else None, likely, max(known) if late is not None else None)


def likely_early_late(
    cases: Sequence[Case],
    *,
    grid: Resolution = FINE,
    until_s: float | None = None,
    start: Sequence[Sequence[Field]] | None = None,
) -> list[Spread]:
    """The spread of several moulds' outlooks, all computed in one array.

    `start` has three kept fields a mould (early, likely, late). The bounds stand for about one
    day in ten being earlier and one in ten later (estimate).
    """
    runs = [
        replace(c, surface_scale=c.surface_scale * h, width_scale=c.width_scale * w)
        for c in cases
        for h, w in (
            (1 + SURFACE_SPREAD, 1 - WIDTH_SPREAD),
            (1.0, 1.0),
            (1 / (1 + SURFACE_SPREAD), 1 + WIDTH_SPREAD),
        )
    ]
    begin = [f for three in start for f in three] if start else None
    found = simulate_all(runs, grid=grid, until_s=until_s, start=begin)
    return [Spread(*found[i : i + 3]) for i in range(0, len(found), 3)]
