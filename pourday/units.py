"""The door for units: what a person types becomes SI, and SI becomes what a person reads.

Temperatures are read without Pint, for a reading at the stove never waits. All else that is typed goes
through Pint, loaded on first use. Writing uses the plain legal factors below; the tests hold them against Pint.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from functools import cache
from typing import TYPE_CHECKING, Literal
from unicodedata import normalize

import msgspec

from pourday.errors import Trouble
from pourday.language import DECIMAL_MARK, figures, tr

if TYPE_CHECKING:
    import pint

Units = Literal["metric", "us"]

POUND = 0.45359237
"""kg in an avoirdupois pound, exact by the international agreement of 1959."""
OUNCE = POUND / 16
"""kg in an avoirdupois ounce."""
INCH = 0.0254
"""m, exact by the same agreement."""
_TICKS = 16
"""Parts of an inch on a ruler."""
QUART = 231 * INCH**3 / 4
"""m³ in a US liquid quart: a quarter of 231 cubic inches, by definition."""
SCALE_STEPS = (1e-6, 0.1)
"""kg, the finest and the coarsest step of a scale that wax, scent or dye is weighed on: estimate."""
DROP = 0.00003
"""kg in a drop of liquid dye or scent: 0.03 g, common practice, no source. Droppers differ widely."""


class Temperature(msgspec.Struct, frozen=True):
    """A temperature as it was meant, and as it was typed."""

    celsius: float
    typed: str
    unit: Literal["C", "F"]
    doubt: str = ""
    """“C or F?” where a bare number makes sense only in the other unit; to be asked before filing."""


Place = Literal["wax", "room"]

_USUAL: dict[Place, tuple[float, float]] = {"wax": (40.0, 130.0), "room": (5.0, 45.0)}
"""Where a reading mostly lies: molten wax, or a kitchen. A bare number is asked about when it
lies outside this span in the day's unit and inside it in the other. Estimates."""
_ACCEPTED: dict[Place, tuple[float, float]] = {"wax": (-20.0, 250.0), "room": (-30.0, 60.0)}
"""What is filed at all. Wax far beyond its flash point has to be recordable. Estimates."""

_TEMPERATURE = re.compile(
    r"([+-]?(?:[0-9]{1,6}(?:[.,][0-9]{0,6})?|[.,][0-9]{1,6}))\s*(?:°|º|deg(?:rees)?\.?)?\s*"
    r"(c|f|celsius|fahrenheit|℃|℉)?",
    re.IGNORECASE,
)


def to_celsius(value: float, unit: Literal["C", "F"]) -> float:
    """°C of a figure on either scale."""
    return value if unit == "C" else (value - 32) / 1.8


def read_temperature(text: str, units: Units, place: Place = "wax") -> Temperature:
    """The temperature a person typed: `74.5`, `74,5`, `165f`, `64 °C`, `-5`.

    A bare number takes the day's unit. It comes back with a `doubt` when it is out of the usual span
    of the place (wax 40-130 °C, room 5-45 °C) in that unit and inside it in the other: 131 to 266 in a
    Celsius day, 40 to 104 (below, not at, 104) in a Fahrenheit day. Wax is accepted from -20 to 250 °C.

    Raises `Trouble` for what is no number, or is outside what is accepted in every unit it could have.
    """
    typed = _printable(text)
    match = _TEMPERATURE.fullmatch(typed.replace("−", "-"))
    if not match:
        raise Trouble(
            tr("“{typed}” is not a temperature.", typed=typed), instead=tr("Type it like 74.5, 64C or 165F.")
        )
    value = float(match[1].replace(",", "."))
    mark = (match[2] or "").lower().replace("℃", "c").replace("℉", "f")[:1]
    own: Literal["C", "F"] = "C" if units == "metric" else "F"
    unit: Literal["C", "F"] = own if not mark else "C" if mark == "c" else "F"
    celsius = to_celsius(value, unit)
    doubt = ""
    if not mark:
        other = to_celsius(value, "F" if own == "C" else "C")
        doubt = tr("C or F?") if _within(other, _USUAL[place]) and not _within(celsius, _USUAL[place]) else ""
    if not doubt and not _within(celsius, _ACCEPTED[place]):
        low, high = (show_temperature(limit, units) for limit in _ACCEPTED[place])
        raise Trouble(
            tr(
                "“{typed}” is not a temperature for a kitchen: {low} to {high} is taken.",
                typed=typed,
                low=low,
                high=high,
            ),
            instead=tr("Look again and type it like 74.5, 64C or 165F."),
        )
    return Temperature(celsius=celsius, typed=typed, unit=unit, doubt=doubt)


def _within(celsius: float, span: tuple[float, float]) -> bool:
    return span[0] <= celsius <= span[1]


def _printable(text: str) -> str:
    """What can be put into a sentence and be read whole: visible characters, not too many of them."""
    shown = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return shown if len(shown) <= 60 else f"{shown[:57]}..."


class Measure(msgspec.Struct, frozen=True):
    """What was typed, in SI (kg, m, m³, s, or a share as a fraction), and as it was typed."""

    value: float
    typed: str
    drops: float | None = None
    """How many drops were typed; the weight is then an estimate at 0.03 g a drop."""


class _Kind(msgspec.Struct, frozen=True):
    """One kind of quantity: its SI unit, what a bare number means, and what is accepted."""

    name: str
    si: str
    bare: dict[Units, str]
    most: float
    like: str
    least: float = 0.0


_MASS = _Kind(
    "weight", "kilogram", {"metric": "gram", "us": "ounce"}, 1000.0, tr("592 g or 1 lb 4.9 oz")
)  # kg; chosen: nobody weighs more
_LENGTH = _Kind(
    "length", "meter", {"metric": "millimeter", "us": "inch"}, 10.0, tr("150 mm, 7.5 cm or 3 in")
)  # m; chosen
_ALTITUDE = _Kind(
    "altitude", "meter", {"metric": "meter", "us": "foot"}, 6000.0, tr("450 m or 1500 ft"), -500.0
)  # m; chosen: where nobody lives above
_VOLUME = _Kind(
    "volume", "meter ** 3", {"metric": "liter", "us": "quart"}, 1.0, tr("2.5 l or 3 quarts")
)  # m³; chosen
_DURATION = _Kind(
    "duration", "second", {"metric": "minute", "us": "minute"}, 3.5e7, tr("45 min, 2h30 or 3 days")
)  # s; chosen: a little over a year

_NUMBER = r"(?:[0-9]+\s+)?[0-9]+\s*/\s*[0-9]+|[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+"
_UNIT = r"fl\.?\s*oz|fluid\s+\w+|[a-zµ]+\.?|[\"″%']"
_TERM = re.compile(rf"\s*({_NUMBER})\s*({_UNIT})?\s*", re.IGNORECASE)
_RATIO = re.compile(rf"({_NUMBER})\s*({_UNIT})\s*(?:/|per\b)\s*({_NUMBER})?\s*({_UNIT})", re.IGNORECASE)
_NAMES = {"kilo": "kilogram", "kilos": "kilogram", "gr": "gram", "gm": "gram", "gms": "gram"}
_NAMES |= {'"': "inch", "″": "inch", "'": "foot", "w": "week", "wk": "week", "wks": "week"}
_NEXT = {"hour": "minute", "minute": "second", "pound": "ounce", "foot": "inch"}
"""What a bare number after one of these counts: the 30 of 2h30."""


def read_mass(text: str, units: Units, field: str = "weight") -> Measure:
    """kg of `592g`, `1 lb 4.9 oz`, `1.3 lb`, `3 drops`; a bare number is grams (metric) or ounces (US).

    Raises `Trouble` naming `field` for what cannot be read, is negative, or is a volume: fluid ounces
    and millilitres are not weights (8 fl oz of wax weigh about 7 oz).
    """
    typed = _printable(text)
    drops = re.fullmatch(rf"({_NUMBER})\s*(?:drops?|dr)", _spelt(typed), re.IGNORECASE)
    if drops:
        count = _number(drops[1], field, typed)
        return Measure(_bounded(count * DROP, _MASS, field, typed), typed, drops=count)
    return _read(typed, units, _MASS, field)


def read_length(text: str, units: Units, field: str = "length") -> Measure:
    """m of `7.5cm`, `3 in`, `1/2 in`; a bare number is millimetres or inches. Raises `Trouble`."""
    return _read(_printable(text), units, _LENGTH, field)


def read_altitude(text: str, units: Units, field: str = "altitude") -> Measure:
    """m above the sea; a bare number is metres or feet, and may be below zero. Raises `Trouble`."""
    return _read(_printable(text), units, _ALTITUDE, field)


def read_volume(text: str, units: Units, field: str = "volume") -> Measure:
    """m³ of what a pot or jug holds; a bare number is litres or US quarts. Raises `Trouble`."""
    return _read(_printable(text), units, _VOLUME, field)


def read_duration(text: str, units: Units, field: str = "duration") -> Measure:
    """s of `2h30`, `1:30` (hours, minutes), `45 s`, `3 days`; a bare number is minutes. Raises `Trouble`."""
    typed = _printable(text)
    clock = re.fullmatch(r"([0-9]{1,3}):([0-5][0-9])", typed)
    # A lone m is a minute here and a metre everywhere else.
    spelt = re.sub(r"(?<=[0-9])\s*m\b", " min", typed, flags=re.IGNORECASE)
    spelt = f"{clock[1]}h{clock[2]}" if clock else spelt
    return msgspec.structs.replace(_read(spelt, units, _DURATION, field), typed=typed)


def read_share(text: str, field: str = "share") -> Measure:
    """A share as a fraction from `6%`, `6` (per cent as well), `1 oz/lb`, `30 g per kg`.

    Raises `Trouble` for what cannot be read, for two sides that are not both weights, beyond 100 %, and for
    a bare fraction: 5/100 may be 5 % or a twentieth of one.
    """
    typed = _printable(text)
    spelt = _spelt(typed)
    ratio = _RATIO.fullmatch(spelt)
    plain = re.fullmatch(rf"({_NUMBER})\s*(%?)", spelt)
    if ratio:
        top = _number(ratio[1], field, typed) * _factor(ratio[2], _MASS, field, typed)
        bottom = _number(ratio[3] or "1", field, typed) * _factor(ratio[4], _MASS, field, typed)
        value = top / bottom if bottom else math.inf
    elif plain:
        value = _number(plain[1], field, typed) / 100
        if "/" in plain[1] and not plain[2]:
            raise _two_ways(field, typed, show_share(value * 100), show_share(value))
    else:
        raise _unreadable(field, typed, tr("6 %, 1 oz/lb or 30 g/kg"))
    if not 0 <= value <= 1:
        raise Trouble(
            tr("The {field} “{typed}” is not between 0 and 100 %.", field=field, typed=typed),
            instead=tr("A bare 6 means 6 %."),
        )
    return Measure(value, typed)


def read_number(text: str, field: str = "number", most: float = 1e6) -> float:
    """A plain number, 0 to `most`: a price, a count. Raises `Trouble` naming `field`."""
    typed = _printable(text)
    spelt = _spelt(typed)
    if not re.fullmatch(_NUMBER, spelt):
        raise _unreadable(field, typed, tr("12 or 3.50"))
    value = _number(spelt, field, typed)
    if value > most:
        raise Trouble(
            tr("The {field} “{typed}” is more than {most:g}.", field=field, typed=typed, most=most),
            instead=tr("Look again and type it anew."),
        )
    return value


@cache
def _registry() -> pint.UnitRegistry[float]:
    import pint

    return pint.UnitRegistry()


def _read(typed: str, units: Units, kind: _Kind, field: str) -> Measure:
    """A measure as it was typed, in SI units: one number, or several as in `2 lb 3 oz`. Raises `Trouble`."""
    text = _spelt(typed)
    minus = text.startswith("-")
    terms = _terms(text[1:] if text[:1] in ("+", "-") else text, kind, field, typed)
    total, follows = 0.0, None
    for place, (number, unit) in enumerate(terms):
        if not unit and len(terms) > 1 and not (follows and place == len(terms) - 1):
            raise _unreadable(field, typed, kind.like)
        name = unit or follows or kind.bare[units]
        total += number * _factor(name, kind, field, typed)
        follows = _NEXT.get(str(_registry().parse_units(_canonical(name))))
    return Measure(_bounded(-total if minus else total, kind, field, typed), typed)


def _spelt(typed: str) -> str:
    """With a plain minus, and each sign like ½ as figures."""
    text = re.sub("[¼-¾⅐-⅞]", lambda sign: f" {normalize('NFKC', sign[0])}", typed.replace("−", "-"))
    return text.replace("⁄", "/").strip()


def _terms(text: str, kind: _Kind, field: str, typed: str) -> list[tuple[float, str]]:
    """The numbers with their units, in order; an empty unit for a bare number."""
    terms, place = [], 0
    while place < len(text):
        match = _TERM.match(text, place)
        if not match:
            raise _unreadable(field, typed, kind.like)
        terms.append((_number(match[1], field, typed), match[2] or ""))
        place = match.end()
    if not terms:
        raise _unreadable(field, typed, kind.like)
    return terms


def _number(text: str, field: str, typed: str) -> float:
    """A number or fraction. Raises `Trouble` for one like `1,500`, which is read differently in different countries."""
    other = "," if DECIMAL_MARK == "." else "."
    if re.fullmatch(rf"[1-9][0-9]{{0,2}}[{other}][0-9]{{3}}", text):
        raise _two_ways(field, typed, text.replace(other, ""), text.replace(other, DECIMAL_MARK))
    top, slash, bottom = text.replace(",", ".").partition("/")
    if not slash:
        return float(top)
    *lead, numerator = top.split()
    if int(bottom) == 0:
        raise _unreadable(field, typed, tr("12, 7.5 or 1/2"))
    return sum(map(int, lead)) + int(numerator) / int(bottom)


def _canonical(unit: str) -> str:
    name = unit.lower().rstrip(".")
    return _NAMES.get(name, name)


def _factor(unit: str, kind: _Kind, field: str, typed: str) -> float:
    """How many of the kind's SI unit one of this unit is."""
    import pint

    name = _canonical(unit)
    if kind is _MASS and name.startswith("fl"):
        what = tr(
            "The {field} “{typed}” is in fluid ounces, which measure volume, not weight.",
            field=field,
            typed=typed,
        )
        raise Trouble(
            what, tr("Eight fluid ounces of wax weigh about seven ounces."), tr("Put it on the scale.")
        )
    if kind is _VOLUME and name.startswith("fl"):
        name = "fluid_ounce"
    try:
        return float(_registry().Quantity(1.0, name).to(kind.si).magnitude)
    except pint.DimensionalityError:
        what = tr(
            "The {field} “{typed}” is not a {name}: “{unit}” measures something else.",
            field=field,
            typed=typed,
            name=kind.name,
            unit=unit,
        )
        raise Trouble(what, instead=tr("Type it like {like}.", like=kind.like)) from None
    except (pint.UndefinedUnitError, pint.DefinitionSyntaxError, ValueError, AssertionError):
        raise _unreadable(field, typed, kind.like) from None


def _bounded(value: float, kind: _Kind, field: str, typed: str) -> float:
    """The value, within what can be meant. Raises `Trouble` beyond."""
    if kind.least <= value <= kind.most:
        return value
    low = tr("below zero") if kind.least == 0 else tr("too low to be meant")
    wrong = low if value < kind.least else tr("too large to be meant")
    raise Trouble(
        tr("The {field} “{typed}” is {wrong}.", field=field, typed=typed, wrong=wrong),
        instead=tr("Type it like {like}.", like=kind.like),
    )


def _two_ways(field: str, typed: str, one: str, other: str) -> Trouble:
    return Trouble(
        tr("The {field} “{typed}” can be read in two ways.", field=field, typed=typed),
        instead=tr("Type {one} or {other}.", one=one, other=other),
    )


def _unreadable(field: str, typed: str, like: str) -> Trouble:
    shown = f"“{typed}”" if typed else tr("left empty")
    return Trouble(
        tr("The {field} {shown} cannot be read.", field=field, shown=shown),
        instead=tr("Type it like {like}.", like=like),
    )


def show_mass(kg: float, units: Units, step: float = 0.001) -> str:
    """A weight to the step of the person's scale (`step` in kg): `592 g`, `1 lb 4.9 oz`.

    What is above zero and rounds to nothing is shown as less than a step, never as 0. A step finer than
    any scale has (a record can say 0) counts as 1 g, so that every record can be shown.
    """
    step = step if step >= SCALE_STEPS[0] else 0.001
    unit = 0.001 if units == "metric" else OUNCE
    count = _steps(abs(kg), step)
    below = kg > 0 and count == 0
    digits = _digits(step / unit)
    ticks = _steps((1 if below else count) * step / unit, 10**-digits)
    sign = "< " if below else "-" if kg < 0 and ticks else ""
    if units == "metric":
        return tr("{sign}{ticks:.{digits}f} g", sign=sign, digits=digits, ticks=ticks / 10**digits)
    pounds, rest = divmod(ticks, 16 * 10**digits)
    ounces = tr("{rest:.{digits}f} oz", digits=digits, rest=rest / 10**digits)
    return (
        tr("{sign}{pounds} lb {ounces}", sign=sign, pounds=pounds, ounces=ounces)
        if pounds
        else f"{sign}{ounces}"
    )


def show_length(metres: float, units: Units) -> str:
    """`150 mm`, `7.5 mm`, `2 15/16 in`: inches as they stand on a ruler.

    What is above zero and less than half a sixteenth is shown as less than one, never as 0.
    """
    if units == "metric":
        return tr("{metres} mm", metres=_trimmed(figures("{figure:.1f}", figure=metres * 1000)))
    count = _steps(abs(metres) / INCH, 1 / _TICKS)
    if not count:
        return f"< 1/{_TICKS} in" if metres > 0 else tr("0 in")
    whole, rest = divmod(count, _TICKS)
    shared = math.gcd(rest, _TICKS)
    parts = ([str(whole)] if whole else []) + ([f"{rest // shared}/{_TICKS // shared}"] if rest else [])
    return tr("{metres}{parts} in", metres="-" if metres < 0 else "", parts=" ".join(parts))


def show_altitude(metres: float, units: Units) -> str:
    """`450 m` or `1476 ft`."""
    return (
        tr("{steps} m", steps=_steps(metres, 1))
        if units == "metric"
        else tr("{steps} ft", steps=_steps(metres / (12 * INCH), 1))
    )


_CUP = 0.25e-3
"""m³ in a metric cup, by definition."""


def show_volume(cubic_metres: float, units: Units) -> str:
    """`2.5 l` or `2.6 qt`; less than a cup in the smaller unit: `48 ml`, `1.6 fl oz`."""
    if 0 < cubic_metres < _CUP:
        return (
            tr("{steps} ml", steps=_steps(cubic_metres, 1e-06))
            if units == "metric"
            else tr("{cubic_metres:.1f} fl oz", cubic_metres=cubic_metres / QUART * 32)
        )
    return (
        tr("{cubic_metres:.1f} l", cubic_metres=cubic_metres * 1000)
        if units == "metric"
        else tr("{cubic_metres:.1f} qt", cubic_metres=cubic_metres / QUART)
    )


def _trimmed(figure: str) -> str:
    """A figure without the noughts that end it, and without a decimal mark that nothing follows."""
    return figure.rstrip("0").removesuffix(DECIMAL_MARK)


def show_temperature(celsius: float, units: Units, digits: int = 0) -> str:
    """`74 °C` or `165 °F`."""
    value, sign = (celsius, "C") if units == "metric" else (celsius * 1.8 + 32, "F")
    shown = figures("{value:.{digits}f}", value=value, digits=digits)
    return shown.replace("-0", "0", 1 if round(value, digits) == 0 else 0) + f" °{sign}"


def show_difference(kelvin: float, units: Units, digits: int = 0) -> str:
    """A temperature difference: `5 °C` or `9 °F`."""
    value, sign = (kelvin, "C") if units == "metric" else (kelvin * 1.8, "F")
    return figures("{value:.{digits}f} °{sign}", value=value, digits=digits, sign=sign)


def show_share(share: float) -> str:
    """`6 %`, `5.88 %`, `0.005 %`: two decimals, and of less than that two digits, as many as matter."""
    percent = share * 100
    # A pale dye is a few thousandths of a per cent, and a rounded one is another shade.
    digits = min(9, max(2, 1 - math.floor(math.log10(percent)))) if percent > 0 else 2
    return _trimmed(figures("{percent:.{digits}f}", percent=percent, digits=digits)) + " %"


def round_parts(kgs: Sequence[float], total: float | None, step: float) -> tuple[float, ...]:
    """Parts rounded to `step` so that they add up to the rounded total (largest remainder, Hamilton).

    `total` None takes the parts' own sum. Each part moves by less than one step. Raises `ValueError`
    where the parts do not make the total, for no rounding mends that.
    """
    whole = math.fsum(kgs)
    aim = _steps(whole if total is None else total, step)
    floors = [math.floor(kg / step + 1e-9) for kg in kgs]
    missing = aim - sum(floors)
    if not 0 <= missing <= len(floors):
        raise ValueError(tr("parts of {whole} kg do not make {total} kg", whole=whole, total=total))
    order = sorted(range(len(floors)), key=lambda i: floors[i] - kgs[i] / step)
    for index in order[:missing]:
        floors[index] += 1
    return tuple(count * step for count in floors)


def _steps(value: float, step: float) -> int:
    """How many steps come nearest, halves up."""
    return math.floor(value / step + 0.5 + 1e-9)


def _digits(step: float) -> int:
    """Decimals that show a step: 0 for 1, 2 for 0.05, and enough for an odd one."""
    for digits in range(4):
        scaled = step * 10**digits
        if scaled >= 1 - 1e-9 and abs(scaled - round(scaled)) < 1e-6:
            return digits
    return max(0, math.ceil(0.5 - math.log10(step)))
