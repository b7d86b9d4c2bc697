"""One clock for a whole record, though the clock of the machine was changed in the middle of it.

Times in a record are what the wall clock said. Where it was put forward by an hour, everything
before that is told an hour too early by the clock that runs now, and a wait counted from it would
end an hour early. So the fold reads earlier times on the newest clock: moved by every change that
came after them. The record itself keeps what was said.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any

import msgspec

from pourday.session import events as ev
from pourday.session.events import Entry

_MOST = 1e10
"""s, the largest sum of changes that still counts; beyond it no calendar could show the times. Chosen."""


def clock_change(fact: ev.Fact) -> float:
    """By how many seconds this fact says the clock was put forward; 0 where it says nothing of the kind."""
    return fact.seconds if isinstance(fact, ev.GapSeen) and fact.cause == "clock changed" else 0.0


def on_newest_clock(entries: Sequence[Entry]) -> Sequence[Entry]:
    """The entries with every time as the clock of the last entry would have told it."""
    if not any(clock_change(entry.fact) for entry in entries):
        return entries
    moved: list[Entry] = []
    by = 0.0
    for entry in reversed(entries):
        moved.append(_moved(entry, timedelta(seconds=max(-_MOST, min(_MOST, by)))) if by else entry)
        by += clock_change(entry.fact)
    moved.reverse()
    return moved


def _moved(value: Any, by: timedelta) -> Any:
    """The same entry or fact with its moments, and those of a fact inside it, moved."""
    changes = {}
    for name in value.__struct_fields__:
        old = getattr(value, name)
        if isinstance(old, datetime):
            changes[name] = old + by
        elif name == "fact":
            changes[name] = _moved(old, by)
    return msgspec.structs.replace(value, **changes) if changes else value
