"""What an alarm is called: its name on record is a name for files, not for people."""

from __future__ import annotations

from collections.abc import Mapping

ALARM_WORDS: Mapping[str, str] = {
    "ceiling": "wax above its ceiling",
    "near ceiling": "wax may be at its ceiling",
    "dry pot": "hotter than any bath with water in it",
    "watch": "nobody answers",
    "water": "nobody looked at the water",
    "silent": "no reading for long",
    "signal": "a probe lost its signal",
    "away": "nobody is back",
}
"""An alarm's name on record, as it is said aloud."""
