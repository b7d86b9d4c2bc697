"""Each setting as data: its name in the file, how a person's text becomes its value, and how it is said."""

from __future__ import annotations

import re
import shlex
from collections.abc import Callable
from dataclasses import dataclass
from datetime import time
from typing import Any

from pourday.errors import Trouble
from pourday.language import tr
from pourday.text import plain
from pourday.units import (
    INCH,
    OUNCE,
    POUND,
    QUART,
    SCALE_STEPS,
    Units,
    read_altitude,
    read_duration,
    read_mass,
    read_temperature,
    read_volume,
)

_QUICK = {
    "g": 0.001,
    "kg": 1.0,
    "oz": OUNCE,
    "lb": POUND,
    "m": 1.0,
    "ft": 12 * INCH,
    "min": 60.0,
    "h": 3600.0,
}
"""Units that are read without Pint, by definition: the program starts with these settings, and Pint takes longer to load than
all else. Tests hold them to `units`."""
_PLAIN = re.compile(r"\s*([0-9]{1,9}(?:\.[0-9]{1,9})?)\s*([a-z]+)\s*")
_SHOWN = re.compile(r"([+-]?[0-9]{1,4}(?:[.,][0-9]{1,3})?)\s*°?\s*([CFcf])?(?:[\s,]+(\S.*))?")
_BARE = re.compile(r"[+-]?[0-9][0-9.,]*")
_VOLUMES = {"l": 0.001, "qt": QUART}
"""The same of volumes, m³, by definition."""
MOST_BATH = 0.1
"""m³ of water in the largest bath (estimate)."""
MOST_WORDS, LONGEST = 30, 1000
"""Words and characters of the alarm command: many more than any needs, and a slip of the clipboard is caught."""


@dataclass(frozen=True, slots=True)
class SettingField:
    """One setting."""

    name: str
    """In the file."""
    attribute: str
    """In `Settings`."""
    label: str
    default: str
    """As a person would write it."""
    read: Callable[[str, Units], Any]
    """The value of a text, SI; raises `Trouble`. A bare number is in the units of the second argument."""
    choices: tuple[str, ...] = ()
    hint: str = ""
    bare: tuple[str, str] = ("", "")
    """What a bare number is in, metric and US."""

    def whole(self, text: str, units: Units) -> str:
        """The text with its unit, so that another choice of units never changes what it means."""
        unit = self.bare[0 if units == "metric" else 1]
        return f"{text.strip()} {unit}" if unit and _BARE.fullmatch(text.strip()) else text.strip()


def text_of(value: object, field: SettingField) -> str:
    """What a value of a TOML file says, as a person would type it. Raises `Trouble` for a kind that cannot be
    meant."""
    if isinstance(value, bool):
        return "on" if value else "off"
    if isinstance(value, (int, float)):
        return f"{value}"[:60]
    if isinstance(value, str):
        return value
    if isinstance(value, time):
        return f"{value:%H:%M}"
    if isinstance(value, list) and field.name == "alarm_command" and all(isinstance(w, str) for w in value):
        return shlex.join(value)
    raise Trouble(
        tr("That kind of value cannot be used here."),
        instead=tr('Write it like "{default}".', default=field.default),
    )


def key_name(value: object) -> str:
    """The name of a key as it may stand in the file. Raises `Trouble`."""
    if isinstance(value, int) and not isinstance(value, bool):
        value = str(value)
    if not isinstance(value, str) or not value.strip() or plain(value, 24) != value.strip():
        raise Trouble(tr("That is not the name of a key."), instead=tr('Write it like "h" or "f5".'))
    return value.strip().lower()


def _choice(*known: str) -> Callable[[str, Units], str]:
    def read(text: str, _units: Units) -> str:
        word = text.strip().lower()
        if word not in known:
            raise Trouble(
                tr("“{typed}” is not known.", typed=plain(text, 40)),
                instead=tr("Write {listed}.", listed=_listed(known)),
            )
        return word

    return read


def _listed(words: tuple[str, ...]) -> str:
    return tr("{several} or {last}", several=", ".join(words[:-1]), last=words[-1])


def _quickly(
    most: float, slowly: Callable[[str, Units, str], Any], field: str, bare: tuple[str, str]
) -> Callable[[str, Units], float]:
    """Read plain texts at once, all others through `units`."""

    def read(text: str, units: Units) -> float:
        match = _PLAIN.fullmatch(f"{text} {bare[units == 'us']}" if text.strip().isdecimal() else text)
        if match and match[2] in _QUICK and (match[2] in ("m", "ft")) == (field == "altitude"):
            value = float(match[1]) * _QUICK[match[2]]
            if value <= most and (match[2] in ("min", "h")) == (field == "watch"):
                return value
        return float(slowly(text, units, field).value)

    return read


_mass = _quickly(1000.0, read_mass, tr("scale step"), ("g", "oz"))  # kg; chosen, as in `units.py`
_altitude = _quickly(6000.0, read_altitude, "altitude", ("m", "ft"))  # m; chosen, as in `units.py`
_watch = _quickly(86400.0, read_duration, "watch", ("min", "min"))  # s; a day, by definition


def _scale(text: str, units: Units) -> float:
    kg = _mass(text, units)
    if not SCALE_STEPS[0] <= kg <= SCALE_STEPS[1]:
        raise Trouble(
            tr("A scale with steps of “{typed}” is not one for candles.", typed=plain(text, 40)),
            instead=tr("Type it like 1 g, 0.1 g or 0.1 oz."),
        )
    return kg


def _minutes(text: str, units: Units) -> float:
    seconds = _watch(text, units)
    if not 60 <= seconds <= 3600:
        raise Trouble(
            tr("Asking every “{typed}” does not guard a lit burner.", typed=plain(text, 40)),
            instead=tr("Type 1 min to 60 min."),
        )
    return seconds / 60


def _room(text: str, units: Units) -> float:
    reading = read_temperature(text, units, "room")
    if reading.doubt:
        raise Trouble(
            tr("“{typed}”: C or F?", typed=plain(text, 40)), instead=tr("Type it like 20 C or 68 F.")
        )
    return reading.celsius


def _bath(text: str, units: Units) -> float | None:
    """m³ of water, read without Pint where it is plain; None for an empty text."""
    if not text.strip():
        return None
    match = _PLAIN.fullmatch(
        f"{text} {'l' if units == 'metric' else 'qt'}" if _BARE.fullmatch(text.strip()) else text
    )
    if match and match[2] in _VOLUMES:
        volume = float(match[1]) * _VOLUMES[match[2]]
    else:
        volume = float(read_volume(text, units, tr("bath")).value)
    if not 0 < volume <= MOST_BATH:
        raise Trouble(
            tr("“{typed}” of water is no bath for a kitchen.", typed=plain(text, 40)),
            instead=tr("Type it like 1.5 l or 2 qt."),
        )
    return volume


def _named(text: str, _units: Units) -> str:
    name = plain(text, 80)
    if name != " ".join(text.split()):
        raise Trouble(
            tr("A name has up to 80 characters, and none that steers a terminal."),
            instead=tr("Write a shorter one."),
        )
    return name


def _shown(text: str, units: Units, water: str) -> tuple[float, str] | None:
    """What a thermometer showed, and the day: of `0.4 C 2026-11-20`, `100.3C`; None for an empty text."""
    if not text.strip():
        return None
    like = "0.4 C 2026-11-20" if water == "ice" else "99.6 C 2026-11-20"
    match = _SHOWN.fullmatch(text.strip())
    day = plain(match[3] or "", 30) if match else ""
    if match is None or (day and not match[2]):
        raise Trouble(
            tr(
                "“{typed}” is not what a thermometer shows, with its unit and then the day.",
                typed=plain(text, 40),
            ),
            instead=tr("Type it like {like}.", like=like),
        )
    value = float(match[1].replace(",", "."))
    unit = (match[2] or ("c" if units == "metric" else "f")).lower()
    celsius = value if unit == "c" else (value - 32) / 1.8
    least, most = (-15.0, 15.0) if water == "ice" else (65.0, 115.0)
    if not least <= celsius <= most:
        raise Trouble(
            tr(
                "No thermometer that can be used shows “{typed}” in {water}.",
                typed=plain(text, 40),
                water=water,
            ),
            instead=tr("Type it like {like}, or leave it empty.", like=like),
        )
    return round(celsius, 3), day


def _in_ice(text: str, units: Units) -> tuple[float, str] | None:
    return _shown(text, units, "ice")


def _in_boiling(text: str, units: Units) -> tuple[float, str] | None:
    return _shown(text, units, "boiling water")


def _on(text: str, _units: Units) -> bool:
    word = text.strip().lower()
    if word in ("on", "yes", "true"):
        return True
    if word in ("off", "no", "false"):
        return False
    raise Trouble(tr("“{typed}” is not known.", typed=plain(text, 40)), instead=tr("Write on or off."))


def _hour(text: str, _units: Units) -> float:
    match = re.fullmatch(r"\s*([0-9]{1,2})(?:[:.h]([0-5][0-9]))?\s*h?\s*", text)
    hours = int(match[1]) + int(match[2] or 0) / 60 if match else 25.0
    if not 0 <= hours <= 24:
        raise Trouble(
            tr("“{typed}” is not a time of day.", typed=plain(text, 40)),
            instead=tr("Type it like 22:00 or 7."),
        )
    return hours


def _command(text: str, _units: Units) -> tuple[str, ...]:
    if any(ord(c) < 32 or ord(c) == 127 for c in text) or len(text) > LONGEST:
        raise Trouble(
            tr("The command has characters that no command needs."), instead=tr("Type it anew, on one line.")
        )
    try:
        words = tuple(shlex.split(text))
    except ValueError:
        raise Trouble(
            tr("“{typed}” has a quote that is never closed.", typed=plain(text, 60)),
            instead=tr("Close it, or leave it out."),
        ) from None
    if len(words) > MOST_WORDS or (words and not words[0]):
        raise Trouble(
            tr("That is not a program and its arguments."),
            instead=tr('Write it like "play-sound alarm.wav".'),
        )
    return words


FIELDS: tuple[SettingField, ...] = (
    SettingField("units", "units", tr("units"), "metric", _choice("metric", "us"), ("metric", "us")),
    SettingField(
        "scale_step",
        "scale_step",
        tr("scale shows steps of"),
        "1 g",
        _scale,
        hint=tr("like 1 g or 0.1 oz"),
        bare=("g", "oz"),
    ),
    SettingField(
        "altitude",
        "altitude",
        tr("altitude"),
        "0 m",
        _altitude,
        hint=tr("sets where water boils"),
        bare=("m", "ft"),
    ),
    SettingField(
        "room", "room_c", tr("room"), "20 C", _room, hint=tr("what a new plan begins with"), bare=("C", "F")
    ),
    SettingField(
        "bath",
        "bath",
        tr("water in the bath"),
        "",
        _bath,
        hint=tr("when it is full, like 1.5 l"),
        bare=("l", "qt"),
    ),
    SettingField("sound", "sound", tr("bell"), "on", _on, ("on", "off")),
    SettingField(
        "notify",
        "notify",
        tr("desktop notices"),
        "off",
        _choice("off", "osc9", "osc777"),
        ("off", "osc9", "osc777"),
        hint=tr("which of the two, your terminal's manual says"),
    ),
    SettingField("alarm_command", "alarm_command", tr("alarm program"), "", _command, hint=tr("none")),
    SettingField("quiet_from", "quiet_from", tr("quiet from"), "22:00", _hour, hint=tr("like 22:00")),
    SettingField("quiet_to", "quiet_to", tr("quiet until"), "7:00", _hour, hint=tr("like 7:00")),
    SettingField(
        "watch", "watch_minutes", tr("lit burner: ask every"), "10 min", _minutes, bare=("min", "min")
    ),
    SettingField("who", "who", tr("who pours"), "", _named, hint=tr("your name, for the record")),
    SettingField("thermometer", "thermometer", tr("thermometer"), "", _named, hint=tr("what you call it")),
    SettingField(
        "in_ice",
        "in_ice",
        tr("it shows in melting ice"),
        "",
        _in_ice,
        hint=tr("like 0.4 C 2026-11-20; 0 is right"),
        bare=("C", "F"),
    ),
    SettingField(
        "in_boiling",
        "in_boiling",
        tr("it shows in boiling water"),
        "",
        _in_boiling,
        hint=tr("like 99.6 C 2026-11-20"),
        bare=("C", "F"),
    ),
    SettingField("scale", "scale", tr("scale"), "", _named, hint=tr("what you call it")),
    SettingField("pot", "pot", tr("pot"), "", _named, hint=tr("what you call it")),
    SettingField("burner", "burner", tr("burner"), "", _named, hint=tr("gas, ring, hot plate")),
    SettingField(
        "theme", "theme", tr("colours"), "dark", _choice("dark", "light", "mono"), ("dark", "light", "mono")
    ),
    SettingField(
        "cells",
        "cells",
        tr("curves drawn in"),
        "braille",
        _choice("braille", "blocks"),
        ("braille", "blocks"),
    ),
)
BY_NAME = {field.name: field for field in FIELDS}
