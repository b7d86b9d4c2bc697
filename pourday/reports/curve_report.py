"""A cooling curve read: as text for a person, as data for another program."""

from __future__ import annotations

from typing import Any

from pourday.curve.families import FamilyOdds, families_of
from pourday.curve.log import CoolingLog
from pourday.curve.reading import CurveReading
from pourday.errors import Trouble
from pourday.language import tr
from pourday.wax.between import ShareBetween, share_between
from pourday.wax.materials import Wax
from pourday.wax.unsure import FOUR_IN_FIVE

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
        tr(
            "{count} readings over {minutes:.0f} min, from {first} to {last}, in steps of {resolution:.2g} °C.",
            count=len(log.seconds),
            minutes=minutes,
            first=_degrees(log.celsius[0]),
            last=_degrees(log.celsius[-1]),
            resolution=log.resolution,
        )
    ]
    lines += _says(reading)
    if reading.second_c is not None:
        lines.append(
            tr(
                "A second, smaller step lies near {second_c:.0f} °C: a blend, or a change in the solid wax.",
                second_c=reading.second_c,
            )
        )
    named = [each for each in families_of(reading) if each.odds >= _WORTH_NAMING]
    if reading.kind != "none":
        lines.append(tr("It can be: {named}.", named="; ".join(_named(each) for each in named)))
        lines.append(
            tr("Estimates. Families that set alike cannot be told apart by a curve: look, smell, scratch it.")
        )
    return lines


def between(one: Wax, other: Wax, reading: CurveReading) -> ShareBetween:
    """The share of `other` in a blend of the two that gave this curve. Raises `Trouble` where it tells none."""
    if reading.congealing_c is None or reading.early_c is None or reading.late_c is None:
        raise Trouble(tr("This curve does not tell where the blend sets, so it tells no share either."))
    return share_between(
        one, other, reading.congealing_c, (reading.late_c - reading.early_c) / 2 / FOUR_IN_FIVE
    )


def between_text(one: Wax, other: Wax, share: ShareBetween) -> str:
    """That share in a sentence."""
    low, likely, high = (f"{100 * part:.0f}" for part in (share.low, share.likely, share.high))
    return tr(
        "As a blend of {one} and {other}: about {likely} % {other}, four times in five {low} to {high} %. An estimate, on the line between the two.",
        one=one.short_name,
        other=other.short_name,
        likely=likely,
        low=low,
        high=high,
    )


def _says(reading: CurveReading) -> list[str]:
    """The main thing that was read."""
    if reading.kind == "bath":
        return [
            tr(
                "No plateau of the wax: it only came to rest at {degrees}, where the bath or the room is.",
                degrees=_degrees(reading.rests_at_c),
            ),
            tr(
                "The wax sets below that, if it had not set before. Take the curve again in something colder."
            ),
        ]
    if reading.congealing_c is None:
        return [
            tr("No plateau: this curve does not tell where the wax sets."),
            tr(
                "Either it is a soft mixture - treat it as container wax, and test it - or the log is too short: begin well above where it sets, and go on until it is hard."
            ),
        ]
    spread = tr(
        "four times in five between {low} and {high}",
        low=_degrees(reading.early_c),
        high=_degrees(reading.late_c),
    )
    if reading.kind == "slope":
        return [
            tr(
                "No flat plateau, but it begins to set near {degrees}, {spread}.",
                degrees=_degrees(reading.congealing_c),
                spread=spread,
            ),
            tr("A soft mixture: treat it as container wax, and test it."),
        ]
    sets = [tr("It sets at {degrees}, {spread}.", degrees=_degrees(reading.congealing_c), spread=spread)]
    if reading.range_c is not None:
        low, high = reading.range_c
        sets.append(
            tr(
                "Most of its heat came between {low} and {high}.",
                low=_degrees(low),
                high=_degrees(high),
            )
        )
    return sets


def _named(each: FamilyOdds) -> str:
    return f"{each.name} {each.odds:.0%}".replace("%", " %")


def _degrees(celsius: float | None) -> str:
    """To the tenth, which is no finer than the spread beside it."""
    return "-" if celsius is None else tr("{celsius:.1f} °C", celsius=celsius)
