"""What a pour does to the wax it meets, computed before it is made: depth, time, and in plain words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from pourday.forecast import mould
from pourday.forecast.fuse import LIMITS, Limits, trouble_if_before, window
from pourday.forecast.mould_case import FINE, Array, Case, HeatField, PourInto
from pourday.forecast.mould_grid import middles, split
from pourday.forecast.mould_read import EDGE, HALF, SET
from pourday.language import tr

_WATCHED = 3600.0
"""s after a pour within which the old wax melts deepest, and so all that is computed. Chosen."""
_REMELT = replace(FINE, top=0.003, seam=0.0004, growth=0.12, step=0.05, step_least=1.0, step_most=240.0)
"""Chosen: fine at the seam and in time, coarse at the new surface, which nobody asks about here."""
_SPLIT = 0.006
"""m below the old surface down to which its rows are split, so that shallow depths can be read off. Chosen."""


@dataclass(frozen=True)
class Remelt:
    """What a pour does to the layer below it. Depths in m down from the seam, at their deepest."""

    at_s: float
    """Time of the pour, s on the clock of the pours."""
    axis: float
    """How deep the old wax becomes more than half liquid at the axis,"""
    edge: float
    """and 1 mm in from the wall, where it is coldest."""
    soft_axis: float
    """How deep it is no longer wholly solid at the axis,"""
    soft_edge: float
    """and 1 mm in from the wall."""
    axis_lasts: float
    """s after the pour until the axis is wholly solid again, at most the hour that is computed: so long it is weak."""
    edge_lasts: float
    """The same 1 mm in from the wall."""


def remelt(run: mould.MouldRun, pours: Sequence[PourInto]) -> list[Remelt]:
    """What each of these pours would do, were it the next one into this mould; see `remelt_each`."""
    return remelt_each([(run, pour) for pour in pours])


def remelt_each(tried: Sequence[tuple[mould.MouldRun, PourInto]]) -> list[Remelt]:
    """What each pour would do, were it the next one into its mould; computed side by side.

    `tried` has (the mould as computed without it, the pour); the answers come in the same order. A pour
    after the end of its run meets the mould as it was then, a few kelvin above the room. Raises `Trouble`
    for a pour before the last one made.
    """
    cases, fields = [], []
    for run, p in tried:
        trouble_if_before(run, p.at_s)
        # On a clock that begins with the pour: all that is in the mould lies before it, and only this is still to come.
        fields.append(replace(split(run.field_at(p.at_s), _SPLIT, _REMELT.seam * 1.5), at_s=0.0))
        before = tuple(replace(q, at_s=-1.0) for q in run.case.pours[: int(fields[-1].layer[-1]) + 1])
        around = (replace(run.case.at(p.at_s), from_s=0.0),)
        cases.append(replace(run.case, pours=(*before, replace(p, at_s=0.0)), around=around))
    runs_by_pour: dict[int, mould.MouldRun] = {}
    for rings in {f.r.size for f in fields}:
        # After a surface has set its field has fewer rings; alike ones go together.
        alike = [i for i, f in enumerate(fields) if f.r.size == rings]
        runs = mould.simulate_all(
            [cases[i] for i in alike], grid=_REMELT, until_s=_WATCHED, start=[fields[i] for i in alike]
        )
        runs_by_pour |= dict(zip(alike, runs, strict=True))
    return [
        _read(runs_by_pour[i], int(f.layer[-1]), p.at_s)
        for i, (f, (_, p)) in enumerate(zip(fields, tried, strict=True))
    ]


def _read(after: mould.MouldRun, top: int, at_s: float) -> Remelt:
    """What the run after a pour at `at_s` shows of the layer below it, pour number `top`."""
    case = after.case
    curve = case.pours[top].heat_curve(case.width_scale)
    half, soft = (curve.celsius_where_set(share) for share in (HALF, SET))
    # At the moment of the pour there is no slope at the seam to read a depth from.
    fields = [f for snap in after.snaps if (f := snap.field()).layer[-1] > top and f.at_s > 0]
    at = np.array([f.at_s for f in fields])
    deep = np.array([_depths(case, f, top, (half, soft)) for f in fields])
    most = [float(d) for d in deep.max(axis=0)]
    lasts = _how_long(at, deep[:, 2]), _how_long(at, deep[:, 3])
    return Remelt(at_s, most[0], most[1], most[2], most[3], lasts[0], lasts[1])


def _layer_height(f: HeatField, k: int) -> float:
    """m."""
    rows = np.flatnonzero(f.layer == k)
    return float(f.z[rows[-1] + 1] - f.z[rows[0]])


def _depths(case: Case, f: HeatField, top: int, levels_c: Sequence[float]) -> list[float]:
    """How far down from its seam pour `top`, covered by the next, is hotter than each level, m.

    For each of `levels_c` first at the axis and then at the edge. The temperature of the seam itself lies
    between the rows either side of it, by their heights.
    """
    curve = case.pours[top].heat_curve(case.width_scale)
    rows = np.flatnonzero(f.layer == top)
    face, mid = f.z[rows[-1] + 1], middles(f.r)
    d = (face - middles(f.z)[rows])[::-1]
    heat = f.heat[rows][::-1]
    share = np.clip((f.r[-1] - EDGE - mid[-2]) / (mid[-1] - mid[-2]), 0, 1)
    columns = (
        curve.celsius_at(heat[:, 0]),
        curve.celsius_at(heat[:, -2] + (heat[:, -1] - heat[:, -2]) * share),
    )
    out = np.empty((len(levels_c), 2))
    for j, t in enumerate(columns):
        above = f.heat[rows[-1] + 1]
        k = case.pours[top + 1].heat_curve(case.width_scale)
        upper = k.celsius_at(above[0] if j == 0 else above[-2] + (above[-1] - above[-2]) * share)
        dz = np.diff(f.z)[rows[-1] : rows[-1] + 2]
        at_face = float((t[0] * dz[1] + upper * dz[0]) / dz.sum())
        depth, down = np.concatenate([[0.0], d]), np.concatenate([[at_face], t])
        for i, level in enumerate(levels_c):
            out[i, j] = _first_zero(depth, down - level, _layer_height(f, top))
    return [float(x) for x in out.ravel()]


def _first_zero(depth: Array, excess: Array, whole: float) -> float:
    """The first depth at which a value is no longer above zero, by a straight line; `whole` where it always is."""
    under = np.flatnonzero(excess <= 0)
    if under.size == 0:
        return whole
    i = int(under[0])
    if i == 0:
        return 0.0
    share = excess[i - 1] / (excess[i - 1] - excess[i])
    return float(depth[i - 1] + share * (depth[i] - depth[i - 1]))


def _how_long(at: Array, depth: Array) -> float:
    """The last time at which there was any depth; 0 where there never was."""
    wet = np.flatnonzero(depth > 0)
    return float(at[wet[-1]]) if wet.size else 0.0


Outcome = Literal["bleeds", "soft line", "welds", "weak seam", "no weld", "behind"]
"""From poured too early to poured too late."""
WORDS: dict[Outcome, str] = {
    "bleeds": tr("The surface is still mostly liquid: the colours will run into each other."),
    "soft line": tr("The surface gives way a little: the line between the colours will be soft."),
    "welds": tr("The old wax melts again at the edge and the join will hold."),
    "weak seam": tr("The middle still welds, but at the edge the new wax only lies on the old: a weak join."),
    "no weld": tr("The old wax stays hard: the layers will part at this join."),
    "behind": tr("The layer has probably pulled from the wall: new wax will run down behind it and show."),
}


@dataclass(frozen=True)
class Verdict:
    """What a pour will do, said before it is made."""

    outcome: Outcome
    words: str
    remelt: Remelt


def verdict(run: mould.MouldRun, pour: PourInto, *, limits: Limits = LIMITS) -> Verdict:
    """What this pour would do as the next one into the mould, in a word and a sentence.

    What speaks against a pour goes first: colours that run, a seam that does not hold, wax that runs down
    behind the layer. Raises `Trouble` for a pour before the last one made.
    """
    melted = remelt(run, [pour])[0]
    w = window(run, pour.celsius, pour.wax, limits=limits)
    if w.bleeds_until_s is None or pour.at_s < w.bleeds_until_s:
        outcome: Outcome = "bleeds"
    elif melted.soft_axis < limits.no_weld:
        outcome = "no weld"
    elif w.pulled_s is not None and pour.at_s >= w.pulled_s:
        outcome = "behind"
    elif w.cold_s is not None and pour.at_s >= w.cold_s:
        outcome = "weak seam" if melted.axis > 0 or melted.soft_edge >= limits.no_weld else "no weld"
    elif w.opens_s is None or pour.at_s < w.opens_s:
        outcome = "soft line"
    else:
        outcome = "welds"
    return Verdict(outcome, WORDS[outcome], melted)
