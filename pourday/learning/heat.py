"""What the computed heat says of every place on the grid of factors, from a handful of runs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pourday.forecast.fuse import top_surface, window
from pourday.forecast.mould import MouldRun, simulate_all
from pourday.forecast.mould_case import COARSE, Case, HeatField, Resolution
from pourday.forecast.mould_read import rises
from pourday.learning.evidence import SeenBetween, SeenEvent, SurfaceRead
from pourday.learning.factors import OF_MOULD, TOP, Array, RowSays, chance_between, hedged

STEP = 0.5
"""Natural logarithm between two runs, in each factor: nine runs, from 0.6 to 1.65 times the usual heat loss."""
NODES = (-STEP, 0.0, STEP)
GRID = (TOP[..., None] + 0 * OF_MOULD, OF_MOULD)
"""The two factors at every place of the grid of a mould, as natural logarithms."""
HAND_C = 31.0
"""°C below which a hand calls a wall cold (estimate; the same as in `guide/outlook/as_seen.py`)."""
_OUT_OF_SIGHT = math.inf


@dataclass(frozen=True, eq=False)
class LayerHeat:
    """The layer on top of one mould computed for three heat losses at the top times three at the wall."""

    case: Case
    """With the usual heat loss: its factors are one."""
    runs: tuple[MouldRun, ...]
    """Nine, those of one factor at the top together."""

    @property
    def poured_s(self) -> float:
        """When the layer was poured, s on the clock of the pours."""
        return self.case.pours[-1].at_s

    def kept_for(self, case: Case) -> tuple[HeatField, ...] | None:
        """Where the nine runs of `case` can go on from: the heat after the last pour of these.

        None where the case differs in anything before that, so that it has to be computed from the first pour.
        """
        fields = tuple(run.after_last_pour for run in self.runs)
        return fields if self.case.begins(case, fields[0].at_s) else None

    def log_wait(self, event: SeenEvent, *, crust: bool = False) -> Array | None:
        """Natural logarithm of the seconds from the layer's pour to an event, at every place of the grid of a mould.

        `crust`: it carries once a crust takes no fingerprint, not as soon as its surface has set. None where some run
        has no such event, and nothing can be told from it.
        """
        logs = self.over_the_grid([_time(run, event, crust) for run in self.runs])
        return logs if np.isfinite(logs).all() else None

    def over_the_grid(self, times: Sequence[float | None]) -> Array:
        """The same from the time in each of the nine runs; infinite near a run in which the event does not come."""
        waits = [_OUT_OF_SIGHT if t is None else max(t - self.poured_s, 1.0) for t in times]
        logs = np.log(np.array(waits)).reshape(3, 3)
        return _over(logs, *GRID) if np.isfinite(logs).all() else _by_the_nearest(logs, *GRID)

    def log_at(self, times: Sequence[float | None], top: float, wall: float) -> float:
        """The same at one place: for factors `top` and `wall`, as natural logarithms."""
        waits = [_OUT_OF_SIGHT if t is None else max(t - self.poured_s, 1.0) for t in times]
        logs, at = np.log(np.array(waits)).reshape(3, 3), (np.array(top), np.array(wall))
        return float(_over(logs, *at) if np.isfinite(logs).all() else _by_the_nearest(logs, *at))

    def surface_c(self, at_s: float) -> Array:
        """°C of the open wax at a time on the clock of the pours, at every place of the grid of a mould."""
        surfaces = [top_surface(run) for run in self.runs]
        celsius = [float(np.interp(at_s, s.at_s, s.mean_c)) for s in surfaces]
        return _over(np.array(celsius).reshape(3, 3), *GRID)


def layer_heats(
    cases: Sequence[Case], below: Sequence[LayerHeat | None] | None = None, grid: Resolution = COARSE
) -> list[LayerHeat]:
    """The nine runs of each mould with its pours so far, computed in as few arrays as their rings allow.

    `below` has the nine runs of a mould as it stood an earlier pour ago, one or None a case: where nothing differs up to
    that pour, only what came after it is computed. Raises `Trouble` for a case that cannot be computed.
    """
    starts = [
        None if known is None else known.kept_for(case)
        for case, known in zip(cases, below or [None] * len(cases), strict=True)
    ]
    groups: dict[int, list[int]] = {}
    for i, start in enumerate(starts):
        groups.setdefault(start[0].r.size if start else 0, []).append(i)
    heats: dict[int, LayerHeat] = {}
    for rings, together in groups.items():
        nine = [run for i in together for run in _nine(cases[i])]
        begin = [f for i in together for f in starts[i] or ()] if rings else None
        runs = simulate_all(nine, grid=grid, start=begin)
        heats |= {i: LayerHeat(cases[i], tuple(runs[9 * n : 9 * n + 9])) for n, i in enumerate(together)}
    return [heats[i] for i in range(len(cases))]


def _nine(case: Case) -> list[Case]:
    """The cases that the nine runs of a mould are computed for."""
    return [with_heat_loss(case, math.exp(top), math.exp(wall)) for top in NODES for wall in NODES]


def layer_heat(case: Case, grid: Resolution = COARSE) -> LayerHeat:
    """The nine runs of one mould. Raises `Trouble` for a case that cannot be computed."""
    return layer_heats([case], grid=grid)[0]


def with_heat_loss(case: Case, top: float, wall: float) -> Case:
    """A mould that loses so many times the heat at its open top and through its walls."""
    vessel = case.vessel
    loses = replace(vessel, top_factor=vessel.top_factor * top, side_factor=vessel.side_factor * wall)
    return replace(case, vessel=loses)


def told(row: SeenBetween | SurfaceRead, heat: LayerHeat, first_pour_t: float) -> RowSays | None:
    """What a row says of the factors, hedged; None where it tells nothing.

    `first_pour_t` is when the first pour was made, seconds since the epoch.
    """
    says = likelihood(row, heat, first_pour_t)
    if says is None:
        return None
    by_crust: Array | None = says
    if isinstance(row, SeenBetween) and row.event == "carries":
        by_crust = likelihood(row, heat, first_pour_t, crust=True)
    return RowSays(seen_at(row), row.mould, says, says if by_crust is None else by_crust)


def seen_at(row: SeenBetween | SurfaceRead) -> float:
    """When the newest look that a row rests on was made, seconds since the epoch."""
    if isinstance(row, SurfaceRead):
        return row.at
    return max(t for t in (row.after, row.before) if math.isfinite(t))


def likelihood(
    row: SeenBetween | SurfaceRead, heat: LayerHeat, first_pour_t: float, *, crust: bool = False
) -> Array | None:
    """How likely a row is under the factors of every place of the grid, hedged; None where it tells nothing."""
    if isinstance(row, SurfaceRead):
        off = (row.celsius - heat.surface_c(row.at - first_pour_t)) / row.error
        return hedged(np.exp(-0.5 * off**2))
    logs = heat.log_wait(row.event, crust=crust)
    if logs is None:
        return None
    after, before = (log_of(t - first_pour_t - heat.poured_s) for t in (row.after, row.before))
    return hedged(chance_between(logs, after, before))


def log_of(seconds: float) -> float:
    """Natural logarithm of a wait; of none, or one before the pour, minus infinity."""
    return math.log(seconds) if seconds > 0 else -math.inf


def _time(run: MouldRun, event: SeenEvent, crust: bool) -> float | None:
    """When an event comes to the layer on top of a run, s on the clock of its pours."""
    s, top = top_surface(run), int(run.after_last_pour.layer[-1])
    match event:
        case "skin":
            return run.layers[top].times["skin"]
        case "carries":
            opens, thick = (
                window(run, run.case.pours[top].celsius).opens_s,
                run.layers[top].times["crust_2mm"],
            )
            return opens if opens is None or thick is None or not crust else max(opens, thick)
        case "cold to the hand":
            return rises(s.at_s, -s.edge_c, -HAND_C)
        case "pulled away":
            return window(run, run.case.pours[top].celsius).pulled_s


def _over(nodes: Array, top: Array, wall: Array) -> Array:
    """Values at the nine runs, shape (3, 3), carried over places by the parabola through each three."""
    a, b = (np.clip(x / STEP, -2.0, 2.0) for x in (top, wall))
    return np.asarray(sum(p * q * nodes[i, j] for i, p in _parabola(a) for j, q in _parabola(b)))


def _by_the_nearest(nodes: Array, top: Array, wall: Array) -> Array:
    """The same where some are infinite, which no line can be drawn through: the value of the run that lies nearest."""
    i, j = (np.clip(np.rint(x / STEP), -1, 1).astype(int) + 1 for x in (top, wall))
    return np.asarray(nodes[i, j])


def _parabola(x: Array) -> Sequence[tuple[int, Array]]:
    """The weights of the three runs of one factor at -1, 0 and 1."""
    return (0, x * (x - 1) / 2), (1, 1 - x * x), (2, x * (x + 1) / 2)
