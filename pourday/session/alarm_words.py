"""What an alarm is called: its name on record is a name for files, not for people."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from pourday.language import tr

ALARM_WORDS: Mapping[str, str] = {
    "ceiling": tr("wax too hot"),
    "near ceiling": tr("wax may be too hot"),
    "dry pot": tr("hotter than any bath with water in it"),
    "watch": tr("nobody answers"),
    "water": tr("nobody looked at the water"),
    "silent": tr("no reading for long"),
    "signal": tr("a probe lost its signal"),
    "away": tr("nobody is back"),
}
"""An alarm's name on record, as it is said aloud."""

ALARM_SHORT: Mapping[str, str] = {
    "ceiling": tr("too hot"),
    "near ceiling": tr("too hot?"),
    "dry pot": tr("dry pot?"),
    "watch": tr("who is there?"),
    "water": tr("water"),
    "silent": tr("not read"),
    "signal": tr("probe"),
    "away": tr("back yet?"),
}
"""The same where there is room for a word or two."""


def alarms_short(alarms: Iterable[str]) -> str:
    """Several of them in a line, by their names on record: `too hot, water`."""
    return ", ".join(ALARM_SHORT.get(each, each) for each in sorted(alarms))
