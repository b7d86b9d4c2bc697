"""Whether a candle can weigh what was typed, by what it weighed last: it only loses, and no faster than it burns."""

from __future__ import annotations

from pourday.burn.candle import Candle
from pourday.language import tr
from pourday.plan.model import Plan
from pourday.units import show_mass

AT_REST = 0.05
"""Share by which a candle may differ from what it weighed last without burning: a base made level, drips, two scales. An
estimate of ours."""
FASTEST = 0.030 / 3600
"""kg/s that a candle loses at most. An estimate of ours: one wick takes 3 to 12 g/h (common practice, no source)."""


def last_weight(candle: Candle) -> tuple[float, float] | None:
    """(kg it weighed last, s it has burned since); None where it was never weighed."""
    burned_s = 0.0
    for burn in reversed(candle.life.burns):
        if burn.cold_kg is not None:
            return burn.cold_kg, burned_s
        burned_s += (burn.ended_at or burn.lit_at) - burn.lit_at
        if burn.before.kg is not None:
            return burn.before.kg, burned_s
    return None if candle.kg is None else (candle.kg, burned_s)


def weight_doubt(candle: Candle, kg: float, plan: Plan) -> str:
    """Why a candle can hardly weigh so many kg, in a sentence with the figures; empty where it can, or nothing is known."""
    known = last_weight(candle)
    if known is None:
        return ""
    last_kg, burned_s = known
    about = max(AT_REST * last_kg, plan.scale_step)
    if last_kg - about - FASTEST * burned_s <= kg <= last_kg + about:
        return ""
    return tr(
        "{letter} weighed {last} last: {typed} can hardly be.",
        letter=candle.letter,
        last=show_mass(last_kg, plan.units, plan.scale_step),
        typed=show_mass(kg, plan.units, plan.scale_step),
    )
