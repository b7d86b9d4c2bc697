"""One thing about a plan that deserves a second look."""

from __future__ import annotations

from typing import Literal

import msgspec

Level = Literal["note", "caution", "stop-and-think"]
LEVELS: tuple[Level, ...] = ("note", "caution", "stop-and-think")
"""By rising gravity. None of them locks anything."""


class Finding(msgspec.Struct, frozen=True):
    """One thing about a plan that deserves a second look: how grave, about what, why, and what to do about it."""

    level: Level
    about: str
    """Path of the field in the plan."""
    what: str
    """What stands in the plan, in a sentence."""
    why: str
    """What comes of it."""
    do: str
    """What helps."""


def _sentence(text: str) -> str:
    """Names of moulds and layers may begin one."""
    return text[:1].upper() + text[1:]


def note(about: str, what: str, why: str, do: str) -> Finding:
    """A finding that is only worth knowing."""
    return Finding("note", about, _sentence(what), why, do)


def caution(about: str, what: str, why: str, do: str) -> Finding:
    """A finding that asks for care."""
    return Finding("caution", about, _sentence(what), why, do)


def stop(about: str, what: str, why: str, do: str) -> Finding:
    """A finding to stop and think about before going on."""
    return Finding("stop-and-think", about, _sentence(what), why, do)
