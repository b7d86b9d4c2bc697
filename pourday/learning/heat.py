"""What the computed heat says under any factors, from a handful of runs of the solver."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from msgspec import structs

from pourday.forecast.fuse import top_surface, window
from pourday.forecast.mould import MouldRun, simulate_all
from pourday.forecast.mould_case import COARSE, Case, HeatField, Resolution
from pourday.forecast.mould_read import rises
from pourday.learning.evidence import Row, SeenBetween, SeenEvent, SurfaceLook, SurfaceRead
from pourday.learning.factors import (
    USUAL,
    Array,
    Prior,
    RowSays,
    Whereabouts,
    chance_between,
    chance_of_look,
    hedged,
)
from pourday.wax.materials import Wax

NODES: tuple[tuple[float, ...], ...] = ((-0.5, 0.5), (-0.5, 0.5), (0.3,), (-3.0, 3.0), (0.4,))
"""Values that each factor alone is set to in the runs, as natural logarithm or K: eight of them, and a ninth run with all as
usual. Chosen: two for a factor whose effect bends (the top's) or may be missing on one side. Moved together, the effects of
factors on the logarithm of a wait add up, within 1 % of the wait (computed for 24 two-layer days)."""
FARTHEST = 3.0
"""A factor is not extrapolated beyond so many times the farthest value it was run with. Chosen."""
HAND_C = 31.0
"""°C below which a hand calls a wall cold (estimate; the same as in `guide/outlook/as_seen.py`)."""


@dataclass(frozen=True, eq=False)
class LayerHeat:
    """The layer on top of one mould computed as usual, and with each factor moved alone."""

    case: Case
    """With the usual heat loss and wax: its factors are one."""
    runs: tuple[MouldRun, ...]
    """The usual one, then those of `NODES` in their order."""

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

    def log_wait(self, event: SeenEvent, at: Whereabouts, *, crust: bool = False) -> Array | None:
        """Natural logarithm of the seconds from the layer's pour to an event, at every place `at` of a mould.

        `crust`: it carries once a crust takes no fingerprint, not as soon as its surface has set. None where some run
        has no such event, and nothing can be told from it.
        """
        logs = self.over_the_places([_time(run, event, crust) for run in self.runs], at)
        return logs if np.isfinite(logs).all() else None

    def over_the_places(self, times: Sequence[float | None], at: Whereabouts) -> Array:
        """The same from the time of an event in each of the runs; infinite at places nearer to a run without that
        event than to the usual run."""
        waits = [math.inf if t is None else math.log(max(t - self.poured_s, 1.0)) for t in times]
        return _over(waits, at)

    def surface_c(self, at_s: float, at: Whereabouts) -> Array:
        """°C of the open wax at a time on the clock of the pours, at every place `at` of a mould."""
        surfaces = [top_surface(run) for run in self.runs]
        return _over([float(np.interp(at_s, s.at_s, s.mean_c)) for s in surfaces], at)


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
    """The cases of the nine runs of a mould: the usual one, then those of `NODES`."""
    moved = [_alone(i, x) for i, nodes in enumerate(NODES) for x in nodes]
    return [case, *(with_factors_of(case, by) for by in moved)]


def _alone(i: int, x: float) -> tuple[float, ...]:
    """The factors with number `i` set to `x` and all others as usual."""
    return tuple(x if j == i else 0.0 for j in range(len(NODES)))


def layer_heat(case: Case, grid: Resolution = COARSE) -> LayerHeat:
    """The nine runs of one mould. Raises `Trouble` for a case that cannot be computed."""
    return layer_heats([case], grid=grid)[0]


def with_factors_of(case: Case, factors: Sequence[float]) -> Case:
    """A mould whose heat loss and wax differ from the computed ones by these factors, in the order and units of
    `FACTORS`.

    A wax that comes with an enthalpy curve of its own keeps that.
    """
    top, wall, *of_wax = factors
    vessel = case.vessel
    loses = replace(
        vessel, top_factor=vessel.top_factor * math.exp(top), side_factor=vessel.side_factor * math.exp(wall)
    )
    if not any(of_wax):
        return replace(case, vessel=loses)
    pours = tuple(replace(pour, wax=wax_really(pour.wax, *of_wax)) for pour in case.pours)
    return replace(case, vessel=loses, pours=pours)


def wax_really(wax: Wax, latent: float, melting: float, conductivity: float) -> Wax:
    """A wax that gives off more heat, sets higher and leads heat better than its table says."""
    more, better = math.exp(latent), math.exp(conductivity)
    return structs.replace(
        wax,
        latent_main=wax.latent_main * more, latent_transition=wax.latent_transition * more,
        solidus_c=wax.solidus_c + melting, peak_c=wax.peak_c + melting, liquidus_c=wax.liquidus_c + melting,
        conductivity_solid=wax.conductivity_solid * better, conductivity_liquid=wax.conductivity_liquid * better,
    )  # fmt: skip


LOOKED_FOR: tuple[SeenEvent, SeenEvent] = ("skin", "carries")
"""What begins the second and the third stage of a surface."""


def told(row: Row, heat: LayerHeat, first_pour_t: float, prior: Prior = USUAL) -> RowSays | None:
    """What one row of evidence says of the factors, allowing for a wrong look (`hedged`); None where it tells nothing.
    `first_pour_t` is the zero of the heat's clock, seconds since the epoch."""
    at = prior.whereabouts(row.mould)
    says = likelihood(row, heat, first_pour_t, at)
    if says is None:
        return None
    by_crust: Array | None = says
    if isinstance(row, SurfaceLook) or (isinstance(row, SeenBetween) and row.event == "carries"):
        by_crust = likelihood(row, heat, first_pour_t, at, crust=True)
    return RowSays(seen_at(row), row.mould, says, says if by_crust is None else by_crust)


def seen_at(row: Row) -> float:
    """When the newest look that a row rests on was made, seconds since the epoch."""
    if not isinstance(row, SeenBetween):
        return row.at
    return max(t for t in (row.after, row.before) if math.isfinite(t))


def likelihood(
    row: Row,
    heat: LayerHeat,
    first_pour_t: float,
    at: Whereabouts,
    *,
    crust: bool = False,
) -> Array | None:
    """How likely a row is under the factors of every place `at` of its mould, hedged; None where it tells nothing."""
    if isinstance(row, SurfaceRead):
        off = (row.celsius - heat.surface_c(row.at - first_pour_t, at)) / row.error
        return hedged(np.exp(-0.5 * off**2))
    if isinstance(row, SurfaceLook):
        wait = log_of(row.at - first_pour_t - heat.poured_s)
        skin, carries = (
            heat.over_the_places([_time(run, event, crust) for run in heat.runs], at) for event in LOOKED_FOR
        )
        return chance_of_look(row.stage, skin, carries, wait)
    logs = heat.log_wait(row.event, at, crust=crust)
    if logs is None:
        return None
    after, before = (log_of(t - first_pour_t - heat.poured_s) for t in (row.after, row.before))
    return hedged(chance_between(logs, after, before))


def log_of(seconds: float) -> float:
    """Natural logarithm of a wait in s. Minus infinity for a wait of nothing, or for something that came before the pour."""
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


def _over(values: Sequence[float], at: Whereabouts) -> Array:
    """Values known at the runs, interpolated to places: what each factor does alone, added up.

    A straight line through two runs, a parabola through three. Where a value is infinite, so is every place nearer to
    that run than to the usual one.
    """
    usual, rest = values[0], iter(values[1:])
    total: Array = np.full(np.broadcast_shapes(*(x.shape for x in at)), usual)
    for x, nodes in zip(at, NODES, strict=True):
        effect = _effect(x, nodes, [next(rest) - usual if math.isfinite(usual) else 0.0 for _ in nodes])
        total = total + effect
    return total


def _effect(x: Array, nodes: Sequence[float], moves: Sequence[float]) -> Array:
    """How far a value moves with one factor at `x`, from how far it moved (`moves`) in the runs at `nodes`."""
    known = [(node, move) for node, move in zip(nodes, moves, strict=True) if math.isfinite(move)]
    missing = [node for node, move in zip(nodes, moves, strict=True) if not math.isfinite(move)]
    farthest = FARTHEST * max(map(abs, nodes))
    x = np.clip(x, -farthest, farthest)
    if len(known) == 2:
        (a, at_a), (b, at_b) = known
        out = at_a * x * (x - b) / (a * (a - b)) + at_b * x * (x - a) / (b * (b - a))
    else:
        out = x * (known[0][1] / known[0][0]) if known else np.zeros_like(x)
    for node in missing:
        out = np.where(x / node > 0.5, math.inf, out)
    return np.asarray(out)
