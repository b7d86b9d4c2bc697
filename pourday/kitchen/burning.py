"""A simulated candle that burns: rate, pool and flame by a heat balance of its own. It knows nothing of the reading of it.

The wick's feed sets the fuel; a share of the flame's heat comes back to the wax; what the pool's surface and the solid
round it do not carry off melts more. Constants are set so that the sizes of a wick maker's published chart (60 mm
paraffin, 2 h) come out near its rates, flames and pools; everything else follows. A toy: no chemistry, no turbulence.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

HEAT = 43e6
"""J/kg of wax burnt: the net heat of combustion of paraffin (handbook, from memory)."""
BACK = 0.040
"""Share of a 60 W flame's heat that reaches the wax; of a smaller flame more, for it stands closer. Tuned: see above."""
TO_AIR = 450.0
"""W/m² from the pool's surface: some 10 W/m²K over 45 K (estimate)."""
INTO_SOLID = 1.0
"""W/(m K) of a warm disc on a cold half-space, for each m of radius and K: 4 k (Incropera and DeWitt, table 4.1, shape factor
2 D) with k about 0.25."""
FLAME_PER_WATT = 0.00055
"""m of flame for each W. Tuned: see above."""
STEP = 60.0
"""s from one balance to the next. Chosen."""
LEAST = 0.6 / 3.6e6
"""kg/s under which a flame goes out: 0.6 g/h (estimate)."""


@dataclass(frozen=True, slots=True)
class SimulatedWick:
    """What a wick draws in wax that suits it."""

    feed: float
    """kg/s"""
    clogs: float = 0.0
    """Share of its feed lost for each hour of burning that it stays clogged."""


@dataclass(frozen=True, slots=True)
class BurningWax:
    """The wax of a simulated candle, as far as its burning goes by it."""

    density: float = 900.0
    """kg/m³ (handbook, from memory: paraffin 880 to 925)."""
    melt: float = 2.8e5
    """J/kg from room to molten (estimate, by the wax table: 200 kJ/kg of melting and 2.1 kJ/(kg K) over 38 K)."""
    melts_at: float = 58.0
    """°C (estimate: a pillar paraffin)."""
    thickness: float = 1.0
    """How much harder it is drawn up than plain paraffin."""


@dataclass(frozen=True, slots=True)
class BurningNow:
    """What can be seen at one moment, as it truly is. SI."""

    t: float
    """s since lighting."""
    flame: float
    across: float
    across_other: float
    depth: float
    wall: float
    mushroom: bool
    soot: str
    kg: float
    out: bool


class SimulatedCandle:
    """One candle over its cycles."""

    def __init__(
        self,
        width: float,
        height: float,
        wick: SimulatedWick,
        wax: BurningWax,
        *,
        room_c: float = 21.0,
        draught: float = 0.0,
        smokes_at: float = 0.055,
    ) -> None:
        """`draught`: m/s beyond still air. `smokes_at`: m, the flame's smoke point, 0.036 to 0.089 in 14 waxes (published:
        K. M. Allan, Laminar Smoke Points of Candle Flames, MSc thesis, University of Maryland, 2007)."""
        self.width, self.height, self.wick, self.wax = width, height, wick, wax
        self.room_c, self.draught, self.smokes_at = room_c, draught, smokes_at
        self.kg = math.pi * width**2 / 4 * height * wax.density
        self.well = 0.0
        """m that the flame stands below the rim."""
        self.choked = 0.0
        """Share of the wick that is clogged."""
        self.widest = 0.0

    def cycle(self, seconds: float) -> Iterator[BurningNow]:
        """Burn for so long, a minute at a time; ends early where the flame goes out."""
        radius, t, self.choked = 0.004, 0.0, self.choked * 0.5
        volume = math.pi * radius**2 * 0.002
        while t < seconds:
            rate = self._rate(radius, volume)
            out = rate < LEAST
            yield self._seen(t, radius, volume, rate, out)
            if out:
                return
            radius, volume = self._melted(radius, volume, rate)
            self.kg -= rate * STEP
            self.widest = max(self.widest, radius)
            self.well += rate * STEP / (self.wax.density * math.pi * max(radius, 0.008) ** 2)
            self.choked = min(0.8, self.choked + self.wick.clogs * STEP / 3600)
            t += STEP
        yield self._seen(t, radius, volume, rate, False)

    def _rate(self, radius: float, volume: float) -> float:
        """kg/s: what the wick feeds, less what chokes it, drowns it or takes its air."""
        rate = self.wick.feed / self.wax.thickness * (1 - self.choked)
        depth = volume / (math.pi * radius**2)
        drowned = max(0.0, min(0.7, (depth - 0.012) / 0.012))
        # A flame deep in a narrow well gets less air; a wall that has slumped in lets it breathe.
        close = max(0.0, self.well / max(self.widest, 0.008) - 1.0)
        return rate * (1 - drowned) / (1 + 0.35 * close) * (1 + 0.6 * self.draught)

    def _melted(self, radius: float, volume: float, rate: float) -> tuple[float, float]:
        """The pool a minute later."""
        power = rate * HEAT
        back = BACK * (60.0 / max(power, 5.0)) ** 0.4 * power * (1 - 0.3 * self.draught)
        carried = TO_AIR * (1 + self.draught) * math.pi * radius**2
        solid = INTO_SOLID * radius * (self.wax.melts_at - self.room_c)
        left = back - carried - solid - rate * self.wax.melt
        grown = max(volume * 0.9, volume + left * STEP / (self.wax.melt * self.wax.density))
        deep = 0.004 + 0.005 * min(2.0, power / 60.0)
        wide = math.sqrt(grown / (math.pi * deep))
        rim = self.width / 2
        # Beyond the rim nothing melts: the pool deepens instead, and runs over.
        return min(wide, rim), min(grown, math.pi * rim**2 * 0.03)

    def _seen(self, t: float, radius: float, volume: float, rate: float, out: bool) -> BurningNow:
        flame = 0.0 if out else rate * HEAT * FLAME_PER_WATT
        lopsided = min(0.3, 0.45 * self.draught)
        over = self.wick.feed / self.wax.thickness
        smokes = flame * (1 + 0.5 * self.draught) / self.smokes_at
        return BurningNow(
            t=t,
            flame=flame,
            across=min(self.width, 2 * radius * (1 + lopsided)),
            across_other=2 * radius * (1 - lopsided),
            depth=volume / (math.pi * radius**2),
            wall=max(0.0, self.width / 2 - radius * (1 + lopsided)),
            mushroom=self.choked > 0.15 or over > 8.0 / 3.6e6,
            soot="steady" if smokes > 1.0 else "wisps" if smokes > 0.85 else "none",
            kg=self.kg,
            out=out,
        )
