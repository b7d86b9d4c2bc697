"""A key that is held down, or that something lies on: the first press counts, its repeats do not.

A terminal sends a held key again and again and never says that it was let go of. So one that comes again soon
after itself, with no other key between, counts as held, until it has rested for a moment.
"""

from __future__ import annotations

AGAIN = 0.5
"""s after a press within which the same key is held."""
SLOWEST = 0.7
"""s after which a keyboard has begun to repeat: desktops wait 0.25 to 0.66 s (the console of Linux, the X server's
usual setting). A second press between the two may be a finger's or the first of the repeats; the next one tells."""
MACHINE = 0.12
"""s between two presses that no finger makes but a keyboard that repeats does, 10.9 times a second at the slowest."""
LIGHT = frozenset(
    {
        "up",
        "down",
        "left",
        "right",
        "pageup",
        "pagedown",
        "home",
        "end",
        "tab",
        "shift+tab",
        "backspace",
        "escape",
    }
)
"""Keys that are meant to repeat: they move, step back, or take a sign away, and put nothing on record."""


class HeldKey:
    """Which key came last, and when; times are seconds of any clock that only goes on."""

    def __init__(self) -> None:
        self._key, self._at, self._repeated = "", float("-inf"), False
        self.doubtful = False
        """Whether the last press counts only if it is not followed by another within `MACHINE`."""
        self.by_machine = False
        """Whether the last press came faster after the one before than a finger can tap."""

    def repeats(self, key: str, at: float) -> bool:
        """Whether this press, at this time, is only a repeat of the one before; every press is to be told."""
        since = at - self._at if key == self._key else float("inf")
        again = since < AGAIN
        self.doubtful = not again and not self._repeated and since < SLOWEST
        self.by_machine = since < MACHINE
        self._key, self._at, self._repeated = key, at, again
        return again
