"""When to look at a burning candle, what to measure then, and when a cycle ends. Times in s since lighting."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from pourday.session.candle import Burn
from pourday.times import HOUR

LOOKS = (0.33 * HOUR, HOUR, 2 * HOUR, 3 * HOUR, 4 * HOUR)
"""The first at 15-30 min, then every hour: common practice, no source."""
CYCLE = 4 * HOUR
"""The longest a candle burns in one go: ASTM F1972-05, terminology, first page."""
COLD_AFTER = HOUR
"""From snuffing to weighing: at least an hour (EN 15426:2018, read second-hand)."""
WATCH_EVERY = 0.5 * HOUR
"""s without a key after which it is asked whether somebody is in the room: estimate."""
APART = 0.075
"""m between two lit candles (advice of a candle association, read second-hand; makers say 50-100 mm)."""

Field = Literal["flame", "across", "across_other", "depth", "wall", "mushroom", "soot", "leaning"]
FIELDS: tuple[Field, ...] = (
    "flame", "across", "across_other", "depth", "wall", "mushroom", "soot", "leaning",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class LookDue:
    """The look that stands open at a burning candle."""

    mark: float
    """Which look, s after lighting."""
    missing: tuple[Field, ...]
    """What was not said yet."""


def look_due(burn: Burn, now: float, skipped: frozenset[float] = frozenset()) -> LookDue | None:
    """The newest look whose time has come and that lacks something; None where there is nothing to measure.

    An older one that was missed is not asked for afterwards: what it would have shown is gone.
    """
    age = (burn.ended_at if burn.ended_at is not None else now) - burn.lit_at
    due = [mark for mark in LOOKS if mark <= age + 1.0]
    if not due or due[-1] in skipped:
        return None
    seen = burn.look(due[-1])
    missing = tuple(f for f in FIELDS if seen is None or getattr(seen.seen, f) is None)
    return LookDue(due[-1], missing) if missing else None


def next_look(burn: Burn, now: float) -> float | None:
    """When the next look comes, s since the epoch; None after the last."""
    return next((burn.lit_at + mark for mark in LOOKS if burn.lit_at + mark > now), None)


def cycle_over(burn: Burn, now: float) -> bool:
    """Whether it has burned as long as it may in one go."""
    return now - burn.lit_at >= CYCLE


def weigh_from(burn: Burn) -> float | None:
    """From when a candle that was put out can be weighed cold; None while it burns or where it was."""
    return None if burn.ended_at is None or burn.cold_kg is not None else burn.ended_at + COLD_AFTER
