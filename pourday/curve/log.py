"""A log of cooling wax as it comes from a probe, a spreadsheet or by hand: seconds and °C out of a text table."""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from pourday.errors import Trouble
from pourday.language import ntr, tr
from pourday.named_files import read_named
from pourday.text import plain
from pourday.units import to_celsius

Array = NDArray[np.float64]

LEAST_READINGS = 12
"""Readings under which nothing is said of a curve: three minutes of one every 15 s. Estimate."""
MOST_BYTES = 16_000_000
_HOTTEST_C, _COLDEST_C = 250.0, -20.0
_HOTTEST_UNNAMED_C = 110.0
"""°C between which a log is taken for one of wax, and °C that no wax over water reaches, and every molten one passes in °F:
figures whose unit nobody named stop there. Estimates."""
_RISES = 2.0
"""K: a log that ends nearer to its hottest reading has not cooled, unless it never moved. Estimate."""
_DAY = 86400.0  # s, by definition
_STEPS = (1.0, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01)
"""Steps in which thermometers count, in their own unit: common practice, no source."""
_TIMES = {
    "seconds": 1.0,
    "second": 1.0,
    "sec": 1.0,
    "secs": 1.0,
    "s": 1.0,
    "time": 1.0,
    "t": 1.0,
    "elapsed": 1.0,
}
"""s in one of what a column of times may be headed by, by definition."""
_TIMES |= {"minutes": 60.0, "minute": 60.0, "min": 60.0, "mins": 60.0, "hours": 3600.0, "h": 3600.0}
_TIMES |= {"clock": 1.0, "timestamp": 1.0, "datetime": 1.0, "date time": 1.0}
_WARMTHS = {"celsius": "C", "c": "C", "temperature": "C", "temp": "C", "fahrenheit": "F", "f": "F"}
_NAMED = frozenset({"celsius", "c", "fahrenheit", "f"})
"""Of them those that say in which unit."""
_LIKE = tr("Begin it with a line “seconds,celsius” and put a reading on each line after it, like “15,63.4”.")


@dataclass(frozen=True, eq=False)
class CoolingLog:
    """Readings of one probe in cooling wax, in the order of time."""

    seconds: Array
    """s from the first reading, rising, shape (n,)."""
    celsius: Array
    """°C, shape (n,)."""
    resolution: float
    """K, the step in which the probe counts, as its readings show it."""


def read_log(path: Path) -> CoolingLog:
    """The log in a file of comma, semicolon or tab separated columns. Raises `Trouble` that names file and line."""
    name = plain(str(path), 200)
    try:
        data = read_named(path, MOST_BYTES)
    except OSError as error:
        why = (error.strerror or tr("no reason given")).lower().rstrip(".")
        raise Trouble(tr("{name} cannot be read: {why}.", name=name, why=why)) from None
    if len(data) > MOST_BYTES:
        raise Trouble(
            tr("{name} is too large for a cooling curve.", name=name),
            instead=tr("Cut out the part that cools."),
        )
    try:
        text = data.decode("utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("latin-1")
    if "\0" in text:
        raise Trouble(tr("{name} is no table of text.", name=name), instead=_LIKE)
    return parse_log(text, name)


def parse_log(text: str, name: str = tr("The log")) -> CoolingLog:
    """The log in a text: a column of seconds (or minutes, or clock times) and one of °C (or °F).

    Columns are found by their names; without names the first is seconds and the second °C. Lines that are empty,
    begin with `#`, or have no temperature are passed over; two readings of one moment are averaged.
    Raises `Trouble` for a line that cannot be read, time that runs backwards, or too few readings.
    """
    lines = [
        (n, line) for n, line in enumerate(text.splitlines(), 1) if line.strip() and line.strip()[0] != "#"
    ]
    if not lines:
        raise Trouble(tr("{name} is empty.", name=name), instead=_LIKE)
    mark = max("\t;", key=lines[0][1].count)
    mark = mark if mark in lines[0][1] else ","
    try:
        rows = [(n, [cell.strip() for cell in next(csv.reader([line], delimiter=mark))]) for n, line in lines]
    except csv.Error:
        raise Trouble(tr("{name} is no table: a line of it has no end.", name=name), instead=_LIKE) from None
    columns, rows = _columns(rows, name)
    times, figures = [], []
    for n, cells in rows:
        if max(columns.time, columns.warmth) >= len(cells):
            raise Trouble(tr("Line {n} of {name} has no temperature.", n=n, name=name), instead=_LIKE)
        figure = cells[columns.warmth]
        if figure.lower() in ("", "-", "--", "nan", "na", "n/a"):
            continue
        value, unit = _figure(figure, n, name)
        figures.append((value, unit or columns.unit))
        columns = replace(columns, unit_named=columns.unit_named or bool(unit))
        times.append(_moment(cells[columns.time], columns.factor, n, name))
    if len({unit for _, unit in figures}) > 1:
        raise Trouble(
            tr("{name} mixes °C and °F.", name=name), instead=tr("Give all readings in one of them.")
        )
    most = _HOTTEST_C if columns.unit_named else _HOTTEST_UNNAMED_C
    return _log(times, figures, [n for n, _ in rows], name, most)


@dataclass(frozen=True)
class _Columns:
    """Which column is which: places, s in one of the time's units, the temperature's unit."""

    time: int = 0
    warmth: int = 1
    factor: float = 1.0
    unit: str = "C"
    unit_named: bool = False
    """Whether anything says that it is this unit."""


Rows = list[tuple[int, list[str]]]


def _columns(rows: Rows, name: str) -> tuple[_Columns, Rows]:
    """The columns by their names, and the rows below the names."""
    heads = [_words(cell) for cell in rows[0][1]]
    if not any(re.search("[a-z]", head) for head in heads) or re.match(r"[+-]?[0-9]", rows[0][1][0]):
        return _Columns(), rows
    time = next((i for i, head in enumerate(heads) if _time(head)), None)
    warmth = next((i for i, head in enumerate(heads) if _warmth(head) and i != time), None)
    if time is None or warmth is None:
        lacks = "seconds" if time is None else "celsius"
        raise Trouble(tr("{name} has no column “{lacks}”.", name=name, lacks=lacks), instead=_LIKE)
    named = not _NAMED.isdisjoint(heads[warmth].split())
    return _Columns(time, warmth, _time(heads[time]), _warmth(heads[warmth]), named), rows[1:]


def _words(cell: str) -> str:
    """A column's name without signs: `Temp (°C)` is `temp c`."""
    return " ".join(re.findall("[a-z]+", cell.lower().replace("°", " ").replace("_", " ")))


def _time(head: str) -> float:
    """s in one of what the column counts; 0 where it is no time."""
    for word in reversed(head.split()):
        if word in _TIMES:
            return _TIMES[word]
    return _TIMES.get(head, 0.0)


def _warmth(head: str) -> str:
    """`C` or `F`; empty where it is no temperature."""
    units = [_WARMTHS[word] for word in head.split() if word in _WARMTHS]
    return "" if not units else "F" if "F" in units else "C"


def _figure(cell: str, line: int, name: str) -> tuple[float, str]:
    """The figure of a temperature, and the unit that stands with it, if any."""
    match = re.fullmatch(r"([+-]?[0-9]+(?:[.,][0-9]*)?|[+-]?[.,][0-9]+)\s*°?\s*([cf])?", cell.lower())
    if not match:
        raise Trouble(
            tr(
                "Line {line} of {name}: “{cell}” is not a temperature.",
                line=line,
                name=name,
                cell=plain(cell, 40),
            ),
            instead=_LIKE,
        )
    return float(match[1].replace(",", ".")), (match[2] or "").upper()


def _moment(cell: str, factor: float, line: int, name: str) -> tuple[float, bool]:
    """s of a figure or of a clock time, and whether it is a clock's time of day, which begins anew at midnight."""
    clock = re.fullmatch(r"([0-9]{1,2}):([0-9]{2})(?::([0-9]{2}(?:[.,][0-9]+)?))?\s*([ap]m)?", cell.lower())
    if clock:
        hour = int(clock[1]) % 12 + 12 * (clock[4] == "pm") if clock[4] else int(clock[1])
        seconds = float((clock[3] or "0").replace(",", "."))
        if hour < 24 and int(clock[2]) < 60 and seconds < 60:
            return hour * 3600 + int(clock[2]) * 60 + seconds, True
    elif figure := re.fullmatch(
        r"([+-]?[0-9]+(?:[.,][0-9]*)?(?:e[+-]?[0-9]{1,2})?)\s*(s|sec|min|h)?", cell.lower()
    ):
        seconds = float(figure[1].replace(",", ".")) * (_TIMES[figure[2]] if figure[2] else factor)
        if math.isfinite(seconds):
            return seconds, False
    else:
        try:
            return datetime.fromisoformat(cell).timestamp(), False
        except (ValueError, OverflowError, OSError):
            pass
    raise Trouble(
        tr("Line {line} of {name}: “{cell}” is not a time.", line=line, name=name, cell=plain(cell, 40)),
        instead=tr("Give seconds from the start, like 15, or clock times, like 10:30:15."),
    )


def _log(
    times: Sequence[tuple[float, bool]],
    figures: Sequence[tuple[float, str]],
    lines: Sequence[int],
    name: str,
    most: float,
) -> CoolingLog:
    """The log of what was read, put in °C and s from its start; nothing of it may be above `most` °C."""
    if len(figures) < LEAST_READINGS:
        raise Trouble(
            ntr(
                "{name} has {count} reading; a curve takes {least_readings} at least.",
                "{name} has {count} readings; a curve takes {least_readings} at least.",
                len(figures),
                name=name,
                count=len(figures),
                least_readings=LEAST_READINGS,
            ),
            instead=tr("Take one every 15 seconds until the wax has set."),
        )
    seconds: list[float] = []
    days = 0.0
    for (moment, of_day), line in zip(times, lines, strict=False):
        if of_day and seconds and moment + days < seconds[-1] - _DAY / 2:
            days += _DAY
        seconds.append(moment + days)
        if len(seconds) > 1 and seconds[-1] < seconds[-2]:
            raise Trouble(
                tr("In {name} time runs backwards near line {line}.", name=name, line=line),
                instead=tr("Put the readings in the order they were taken."),
            )
    celsius = np.array([to_celsius(value, "F" if unit == "F" else "C") for value, unit in figures])
    if celsius.min() < _COLDEST_C or celsius.max() > most:
        odd = celsius[np.argmax(np.abs(celsius - 60))]
        raise Trouble(
            tr("{name} reads {odd:.0f} °C, and cooling wax never does.", name=name, odd=odd),
            instead=tr("Is it in Fahrenheit? Then call the column “fahrenheit”."),
        )
    # Warmer at first is a probe that was put into hot wax.
    if celsius.max() - celsius.min() > _RISES and celsius[-1] > celsius.max() - _RISES:
        raise Trouble(
            tr(
                "{name} gets warmer, from {first:.0f} °C to {last:.0f} °C.",
                name=name,
                first=celsius.min(),
                last=celsius[-1],
            ),
            instead=tr("Give the part that cools, from the first reading to the last."),
        )
    scale = 5 / 9 if figures[0][1] == "F" else 1.0
    moments, place = np.unique(np.array(seconds) - seconds[0], return_inverse=True)
    mean = np.bincount(place.ravel(), celsius) / np.bincount(place.ravel())
    if len(moments) < LEAST_READINGS:
        raise Trouble(
            tr("In {name} too many readings have the same time.", name=name),
            instead=tr("Note the seconds as well."),
        )
    return CoolingLog(moments, mean, step_of([value for value, _ in figures]) * scale)


def step_of(figures: Sequence[float]) -> float:
    """The widest of the usual steps in which all figures lie."""
    values = np.array(figures)
    for step in _STEPS:
        if np.all(np.abs(values / step - np.round(values / step)) < 1e-3):
            return step
    return _STEPS[-1]
