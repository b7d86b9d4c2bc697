"""What this day's looks say about how fast this kitchen cools, and the forecasts that follow from it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from pourday.forecast.mould_case import USUAL_SPREAD, Case, HeatSpread
from pourday.guide.outlook.cases import case_of
from pourday.language import tr
from pourday.learning.evidence import Row
from pourday.learning.factors import (
    SIGMAS,
    USUAL,
    Factor,
    Factors,
    Posterior,
    Prior,
    RowSays,
    posterior,
    with_wax,
)
from pourday.learning.heat import LayerHeat, layer_heats, seen_at, told, with_factors_of
from pourday.learning.kitchen import LearnedKitchen
from pourday.plan.bench import bench
from pourday.plan.model import Mould, Plan
from pourday.plan.weigh import WeighSheet
from pourday.session.evidence import evidence, seen_between
from pourday.session.state import State
from pourday.wax.unsure import open_beyond

WORTH_SAYING = 0.1
"""Share by which the top sets faster or slower than usual from which on it is said (estimate)."""
MOVED_AGAIN = 0.15
"""By how much that has to change until it is said again (estimate)."""
AT_ONCE = 0.85
"""In the early and the late run every factor is off to the same side at once, which happens less often than one
factor being off so far: so each is moved by this share of its own spread. With two factors that matter alike 0.71
(the root of a half) would be right, with one that matters alone 1 (estimate)."""

Layer = tuple[str, int]
"""A mould, and how many pours stand in it."""


class DayFactors:
    """Works the factors of a session's day out, and keeps the heat that was computed for it between two looks."""

    def __init__(self) -> None:
        self._heats: dict[Layer, LayerHeat] = {}
        self._rows: dict[tuple[Row, float], tuple[LayerHeat, RowSays | None]] = {}
        self._prior = USUAL
        self._posteriors: dict[bool, tuple[Prior, list[RowSays], Posterior]] = {}
        """What the last rows came to, those before the newest look (False) and all of them (True)."""

    def of(
        self,
        state: State,
        sheet: WeighSheet,
        prior: Prior = USUAL,
        *,
        only_known: bool = False,
        kelvin: float | None = None,
    ) -> tuple[Posterior, Posterior]:
        """(the factors after everything seen so far, those before the newest look).

        What is open of a wax that nobody knows widens the prior, until looks narrow it; `kelvin` as in `unsure.open_beyond`.
        `only_known`: no heat is computed for it; a layer of which none is known yet teaches nothing.
        """
        prior = with_wax(prior, *open_beyond(sheet.wax, kelvin))
        if prior != self._prior:
            self._prior, self._rows = prior, {}
        there = {standing.letter for standing in bench(state.plan)}
        # A revision of the plan may have taken a mould out.
        rows = [row for row in evidence(state) if row.mould in there]
        cases = {x: case_of(state, sheet, state.moulds[x]) for x in {row.mould for row in rows}}
        if not only_known:
            self._compute({(row.mould, row.pours): _up_to(cases[row.mould][1], row.pours) for row in rows})
        newest = max((seen_at(row) for row in rows), default=0.0)
        before = [row for row in evidence(state, until=newest) if row.mould in there]
        return (
            self._posterior(True, self._told(rows, cases), prior),
            self._posterior(False, self._told(before, cases), prior),
        )

    def _posterior(self, newest_too: bool, rows: list[RowSays], prior: Prior) -> Posterior:
        """What these rows come to; the same object as the last time where they are the same rows."""
        known = self._posteriors.get(newest_too)
        if known is not None and known[0] == prior and _same_rows(known[1], rows):
            return known[2]
        result = posterior(rows, prior)
        self._posteriors[newest_too] = prior, rows, result
        return result

    def heats(self, cases: Mapping[str, Case], *, only_known: bool = False) -> dict[str, LayerHeat]:
        """The runs of the layer on top of each mould, by letter; none of one that cannot be computed.

        `only_known`: nor of one that has not been computed yet.
        """
        wanted = {(letter, len(case.pours)): case for letter, case in cases.items()}
        if not only_known:
            self._compute(wanted)
        return {
            x: self._heats[x, n]
            for (x, n), case in wanted.items()
            if (x, n) in self._heats and self._heats[x, n].case == case
        }

    def _compute(self, wanted: Mapping[Layer, Case]) -> None:
        """See to it that the runs of these layers are known, as far as they can be computed."""
        missing = {
            x: case for x, case in wanted.items() if x not in self._heats or self._heats[x].case != case
        }
        for layer in missing:
            self._heats.pop(layer, None)
        # A layer goes on from the one below it, where that is known, so the lower one of a mould comes first.
        for pours in sorted({pours for _, pours in missing}):
            together = {layer: case for layer, case in missing.items() if layer[1] == pours}
            below = [self._heats.get((letter, pours - 1)) for letter, _ in together]
            try:
                self._heats |= zip(together, layer_heats(list(together.values()), below), strict=True)
            except Exception:
                for layer, case in together.items():
                    try:
                        self._heats[layer] = layer_heats([case])[0]
                    except Exception:
                        continue  # That mould is gone on with by eye; why is said by whoever computes its forecast.

    def _told(self, rows: Iterable[Row], cases: Mapping[str, tuple[float, Case]]) -> list[RowSays]:
        """What each row says of the factors, by the runs of its layer; a row whose layer was not computed says
        nothing."""
        rows_told = []
        for row in rows:
            heat = self._heats.get((row.mould, row.pours))
            says = None if heat is None else self._says(row, heat, cases[row.mould][0])
            if says is not None:
                rows_told.append(says)
        return rows_told

    def _says(self, row: Row, heat: LayerHeat, first_pour_t: float) -> RowSays | None:
        """What one row says; worked out once for each row and each set of runs."""
        known = self._rows.get((row, first_pour_t))
        if known is None or known[0] is not heat:
            known = heat, told(row, heat, first_pour_t, self._prior)
            self._rows[row, first_pour_t] = known
        return known[1]


def _same_rows(one: Sequence[RowSays], other: Sequence[RowSays]) -> bool:
    """Whether two lists hold the very same rows."""
    return len(one) == len(other) and all(a is b for a, b in zip(one, other, strict=True))


def _up_to(case: Case, pours: int) -> Case:
    """A mould as it stood after its first `pours` pours. Readings of the room after the next one are left out, so
    that they do not make it another case."""
    if pours == len(case.pours):
        return case
    covered = case.pours[pours].at_s
    around = tuple(a for i, a in enumerate(case.around) if i == 0 or a.from_s < covered)
    return replace(case, pours=case.pours[:pours], around=around)


def mould_keys(plan: Plan) -> dict[str, str]:
    """By letter, what tells a mould of this bench from others, and is the same on every day."""
    return {standing.letter: mould_key(standing.mould) for standing in bench(plan)}


def mould_key(mould: Mould) -> str:
    """The name of a mould with its material, alike in every language; two that bear the same are taken for one."""
    return f"{mould.name or 'mould'}, {mould.material}"


def wax_key(plan: Plan) -> str:
    """By what the wax of a plan is known again: the waxes of its blend, the largest share first."""
    parts = sorted(plan.blend, key=lambda part: (-part.share, part.wax))
    return ", ".join(part.wax for part in parts)


def prior_of(kitchen: LearnedKitchen | None, plan: Plan) -> Prior:
    """Where a day with this plan begins in a kitchen; None: nothing is known of it, or nothing is to be used."""
    return USUAL if kitchen is None else kitchen.prior(mould_keys(plan), wax_key(plan))


def bounds(state: State, letter: str) -> Mapping[str, tuple[float, float]]:
    """Between when and when each event of the layer on top of a mould came, by what was seen of it: (earliest, latest)
    by event, seconds since the epoch.

    An event whose looks contradict each other is left out.
    """
    pours = len(state.moulds[letter].pours)
    rows = [row for row in seen_between(state.moulds[letter]) if row.pours == pours]
    events = [row.event for row in rows]
    return {row.event: (row.after, row.before) for row in rows if events.count(row.event) == 1}


def likely_factors(known: Factors, letter: str) -> tuple[float, ...]:
    """What is likely of a mould and its wax, in the order and units of `FACTORS`, in steps that are worth computing anew."""
    heat = (known.top, known.of(letter), known.latent)
    top, wall, latent = (math.log(round(factor.likely, 2)) for factor in heat)
    return top, wall, latent, round(known.melting.mean, 1), math.log(round(known.conductivity.likely, 2))


def with_factors(case: Case, known: Factors, letter: str) -> Case:
    """A mould as this day's looks have it: its likely heat loss and wax, and how far early and late runs lie from it."""
    likely = with_factors_of(case, likely_factors(known, letter))
    return replace(likely, spread=_spread(known.top, known.of(letter)))


def _spread(top: Factor, wall: Factor) -> HeatSpread:
    """What the early and the late run of a mould are computed with: how far heat loss at top and wall may still be from the
    likely ones. Looks do not narrow the melting range by itself; it is taken to be as well known as the top."""
    left = min(1.0, math.log(top.high / top.likely) / (1.2816 * SIGMAS[0]))
    early, late = USUAL_SPREAD.width
    return HeatSpread(
        _apart(top), _apart(wall), (round(1 - left * (1 - early), 2), round(1 + left * (late - 1), 2))
    )


def _apart(factor: Factor) -> tuple[float, float]:
    """(early, late): how many times the likely value of a factor it is in the early and in the late run."""
    return (
        round((factor.high / factor.likely) ** AT_ONCE, 2),
        round((factor.low / factor.likely) ** AT_ONCE, 2),
    )


def learned_news(now: Factors, before: Factors) -> str:
    """What the newest look taught, in a sentence; empty where that is not worth saying, or was said before.

    >>> any_wall = Factor(0.7, 1.0, 1.4)
    >>> usual = Factors(Factor(0.7, 1.0, 1.4), {}, any_wall, 0, Factor(0.6, 1.0, 1.6))
    >>> learned_news(Factors(Factor(0.75, 0.85, 0.95), {}, any_wall, 3, Factor(1.1, 1.25, 1.4)), usual)
    'By what was seen today tops take about 25 % longer to set than usual here: later windows moved.'
    """
    longer, was = _longer(now), _longer(before)
    if longer is None or (was is not None and abs(longer - was) < MOVED_AGAIN):
        return ""
    percent = 5 * round(20 * abs(longer))
    much = tr(
        "about {percent} % {longer}", percent=percent, longer=tr("longer") if longer > 0 else tr("less long")
    )
    if longer > 1:
        much = tr("more than twice as long")
    than = tr("as usual here") if longer > 1 else tr("than usual here")
    return tr(
        "By what was seen today tops take {much} to set {than}: later windows moved.", much=much, than=than
    )


def _longer(known: Factors) -> float | None:
    """By what share a top takes longer to set than usual; None where that is not worth saying or not sure yet."""
    if not known.looks or known.sets.low < known.usual < known.sets.high:
        return None
    longer = known.sets.likely / known.usual - 1
    return longer if abs(longer) >= WORTH_SAYING else None
