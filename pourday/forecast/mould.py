"""Layers in moulds: what the wax will do, computed.

`simulate` runs one mould, `simulate_all` several in one array, `likely_early_late` each of them three
times for the spread. A run can begin where an earlier one stood after its last pour, so that a new fact
costs only what comes after that.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from pourday.errors import Trouble
from pourday.forecast import mould_read as read
from pourday.forecast.mould_case import (
    COARSE,
    FINE,
    FINEST,
    ROUGH,
    Around,
    Array,
    Case,
    Films,
    HeatField,
    PourInto,
    Resolution,
    RoundMould,
)
from pourday.forecast.mould_grid import rows_of
from pourday.forecast.mould_read import EVENTS, Surface
from pourday.forecast.mould_run import Run, Snaps, energy, run_all
from pourday.language import tr

__all__ = [
    "COARSE", "EVENTS", "FINE", "FINEST", "ROUGH", "Around", "Case", "Films", "LayerRun", "MouldRun", "MouldSection", "PourInto",
    "Resolution", "RoundMould", "Scenarios", "Surface", "likely_early_late", "simulate", "simulate_all",
]  # fmt: skip


@dataclass(frozen=True, eq=False)
class MouldSection:
    """A mould cut through its axis at one moment: what a picture of its inside is drawn from."""

    z: Array
    """Edges of the rows from base to surface, m, shape (rows + 1,)."""
    r: Array
    """Edges of the rings from axis to wall, m, shape (rings + 1,)."""
    layer: Array
    """Number of the pour that each row belongs to, shape (rows,)."""
    celsius: Array
    """°C, shape (rows, rings)."""
    solid: Array
    """Share of the wax that is solid, 0 to 1, shape (rows, rings)."""


@dataclass(frozen=True, eq=False)
class LayerRun:
    """What becomes of one pour. Times in s on the clock of the pours; None where something does not
    happen in the time computed, or the next pour covers the surface first."""

    poured_s: float
    times: dict[str, float | None]
    """By the names of `EVENTS`. A layer solid or cold at the start of a run has that start as its time."""
    surface: Surface | None
    """None for a layer that was covered before this run began, or in the second it was poured."""


@dataclass(frozen=True, eq=False)
class MouldRun:
    """What becomes of one mould, from its first pour (or where the run began) until it is cold."""

    case: Case
    layers: tuple[LayerRun, ...]
    """One per pour."""
    solid_s: float | None
    """Nothing liquid left anywhere."""
    demould_s: float | None
    """Hottest point within 3 K of the room, and all of it solid: in a room as hot as the wax, never."""
    after_last_pour: HeatField
    """The heat just after the last pour: where to start from when something new is known."""
    snaps: Snaps
    """The heat at a few dozen moments, for pictures and for pours that are only thought of."""
    energy_error: float
    """Heat that the computation lost, as a share of the heat given off: rounding, about 1e-11."""

    def field_at(self, at_s: float) -> HeatField:
        """The heat at a time in s, by straight lines between the two nearest moments of `snaps`.

        Outside the time computed it is the first or the last of them. Where a pour lies between the two
        it is the earlier one: wax is poured at once.
        """
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

    def section(self, at_s: float) -> MouldSection:
        """The mould cut open at a time in s: temperature and solid share of every cell."""
        f = self.field_at(at_s)
        celsius, solid = np.empty_like(f.heat), np.empty_like(f.heat)
        for k in range(int(f.layer[-1]) + 1):
            rows = rows_of(f.layer, k)
            curve = self.case.pours[k].heat_curve(self.case.width_scale)
            celsius[rows] = curve.celsius_at(f.heat[rows])
            solid[rows] = curve.set_at(celsius[rows])
        return MouldSection(f.z, f.r, f.layer.astype(np.float64), celsius, solid)

    def volume(self, at_s: float) -> float:
        """m³ that the wax in the mould takes up at a time, warm as it is then."""
        return float(read.volumes(self.case, self.field_at(at_s)).sum())

    @property
    def well(self) -> float | None:
        """m³ of the shrink well: what the wax loses between the last skin and the core's setting.

        Before there is a skin the level just sinks; once all is solid the candle draws in from
        the wall instead (estimate). None where either lies outside the time computed.
        """
        skin = self.layers[-1].times["skin"]
        if skin is None or self.solid_s is None:
            return None
        return self.volume(skin) - self.volume(max(skin, self.solid_s))

    def liquid(self, at_s: float) -> Array:
        """Share of each pour that is liquid at a time in s, by volume; shape (pours made by then,)."""
        s, f = self.section(at_s), self.field_at(at_s)
        weight = np.diff(f.z)[:, None] * np.diff(f.r**2)[None, :]
        k = range(int(f.layer[-1]) + 1)
        rows = [rows_of(f.layer, i) for i in k]
        return np.array([1 - float((s.solid[i] * weight[i]).sum() / weight[i].sum()) for i in rows])


def _as_mould_run(run: Run) -> MouldRun:
    """A run that has come to its end, with every time read off what was noted on the way."""
    case, last = run.case, run.snaps[-1]
    room = case.at(last.at_s).room_c
    layers = []
    for k in range(int(run.after_last_pour.layer[-1]) + 1):
        times: dict[str, float | None] = dict.fromkeys(EVENTS)
        open_parts = [p for p in run.parts if int(p.grid.layer[-1]) == k]
        surface = _joined([read.surface_of(case, p) for p in open_parts]) if open_parts else None
        set_c = case.pours[k].heat_curve(case.width_scale).celsius_where_set(read.SET)
        if surface is not None:
            times |= read.surface_times(surface, set_c)
        later = [p for p in run.parts if int(p.grid.layer[-1]) >= k]
        at = np.concatenate([p.at_s for p in later])
        hottest = np.concatenate([read.hottest_of(p, k) for p in later])
        times["solid"] = read.stays_below(at, hottest, set_c)
        times["near_room"] = read.near_room(at, hottest, room)
        layers.append(LayerRun(case.pours[k].at_s, times, surface))
    solids, rooms = ([x.times[name] for x in layers] for name in ("solid", "near_room"))
    missing = run.brought - run.lost - energy(case, last.field())
    error = abs(missing) / max(abs(run.lost), 1.0)
    solid_s = _latest(solids)
    demould_s = None if solid_s is None else _latest([*rooms, solid_s])
    return MouldRun(
        case, tuple(layers), solid_s, demould_s, run.after_last_pour, Snaps(tuple(run.snaps)), error
    )


def _latest(times: Sequence[float | None]) -> float | None:
    """The latest of several times; None as soon as one of them is not known."""
    known_times = [t for t in times if t is not None]
    return max(known_times) if len(known_times) == len(times) and known_times else None


def _joined(parts: Sequence[Surface]) -> Surface:
    """One surface from the stretches of time it was computed in, one after the other."""
    if len(parts) == 1:
        return parts[0]
    return Surface(**{f.name: np.concatenate([getattr(p, f.name) for p in parts]) for f in fields(Surface)})


def simulate_all(
    cases: Sequence[Case],
    *,
    grid: Resolution = FINE,
    until_s: float | None = None,
    start: Sequence[HeatField] | None = None,
) -> list[MouldRun]:
    """What becomes of several moulds, computed side by side in one array; one run a case, in their order.

    Goes on until the hottest point of every mould is within 3 K of its room, or to `until_s` on the
    clock of the pours. With `start`, one field a mould (as in `MouldRun.after_last_pour`), only what
    comes after it is computed. Raises `Trouble` for a mould that cannot be computed, for fields that are
    not of these moulds or differ in their number of rings, and for an end before the beginning.
    """
    if not cases:
        return []
    begins: Sequence[HeatField | None] = start or [None] * len(cases)
    for case, f in zip(cases, begins, strict=True):
        case.check()
        if f is not None:
            case.check_start(f)
        if until_s is not None and not (f.at_s if f else case.pours[0].at_s) < until_s < math.inf:
            raise Trouble(tr("A forecast must end after it begins."))
    if len({f.r.size for f in begins if f is not None}) > 1:
        raise Trouble(tr("Moulds of different rings cannot be computed together from kept heat."))
    return [_as_mould_run(run) for run in run_all(cases, grid, until_s, start)]


def simulate(
    vessel: RoundMould,
    pours: Sequence[PourInto],
    around: Around | Sequence[Around] = Around(),  # noqa: B008
    *,
    grid: Resolution = FINE,
    until_s: float | None = None,
    start: HeatField | None = None,
) -> MouldRun:
    """What becomes of one mould; see `simulate_all`.

    5 cm of paraffin at 80 °C in a metal mould of 7 cm, room 20 °C: a surface that carries the next
    colour after three quarters of an hour, a candle to take out after seven and a half hours.

    >>> from pourday.wax.materials import family
    >>> pour = PourInto(at_s=0.0, celsius=80.0, wax=family("paraffin_pillar"), height=0.05)
    >>> run = simulate(RoundMould(radius=0.035, height=0.15), [pour], grid=COARSE)
    >>> round(run.layers[0].times["firm"] / 60), round(run.solid_s / 60), round(run.demould_s / 60)
    (47, 220, 459)
    """
    places = (around,) if isinstance(around, Around) else tuple(around)
    case = Case(vessel, tuple(pours), places)
    return simulate_all([case], grid=grid, until_s=until_s, start=[start] if start else None)[0]


@dataclass(frozen=True, eq=False)
class Scenarios:
    """One mould computed three times: losing heat faster, as is likely, and slower (`HeatSpread`)."""

    early: MouldRun
    likely: MouldRun
    late: MouldRun

    def times(self, layer: int, event: str) -> tuple[float | None, float | None, float | None]:
        """Early, likely and late time in s of one of `EVENTS`; `layer` counts the pours from 0.

        None in each place where the event does not come in the time that run covers.
        """
        times = [o.layers[layer].times[event] for o in (self.early, self.likely, self.late)]
        return _rising(times)

    @property
    def demould_s(self) -> tuple[float | None, float | None, float | None]:
        """Early, likely and late time in s at which the candle can be taken out; see `MouldRun.demould_s`."""
        return _rising([o.demould_s for o in (self.early, self.likely, self.late)])

    @property
    def solid_s(self) -> tuple[float | None, float | None, float | None]:
        """Early, likely and late time in s at which nothing liquid is left in the mould."""
        return _rising([o.solid_s for o in (self.early, self.likely, self.late)])


def _rising(times: list[float | None]) -> tuple[float | None, float | None, float | None]:
    """The three in rising order: here and there the run that cools faster has something happen later."""
    early, likely, late = times
    known = [t for t in times if t is not None]
    return (min(known) if early is not None else None, likely, max(known) if late is not None else None)


def likely_early_late(
    cases: Sequence[Case],
    *,
    grid: Resolution = FINE,
    until_s: float | None = None,
    start: Sequence[Sequence[HeatField]] | None = None,
) -> list[Scenarios]:
    """Early, likely and late runs of several moulds, all computed in one array; see `simulate_all`.

    `start` has three fields a mould to go on from (early, likely, late). The bounds stand for about one
    day in ten being earlier and one in ten later (estimate).

    >>> from pourday.wax.materials import family
    >>> pour = PourInto(at_s=0.0, celsius=80.0, wax=family("paraffin_pillar"), height=0.05)
    >>> three = likely_early_late([Case(RoundMould(0.035, 0.15), (pour,))], grid=COARSE)[0]
    >>> [round(t / 60) for t in three.times(0, "firm")]
    [29, 47, 74]
    """
    runs = [run for c in cases for run in early_likely_late(c)]
    begin = [f for three in start for f in three] if start else None
    outcomes = simulate_all(runs, grid=grid, until_s=until_s, start=begin)
    return [Scenarios(*outcomes[i : i + 3]) for i in range(0, len(outcomes), 3)]


def early_likely_late(case: Case) -> tuple[Case, Case, Case]:
    """The three cases that a mould is computed for, by its `HeatSpread`."""
    return _shifted(case, 0), case, _shifted(case, 1)


def _shifted(case: Case, which: int) -> Case:
    """The case of an early (0) or a late (1) run."""
    by, top = case.spread, case.vessel.top_factor
    return replace(
        case,
        vessel=replace(case.vessel, top_factor=top * by.top[which] / by.wall[which]),
        surface_scale=case.surface_scale * by.wall[which],
        width_scale=case.width_scale * by.width[which],
    )
