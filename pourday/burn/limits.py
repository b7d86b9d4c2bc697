"""Limits a home can hold a candle against, each with its source and how it was read; and which a candle passed.

Nothing here says that a candle complies with a standard or is safe: at best it is inside the limits we know. A soot
index needs a laboratory's light and mesh; at home soot is none, wisps or steady.
"""

from __future__ import annotations

from dataclasses import dataclass

from pourday.language import tr
from pourday.session.candle import Burn
from pourday.units import Units, show_length

READ = tr("read second-hand")


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit."""

    id: str
    figure: float
    """m or s."""
    source: str


FLAME = Limit("flame", 0.075, tr("EN 15493:2019, {read}", read=READ))
GLOW = Limit("after-glow", 30.0, tr("EN 15493:2019, average, {read}", read=READ))
SECOND_FLAME = Limit("second flame", 10.0, tr("EN 15493:2019, {read}", read=READ))
RELIGHT = Limit("relights", 0.0, tr("EN 15493:2019, {read}", read=READ))
LEAN = Limit("leaning", 10.0, tr("EN 15493:2019: stands on a slope of 10 degrees, {read}", read=READ))
SOOT = Limit("soot", 0.0, tr("steady soot to the eye; EN 15426's index cannot be measured at home"))
BREACH = Limit("wall", 0.0, tr("common practice, no source"))
"""What a candle may do, each with its source; `READ` says how much of the standards was read. A wall that gives way is common
practice, no source."""


@dataclass(frozen=True, slots=True)
class Passed:
    """A limit that a candle went over."""

    limit: Limit
    says: str


def passed_limits(burns: tuple[Burn, ...], units: Units) -> tuple[Passed, ...]:
    """The limits that were passed in any of these burns, in words; empty where all was inside those we know."""
    seen = [look.seen for burn in burns for look in burn.looks]
    flame = max((one.flame for one in seen if one.flame is not None), default=0.0)
    second = max((one.second_flame for one in seen if one.second_flame is not None), default=0.0)
    glows = [burn.glow for burn in burns if burn.glow is not None]
    glow = sum(glows) / len(glows) if glows else 0.0
    facts = (
        (flame > FLAME.figure, FLAME, tr('flame {seen}, over {limit}', seen=show_length(flame, units), limit=show_length(FLAME.figure, units))),
        (glow > GLOW.figure, GLOW, tr('glowed {glow:.0f} s on average, over {figure:.0f} s', glow=glow, figure=GLOW.figure)),
        (second > SECOND_FLAME.figure, SECOND_FLAME, tr('a second flame for {second:.0f} s', second=second)),
        (any(burn.relit for burn in burns), RELIGHT, tr('it took fire again by itself')),
        (any(one.leaning for one in seen), LEAN, tr('it leans')),
        (any(one.soot == "steady" for one in seen), SOOT, tr('steady soot')),
        (any(one.wall == 0 for one in seen), BREACH, tr('the wall is breached')),
    )  # fmt: skip
    return tuple(Passed(limit, says) for broken, limit, says in facts if broken)


def stop_now(burn: Burn, units: Units) -> tuple[Passed, ...]:
    """What of the newest look says to put the candle out."""
    if not burn.looks:
        return ()
    newest = (burn.looks[-1],)
    stops = (FLAME, SECOND_FLAME, SOOT, LEAN, BREACH)
    only = Burn(burn.lit_at, burn.before, newest)
    return tuple(passed for passed in passed_limits((only,), units) if passed.limit in stops)


def limits_words(burns: tuple[Burn, ...], units: Units) -> str:
    """One sentence: inside the limits we know, or which were passed, with their source."""
    if not any(burn.looks for burn in burns):
        return tr("Nothing was measured yet.")
    over = passed_limits(burns, units)
    if not over:
        return tr("Inside the limits we know, as far as they were looked at.")
    return tr("Over a limit: {over}.", over="; ".join(f"{one.says} ({one.limit.source})" for one in over))
