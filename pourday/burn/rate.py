"""How fast a candle burns, how long it will last, and how that changes over its cycles. SI: kg, s, m."""

from __future__ import annotations

from dataclasses import dataclass

from pourday.burn.candle import Candle
from pourday.language import tr
from pourday.session.candle import Burn

STUB = 0.050
"""m left at which a pillar is no longer burnt (advice of a candle association, read second-hand)."""
LEFT_OVER = (0.05, 0.30)
"""Share of a pillar that stays as wall and stub where no wall was measured: common practice, no source."""
DRIFT = 0.25
"""Change of the rate from cycle to cycle that asks for a reason: estimate."""


@dataclass(frozen=True, slots=True)
class Rate:
    """Wax burnt in a cycle, from two weights: drips count as unburnt, for they are weighed with the candle."""

    kg_per_s: float
    error: float
    """kg/s either way, from the scale's step: each of the two weights may be half a step off."""
    seconds: float

    @property
    def grams_per_hour(self) -> float:
        """The rate in g/h, as it is told."""
        return self.kg_per_s * 3.6e6

    @property
    def words(self) -> str:
        """`5.2 g/h ± 0.3`: to a tenth, and never finer than it is known."""
        return tr(
            "{grams_per_hour:.1f} g/h ± {it:.1f}",
            grams_per_hour=self.grams_per_hour,
            it=max(0.1, self.error * 3600000.0),
        )


def burn_rate(burn: Burn, step: float) -> Rate | None:
    """The rate of one cycle; `step` is the scale's, kg. None where it burns, was not weighed twice, or gained weight."""
    if burn.ended_at is None or burn.before.kg is None or burn.cold_kg is None:
        return None
    seconds, lost = burn.ended_at - burn.lit_at, burn.before.kg - burn.cold_kg
    if seconds <= 0 or lost < -step:
        return None
    return Rate(max(0.0, lost) / seconds, step / seconds, seconds)


@dataclass(frozen=True, slots=True)
class Trend:
    """How the rate changed from the first weighed cycle to the last."""

    change: float
    """Share of the first: -0.2 burns a fifth slower."""
    sure: bool
    """More than both weights' errors explain."""


def trend(rates: tuple[Rate, ...]) -> Trend | None:
    """None with fewer than two cycles, or where nothing burned in the first."""
    if len(rates) < 2 or rates[0].kg_per_s <= 0:
        return None
    first, last = rates[0], rates[-1]
    change = last.kg_per_s - first.kg_per_s
    return Trend(change / first.kg_per_s, abs(change) > first.error + last.error)


def is_low(candle: Candle) -> bool:
    """Whether a pillar was measured as low as it should be burned; a candle in a vessel never is by this."""
    heights = [burn.cold_height for burn in candle.life.burns if burn.cold_height is not None]
    return bool(heights) and not candle.in_vessel and heights[-1] <= STUB


@dataclass(frozen=True, slots=True)
class Life:
    """Hours that a candle burns in all, as early and as late as may be."""

    low: float
    high: float
    why: str


def life_of(candle: Candle, rates: tuple[Rate, ...], wall: float | None) -> Life | None:
    """How long it lasts, s, from the wax that will burn; never from all of it, and never less than it has burned already.
    None without weight or rate.

    `wall`: m of wall left when the pool was widest, where it was measured.
    """
    known = [rate for rate in rates if rate.kg_per_s > rate.error]
    kg = candle.kg if candle.kg is not None else _first_weight(candle)
    if not known or kg is None:
        return None
    burned_s, burned_kg = _burned(candle)
    least, most = (min(1.0, max(share, burned_kg / kg)) for share in _burnable(candle, wall))
    fastest = max(rate.kg_per_s + rate.error for rate in known)
    slowest = min(rate.kg_per_s - rate.error for rate in known)
    share = f"{least:.0%}" if least == most else tr("{least:.0%} to {most:.0%}", least=least, most=most)
    why = tr("{share} of the wax will burn", share=share) + (
        "" if wall is not None else tr(", by common practice")
    )
    return Life(max(burned_s, kg * least / fastest), max(burned_s, kg * most / slowest), why)


def _burned(candle: Candle) -> tuple[float, float]:
    """(s, kg) that burned already: of the cycles that ended, and by the first weight and the last."""
    burns = candle.life.burns
    seconds = sum(burn.ended_at - burn.lit_at for burn in burns if burn.ended_at is not None)
    first = _first_weight(candle)
    last = next((burn.cold_kg for burn in reversed(burns) if burn.cold_kg is not None), None)
    return seconds, 0.0 if first is None or last is None else max(0.0, first - last)


def _burnable(candle: Candle, wall: float | None) -> tuple[float, float]:
    """Shares of the wax that burn, least and most: all inside the wall and above the stub."""
    stub = min(1.0, STUB / candle.height) if candle.height > 0 and not candle.in_vessel else 0.0
    if wall is None or candle.width <= 0:
        return max(0.0, 1 - LEFT_OVER[1]), 1 - LEFT_OVER[0]
    inside = max(0.0, 1 - 2 * wall / candle.width) ** 2
    # A wall that is left thins while the flame goes down inside it: some of it burns after all.
    return inside * (1 - stub), min(1.0, inside * 1.15) * (1 - stub)


def _first_weight(candle: Candle) -> float | None:
    return next((burn.before.kg for burn in candle.life.burns if burn.before.kg is not None), None)
