"""What an alarm is: a cause that is there now, and what is said of it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Alarm:
    """A cause for alarm that is there now."""

    id: str
    """What it is called on record: `ceiling`, `dry pot`, `watch` ..."""
    says: str
    value: float | None = None
    """°C that it rests on, where it is about a temperature,"""
    limit: float | None = None
    """and the °C that it should not pass."""
    holds: bool = True
    """False where the cause is over its limit no more and only the deadband keeps a standing alarm up: a new one is
    not raised for it."""
    read_at: float = 0.0
    """When what it rests on was read, where it rests on a reading."""
    where: str = ""
    """Pot or jug, where it is about a temperature."""
