"""What this day's looks say about how fast this kitchen cools, and the forecasts that follow from it."""

from __future__ import annotations

import math
from dataclasses import replace

from pourday.errors import Trouble
from pourday.forecast.mould_case import USUAL_SPREAD, Case, HeatSpread
from pourday.guide.outlook.cases import case_of
from pourday.learning.evidence import SeenBetween, SurfaceRead
from pourday.learning.factors import TOP_SIGMA, Array, Factor, Factors, factors
from pourday.learning.heat import LayerHeat, layer_heat, likelihood
from pourday.plan.bench import bench
from pourday.plan.weigh import WeighSheet
from pourday.session.evidence import evidence
from pourday.session.state import State

WORTH_SAYING = 0.1
"""Share by which the top sets faster or slower than usual from which on it is said (estimate)."""
TOP_POWER = 1.4
"""By this power of the heat lost at the top a surface sets faster: read off a hundred computed days (estimate)."""

Row = SeenBetween | SurfaceRead


class DayFactors:
    """Works the factors of a session's day out, and keeps the heat that was computed for it between two looks."""

    def __init__(self) -> None:
        self._heats: dict[tuple[str, int], LayerHeat] = {}
        self._rows: dict[tuple[Row, float], tuple[LayerHeat, Array | None]] = {}

    def of(self, state: State, sheet: WeighSheet) -> Factors | None:
        """The factors after everything seen so far; None while nothing was seen that tells anything."""
        seen: dict[str, list[Array]] = {}
        there = {standing.letter for standing in bench(state.plan)}
        for row in evidence(state):
            if row.mould not in there:
                continue  # A revision of the plan took it out.
            first_pour_t, case = case_of(state, sheet, state.moulds[row.mould])
            heat = self._heat(row, case)
            told = None if heat is None else self._likelihood(row, heat, first_pour_t)
            if told is not None:
                seen.setdefault(row.mould, []).append(told)
        return factors(seen) if seen else None

    def _heat(self, row: Row, case: Case) -> LayerHeat | None:
        """The heat of the layer that a row is about; None where it cannot be computed."""
        upto = replace(case, pours=case.pours[: row.pours])
        known = self._heats.get((row.mould, row.pours))
        if known is None or known.case != upto:
            try:
                known = layer_heat(upto)
            except Trouble:
                return None
            self._heats[row.mould, row.pours] = known
        return known

    def _likelihood(self, row: Row, heat: LayerHeat, first_pour_t: float) -> Array | None:
        known = self._rows.get((row, first_pour_t))
        if known is None or known[0] is not heat:
            known = heat, likelihood(row, heat, first_pour_t)
            self._rows[row, first_pour_t] = known
        return known[1]


def with_factors(case: Case, learned: Factors | None, letter: str) -> Case:
    """A mould as this day's looks have it: its likely heat loss, and how far early and late runs lie from it."""
    if learned is None:
        return case
    wall = learned.wall.get(letter, learned.other)
    return replace(
        case,
        vessel=replace(
            case.vessel,
            top_factor=round(learned.top.likely, 2),
            side_factor=round(wall.likely, 2),
        ),
        spread=_spread(learned.top, wall),
    )


def _spread(top: Factor, wall: Factor) -> HeatSpread:
    """Early and late by what is left unknown; of the wax's melting range as much is taken for known as of the top."""
    left = min(1.0, math.log(top.high / top.likely) / (1.2816 * TOP_SIGMA))
    early, late = USUAL_SPREAD.width
    return HeatSpread(
        (round(top.high / top.likely, 2), round(top.low / top.likely, 2)),
        (round(wall.high / wall.likely, 2), round(wall.low / wall.likely, 2)),
        (round(1 - left * (1 - early), 2), round(1 + left * (late - 1), 2)),
    )


def learned_words(learned: Factors | None) -> str:
    """What was learned today, in a sentence; empty where it is not worth saying or not sure yet.

    >>> learned_words(Factors(Factor(0.75, 0.85, 0.95), {}, Factor(0.7, 1.0, 1.4), 3))
    'By what was seen today the top sets about 25 % slower than usual: later windows moved.'
    """
    if learned is None or learned.top.low < 1 < learned.top.high:
        return ""
    longer = learned.top.likely**-TOP_POWER - 1
    if abs(longer) < WORTH_SAYING:
        return ""
    percent = 5 * round(20 * abs(longer))
    way = "slower" if longer > 0 else "faster"
    return f"By what was seen today the top sets about {percent} % {way} than usual: later windows moved."
