"""The burner's part of an imagined day: when the pot is hot first, and when it has to be lit again.

Worked back from the times at which hot wax is wanted, with the pot as the prior has it between them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from pourday.forecast.pot import Guess, PotForecast, PotSetup, after_change, forecast
from pourday.forecast.spread import Quantiles
from pourday.guide.acts.durations import HOLD_LOW, IDLE_HEAT
from pourday.guide.acts.pour_heat import COLD_BY, WARMER_BATH
from pourday.guide.outlook.outlook import READY_WITHIN, Outlook, room_c
from pourday.guide.outlook.pot import COLD_START, bath_known
from pourday.guide.outlook.pot_stretches import pot_is_empty
from pourday.session.state import State
from pourday.times import MINUTE

LONGEST_LEAD = 90 * MINUTE
"""s within which a pot is taken to get hot, where the forecast does not see it happen: the rest of the day has to be
planned. Chosen."""
LEAST_KG = 0.05
"""kg that pot and bath are taken to hold where by the plan nothing is left: what clings to them. Estimate."""
BATH_ABOVE = 5.0
"""K by which the bath is hotter than the wax when the burner goes off. An estimate of ours."""
AS_SEEN = Guess(0.0, 1.5)
"""K by which the wax of the day ahead may be off what was read or computed of it. Estimate."""
TRIES = 2
"""Rounds in which the start of a reheat is found: how long it takes depends on how far the pot has cooled when it
begins."""


@dataclass(frozen=True, slots=True)
class HeatNeed:
    """A stretch of time in which hot wax is wanted, with what is left in pot and bath by then."""

    start: float
    end: float
    kg: float
    drawn: bool = False
    """It is poured from a jug that stands in the bath, which a low flame holds hot."""


@dataclass(frozen=True, slots=True)
class Lit:
    """A stretch of time with the burner lit."""

    on: float
    off: float
    already: bool = False
    """It was lit before this was worked out."""
    low_from: float | None = None
    """From when it is turned low, and only holds what is hot; None where it never is."""


class PotAhead:
    """The pot from now on: as the forecast has it, or by the prior where the day has not begun."""

    def __init__(self, state: State, outlook: Outlook, now: float, lit_at: float) -> None:
        self.outlook = outlook
        self.room_c = room_c(state)
        self.water_kg, self.water_sd = bath_known(state.plan, outlook.law)
        self.pour_c = outlook.pour_c
        self.lit = state.burner != "off"
        self.melts = 0 if state.jugs else 1
        """How many times the flame is out again before jugs stand in the bath: it is out while they are drawn."""
        self.was_hot = bool(state.jugs)
        if outlook.pot is None:
            on = self._setup(lit_at, outlook.sheet.total, Guess(self.room_c, COLD_START.sd), self.room_c)
            self.view: PotForecast = forecast(on, (), lit_at)
        elif self.lit:
            self.view = outlook.pot
        else:
            at = max(lit_at, outlook.pot.setup.mode_since)
            self.view = forecast(after_change(outlook.pot, at, "on heat"), (), at)
        self.never = ""
        """Why the pot is not seen to get hot; empty where it is."""
        self.hot = self._reached(self._enough_c(state), now, lit_at)
        """When a jug can be drawn, or poured from where all are, were the burner lit now (or as it is lit)."""
        self.molten = self._reached(outlook.melt_c - 1.0, now, lit_at).likely
        self._resting = None if self.lit else outlook.pot

    def _enough_c(self, state: State) -> float:
        """°C from which there is hot wax: over a low flame, which warms jugs slowly, the least they are poured at."""
        low = state.burner == "low" and pot_is_empty(state)
        return self.pour_c - COLD_BY + WARMER_BATH if low else self.pour_c

    def _setup(self, at: float, kg: float, start: Guess, bath_c: float, lit: bool = True) -> PotSetup:
        """The pot for the forecast: `kg` of wax at `start`, over a bath at `bath_c`, on or off the heat from `at` on."""
        return PotSetup(
            wax=self.outlook.wax,
            kg=max(LEAST_KG, kg),
            room_c=self.room_c,
            bath_limit_c=self.outlook.boiling_c,
            mode="on heat" if lit else "off heat",
            mode_since=at,
            start_c=start,
            bath_c=Guess(bath_c, 3.0),
            water_kg=self.water_kg,
            water_sd=self.water_sd,
            law=self.outlook.law,
        )

    def _reached(self, celsius: float, now: float, lit_at: float) -> Quantiles:
        """When the pot gets to a temperature; where it may never, a spread as wide as what was looked at, and the reason in `never`."""
        pot = self.outlook.pot
        if pot is not None and pot.at(now)[1] >= celsius - READY_WITHIN:
            return Quantiles(now, now, now)
        arrival = self.view.reaches(celsius)
        if arrival.spread is None:
            self.never = self.never or arrival.reason
            # It does not know, and says so by its spread: from where one pot in ten is hot to all that was looked at.
            likely = max(now, lit_at + LONGEST_LEAD)
            early = (
                min(likely, max(now, arrival.earliest)) if arrival.earliest < math.inf else max(now, lit_at)
            )
            return Quantiles(early, likely, max(likely, self.view.until))
        s = arrival.spread
        late = s.late if s.late < float("inf") else max(self.view.until, s.likely + 2 * (s.likely - s.early))
        return Quantiles(max(now, s.early), max(now, s.likely), max(now, late))

    def burns(self, needs: Sequence[HeatNeed], now: float, lit_at: float) -> list[Lit]:
        """When the burner is lit for these needs, in order of time."""
        spans: list[Lit] = []
        for need in sorted(needs, key=lambda n: n.start):
            if spans and need.start <= spans[-1].off:
                spans[-1] = replace(spans[-1], off=self._off(spans[-1].off, need))
                continue
            if spans and len(spans) > self.melts and need.drawn and need.start - spans[-1].off <= HOLD_LOW:
                # The jugs stay in their bath, over a low flame.
                hot_until = spans[-1].off if spans[-1].low_from is None else spans[-1].low_from
                spans[-1] = replace(spans[-1], off=max(need.end, spans[-1].off), low_from=hot_until)
                continue
            if not spans and (self.lit or not self.was_hot):
                begun = lit_at if not self.lit else now
                spans.append(Lit(begun, self._off(max(begun, self.molten), need), self.lit))
                continue
            lit = self._again(spans, need, now)
            if lit is None:
                continue
            if spans and lit.on - spans[-1].off < IDLE_HEAT and (len(spans) > self.melts or not need.drawn):
                spans[-1] = replace(spans[-1], off=lit.off)
            else:
                spans.append(lit)
        return spans

    @staticmethod
    def _off(melted: float, need: HeatNeed) -> float:
        """When the burner goes out after the wax has melted: once it is hot, but not before a need that comes soon
        has been met."""
        return max(melted, need.end) if need.end - melted < IDLE_HEAT else melted

    def _again(self, spans: Sequence[Lit], need: HeatNeed, now: float) -> Lit | None:
        """The next stretch with the burner lit, so that the pot is hot when it is wanted; None where it still is by
        then."""
        since = spans[-1].off if spans else now
        resting = self._rest(since, need.kg) if spans or self._resting is None else self._resting
        if resting.at(need.start)[1] >= self.pour_c - READY_WITHIN:
            return None
        lead = 20.0 * MINUTE
        for _ in range(TRIES):
            at = max(since, need.start - lead)
            start, bath = resting.at(at)[1], resting.bath_at(at)[1]
            view = forecast(self._setup(at, need.kg, Guess(start, AS_SEEN.sd), bath), (), at)
            spread = view.reaches(self.pour_c).spread
            lead = min(spread.likely - at, LONGEST_LEAD) if spread else LONGEST_LEAD
        on = max(since, need.start - lead)
        return Lit(on, max(need.start, min(need.end, on + lead + MINUTE)))

    def _rest(self, since: float, kg: float) -> PotForecast:
        """How the pot cools when it is left alone from `since` on (s since the epoch), with `kg` of wax in it that was molten
        and hot at that time."""
        hot = self.outlook.melt_c - 1.0
        bath = min(self.outlook.boiling_c, hot + BATH_ABOVE)
        return forecast(self._setup(since, kg, Guess(hot, AS_SEEN.sd), bath, lit=False), (), since)
