"""What an alarm is called: its name on record is a name for files, not for people."""

from __future__ import annotations

from collections.abc import Mapping

from pourday.language import tr

ALARM_WORDS: Mapping[str, str] = {
    "ceiling": tr("wax above its ceiling"),
    "near ceiling": tr("wax may be at its ceiling"),
    "dry pot": tr("hotter than any bath with water in it"),
    "watch": tr("nobody answers"),
    "water": tr("nobody looked at the water"),
    "silent": tr("no reading for long"),
    "signal": tr("a probe lost its signal"),
    "away": tr("nobody is back"),
}
"""An alarm's name on record, as it is said aloud."""
