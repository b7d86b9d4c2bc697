"""What the computed heat says of every place on the grid of factors, from a handful of runs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pourday.forecast.fuse import top_surface, window
from pourday.forecast.mould import MouldRun, simulate_all
from pourday.forecast.mould_case import COARSE, Case, Resolution
from pourday.forecast.mould_read import rises
from pourday.learning.evidence import SeenBetween, SeenEvent, SurfaceRead
from pourday.learning.factors import OF_MOULD, TOP, Array, chance_between, hedged

STEP = 0.5
"""Natural logarithm between two runs, in each factor: nine runs, from 0.6 to 1.65 times the usual heat loss."""
NODES = (-STEP, 0.0, STEP)
LONGEST = 36 * 3600.0
"""Seconds after its last pour up to which a layer is computed."""
HAND_C = 31.0
"""°C below which a hand calls a wall cold (estimate; the same as in `guide/outlook/as_seen.py`)."""


@dataclass(frozen=True, eq=False)
class LayerHeat:
    """The layer on top of one mould computed for three heat losses at the top times three at the wall."""

    case: Case
    runs: tuple[MouldRun, ...]
    """Nine, those of one factor at the top together."""

    def log_wait(self, event: SeenEvent) -> Array | None:
        """Natural logarithm of the seconds from the layer's pour to an event, at every place of the grid of a mould.

        None where some run has no such event, and nothing can be told from it.
        """
        poured = self.case.pours[-1].at_s
        times = [_time(run, event) for run in self.runs]
        if any(t is None or t - poured < 1.0 for t in times):
            return None
        logs = np.array([math.log((t or 0.0) - poured) for t in times]).reshape(3, 3)
        return _over_the_grid(logs)

    def surface_c(self, at_s: float) -> Array:
        """°C of the open wax at a time on the clock of the pours, at every place of the grid of a mould."""
        surfaces = [top_surface(run) for run in self.runs]
        celsius = [float(np.interp(at_s, s.at_s, s.mean_c)) for s in surfaces]
        return _over_the_grid(np.array(celsius).reshape(3, 3))


def layer_heat(case: Case, grid: Resolution = COARSE) -> LayerHeat:
    """The nine runs of a mould with its pours so far. Raises `Trouble` for a case that cannot be computed."""
    cases = [
        replace(
            case,
            vessel=replace(
                case.vessel,
                top_factor=case.vessel.top_factor * math.exp(top),
                side_factor=case.vessel.side_factor * math.exp(wall),
            ),
        )
        for top in NODES
        for wall in NODES
    ]
    return LayerHeat(case, tuple(simulate_all(cases, grid=grid, until_s=case.pours[-1].at_s + LONGEST)))


def likelihood(row: SeenBetween | SurfaceRead, heat: LayerHeat, first_pour_t: float) -> Array | None:
    """How likely a row is under the factors of every place of the grid, hedged; None where it tells nothing.

    `first_pour_t` is when the first pour was made, seconds since the epoch.
    """
    poured = heat.case.pours[-1].at_s
    if isinstance(row, SurfaceRead):
        off = (row.celsius - heat.surface_c(row.at - first_pour_t)) / row.error
        return hedged(np.exp(-0.5 * off**2))
    logs = heat.log_wait(row.event)
    if logs is None:
        return None
    after, before = (_log(t - first_pour_t - poured) for t in (row.after, row.before))
    return hedged(chance_between(logs, after, before))


def _log(seconds: float) -> float:
    """Natural logarithm of a wait; of none, or one before the pour, minus infinity."""
    return math.log(seconds) if seconds > 0 else -math.inf


def _time(run: MouldRun, event: SeenEvent) -> float | None:
    """When an event comes to the layer on top of a run, s on the clock of its pours."""
    s, top = top_surface(run), int(run.after_last_pour.layer[-1])
    match event:
        case "skin":
            return run.layers[top].times["skin"]
        case "opens":
            return window(run, run.case.pours[top].celsius).opens_s
        case "cold to the hand":
            return rises(s.at_s, -s.edge_c, -HAND_C)
        case "pulled away":
            return window(run, run.case.pours[top].celsius).pulled_s


def _over_the_grid(nodes: Array) -> Array:
    """Values at the nine runs, shape (3, 3), carried over the grid of a mould by the parabola through each three."""
    a, b = (np.clip(x / STEP, -2.0, 2.0) for x in (TOP[..., None] + 0 * OF_MOULD, OF_MOULD))
    return np.asarray(sum(p * q * nodes[i, j] for i, p in _parabola(a) for j, q in _parabola(b)))


def _parabola(x: Array) -> Sequence[tuple[int, Array]]:
    """The weights of the three runs of one factor at -1, 0 and 1."""
    return (0, x * (x - 1) / 2), (1, 1 - x * x), (2, x * (x + 1) / 2)
