"""What is computed of a day in one mould: each seam, how fast it set by what was seen, and what was missing at the top-up."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from pourday.forecast.fuse import Window, contact_c, top_surface, window
from pourday.forecast.level import levels
from pourday.forecast.mould import MouldRun, simulate_all
from pourday.forecast.mould_case import COARSE, Case, PourInto
from pourday.forecast.mould_read import HALF
from pourday.forecast.remelt import Remelt, remelt_each
from pourday.guide.outlook.cases import case_of
from pourday.learning.evidence import SeenBetween, SurfaceRead
from pourday.plan.own_layers import mould_of
from pourday.plan.volumes import capacity
from pourday.plan.weigh import WeighSheet
from pourday.session.evidence import evidence, seen_between
from pourday.session.mould import MouldState, PourAt
from pourday.session.state import State

SEES_APART = 5.0
"""K by which a surface has to be read warmer or colder than computed before that says anything: estimate."""


@dataclass(frozen=True, slots=True)
class SeamHeat:
    """One seam as it was made: a pour onto a layer of another colour. Times in s on the clock of the mould's pours."""

    pour: PourAt
    """The pour on top of the seam."""
    into: PourInto
    run: MouldRun
    """The mould with what stood in it before."""
    window: Window
    remelt: Remelt
    edge_c: float
    """°C of the old surface at its edge when the pour came."""
    melts_c: float
    """°C at which half of the old wax is melted: what a seam has to come to for a weld."""

    def seam_c(self, celsius: float) -> float:
        """°C that the seam comes to at its edge under a pour of this temperature."""
        below = self.run.case.pours[-1].wax
        return float(contact_c(celsius, self.edge_c, self.into.wax, below))


@dataclass(frozen=True, slots=True)
class TopUpHeat:
    """The wax under the last top-up, and what still went missing after it."""

    pour: PourAt
    liquid: float
    """Share of the wax in the mould that was liquid when it was topped up."""
    owed: float
    """m³ that went missing afterwards, until all was cold,"""
    owed_kg: float
    """and the kg that would have filled it;"""
    owed_share: float
    """as a share of what the mould holds."""
    calm_s: float | None
    """When no more than a tenth was liquid: s on the clock of the pours; None where that never comes."""


@dataclass(frozen=True, slots=True)
class CandleHeat:
    """All that is computed of one mould."""

    first_pour_t: float
    case: Case
    seams: tuple[SeamHeat, ...]
    top_up: TopUpHeat | None
    """None where nothing was topped up."""
    pace: tuple[float, float] | None
    """(least, most) of the time seen as a share of the time computed; None where nothing was seen."""
    colder: float | None
    """K by which the surface was read colder than computed, the mean of all such readings."""
    cold_s: float | None
    """When all was near the room, s on the clock of the pours."""

    def weakest(self) -> SeamHeat | None:
        """The seam whose edge melted least; None in a candle of one colour."""
        return min(self.seams, key=lambda seam: seam.seam_c(seam.into.celsius) - seam.melts_c, default=None)

    def deepest(self) -> SeamHeat | None:
        """The seam that melted deepest."""
        return max(self.seams, key=lambda seam: seam.remelt.axis, default=None)


def heat_of(state: State, sheet: WeighSheet, mould: MouldState) -> CandleHeat:
    """Compute the day of a mould with at least one pour. Raises `Trouble` for one that cannot be computed."""
    first_pour_t, case = case_of(state, sheet, mould)
    made = sorted(mould.pours, key=lambda pour: pour.t)
    stands = tuple(sorted(case.pours, key=lambda pour: pour.at_s))
    rows = [row for row in seen_between(mould) if row.pours <= len(stands)]
    readings = [row for row in evidence(state) if isinstance(row, SurfaceRead) and row.mould == mould.letter]
    readings = [row for row in readings if row.pours <= len(stands)]
    onto = [n for n in range(1, len(made)) if made[n].part != "top-up" and made[n].layer != made[n - 1].layer]
    topped = next((n for n in range(len(made) - 1, 0, -1) if made[n].part == "top-up"), None)
    # The mould as it stood after its pour number n, without what came later: only where something is read of it.
    wanted = {
        len(made) - 1,
        *(n - 1 for n in onto),
        *(row.pours - 1 for row in rows),
        *(row.pours - 1 for row in readings),
    }
    wanted |= set() if topped is None else {topped - 1}
    upto = sorted(wanted)
    cases = [replace(case, pours=stands[: n + 1]) for n in upto]
    runs = dict(zip(upto, simulate_all(cases, grid=COARSE), strict=True))
    seams = [(made[n], stands[n], runs[n - 1]) for n in onto]
    melted = remelt_each([(run, into) for _, into, run in seams]) if seams else []
    return CandleHeat(
        first_pour_t,
        case,
        tuple(
            SeamHeat(pour, into, run, window(run, into.celsius, into.wax), m, *_edge(run, into))
            for (pour, into, run), m in zip(seams, melted, strict=True)
        ),
        None if topped is None else _top_up(state, mould, made, stands, runs, topped),
        *_pace(rows, readings, runs, first_pour_t),
        runs[len(made) - 1].demould_s,
    )


def _edge(run: MouldRun, into: PourInto) -> tuple[float, float]:
    """(°C of the open surface at its edge when a pour comes, °C at which half of its wax is melted)."""
    surface = top_surface(run)
    curve = run.case.pours[-1].heat_curve(run.case.width_scale)
    return float(np.interp(into.at_s, surface.at_s, surface.edge_c)), curve.celsius_where_set(HALF)


LIQUID_ENOUGH = 0.10
"""Share that may still be liquid at the last top-up: estimate."""


def _top_up(
    state: State,
    mould: MouldState,
    made: list[PourAt],
    stands: tuple[PourInto, ...],
    runs: dict[int, MouldRun],
    last: int,
) -> TopUpHeat:
    """The wax under the top-up that is pour number `last`, and what went missing after all was poured."""
    kgs = [max(pour.kg_best, 1e-4) for pour in made]
    before = levels(runs[last - 1], kgs[:last])
    after = levels(runs[len(made) - 1], kgs)
    # A pour counts from when it is level: what shrinks in the first second is the solver's start.
    owed = max(0.0, after.stands(stands[-1].at_s + 1.0) - after.stands(float(after.at_s[-1])))
    wax = stands[last].wax
    calm = np.flatnonzero(before.liquid <= LIQUID_ENOUGH)
    return TopUpHeat(
        made[last],
        before.liquid_at(stands[last].at_s),
        owed,
        owed * wax.density_at(stands[last].celsius),
        owed / max(capacity(mould_of(state.plan, mould.letter).shape), 1e-9),
        float(before.at_s[calm[0]]) if calm.size else None,
    )


def _pace(
    rows: list[SeenBetween], readings: list[SurfaceRead], runs: dict[int, MouldRun], first_pour_t: float
) -> tuple[tuple[float, float] | None, float | None]:
    """How fast a mould set by what was seen, beside what was computed: ((least, most) of seen time over computed time, K that
    surfaces were read colder than computed)."""
    lows, highs, colder = [0.0], [float("inf")], list[float]()
    for reading in readings:
        surface = top_surface(runs[reading.pours - 1])
        computed = float(np.interp(reading.at - first_pour_t, surface.at_s, surface.mean_c))
        colder.append(computed - reading.celsius)
    for row in rows:
        run = runs[row.pours - 1]
        wait = _wait(run, row)
        if wait is None or wait < 60.0:
            continue
        poured = run.case.pours[-1].at_s + first_pour_t
        if row.after > poured:
            lows.append((row.after - poured) / wait)
        if row.before < float("inf"):
            highs.append(max(0.05, (row.before - poured) / wait))
    seen = len(lows) + len(highs) > 2
    return (max(lows), min(highs)) if seen else None, float(np.mean(colder)) if colder else None


def _wait(run: MouldRun, row: SeenBetween) -> float | None:
    """s from the last pour of a run to the event that a look told of, as computed. None where the run never has it, or where
    a hand felt it and did not see it."""
    top = len(run.layers) - 1
    match row.event:
        case "skin":
            at = run.layers[top].times["skin"]
        case "carries":
            at = window(run, run.case.pours[top].celsius).opens_s
        case _:
            return None
    return None if at is None else at - run.case.pours[top].at_s
