"""A cooling curve read: as text for a person, as data for another program."""

from __future__ import annotations

from typing import Any

from pourday.curve.families import FamilyOdds, families_of
from pourday.curve.log import CoolingLog
from pourday.curve.reading import CurveReading

_WORTH_NAMING = 0.05
"""Odds under which a family is not named in the text."""


def curve_data(reading: CurveReading) -> dict[str, Any]:
    """What was read, °C; `range_c` is empty and the others null where the curve does not tell."""

    def rounded(celsius: float | None) -> float | None:
        return None if celsius is None else round(celsius, 2)

    return {
        "congealing_c": rounded(reading.congealing_c),
        "early_c": rounded(reading.early_c),
        "late_c": rounded(reading.late_c),
        "range_c": [round(end, 2) for end in reading.range_c or ()],
        "kind": reading.kind,
        "families": [
            {"family": each.family, "name": each.name, "odds": round(each.odds, 3)}
            for each in families_of(reading)
        ],
    }


def curve_text(log: CoolingLog, reading: CurveReading) -> list[str]:
    """What was read, a sentence a line."""
    minutes = log.seconds[-1] / 60
    lines = [
        f"{len(log.seconds)} readings over {minutes:.0f} min, from {_degrees(log.celsius[0])} to "
        f"{_degrees(log.celsius[-1])}, in steps of {log.resolution:.2g} K."
    ]
    lines += _says(reading)
    if reading.second_c is not None:
        lines.append(
            f"A second, smaller step lies near {reading.second_c:.0f} °C: a blend, or a change in the solid wax."
        )
    named = [each for each in families_of(reading) if each.odds >= _WORTH_NAMING]
    if reading.kind != "none":
        lines.append(f"It can be: {'; '.join(_named(each) for each in named)}.")
        lines.append(
            "Estimates. Families that set alike cannot be told apart by a curve: look, smell, scratch it."
        )
    return lines


def _says(reading: CurveReading) -> list[str]:
    """The main thing that was read."""
    if reading.kind == "bath":
        return [
            f"No plateau of the wax: it only came to rest at {_degrees(reading.rests_at_c)}, where the bath or the room is.",
            "The wax sets below that, if it had not set before. Take the curve again in something colder.",
        ]
    if reading.congealing_c is None:
        return [
            "No plateau: this curve does not tell where the wax sets.",
            "Either it is a soft mixture - treat it as container wax, and test it - or the log is too short: begin well "
            "above where it sets, and go on until it is hard.",
        ]
    spread = f"four times in five between {_degrees(reading.early_c)} and {_degrees(reading.late_c)}"
    if reading.kind == "slope":
        return [
            f"No flat plateau, but it begins to set near {_degrees(reading.congealing_c)}, {spread}.",
            "A soft mixture: treat it as container wax, and test it.",
        ]
    sets = [f"It sets at {_degrees(reading.congealing_c)}, {spread}."]
    if reading.range_c is not None:
        low, high = reading.range_c
        sets.append(f"Most of its heat came between {_degrees(low)} and {_degrees(high)}.")
    return sets


def _named(each: FamilyOdds) -> str:
    return f"{each.name} {each.odds:.0%}".replace("%", " %")


def _degrees(celsius: float | None) -> str:
    """To the tenth, which is no finer than the spread beside it."""
    return "-" if celsius is None else f"{celsius:.1f} °C"
