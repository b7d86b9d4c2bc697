"""What a source of readings is, and how a person writes one: options, then what it is read from.

    serial:/dev/ttyUSB0?baud=9600
    place=jug file:/sys/bus/w1/devices/28-0000/w1_slave
    pattern="T1={pot} T2={jug}" command:decode-radio --lines
    key=temperature_C mqtt://user@host/kitchen/probe?password_file=~/.broker
    -                                      (standard input)

Each kind is a small module that yields lines as they come and knows nothing of what they say, of sessions or of clocks.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import NamedTuple, Protocol, cast, get_args

from pourday.errors import Trouble
from pourday.language import tr
from pourday.probes.line import LinePattern, Unit, read_pattern
from pourday.session.events import Place
from pourday.text import plain

LONGEST = 1000
"""Characters of one source as it is written."""
OPTIONS = ("place", "unit", "pattern", "key")
PLACES: tuple[Place, ...] = tuple(p for p in get_args(Place) if p != "candle")
"""Where a probe can be: a burning candle has no wire in it."""
_OPTION = re.compile(rf"""(?P<name>{"|".join(OPTIONS)})=(?P<value>"[^"]*"?|'[^']*'?|[^\s"']\S*|)(?:\s+|$)""")
EXAMPLE = tr(
    "Write it like serial:/dev/ttyUSB0?baud=9600, file:PATH, command:PROGRAM, mqtt://host/topic or - for standard input."
)


class ProbeSource(Protocol):
    """Something that lines come from. It waits for nothing but its own opening; `now` in s since the epoch."""

    once: bool
    """Whether it is over for good once it ends."""

    def open(self, now: float) -> None:
        """Begin. Raises `Trouble` with why it cannot be had."""

    def read(self, now: float) -> list[bytes]:
        """The lines that came whole since the last call, oldest first. Raises `Trouble` once it is gone."""

    def close(self) -> None:
        """Let go of it; closing what is closed is nothing."""


class ProbeSpot(NamedTuple):
    """Where a probe is."""

    place: Place
    mould: str = ""
    """Letter of the mould on whose surface it lies."""
    jug: int | None = None
    """The layer whose jug it is in; None: in no jug, or nobody told which."""


@dataclass(frozen=True, slots=True)
class SourceSpec:
    """One source as a person wrote it."""

    text: str
    target: str
    """What it is read from, without the options."""
    pattern: LinePattern
    place: ProbeSpot | None
    """Where its number is from, where that was written."""

    def make(self) -> ProbeSource:
        """The source, not opened yet. Raises `Trouble` where its address makes no sense."""
        scheme, rest = _scheme(self.target)
        return _MAKERS[scheme](rest)


def read_source(text: str) -> SourceSpec:
    """A source from what a person wrote. Raises `Trouble` with what to write instead."""
    shown = plain(text, 80)
    if plain(text, LONGEST + 1) != text.strip() or len(text) > LONGEST:
        raise Trouble(
            tr("That source has characters that no source needs."), instead=tr("Type it anew, on one line.")
        )
    options, target = _parted(text.strip())
    unit = options.get("unit", "").upper()
    if unit not in ("", "C", "F"):
        raise Trouble(
            tr("unit={unit} is none a probe can have.", unit=plain(unit, 20)),
            instead=tr("Write unit=C or unit=F."),
        )
    empty = next((name for name, value in options.items() if not value.strip()), None)
    if empty is not None:
        raise Trouble(
            tr("{empty}= says nothing.", empty=empty),
            instead=tr("Write something behind it, or leave it out."),
        )
    place = read_place(options["place"]) if "place" in options else None
    pattern = read_pattern(options.get("pattern", ""), options.get("key", ""), cast(Unit, unit))
    if not target:
        raise Trouble(tr("“{shown}” says nothing to read from.", shown=shown), instead=EXAMPLE)
    spec = SourceSpec(text.strip(), target, pattern, place)
    spec.make()
    return spec


def read_place(text: str) -> ProbeSpot:
    """Where a probe is, from `pot`, `surface A`, `surface:A`. Raises `Trouble` for what is no place."""
    word, _, letter = text.replace(":", " ").strip().partition(" ")
    place = next((p for p in PLACES if p == word.lower()), None)
    letter = letter.strip().upper()
    if place is None or (letter and (place != "surface" or len(letter) != 1 or not "A" <= letter <= "Z")):
        raise Trouble(
            tr("“{typed}” is no place of a probe.", typed=plain(text, 40)),
            instead=tr("Write {places}, or surface:A.", places=", ".join(PLACES)),
        )
    return ProbeSpot(place, letter)


def _parted(text: str) -> tuple[dict[str, str], str]:
    """The options in front, and the rest as it stands. Raises `Trouble` for one given twice or with an open quote."""
    options: dict[str, str] = {}
    rest = text
    while (match := _OPTION.match(rest)) is not None:
        name = match["name"]
        if name in options:
            raise Trouble(tr("{name}= is written twice.", name=name), instead=tr("Write it once."))
        value = match["value"]
        if value[:1] in ("'", '"'):
            if len(value) < 2 or value[-1] != value[0]:
                raise Trouble(
                    tr("{name}= has a quote that is never closed.", name=name),
                    instead=tr("Close it, or leave it out."),
                )
            value = value[1:-1]
        options[name] = value
        rest = rest[match.end() :]
    return options, rest


def _scheme(target: str) -> tuple[str, str]:
    """The kind of a source, and the rest of its address. Raises `Trouble` for a kind that there is not."""
    if target == "-":
        return "-", ""
    scheme, mark, rest = target.partition(":")
    if not mark or scheme not in _MAKERS:
        raise Trouble(tr("“{target}” is no source of readings.", target=plain(target, 80)), instead=EXAMPLE)
    if not rest.strip("/ "):
        raise Trouble(tr("After {scheme}: nothing is named.", scheme=scheme), instead=EXAMPLE)
    return scheme, rest


def _serial(rest: str) -> ProbeSource:
    from pourday.probes.serial_port import SerialPort

    return SerialPort(rest)


def _command(rest: str) -> ProbeSource:
    from pourday.probes.command import CommandLines

    return CommandLines(rest)


def _file(rest: str) -> ProbeSource:
    from pourday.probes.log_file import LogFile
    from pourday.probes.number_file import NumberFile, is_number_file

    return NumberFile(rest) if is_number_file(rest) else LogFile(rest)


def _mqtt(rest: str) -> ProbeSource:
    from pourday.probes.broker import Broker

    return Broker(rest)


def _standard_input(_rest: str) -> ProbeSource:
    from pourday.probes.standard_input import StandardInput

    return StandardInput()


_MAKERS: Mapping[str, Callable[[str], ProbeSource]] = {
    "serial": _serial,
    "command": _command,
    "file": _file,
    "mqtt": _mqtt,
    "-": _standard_input,
}
