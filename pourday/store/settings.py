"""What holds on every day: units, scale, room, signals, look and keys, in one TOML file a person may edit by hand.

A line that cannot be used gets a sentence with its number, and its default counts; the rest of the file
counts. Writing back keeps comments, order and lines that are not ours.
"""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import Any, Literal

import msgspec

from pourday.errors import Trouble
from pourday.language import tr
from pourday.store.atomic import write_atomically
from pourday.store.disk import DISK, Disk, because, make_folders, read_file
from pourday.store.settings_fields import BY_NAME, FIELDS, key_name, text_of
from pourday.text import plain, steerless
from pourday.units import Units

VARIABLE = "POURDAY_CONFIG"
MOST_BYTES = 64_000
"""A settings file has about a thousand; one far larger is another file."""
LONGEST_LINE = 2_000
"""Signs; one far longer is no setting, and a key of thousands of parts costs the reader the square of them."""
MOST_COMPLAINTS = 20
"""Sentences about one file: who has more to mend begins with these."""
_PLAINER = {
    "Illegal character '\\n'": tr("a quote is opened and not closed"),
    "Exceeds the limit": tr("a number in it is thousands of digits long"),
    "Cannot overwrite a value": tr("it says again what a line above says"),
    "Invalid value": tr("what stands after the = is neither a number nor in quotes"),
    "Invalid statement": tr("it begins with something that is no name"),
}
PROBE_TABLES = {
    "probes": 'pot = "serial:/dev/ttyUSB0?baud=9600"',
    "probe_tests": 'pot = "-0.40 K in ice on 2026-11-30"',
}
"""Parts of the file about probes, and what a line in each looks like."""
TABLES = ("keys", *PROBE_TABLES)
"""Every part of the file that has lines of its own."""
PROBE_NAME = re.compile(r"[A-Za-z0-9_ -]{1,40}")
HEADER = "# Settings of pourday. A line that is left out has its default; comments are kept.\n"


class Settings(msgspec.Struct, frozen=True, kw_only=True):
    """What counts on this machine; SI."""

    units: Units = "metric"
    scale_step: float = 0.001
    """kg; a usual kitchen scale's (estimate)."""
    altitude: float = 0.0
    """m above sea level"""
    room_c: float = 20.0
    """°C of the kitchen (estimate)."""
    bath: float | None = None
    """m³ of water in the full bath; None where nobody said."""
    sound: bool = True
    """Whether the bell rings."""
    alarm_command: tuple[str, ...] = ()
    """A program and its arguments, started without a shell when an alarm begins; empty for none."""
    notify: Literal["off", "osc9", "osc777"] = "off"
    quiet_from: float = 22.0
    """Hours of the day, 0 to 24; equal to `quiet_to` where there are no quiet hours. Estimates, both."""
    quiet_to: float = 7.0  # estimate
    watch_minutes: float = 10.0
    """How long a lit burner may be unanswered before the watch alarm. Estimate."""
    theme: Literal["dark", "light", "mono"] = "dark"
    cells: Literal["braille", "blocks"] = "braille"
    who: str = ""
    """Who pours here; empty: not told, as with the names below."""
    thermometer: str = ""
    in_ice: tuple[float, str] | None = None
    """(°C it showed in melting ice, day of that check as it was written); None: not checked."""
    in_boiling: tuple[float, str] | None = None
    """The same in boiling water."""
    scale: str = ""
    pot: str = ""
    burner: str = ""
    probes: Mapping[str, str] = {}
    """Sources of readings that come by themselves, as they were written, by the name each was given."""
    probe_tests: Mapping[str, str] = {}
    """What a test in ice or boiling water found, as it was written, by the name of the probe."""
    keys: Mapping[str, str] = {}
    """Keys of the person's own, by the id of their binding."""


@dataclass(frozen=True, slots=True)
class Loaded:
    """A settings file as it was read."""

    path: Path
    settings: Settings
    complaints: tuple[str, ...]
    texts: Mapping[str, str]
    """What the file says, by the name of the setting, where that can be used."""
    lines: Mapping[str, int]
    """Line numbers of `units`, `keys.heat` and so on."""


def settings_path(argument: str | None, environ: Mapping[str, str]) -> Path:
    """The settings file: as asked for, else as $POURDAY_CONFIG says, else in the platform's own folder.

    Nothing is made here. Raises `Trouble` for an empty or impossible name.
    """
    if argument is not None and not argument.strip():
        raise Trouble(tr("--config names no file."), instead=tr("Give the path of a TOML file."))
    named = argument if argument is not None else environ.get(VARIABLE) or None
    if named is None:
        from platformdirs import user_config_path

        return user_config_path("pourday", appauthor=False) / "settings.toml"
    if "\0" in named:
        raise Trouble(
            tr("The settings cannot be there."), tr("The name has a character that no name may have.")
        )
    try:
        return Path(named).expanduser().absolute()
    except (OSError, RuntimeError) as error:
        raise Trouble(
            tr("The settings cannot be in {named}.", named=plain(named, 300)), f"{error}."
        ) from None


def load(path: Path, disk: Disk = DISK) -> Loaded:
    """What counts, and a sentence for each line that does not. Never raises; no file means all defaults."""
    try:
        text = _read(path, disk)
    except FileNotFoundError:
        return Loaded(path, Settings(), (), {}, {})
    except Trouble as trouble:
        return Loaded(
            path, Settings(), (tr("{trouble} Until then all defaults count.", trouble=trouble),), {}, {}
        )
    return from_text(text, path)


def from_text(text: str, path: Path) -> Loaded:
    """The settings in the text of a file. Never raises."""
    try:
        table = _parsed(text)
    except Trouble as trouble:
        return Loaded(
            path, Settings(), (tr("{trouble} Until then all defaults count.", trouble=trouble),), {}, {}
        )
    lines = line_numbers(text)
    return _settled(table, lines, path)


def save(path: Path, name: str, text: str | None, disk: Disk = DISK) -> Loaded:
    """Change one setting (`units`, `keys.heat`) in the file, from what a person typed; None takes its line away.

    Everything else in the file stays as it is. Raises `Trouble` where the text cannot be used, where the file
    is not TOML (it is left alone), or where it cannot be written.
    """
    loaded = load(path, disk)
    changes = {name: text}
    if text is not None and name in BY_NAME:
        field, units = BY_NAME[name], loaded.settings.units
        field.read(text, units)
        changes = {name: field.whole(text, units)}
        if name == "units":
            changes |= {
                n: whole for n, t in loaded.texts.items() if (whole := BY_NAME[n].whole(t, units)) != t
            }
    try:
        before = _read(path, disk)
    except FileNotFoundError:
        before = ""
    _parsed(before)
    after = before or HEADER
    for changed, said in changes.items():
        after = _edited(after, changed, said)
    # A link, as people keep their dot files, stays a link.
    target = Path(os.path.realpath(path))
    try:
        make_folders(disk, target.parent)
        write_atomically(target, after.encode(), disk)
    except OSError as error:
        raise Trouble(
            tr("The settings could not be saved in {path}.", path=plain(str(path), 200)),
            because(error),
            tr("The change counts until the program ends."),
        ) from None
    return from_text(after, path)


def _read(path: Path, disk: Disk) -> str:
    """The text of the settings file. Raises `FileNotFoundError`, and `Trouble` for what cannot be read or is no text."""
    shown = plain(str(path), 200)
    try:
        data = read_file(disk, Path(os.path.realpath(path)))
    except FileNotFoundError:
        raise
    except (OSError, ValueError) as error:
        why = because(error) if isinstance(error, OSError) else tr("The name cannot be one of a file.")
        raise Trouble(tr("The settings in {shown} cannot be read.", shown=shown), why) from None
    if len(data) > MOST_BYTES:
        raise Trouble(tr("{shown} is far too large for settings, and was not read.", shown=shown))
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        number = data.count(b"\n", 0, error.start) + 1
        raise Trouble(
            tr("Line {number} of the settings is not text in UTF-8.", number=number),
            instead=tr("Save the file as UTF-8."),
        ) from None


def _parsed(text: str) -> dict[str, Any]:
    """The text as tables. Raises `Trouble` with the number of the line that is wrong, in plainer words than tomllib's."""
    for at, line in enumerate(text.split("\n"), 1):
        if len(line) > LONGEST_LINE and not line.lstrip().startswith("#"):
            raise Trouble(
                tr("Line {at} of the settings is far too long to be meant.", at=at),
                instead=tr("Keep it under {longest_line} characters.", longest_line=LONGEST_LINE),
            )
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise Trouble(
            tr("The settings are nested too deeply to be meant."),
            instead=tr('Write lines like units = "metric".'),
        ) from None
    except ValueError as error:  # tomllib's own, and Python's for a number of thousands of digits
        said = plain(str(error), 120)
        place = re.search(r"\s*\(at (?:line (\d+), column \d+|end of document)\)", said)
        number = place[1] if place and place[1] else str(text.rstrip("\n").count("\n") + 1)
        why = _PLAINER.get(said.split(" (")[0], (said[: place.start()] if place else said).rstrip("."))
        raise Trouble(
            tr("Line {number} of the settings is not TOML: {why}.", number=number, why=why),
            instead=tr('Write it like units = "metric".'),
        ) from None


def _settled(table: dict[str, Any], lines: Mapping[str, int], path: Path) -> Loaded:
    """Settings from a table; what is wrong in it is complained of with its line, and its default counts."""
    complaints: list[tuple[int, str]] = []
    values: dict[str, Any] = {}
    texts: dict[str, str] = {}

    def complain(name: str, sentence: str) -> None:
        at = lines.get(name, 0)
        complaints.append((at, tr("Line {at}: {sentence}", at=at, sentence=sentence) if at else sentence))

    units: Units = "metric"
    for field in FIELDS:  # `units` is the first: bare numbers further down are in them.
        if field.name not in table:
            continue
        try:
            text = _showable(text_of(table[field.name], field))
            value = field.read(text, units)
        except Trouble as trouble:
            complain(
                field.name,
                tr(
                    "{name}: {trouble} Until then {default} counts.",
                    name=field.name,
                    trouble=trouble,
                    default=field.default or tr("nothing"),
                ),
            )
            continue
        values[field.attribute], texts[field.name] = value, text
        units = values.get("units", units)
    for name in table:
        if name not in TABLES and name not in BY_NAME:
            complain(name, _unknown(name))
    values["keys"] = _keys(table.get("keys", {}), complain)
    for name, written_like in PROBE_TABLES.items():
        if name in table:
            values[name] = _probe_texts(table[name], name, written_like, complain)
    sentences = [sentence for _, sentence in sorted(complaints)]
    if len(sentences) > MOST_COMPLAINTS:
        sentences = [
            *sentences[:MOST_COMPLAINTS],
            tr("And {count} lines more like these.", count=len(sentences) - MOST_COMPLAINTS),
        ]
    return Loaded(path, Settings(**values), tuple(sentences), texts, lines)


def _showable(text: str) -> str:
    """The text itself. Raises `Trouble` for one that could steer a terminal or turn its letters round."""
    if steerless(text) != text:
        raise Trouble(tr("It has characters that cannot be shown."), instead=tr("Type it anew."))
    return text


def _unknown(name: str) -> str:
    near = get_close_matches(name, [*BY_NAME, *TABLES], n=1)
    meant = tr(" Is {near} meant?", near=near[0]) if near else ""
    return tr("“{name}” is no setting.{meant} It is left alone.", name=plain(name, 40), meant=meant)


def _keys(table: Any, complain: Any) -> dict[str, str]:
    """Keys as they are written; which of them can be used, the screen says, for it knows its bindings."""
    if not isinstance(table, dict):
        complain("keys", tr('keys: it has to be a part of its own: [keys], then lines like heat = "h".'))
        return {}
    keys = {}
    for name, key in table.items():
        try:
            keys[name] = key_name(key)
        except Trouble as trouble:
            complain(
                f"keys.{name}",
                tr(
                    "keys, {name}: {trouble} Until then its usual key counts.",
                    name=plain(name, 40),
                    trouble=trouble,
                ),
            )
    return keys


def _probe_texts(table: Any, part: str, written_like: str, complain: Any) -> dict[str, str]:
    """Sources or tests of probes that can be used, as they are written, by name."""
    from pourday.probes.offset import read_test
    from pourday.probes.source import read_source

    read: Callable[[str], object] = read_source if part == "probes" else read_test
    if not isinstance(table, dict):
        complain(
            part,
            tr(
                "{part}: it has to be a part of its own: [{part}], then lines like {written_like}.",
                part=part,
                written_like=written_like,
            ),
        )
        return {}
    texts = {}
    for name, text in table.items():
        try:
            if not PROBE_NAME.fullmatch(name):
                raise Trouble(
                    tr("That is no name of a probe."), instead=tr("Use letters, digits and spaces, up to 40.")
                )
            if not isinstance(text, str):
                raise Trouble(
                    tr("That kind of value cannot be used here."),
                    instead=tr("Write it like {written_like}.", written_like=written_like),
                )
            read(text)
        except Trouble as trouble:
            complain(
                f"{part}.{name}",
                tr(
                    "{part}, {name}: {trouble} Until then it is left out.",
                    part=part,
                    name=plain(name, 40),
                    trouble=trouble,
                ),
            )
        else:
            texts[name] = text
    return texts


_PART = re.compile(r"""\s*\[\s*(?P<q>["']?)(?P<name>[^\]"']*)(?P=q)\s*\]""")
_NAME = r"""(?:"([^"]*)"|'([^']*)'|([\w-]+))"""
_ENTRY = re.compile(rf"\s*{_NAME}\s*(?:\.\s*{_NAME}\s*)?=")


def line_numbers(text: str) -> dict[str, int]:
    """The line on which each setting of a TOML text stands, by `name` or `part.name`."""
    lines: dict[str, int] = {}
    part, inside = "", ""
    for number, row in enumerate(text.split("\n"), 1):
        if inside:
            inside = "" if row.count(inside) % 2 else inside
            continue
        head, entry = _PART.match(row), _ENTRY.match(row)
        if head and not entry:
            part = head["name"].strip()
            lines.setdefault(part, number)
        elif entry:
            names = [name for name in entry.groups() if name is not None]
            for depth in range(1, len(names) + 1):
                lines.setdefault(".".join([part, *names[:depth]] if part else names[:depth]), number)
        inside = next((quote for quote in ('"""', "'''") if row.count(quote) % 2), "")
    return lines


def _edited(before: str, name: str, text: str | None) -> str:
    """The text of the file with one setting changed, checked by reading it again."""
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    part, _, inner = name.rpartition(".")
    try:
        document: Any = tomlkit.parse(before)
        table: Any = document
        if part:
            if part not in document and text is not None:
                document[part] = tomlkit.table()
            table = document.get(part)
        if text is not None:
            table[inner] = text
        elif table is not None and inner in table:
            del table[inner]
        after = tomlkit.dumps(document)
        wanted, written = _with(_parsed(before), part, inner, text), _parsed(after)
    except (TOMLKitError, Trouble, TypeError, AttributeError, ValueError, RecursionError):
        wanted, written, after = {}, None, ""
    # NaN is not itself, so texts are compared.
    if repr(written) != repr(wanted) and written != wanted:
        raise Trouble(
            tr(
                "The settings file is written in a way that {name} cannot be changed in it from here.",
                name=name,
            ),
            instead=tr("Change it there by hand."),
        )
    return after


def _with(document: dict[str, Any], part: str, inner: str, text: str | None) -> dict[str, Any]:
    table = (
        document.setdefault(part, {})
        if part and text is not None
        else document.get(part, {})
        if part
        else document
    )
    if text is not None:
        table[inner] = text
    else:
        table.pop(inner, None)
    return document


__all__ = ["FIELDS", "Loaded", "Settings", "load", "save", "settings_path"]
