"""How fast the pool widens, against the age of the pool, and when it reaches the wall. SI: m, s."""

from __future__ import annotations

from dataclasses import dataclass

from pourday.burn.candle import Candle
from pourday.session.candle import Burn, BurnLook

USUAL_PACE = 0.025 / 3600.0
"""m of diameter a second: about 25 mm an hour. Common practice, no source."""
WALL_WANTED = (0.003, 0.012)
"""m of even wall that a pillar keeps. Common practice, no source."""
STILL = 0.002 / 3600.0
"""m/s under which a pool counts as standing still: estimate, what a ruler can tell over an hour."""


@dataclass(frozen=True, slots=True)
class PoolAt:
    """A pool that was measured."""

    age: float
    """s since lighting."""
    across: float
    """m, mean of what was measured."""


def pools(burn: Burn) -> tuple[PoolAt, ...]:
    """Every pool measured in one cycle, by age."""
    seen = [
        PoolAt(look.t - burn.lit_at, across)
        for look in burn.looks
        if (across := mean_across(look)) is not None
    ]
    return tuple(sorted(seen, key=lambda pool: pool.age))


def mean_across(look: BurnLook) -> float | None:
    """Mean diameter of a pool, of the ways it was measured; None where it was not."""
    ways = [way for way in (look.seen.across, look.seen.across_other) if way is not None]
    return sum(ways) / len(ways) if ways else None


def pace(burn: Burn) -> float | None:
    """How fast a pool widens, m of diameter a second: its first diameter that was measured 15 minutes or more after lighting,
    over the time since then. None without one."""
    first = next((pool for pool in pools(burn) if pool.age >= 900), None)
    return None if first is None else first.across / first.age


def reaches(candle: Candle, burn: Burn) -> float | None:
    """s after lighting at which the pool comes to where the wall is to stay, at the pace of its last two looks.

    An early bound, for a pool widens ever more slowly; infinite where it stands still. None with fewer than two looks.
    """
    seen = pools(burn)
    if len(seen) < 2:
        return None
    wanted = candle.width if candle.in_vessel else candle.width - 2 * WALL_WANTED[1]
    before, last = seen[-2], seen[-1]
    if last.across >= wanted:
        return next(pool.age for pool in seen if pool.across >= wanted)
    speed = (last.across - before.across) / max(1.0, last.age - before.age)
    return float("inf") if speed < STILL else last.age + (wanted - last.across) / speed


def wall_left(candle: Candle, look: BurnLook) -> float | None:
    """m of wall at one look: as measured, else what the pool leaves of the width; None without either."""
    if look.seen.wall is not None:
        return look.seen.wall
    across = mean_across(look)
    return None if across is None or candle.width <= 0 else max(0.0, (candle.width - across) / 2)
