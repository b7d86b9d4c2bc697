"""Which keys move through a list, and how far."""

from __future__ import annotations

PAGE = 10
"""Rows that Page Up and Page Down go."""
FURTHEST = 10**6
"""Rows that Home and End go: further than any list is long."""
STEPS = {
    "up": -1,
    "down": 1,
    "pageup": -PAGE,
    "pagedown": PAGE,
    "home": -FURTHEST,
    "end": FURTHEST,
}
"""Rows a key goes down, by its name."""


def moved(at: int, key: str, count: int = FURTHEST) -> int | None:
    """Row that a key leads to from row `at` of a list of `count` rows, 0 in an empty one; None for a key that moves nothing.

    Without `count` the list has no known end: for the first row in sight, which whoever draws the list keeps in it.

    >>> moved(3, "pagedown", 8), moved(0, "up", 8), moved(3, "x", 8)
    (7, 0, None)
    """
    if key not in STEPS:
        return None
    return max(0, min(count - 1, at + STEPS[key]))
