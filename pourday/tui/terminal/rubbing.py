"""Taking signs away from a text that is being typed: one way in every field."""

from __future__ import annotations

CLEAR = "ctrl+u"
"""Takes all of a text away, as it does in a shell."""
RUBS = frozenset({"backspace", CLEAR})
"""Keys that take signs away."""


def rubbed(text: str, key: str) -> str | None:
    """What a key leaves of a text: Backspace all but the last sign, Ctrl+U nothing; None for a key that takes nothing away."""
    if key not in RUBS:
        return None
    return "" if key == CLEAR else text[:-1]
