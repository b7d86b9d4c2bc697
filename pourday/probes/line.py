"""One line of a probe understood: which number is a temperature, of which channel, and what time it claims to be of.

A line is cleaned before it comes here (`text.plain`), so nothing in it can steer a terminal. Where it is not plain which
number is meant, none is taken: a pattern or a key says so.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Literal

from pourday.errors import Trouble
from pourday.language import tr
from pourday.text import plain

Unit = Literal["", "C", "F"]
LONGEST = 300
"""Characters of a line that are looked at: no probe says more, and JSON stays short."""
MOST_CHANNELS = 8
UNREADABLE = "\ufffd"
"""Stands for bytes that are no text; a line that has any was garbled, and no number of it is believed."""
_BLANKS = {code: " " for code in (*range(32), 127) if code != 27}
"""Signs that cannot be shown, but for the one that terminal sequences begin with: those go whole."""
_FIELD = re.compile(r"\{([A-Za-z0-9_ ]{0,20})\}")
_UNIT = r"(?:\s*(?:°|deg(?:rees)?\.?)?\s*(?P<unit{n}>[CF])(?![A-Za-z])|\s*(?P<sign{n}>[℃℉])|\s*(?P<word{n}>celsius|fahrenheit))"
_NUMBER = r"[-+]?[0-9]{1,6}(?:[.,][0-9]{1,20})?(?:[eE][-+]?[0-9]{1,2})?"
"""In plain digits: those of other scripts are what rubbish of a port at the wrong speed looks like."""
_ANY = re.compile(
    rf"(?<![\w.,])(?P<number>{_NUMBER})(?!\d|[.,]\d)" + _UNIT.replace("{n}", "") + r"?(?!\w)", re.IGNORECASE
)
_STAMP = re.compile(
    r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d(?::\d\d(?:[.,]\d{1,9})?)?(?:Z|[+-]\d\d:?\d\d)?"
    r"|(?<![\d.])1\d{12}(?![\d])|(?<![\d.])1\d{9}(?:\.\d{1,9})?(?![\d])"
)
"""A whole moment: ISO 8601 with date and time, or seconds or thousandths of them since 1970."""
_CLOCK = re.compile(
    r"\d{4}-\d\d-\d\d|\d{1,2}[./]\d{1,2}[./]\d{2,4}|(?<!\d)\d{1,2}:\d\d(?::\d\d(?:[.,]\d+)?)?"
)
"""A date or a time of day alone: no temperature, and of no use as a moment."""
_BROKEN = re.compile(
    r"\b(?:nan|inf|infinity|open|fault|error|err|ol|disconnected|no[ _-]?(?:sensor|probe|reading)|not connected)\b|-{3,}",
    re.IGNORECASE,
)
_SHORT = re.compile(r"\bshort(?:ed)?\b", re.IGNORECASE)
_STAMP_KEYS = ("time", "timestamp", "ts")


@dataclass(frozen=True, slots=True)
class LinePattern:
    """How the lines of one source are read."""

    fields: re.Pattern[str] | None = None
    """A line of several numbers, each a named group `c0`, `c1` ...; None: a line has one,"""
    channels: tuple[str, ...] = ("",)
    """and what each is called: a place, or any name; the only one of a source has none."""
    keys: tuple[str, ...] = ()
    """Dotted names in a line of JSON, one a channel."""
    unit: Unit = ""
    """What a number without a unit is in; empty: °C."""


@dataclass(frozen=True, slots=True)
class Understood:
    """What one line says of one channel."""

    channel: str
    celsius: float | None
    """None where the probe itself says that it has none."""
    fault: Literal["", "no contact", "short"] = ""
    stamp: float | None = None
    """s since the epoch that the line claims, where it claims any."""


def read_pattern(pattern: str, key: str, unit: Unit) -> LinePattern:
    """How lines are read, from what a person wrote. Raises `Trouble` where it cannot be understood."""
    if pattern and key:
        raise Trouble(
            tr("A source has a pattern or a key, not both."),
            instead=tr("A key is for lines of JSON, a pattern for others."),
        )
    if key:
        pairs = [part.strip().rpartition(":") for part in key.split(",")]
        names = tuple(" ".join(name.split()) for name, _, _ in pairs)
        keys = tuple(path for _, _, path in pairs)
        _check_names(names if len(names) > 1 else ("x",))
        if not all(keys):
            raise Trouble(
                tr("key= names nothing."), instead=tr("Write it like key=temperature_C or key=pot:t1,jug:t2.")
            )
        return LinePattern(None, names, keys, unit)
    if not pattern:
        return LinePattern(unit=unit)
    called: list[str] = []
    parts: list[str] = []
    at = 0
    for field in _FIELD.finditer(pattern):
        parts.append(_loosely(pattern[at : field.start()]))
        at, name = field.end(), " ".join(field[1].split())
        if not name:
            parts.append(r"\S*?")
            continue
        n = len(called)
        parts.append(
            rf"(?P<c{n}>{_NUMBER}|nan|inf|-{{3,}}|open|short|err(?:or)?)" + _UNIT.replace("{n}", str(n)) + "?"
        )
        called.append(name)
    parts.append(_loosely(pattern[at:]))
    _check_names(tuple(called))
    return LinePattern(re.compile("".join(parts), re.IGNORECASE), tuple(called), (), unit)


def _loosely(literal: str) -> str:
    """Text between two numbers, as it stands; how much white space is in it does not count."""
    words = re.split(r"\s+", literal)
    return r"\s+".join(re.escape(word) for word in words).replace(r"\s+\s+", r"\s+")


def _check_names(names: tuple[str, ...]) -> None:
    if not names:
        raise Trouble(
            tr("The pattern names no number."),
            instead=tr('Write it like pattern="T1={pot} T2={jug}"; {} is any other word.'),
        )
    if not all(names) or len(set(names)) != len(names) or len(names) > MOST_CHANNELS:
        raise Trouble(
            tr("Each number needs a name of its own."),
            instead=tr("Name up to {most_channels}, like {{pot}} and {{jug}}.", most_channels=MOST_CHANNELS),
        )


def line_text(data: bytes, limit: int) -> str:
    """The bytes of a line as harmless text, at most so many signs: UTF-8, or with the ° of an older device.

    What is neither stands as �, and a sign that cannot be shown as a blank, so that no two numbers run together.
    """
    try:
        text = data.decode()
    except UnicodeDecodeError:
        text = data.replace(b"\xb0", b"\xc2\xb0").decode("utf-8", "replace")
    return plain(text.translate(_BLANKS), limit)


def understand(line: str, pattern: LinePattern) -> tuple[Understood, ...]:
    """What a cleaned line says; empty for one that says no temperature, or not plainly which number is one."""
    line = line[:LONGEST]
    if UNREADABLE in line:
        return ()
    if pattern.keys:
        return _of_json(line, pattern)
    if pattern.fields is not None:
        return _of_fields(line, pattern, pattern.fields)
    one = _only_number(line, pattern)
    return () if one is None else (one,)


def _only_number(line: str, pattern: LinePattern) -> Understood | None:
    """The one number of a line, or the one of several that has a unit of temperature."""
    stamp = _stamp(line)
    bare = _CLOCK.sub(" ", _STAMP.sub(" ", line))
    numbers = list(_ANY.finditer(bare))
    with_unit = [n for n in numbers if n["unit"] or n["sign"] or n["word"]]
    meant = with_unit if with_unit else numbers
    if len(meant) == 1:
        return _value("", meant[0]["number"], _unit(meant[0], ""), pattern, stamp)
    if not meant and _SHORT.search(bare):
        return Understood("", None, "short", stamp)
    if not meant and _BROKEN.search(bare):
        return Understood("", None, "no contact", stamp)
    return None


def _of_fields(line: str, pattern: LinePattern, fields: re.Pattern[str]) -> tuple[Understood, ...]:
    match = fields.search(line)
    if match is None:
        return ()
    stamp = _stamp(line)
    return tuple(
        _value(name, match[f"c{n}"], _unit(match, str(n)), pattern, stamp)
        for n, name in enumerate(pattern.channels)
    )


def _of_json(line: str, pattern: LinePattern) -> tuple[Understood, ...]:
    try:
        whole: Any = json.loads(line)
    except (ValueError, RecursionError):
        return ()
    if not isinstance(whole, dict):
        return ()
    claimed = next((whole[key] for key in _STAMP_KEYS if key in whole), None)
    stamp = _stamp(str(claimed)) if isinstance(claimed, (str, int, float)) else None
    heard = []
    for name, path in zip(pattern.channels, pattern.keys, strict=True):
        value: Any = whole
        for step in path.split("."):
            value = value.get(step) if isinstance(value, dict) else None
        if isinstance(value, (int, float)) and not isinstance(value, bool):
            heard.append(_value(name, repr(float(value)), "", pattern, stamp))
        elif isinstance(value, str):
            one = _only_number(plain(value, 60), pattern)
            if one is not None:
                heard.append(Understood(name, one.celsius, one.fault, stamp))
    return tuple(heard)


def _unit(match: re.Match[str], n: str) -> Unit:
    """The unit that stands with a number; empty where none does."""
    said = (match[f"unit{n}"] or match[f"sign{n}"] or match[f"word{n}"] or "").upper()
    return "F" if said.startswith(("F", "℉")) else "C" if said else ""


def _value(name: str, number: str, unit: Unit, pattern: LinePattern, stamp: float | None) -> Understood:
    """A number in °C; a word in its place is what the probe says of itself."""
    try:
        value = float(number.replace(",", "."))
    except ValueError:
        return Understood(name, None, "short" if _SHORT.match(number) else "no contact", stamp)
    if value != value or value in (float("inf"), float("-inf")):
        return Understood(name, None, "no contact", stamp)
    return Understood(name, (value - 32) / 1.8 if (unit or pattern.unit) == "F" else value, "", stamp)


def _stamp(line: str) -> float | None:
    """The moment a line claims to be of, s since the epoch; one without a zone is taken for UTC."""
    match = _STAMP.search(line)
    if match is None:
        return None
    text = match[0]
    if "-" not in text[:6]:
        return float(text) / (1000 if len(text.partition(".")[0]) == 13 else 1)
    try:
        when = datetime.fromisoformat(text.replace(",", "."))
    except ValueError:
        return None
    return (when if when.tzinfo is not None else when.replace(tzinfo=UTC)).timestamp()
