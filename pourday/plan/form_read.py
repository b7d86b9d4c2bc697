"""How the form reads and shows what has no reader of its own in `units`: ranges, prices, water tables ...

Every reader takes the text and the row's label, and raises `Trouble` naming the row.
"""

from __future__ import annotations

import re

from pourday.errors import Trouble
from pourday.language import any_of, tr, typed_words, word
from pourday.plan.check import MOST_HOLES
from pourday.plan.model import Product, Units, WaterPoint
from pourday.units import (
    read_length,
    read_mass,
    read_number,
    read_temperature,
    show_length,
    show_mass,
    show_share,
    show_temperature,
)

MOST_COUNT = 12
"""Moulds of one kind."""
TO = rf"(?:-|–|{any_of(typed_words('to'))})"
"""Between the two ends of a range, as a pattern."""
_NUMBER = r"[0-9]+(?:[.,][0-9]+)?"
_LENGTH = rf"(?:[0-9]+\s+)?[0-9]+/[0-9]+|{_NUMBER}"
"""A ruler's inches too: 1 15/16."""


def is_bare(text: str) -> bool:
    """Whether it is a number without a unit: `3`, `6 1/2`, `-5`."""
    return re.fullmatch(rf"[+-]?(?:{_LENGTH})", text.strip()) is not None


def degrees(text: str, units: Units, field: str, *, room: bool = False) -> float:
    """°C. A bare number that only makes sense in the other unit is asked about."""
    try:
        read = read_temperature(text, units, "room" if room else "wax")
    except Trouble as trouble:
        what = trouble.what if text else tr("nothing is typed.")
        raise Trouble(f"{field.capitalize()}: {what}", trouble.why, trouble.instead) from None
    if read.doubt:
        raise Trouble(
            tr("{field}: is “{typed}” in C or F?", field=field.capitalize(), typed=text),
            instead=tr("Type {typed}C or {typed}F.", typed=text),
        )
    return read.celsius


def span(text: str, units: Units, field: str) -> tuple[float, float]:
    """°C of `58-62`, `58 to 62 C`, or of one temperature twice."""
    low_text, _, high_text = re.sub(rf"(?<=[0-9CFcf°])\s*{TO}\s*(?=[0-9])", "|", text).partition("|")
    high = degrees(high_text or low_text, units, field)
    if not high_text:
        return high, high
    unit = re.search(r"[CFcf]\s*$", high_text)
    low = degrees(low_text + (unit[0] if unit and low_text[-1:].isdigit() else ""), units, field)
    if low > high:
        raise Trouble(
            tr("{field}: “{typed}” runs downwards.", field=field.capitalize(), typed=text),
            instead=tr("Type the lower end first."),
        )
    return low, high


def show_span(low: float, high: float, units: Units) -> str:
    """`58-62 °C`; one temperature where the two are the same."""
    if low == high:
        return show_temperature(low, units)
    return f"{show_temperature(low, units).split()[0]}-{show_temperature(high, units)}"


_DENSITIES = {
    "kg/m3": 1.0,
    "kg/m³": 1.0,
    "g/cm3": 1000.0,
    "g/cm³": 1000.0,
    "g/ml": 1000.0,
    "g/cc": 1000.0,
    "kg/l": 1000.0,
    "lb/gal": 119.826427,
}
"""kg/m³ in one of each; the US gallon's by NIST Special Publication 811, appendix B."""


def density(text: str, field: str) -> float:
    """kg/m³ of `905`, `0.905`, `0.9 g/ml`; a bare number below 10 is g/cm³.

    >>> density("0.905", "density"), density("905", "density"), round(density("7.5 lb/gal", "density"))
    (905.0, 905.0, 899)
    """
    match = re.fullmatch(rf"({_NUMBER})\s*([a-z]+\s*/\s*[a-z]+[3³]?)?", text.lower())
    unit = re.sub(r"\s", "", match[2] or "") if match else ""
    if not match or (unit and unit not in _DENSITIES):
        raise Trouble(
            tr("The {field} “{typed}” cannot be read.", field=field, typed=text),
            instead=tr("Type it like 905 kg/m3 or 0.905 g/ml."),
        )
    value = float(match[1].replace(",", "."))
    value *= _DENSITIES[unit] if unit else 1000.0 if value < 10 else 1.0
    if not 300 <= value <= 3000:
        raise Trouble(
            tr("The {field} “{typed}” is not that of a wax.", field=field, typed=text),
            instead=tr("Type it like 905 kg/m3 or 0.905 g/ml."),
        )
    return value


def price(text: str, units: Units, field: str) -> float:
    """Price of a kg from `12.50`, `5 / lb`, `60 for 5 kg`; a bare number is for a kg, or for a lb (US)."""
    parts = re.split(r"\s*/\s*|\s+(?:per|for|a)\s+", text.lower(), maxsplit=1)
    value = read_number(parts[0], field)
    weight = parts[1] if len(parts) > 1 else "kg" if units == "metric" else "lb"
    kg = read_mass(weight if weight[:1].isdigit() else f"1 {weight}", units, field).value
    if kg <= 0:
        raise Trouble(
            tr("The {field} “{typed}” is for no weight at all.", field=field, typed=text),
            instead=tr("Type it like 12.50/kg."),
        )
    return value / kg


def show_price(per_kg: float, units: Units) -> str:
    """A price of a kg as it is told: `12.50/kg`, or for a pound."""
    return f"{per_kg:.2f}/kg" if units == "metric" else f"{per_kg * 0.45359237:.2f}/lb"


def water_table(text: str, units: Units, field: str) -> tuple[WaterPoint, ...]:
    """Heights and weights of `50 mm 210 g, 100 mm 430 g`, lowest first; empty for none."""
    points = []
    for entry in re.split(r";|,\s+|,$", text):
        if not entry.strip():
            continue
        pair = re.fullmatch(rf"\s*((?:{_LENGTH})\s*(?:mm|cm|m|in|inch|inches|[\"″])?)\s*[:=]?\s+(.+)", entry)
        if not pair:
            raise Trouble(
                tr(
                    "{field}: “{entry}” is no height with its weight.",
                    field=field.capitalize(),
                    entry=entry.strip(),
                ),
                instead=tr("Type them like 50 mm 210 g, 100 mm 430 g."),
            )
        height = read_length(pair[1], units, field).value
        points.append(WaterPoint(height=height, water=read_mass(pair[2], units, field).value))
    return tuple(sorted(points, key=lambda point: point.height))


def show_water_table(points: tuple[WaterPoint, ...], units: Units) -> str:
    """Heights and weights as `water_table` reads them."""
    return ", ".join(f"{show_length(p.height, units)} {show_mass(p.water, units)}" for p in points)


def scale_step(text: str, units: Units, field: str) -> float:
    """kg of the smallest step of a scale."""
    step = read_mass(text, units, field).value
    if not 1e-6 <= step <= 0.1:
        raise Trouble(
            tr("{field}: a kitchen scale shows steps from 0.001 g to 100 g.", field=field.capitalize()),
            instead=tr("Type 1 g or 0.1 g."),
        )
    return step


def count(text: str, field: str) -> int:
    """How many moulds: a whole number from 1 on."""
    number = read_number(text, field, MOST_COUNT)
    if number != int(number) or number < 1:
        raise Trouble(
            tr("{field}: “{typed}” is not a whole number of moulds.", field=field.capitalize(), typed=text),
            instead=tr("Type 1, 2, 3 ..."),
        )
    return int(number)


def holes(text: str, field: str) -> int:
    """How many wick holes: a whole number from 0 on."""
    number = read_number(text, field, MOST_HOLES)
    if number != int(number):
        raise Trouble(
            tr("{field}: “{typed}” is not a whole number of holes.", field=field.capitalize(), typed=text),
            instead=tr("Type 0, 1, 2 ..."),
        )
    return int(number)


def choice(text: str, choices: tuple[str, ...], field: str) -> str:
    """One of the words of a row."""
    text = next((each for each in choices if text == word(each)), text)
    if text not in choices:
        raise Trouble(
            tr("{field}: there is no “{typed}”.", field=field.capitalize(), typed=text),
            instead=tr("Choose {choices}.", choices=", ".join(word(each) for each in choices)),
        )
    return text


MOST_PRODUCTS = 6
"""Scents, or dyes, of one layer: blends of more are bought ready-made."""
_LOT = re.escape(tr("lot"))
_PRODUCT = re.compile(rf"(.*?)(?:\s+({_NUMBER})\s*%)?(?:\s+(?:lot|{_LOT})\s+(.*\S))?", re.IGNORECASE)


def products(text: str, field: str) -> tuple[Product, ...]:
    """Scents or dyes of `lavender 60 % lot L-3, cedar 40 %`; empty for none. Raises `Trouble` naming the row.

    >>> products("lavender 60 % lot L-3, cedar 40 %", "scents")[0]
    Product(name='lavender', lot='L-3', share=0.6)
    """
    read = []
    for part in re.split(r"\s*;\s*|,\s+|,$", text):
        if not part.strip():
            continue
        match = _PRODUCT.fullmatch(f" {part.strip()}")
        assert match is not None  # every text has a name, if an empty one
        name = match[1].strip()
        if not name:
            raise Trouble(
                tr("The {field}: “{part}” has no name.", field=field, part=part),
                instead=tr("Type them like lavender 60 %, cedar 40 %."),
            )
        share = float(match[2].replace(",", ".")) / 100 if match[2] else 1.0
        if not 0 < share <= 1:
            raise Trouble(
                tr("The {field}: “{name}” has a share of {match} %.", field=field, name=name, match=match[2]),
                instead=tr("Type 1 % to 100 %, or none."),
            )
        read.append(Product(name=name[:80], lot=(match[3] or "")[:80], share=share))
    if len(read) > MOST_PRODUCTS:
        raise Trouble(
            tr("The {field}: a layer takes up to {most_products}.", field=field, most_products=MOST_PRODUCTS),
            instead=tr("Leave the smallest ones out."),
        )
    return tuple(read)


def show_products(parts: tuple[Product, ...]) -> str:
    """Scents or dyes as they can be typed back; shares only where there are several."""
    shown = []
    for part in parts:
        share = f" {show_share(part.share)}" if len(parts) > 1 else ""
        shown.append(f"{part.name}{share}{(tr(' lot {lot}', lot=part.lot) if part.lot else '')}")
    return ", ".join(shown)
