"""Running a batch of moulds from pour to pour until they are cold.

Moulds do not touch each other, so each keeps its own clock: all of them go from one of their own
pours to the next side by side, whatever the kitchen clock says, and no mould waits with small
time steps because another has just been filled.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import groupby
from typing import overload

import numpy as np
from numpy.typing import NDArray

from pourday.forecast import mould_read as read
from pourday.forecast.mould_case import Array, Case, HeatField, Resolution
from pourday.forecast.mould_grid import pour, ring_areas, rings, settled
from pourday.forecast.mould_outside import sheets_of, wall_of
from pourday.forecast.mould_solver import Batch, HeatFrame

LONGEST = 72 * 3600.0
"""s after the last pour at which a forecast ends whatever the wax does. Chosen."""
_CRUST = 0.006
"""m of crust at the axis from which on the open surface has nothing more to say. Chosen: three times the crust at which a
pour is safest."""
Rows = NDArray[np.intp]
_SNAP_EVERY = 2
"""Of so many steps one is kept: between two the heat changes nearly in a straight line."""


@dataclass(frozen=True, eq=False)
class Snap:
    """A mould at a moment, as the solver has it; turned into heat only where somebody looks at that moment."""

    frame: HeatFrame
    at_s: float
    state: Array

    def field(self) -> HeatField:
        """The heat of that moment."""
        return self.frame.field(self.at_s, self.state)


Packed = tuple[HeatFrame, tuple[float, ...], NDArray[np.float32]]
"""Moments that share a frame: their times and, first index, their states."""


class Snaps(Sequence[Snap]):
    """The moments of a run that were noted, in order of time.

    Pickled they are an array a frame in single precision (a hundred-thousandth of a kelvin), taken apart once one
    is asked for.
    """

    def __init__(self, held: Sequence[Snap] | None = None, packed: tuple[Packed, ...] = ()) -> None:
        self._held, self._packed = held, packed

    def _all(self) -> Sequence[Snap]:
        """The moments themselves, taken apart where they came pickled."""
        if self._held is None:
            self._held = [
                Snap(frame, at_s, state.astype(np.float64))
                for frame, times, states in self._packed
                for at_s, state in zip(times, states, strict=True)
            ]
        return self._held

    @overload
    def __getitem__(self, index: int) -> Snap: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[Snap]: ...
    def __getitem__(self, index: int | slice) -> Snap | Sequence[Snap]:
        return self._all()[index]

    def __len__(self) -> int:
        return len(self._all())

    def __reduce__(self) -> tuple[type[Snaps], tuple[None, tuple[Packed, ...]]]:
        packed = self._packed
        if not packed and self._held:
            frames = [(frame, list(group)) for frame, group in groupby(self._held, lambda snap: snap.frame)]
            packed = tuple(
                (frame, tuple(s.at_s for s in group), np.array([s.state for s in group], dtype=np.float32))
                for frame, group in frames
            )
        return Snaps, (None, packed)


NONE = Snaps(())


@dataclass
class Run:
    """One mould while it is computed, and what is gathered on the way."""

    case: Case
    after_last_pour: HeatField
    """The heat just after the last pour so far."""
    now: HeatField
    r: Array
    """Edges of the rings, m; the same from the first pour to the last."""
    breaks: list[float]
    """Times in s at which something is poured or moved, in order; then infinity."""
    brought: float
    """J in the mould at the start and in what was poured since."""
    lost: float = 0.0
    """J given to the surroundings."""
    snaps: list[Snap] = field(default_factory=list)
    parts: list[read.TraceShare] = field(default_factory=list)

    def arrive(self, at_s: float, grid: Resolution) -> None:
        """Pours all that is due by `at_s`, on rows as fine as `grid` has them."""
        for k in range(int(self.now.layer[-1]) + 1, len(self.case.pours)):
            if self.case.pours[k].at_s > at_s:
                break
            new = pour(self.case, self.now, k, grid, self.r)
            self.brought += energy(self.case, new) - energy(self.case, self.now)
            self.now = self.after_last_pour = new


def _begun(case: Case, grid: Resolution, start: HeatField | None, count: int) -> Run:
    """A run at its beginning: from `start`, or from the first pour on `count` rings."""
    r = start.r if start else rings(case, grid, count)
    now = start or pour(case, None, 0, grid, r)
    later = {p.at_s for p in case.pours[int(now.layer[-1]) + 1 :]}
    later |= {a.from_s for a in case.around if a.from_s > now.at_s}
    breaks = sorted({now.at_s, *(t for t in later if t >= now.at_s)})
    return Run(case, now, now, r, [*breaks, float("inf")], energy(case, now))


def run_all(
    cases: Sequence[Case], grid: Resolution, until_s: float | None, start: Sequence[HeatField] | None
) -> list[Run]:
    """Runs all moulds to their ends, one run a case; arguments as in `mould.simulate_all`, already checked."""
    most = max(rings(c, grid).size - 1 for c in cases)
    begins: Sequence[HeatField | None] = start or [None] * len(cases)
    runs = [_begun(c, grid, f, most) for c, f in zip(cases, begins, strict=True)]
    longest = max(len(run.breaks) for run in runs)
    # Aligned at the end: the long cooling after the last pour is where all go together.
    for stretch in range(longest - 1):
        due = [(run, stretch - (longest - len(run.breaks))) for run in runs]
        going = [(run, run.breaks[i], run.breaks[i + 1]) for run, i in due if i >= 0]
        going = [g for g in going if until_s is None or g[1] < until_s]
        if not going:
            continue
        for run, at_s, _ in going:
            run.arrive(at_s, grid)
        _segment(going, grid, until_s)
    return runs


def _segment(going: list[tuple[Run, float, float]], grid: Resolution, until_s: float | None) -> None:
    """Takes each mould, as (run, from, to) in s, on to its next pour or its end.

    The last stretch goes on with fewer cells once all surfaces have set: only the long cooling is left.
    """
    runs = [run for run, _, _ in going]
    begun = np.array([at_s for _, at_s, _ in going])
    end = np.array([min(e, at + LONGEST if until_s is None else until_s) for _, at, e in going])
    last = np.array([np.isinf(e) and until_s is None for _, _, e in going])
    if _stretch(runs, begun, end, last, grid, fine=bool(last.all())):
        for run, f in zip(runs, settled([run.now for run in runs], grid), strict=True):
            run.now = f
        _stretch(runs, begun, end, last, grid, fine=False)


def _stretch(runs: list[Run], begun: Array, end: Array, last: Array, grid: Resolution, *, fine: bool) -> bool:
    """Steps one batch from `begun` to `end` (s, a number each); a mould that is `last` may stop when it is cold.

    True where it stopped early because all surfaces had set, which is looked for only where `fine`.
    """
    starts = [run.now for run in runs]
    batch, trace = Batch([run.case for run in runs], starts), read.Trace()
    frames = [batch.frame(m) for m in range(len(runs))]
    below, set_c = _crust_rows(runs)
    cold = (
        np.array([run.case.at(f.at_s).room_c for run, f in zip(runs, starts, strict=True)]) + read.NEAR_ROOM
    )
    steps = np.zeros(len(runs), dtype=np.intp)
    done = np.zeros(len(runs), dtype=bool)
    every = 0
    while True:
        rate = batch.prepare()
        trace.note(batch)
        steps[~done] += 1
        over = (batch.t >= end) | (last & (trace.hottest[-1].max(axis=1) < cold))
        stop = bool(over.all())
        set_now = fine and not stop and bool((trace.axis[-1][below] < set_c).all())
        if stop or set_now or every % _SNAP_EVERY == 0 or bool((over & ~done).any()):
            state = batch.x.copy()
            for m in np.flatnonzero(~done):
                runs[m].snaps.append(Snap(frames[m], float(batch.t[m]), state[m]))
        done |= over
        if stop or set_now:
            break
        dt = np.minimum(grid.step_most, np.maximum(grid.step_least, grid.step * (batch.t - begun)))
        remaining = end - batch.t
        # Two equal steps at the end rather than one whole and a sliver: slivers cost as much as any.
        dt = np.where(remaining <= 1.001 * dt, remaining, np.where(remaining < 2 * dt, remaining / 2, dt))
        # A mould that is done stands still, so that the others can go on in one array with it.
        batch.step(np.where(done, 0.0, dt), rate)
        every += 1
    lost, noted = batch.lost(), read.NotedSteps.of(trace)
    for i, run in enumerate(runs):
        run.now = run.snaps[-1].field()
        run.lost += float(lost[i])
        run.parts.append(read.TraceShare(starts[i], noted, i, int(steps[i])))
    return set_now


def _crust_rows(runs: list[Run]) -> tuple[tuple[Rows, Rows], Array]:
    """The cell in which each surface shows a crust (numbers of mould and row), and below what °C it does."""
    rows, set_c = [], []
    for run in runs:
        z, k = run.now.z, int(run.now.layer[-1])
        rows.append(max(int(np.searchsorted(z, z[-1] - _CRUST)) - 1, 0))
        set_c.append(run.case.pours[k].heat_curve(run.case.width_scale).celsius_where_set(read.SET))
    return (np.arange(len(runs)), np.array(rows)), np.array(set_c)


def energy(case: Case, f: HeatField) -> float:
    """J in wax and wall of a mould, counted from 0 °C."""
    dz, areas = np.diff(f.z), ring_areas(f.r)
    density = np.array([case.pours[int(k)].density for k in f.layer])
    wax = (f.heat * areas * (density * dz)[:, None]).sum()
    shares = np.array(sheets_of(case.vessel))
    side = 2 * np.pi * f.r[-1] * (dz @ f.side_c @ shares)
    return float(wax + wall_of(case.vessel)[1] * (side + shares @ f.base_c @ areas))
