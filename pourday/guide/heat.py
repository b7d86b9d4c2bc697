"""The computed heat of every mould of a session, kept between looks and worked out only when it changes.

Computing runs through `run`: at once by default, beside the screen where the screen hands in a worker.
What comes back too late for the state it was asked for finds its question gone and is dropped.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from pourday.forecast.mould import COARSE, FINE, Resolution, Spread, likely_early_late
from pourday.forecast.mould_case import Case, Field, Pour
from pourday.forecast.remelt import Verdict, verdict

Job = Callable[[], None]
Run = Callable[[Job], None]

VERDICT_STEP = 300.0
"""What a pour would do is worked out anew for every so many seconds,"""
VERDICT_KELVIN = 1.0
"""and every so many kelvin of it."""


def at_once(job: Job) -> None:
    job()


@dataclass(frozen=True, eq=False)
class MouldHeat:
    """One mould computed: three outlooks on the clock of its pours."""

    zero: float
    """Time of the first pour, seconds since the epoch."""
    case: Case
    spread: Spread
    grid: Resolution

    def kept_for(self, case: Case) -> tuple[Field, Field, Field] | None:
        """The heat at the last pour, where `case` only goes on from there."""
        known, done = self.case, self.spread.likely.kept.at_s
        same = (
            known.vessel == case.vessel
            and known.pours == case.pours[: len(known.pours)]
            and [a for a in known.around if a.from_s <= done] == [a for a in case.around if a.from_s <= done]
        )
        s = self.spread
        return (s.early.kept, s.likely.kept, s.late.kept) if same else None


def compute(
    wanted: Mapping[str, tuple[float, Case]], known: Mapping[str, MouldHeat], grid: Resolution
) -> dict[str, MouldHeat]:
    """The spread of each mould, all those that can be in one array; from the last pour where it is known.

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
    found: dict[str, MouldHeat] = {}
    for rings, together in groups.items():
        start = [kept for x in together if (kept := starts.get(x))] if rings else None
        spreads = likely_early_late([wanted[x][1] for x in together], grid=grid, start=start)
        for letter, spread in zip(together, spreads, strict=True):
            zero, case = wanted[letter]
            found[letter] = MouldHeat(zero, case, spread, grid)
    return found


class HeatBook:
    """Looks up the heat of moulds; what it has not got is worked out, coarse first, then fine."""

    def __init__(self, run: Run = at_once, *, fine: bool = False) -> None:
        self._run = run
        self._fine = fine
        self._known: dict[tuple[str, Resolution], MouldHeat] = {}
        self._asked: dict[str, Case] = {}
        self._verdicts: dict[tuple[str, float, float], Verdict | None] = {}
        self.edition = 0
        """Counts up with everything that was worked out."""

    @property
    def working(self) -> bool:
        """Whether a mould that was asked for is not there yet in any fineness."""
        return any(self._best(letter, case) is None for letter, case in self._asked.items())

    def moulds(self, wanted: Mapping[str, tuple[float, Case]]) -> dict[str, MouldHeat]:
        """What is known of these moulds (time of the first pour, case) by now; the rest is being worked out."""
        self._asked = {x: case for x, case in self._asked.items() if x in wanted}
        missing = {x: pair for x, pair in wanted.items() if self._asked.get(x) != pair[1]}
        if missing:
            self._asked |= {x: case for x, (_, case) in missing.items()}
            self._verdicts = {k: v for k, v in self._verdicts.items() if k[0] not in missing}
            self._run(lambda: self._work(missing, COARSE))
            if self._fine:
                self._run(lambda: self._work(missing, FINE))
        found = {x: self._best(x, case) for x, (_, case) in wanted.items()}
        return {x: heat for x, heat in found.items() if heat is not None}

    def verdict(self, letter: str, heat: MouldHeat, pour: Pour) -> Verdict | None:
        """What a pour would do, to the nearest five minutes and kelvin; None while it is being worked out."""
        at_s = max(round(pour.at_s / VERDICT_STEP) * VERDICT_STEP, heat.spread.likely.kept.at_s)
        near = replace(pour, at_s=at_s, celsius=round(pour.celsius / VERDICT_KELVIN) * VERDICT_KELVIN)
        key = (letter, near.at_s, near.celsius)
        if key not in self._verdicts:
            self._verdicts[key] = None
            self._run(lambda: self._judge(key, heat, near))
        return self._verdicts.get(key)

    def _best(self, letter: str, case: Case) -> MouldHeat | None:
        for grid in (FINE, COARSE):
            heat = self._known.get((letter, grid))
            if heat is not None and heat.case == case:
                return heat
        return None

    def _work(self, missing: Mapping[str, tuple[float, Case]], grid: Resolution) -> None:
        wanted = {x: pair for x, pair in missing.items() if self._asked.get(x) == pair[1]}
        known = {x: heat for (x, g), heat in self._known.items() if g is grid}
        for letter, heat in compute(wanted, known, grid).items():
            if self._asked.get(letter) == heat.case:
                self._known[letter, grid] = heat
                self.edition += 1

    def _judge(self, key: tuple[str, float, float], heat: MouldHeat, pour: Pour) -> None:
        if key in self._verdicts and self._asked.get(key[0]) == heat.case:
            self._verdicts[key] = verdict(heat.spread.likely, pour)
            self.edition += 1
