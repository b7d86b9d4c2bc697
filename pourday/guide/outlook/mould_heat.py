"""The computed heat of every mould of a session, kept between looks and worked out only when it changes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from pourday.forecast.mould import COARSE, FINE, Resolution, Scenarios, likely_early_late
from pourday.forecast.mould_case import Case, HeatField, PourInto
from pourday.forecast.remelt import Verdict, verdict
from pourday.times import letters

Job = Callable[[], None]
Run = Callable[[Job], None]

VERDICT_STEP = 300.0
"""What a pour would do is worked out anew for every so many seconds,"""
VERDICT_KELVIN = 1.0
"""and every so many kelvin of it."""


def at_once(job: Job) -> None:
    """Run a job here and now, for whoever can wait for it."""
    job()


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

    def kept_for(self, case: Case) -> tuple[HeatField, HeatField, HeatField] | None:
        """Where to start from for `case`: the heat after the last pour of the three runs, early to late.

        None where the case differs in anything before that, so that it has to be computed from the first pour.
        """
        computed, done = self.case, self.spread.likely.after_last_pour.at_s
        same = (
            computed.vessel == case.vessel
            and computed.pours == case.pours[: len(computed.pours)]
            and [a for a in computed.around if a.from_s <= done]
            == [a for a in case.around if a.from_s <= done]
        )
        s = self.spread
        return (s.early.after_last_pour, s.likely.after_last_pour, s.late.after_last_pour) if same else None


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
        if letter in known and known[letter].grid is grid
    }
    groups: dict[int, list[str]] = {}
    for letter in wanted:
        kept = starts.get(letter)
        groups.setdefault(kept[0].r.size if kept else 0, []).append(letter)
    heats: dict[str, MouldHeat] = {}
    for rings, together in groups.items():
        start = [kept for x in together if (kept := starts.get(x))] if rings else None
        spreads = likely_early_late([wanted[x][1] for x in together], grid=grid, start=start)
        for letter, spread in zip(together, spreads, strict=True):
            first_pour_t, case = wanted[letter]
            heats[letter] = MouldHeat(first_pour_t, case, spread, grid)
    return heats


Trial = tuple[str, float, float]
"""Mould, time on the clock of its pours and °C of a pour that is only thought of."""


class MouldHeatCache:
    """The heat of one session's moulds, as far as it was worked out.

    `moulds` computes what is missing where it stands; a pour that is only thought of (`verdict`) is tried
    through `run`, so that a screen need not wait for it.
    """

    def __init__(self, run: Run = at_once) -> None:
        self._run = run
        self._known: dict[tuple[str, Resolution], MouldHeat] = {}
        self._verdicts: dict[Trial, tuple[MouldHeat, Verdict | None]] = {}
        self._trying: set[Trial] = set()
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
            known = {x: heat for (x, g), heat in self._known.items() if g is grid}
            try:
                heats = compute(missing, known, grid)
            except Exception as broken:
                # A person at a hot stove goes on by eye.
                names = letters("".join(sorted(missing)))
                self.trouble = f"The heat of {names} could not be computed: {broken}"
                heats = {}
            else:
                self.trouble = ""
            # What was thought of before something changed is not asked for again.
            self._verdicts = {k: v for k, v in self._verdicts.items() if k[0] not in missing}
            self._known |= {(letter, grid): heat for letter, heat in heats.items()}
        best = {x: self._best(x, case, grid) for x, (_, case) in wanted.items()}
        return {x: heat for x, heat in best.items() if heat is not None}

    @property
    def idle(self) -> bool:
        """Whether every pour that was thought of has its verdict."""
        return not self._trying

    def verdict(self, letter: str, heat: MouldHeat, pour: PourInto) -> Verdict | None:
        """What a pour would do, to the nearest five minutes and kelvin; None while it is being worked out."""
        at_s = max(round(pour.at_s / VERDICT_STEP) * VERDICT_STEP, heat.spread.likely.after_last_pour.at_s)
        near = replace(pour, at_s=at_s, celsius=round(pour.celsius / VERDICT_KELVIN) * VERDICT_KELVIN)
        key: Trial = letter, near.at_s, near.celsius
        known = self._verdicts.get(key)
        if known is None or known[0].case != heat.case:
            self._verdicts[key] = heat, None
            self._trying.add(key)
            self._run(lambda: self._judge(key, heat, near))
        return self._verdicts.get(key, (heat, None))[1]

    def drop_trials(self) -> None:
        """Forget pours that are still to be tried: nobody wants to know any more."""
        for key in self._trying:
            self._verdicts.pop(key, None)
        self._trying.clear()

    def _best(self, letter: str, case: Case, grid: Resolution) -> MouldHeat | None:
        for fineness in (FINE, COARSE) if grid is COARSE else (grid,):
            heat = self._known.get((letter, fineness))
            if heat is not None and heat.case == case:
                return heat
        return None

    def _judge(self, key: Trial, heat: MouldHeat, pour: PourInto) -> None:
        try:
            if self._verdicts.get(key, (None, None))[0] is heat:
                self._verdicts[key] = heat, verdict(heat.spread.likely, pour)
        finally:
            self._trying.discard(key)
