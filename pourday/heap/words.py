"""What a cooling curve and all clues come to, in sentences."""

from __future__ import annotations

from collections.abc import Sequence

from pourday.curve.families import FamilyOdds
from pourday.curve.reading import CurveReading
from pourday.heap.beat import Enough
from pourday.units import Units, show_temperature
from pourday.wax.materials import families

WORTH_NAMING = 0.05
"""Odds under which a family is not named."""


def curve_says(reading: CurveReading | None, units: Units) -> str:
    """What the readings say of where the wax sets, and how surely."""

    def degrees(celsius: float | None) -> str:
        return "-" if celsius is None else show_temperature(celsius, units, 1)

    if reading is None:
        return "Too few readings: this curve says nothing."
    spread = f"four times in five between {degrees(reading.early_c)} and {degrees(reading.late_c)}"
    second = ""
    if reading.second_c is not None:
        second = (
            f" A second, smaller step near {degrees(reading.second_c)}: a blend, or a change in the set wax."
        )
    match reading.kind:
        case "plateau":
            return f"It sets at {degrees(reading.congealing_c)}, {spread}.{second}"
        case "slope":
            return (
                f"No flat plateau; it begins to set near {degrees(reading.congealing_c)}, {spread}. A soft mixture: treat it "
                "as container wax, and test it."
            )
        case "bath":
            return (
                f"It came to rest at {degrees(reading.rests_at_c)}, where the air or the bath is; that is no plateau of the "
                "wax. Take it again in something colder."
            )
        case _:
            return "No plateau: a soft mixture. Treat it as container wax, and test it."


def enough_says(why: Enough) -> str:
    """That a curve can end, and why; empty while it cannot."""
    return {
        "": "",
        "set": "Enough is seen: it has set, the plateau lies behind it. Space ends it.",
        "cold": "Enough is seen: it is cold, nothing more comes. Space ends it.",
        "at rest": "Enough is seen: it is as warm as what is around it. Space ends it.",
    }[why]


def odds_says(odds: Sequence[FamilyOdds]) -> str:
    """Which families it can be, likeliest first."""
    named = [f"{families()[each.family].short_name} {each.odds:.0%}".replace("%", " %") for each in odds if each.odds >= WORTH_NAMING]  # fmt: skip
    return f"It can be: {', '.join(named[:4])}."
