"""What a cooling curve and all clues come to, in sentences."""

from __future__ import annotations

from collections.abc import Sequence

from pourday.curve.families import FamilyOdds
from pourday.curve.reading import CurveReading
from pourday.heap.beat import Enough, beats, enough
from pourday.language import ntr, tr
from pourday.session.heap import HeapState
from pourday.units import Units, show_temperature
from pourday.wax.materials import families

WORTH_NAMING = 0.05
"""Odds under which a family is not named. Chosen."""


def curve_says(reading: CurveReading | None, units: Units) -> str:
    """What the readings say of where the wax sets, and how surely."""

    def degrees(celsius: float | None) -> str:
        return "-" if celsius is None else show_temperature(celsius, units, 1)

    if reading is None:
        return tr("Too few readings: this curve says nothing.")
    spread = tr(
        "four times in five between {low} and {high}",
        low=degrees(reading.early_c),
        high=degrees(reading.late_c),
    )
    second = ""
    if reading.second_c is not None:
        second = tr(
            " A second, smaller step near {degrees}: a blend, or a change in the set wax.",
            degrees=degrees(reading.second_c),
        )
    match reading.kind:
        case "plateau":
            return tr(
                "It sets at {degrees}, {spread}.{second}",
                degrees=degrees(reading.congealing_c),
                spread=spread,
                second=second,
            )
        case "slope":
            return tr(
                "No flat plateau; it begins to set near {degrees}, {spread}. A soft mixture: treat it as container wax, and test it.",
                degrees=degrees(reading.congealing_c),
                spread=spread,
            )
        case "bath":
            return tr(
                "It came to rest at {degrees}, where the air or the bath is; that is no plateau of the wax. Take it again in something colder.",
                degrees=degrees(reading.rests_at_c),
            )
        case _:
            return tr("No plateau: a soft mixture. Treat it as container wax, and test it.")


def enough_says(why: Enough) -> str:
    """That a curve can end, and why; empty while it cannot."""
    return {
        "": "",
        "set": tr("Enough is seen: it has set, the plateau lies behind it. Space ends it."),
        "cold": tr("Enough is seen: it is cold, nothing more comes. Space ends it."),
        "at rest": tr("Enough is seen: it is as warm as what is around it. Space ends it."),
    }[why]


def odds_says(odds: Sequence[FamilyOdds]) -> str:
    """Which families it can be, likeliest first."""
    named = [f"{families()[each.family].short_name} {each.odds:.0%}".replace("%", " %") for each in odds if each.odds >= WORTH_NAMING]  # fmt: skip
    return tr("It can be: {named}.", named=", ".join(named[:4]))


def beat_says(heap: HeapState, reading: CurveReading | None, units: Units, now: float) -> str:
    """How the curve stands that is being taken, in a line or two; `reading` is what it says so far."""
    cooling = heap.cooling
    if cooling is None:
        return tr("No curve is being taken.")
    count = len(cooling.readings)
    if not count:
        return tr(
            "Read the tin at each beat: digits, Enter. Take your time; a beat that is missed does no harm."
        )
    why = enough(cooling, reading)
    missing = max(0, beats(cooling, now) + 1 - count)
    missed = tr(", {missing} beats without one", missing=missing) if missing > 2 else ""
    so_far = ""
    if reading is not None and reading.congealing_c is not None:
        so_far = tr(
            " So far it sets near {temperature}.",
            temperature=show_temperature(reading.congealing_c, units, 1),
        )
    return ntr(
        "{count} reading{missed}.{so_far} {enough_says}",
        "{count} readings{missed}.{so_far} {enough_says}",
        count,
        count=count,
        missed=missed,
        so_far=so_far,
        enough_says=enough_says(why) or tr("Go on."),
    )
