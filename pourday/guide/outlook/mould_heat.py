"""The computed heat of every mould of a session, kept between looks and worked out only when it changes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import partial
from itertools import count

from pourday.forecast.level import Shrinkage, shrinkage
from pourday.forecast.mould import COARSE, FINE, ROUGH, Resolution, Scenarios, likely_early_late
from pourday.forecast.mould_case import Case, HeatField, PourInto
from pourday.forecast.mould_run import NONE
from pourday.forecast.remelt import Verdict, verdict
from pourday.guide.outlook.learned import DayFactors
from pourday.language import tr
from pourday.times import letters

VERDICT_STEP = 300.0
"""What a pour would do is worked out anew for every so many seconds (chosen),"""
VERDICT_KELVIN = 1.0
"""and every so many kelvin of it (chosen)."""
FINENESS = (FINE, COARSE, ROUGH)
"""How finely heat is kept, the best first."""


@dataclass(frozen=True, eq=False)
class MouldHeat:
    """One mould computed: early, likely and late run, with times on the clock of its pours."""

    first_pour_t: float
    """Time of the first pour, seconds since the epoch."""
    case: Case
    """What was computed: tells whether this still is the mould as it stands."""
    spread: Scenarios
    grid: Resolution
    """How finely."""
    wells: tuple[float | None, float | None, float | None]
    """m³ of the shrink well, early, likely and late; None where it is not in sight."""
    shrinks: tuple[Shrinkage, Shrinkage, Shrinkage]
    """What the wax does with its room, early, likely and late."""
    number: int = field(default_factory=count().__next__)
    """Tells it from every other that was computed in the same process."""

    def kept_for(self, case: Case) -> tuple[HeatField, HeatField, HeatField] | None:
        """Where to start from for `case`: the heat after the last pour of the three runs, early to late.

        None where the case differs in anything before that, so that it has to be computed from the first pour.
        """
        same = self.case.begins(case, self.spread.likely.after_last_pour.at_s)
        s = self.spread
        return (s.early.after_last_pour, s.likely.after_last_pour, s.late.after_last_pour) if same else None

    def light(self) -> MouldHeat:
        """The same with the heat at any moment of the likely run only: all that is ever shown.

        Early and late keep their times and surfaces; a pour or a warming cannot be tried on them any more.
        """
        early, late = (replace(run, snaps=NONE) for run in (self.spread.early, self.spread.late))
        return replace(self, spread=replace(self.spread, early=early, late=late))


def compute(
    wanted: Mapping[str, tuple[float, Case]], known: Mapping[str, MouldHeat], grid: Resolution
) -> dict[str, MouldHeat]:
    """The heat of each mould in `wanted` (time of its first pour, case), by letter.

    Goes on from what is `known` where it can. Moulds are computed together where their grids allow.
    Raises `Trouble` for a mould that cannot be computed.
    """
    starts = {
        letter: known[letter].kept_for(case)
        for letter, (_, case) in wanted.items()
        if letter in known and known[letter].grid == grid
    }
    groups: dict[int, list[str]] = {}
    for letter in wanted:
        begun = starts.get(letter)
        groups.setdefault(begun[0].r.size if begun else 0, []).append(letter)
    heats: dict[str, MouldHeat] = {}
    for rings, together in groups.items():
        start = [begun for x in together if (begun := starts.get(x))] if rings else None
        spreads = likely_early_late([wanted[x][1] for x in together], grid=grid, start=start)
        for letter, spread in zip(together, spreads, strict=True):
            first_pour_t, case = wanted[letter]
            wells = spread.early.well, spread.likely.well, spread.late.well
            shrinks = shrinkage(spread.early), shrinkage(spread.likely), shrinkage(spread.late)
            heats[letter] = MouldHeat(first_pour_t, case, spread, grid, wells, shrinks)
    return heats


class MouldHeatCache:
    """The heat of one session's moulds, as far as it was worked out."""

    def __init__(self) -> None:
        self._known: dict[tuple[str, Resolution], MouldHeat] = {}
        self.learned = DayFactors()
        """What this session's looks say of the heat."""
        self.read_off: dict[str, tuple[tuple[object, ...], object]] = {}
        """By mould, what was read off its heat last (`moulds.py`), behind all that it rests on."""
        self.trouble = ""
        """Why some mould could not be computed, in a sentence; empty while all goes well."""

    def moulds(
        self, wanted: Mapping[str, tuple[float, Case]], grid: Resolution = COARSE
    ) -> dict[str, MouldHeat]:
        """The heat of moulds, each as (time of its first pour, case), by letter; at least as fine as `grid`.

        What is not known yet is computed now. A mould that cannot be computed is left out, and `trouble` says why.
        """
        missing = {x: pair for x, pair in wanted.items() if self._best(x, pair[1], grid) is None}
        if missing:
            known = {x: heat for (x, g), heat in self._known.items() if g == grid}
            try:
                heats = compute(missing, known, grid)
            except Exception as broken:
                # A person at a hot stove goes on by eye.
                names = letters("".join(sorted(missing)))
                self.trouble = tr(
                    "The heat of {names} could not be computed: {broken}", names=names, broken=broken
                )
                heats = {}
            else:
                self.trouble = ""
            self._known |= {(letter, grid): heat for letter, heat in heats.items()}
        best = {x: self._best(x, case, grid) for x, (_, case) in wanted.items()}
        return {x: heat for x, heat in best.items() if heat is not None}

    def _best(self, letter: str, case: Case, grid: Resolution) -> MouldHeat | None:
        """The finest heat known of this very case; none where only another case was computed."""
        for fineness in FINENESS[: FINENESS.index(grid) + 1]:
            heat = self._known.get((letter, fineness))
            if heat is not None and heat.case == case:
                return heat
        return None


Trial = tuple[str, float, float]
"""Mould, time on the clock of its pours and °C of a pour that is only thought of."""
Took = Callable[[Verdict | None], None]


class PourTrials:
    """What pours that are only thought of would do, each worked out once.

    Where `ask` is given it is told of every pour to be tried (mould, pour, what to do with the verdict), so that a
    screen need not wait for it; without, it is tried where it comes up.
    """

    def __init__(self, ask: Callable[[str, PourInto, Took], None] | None = None) -> None:
        self._ask = ask
        self._known: dict[Trial, tuple[Case, Verdict | None]] = {}

    def verdict(self, letter: str, heat: MouldHeat, pour: PourInto) -> Verdict | None:
        """What a pour would do, to the nearest five minutes and kelvin; None while it is being worked out."""
        at_s = max(round(pour.at_s / VERDICT_STEP) * VERDICT_STEP, heat.spread.likely.after_last_pour.at_s)
        near = replace(pour, at_s=at_s, celsius=round(pour.celsius / VERDICT_KELVIN) * VERDICT_KELVIN)
        key: Trial = letter, near.at_s, near.celsius
        known = self._known.get(key)
        if known is None or known[0] != heat.case:
            # What was thought of before something changed is not asked for again.
            self._known = {k: v for k, v in self._known.items() if k[0] != letter or v[0] == heat.case}
            self._known[key] = heat.case, None
            if self._ask is None:
                self._known[key] = heat.case, verdict(heat.spread.likely, near)
            else:
                self._ask(letter, near, partial(self._take, key, heat.case))
        return self._known[key][1]

    def ask_again(self) -> None:
        """What was asked for will not be answered: it is asked for when it is next thought of."""
        self._known = {k: v for k, v in self._known.items() if v[1] is not None}

    def _take(self, key: Trial, case: Case, verdict: Verdict | None) -> None:
        self._known[key] = case, verdict
