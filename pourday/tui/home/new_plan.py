"""The empty plan that a new session begins with; session/repeat.py has those that come from an older one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pourday.plan.model import Plan

if TYPE_CHECKING:
    from pourday.store.settings import Settings


def empty_plan(settings: Settings) -> Plan:
    """A new plan with the units, scale, altitude, room temperature and bath of the settings; all else as usual."""
    return Plan(
        units=settings.units,
        scale_step=settings.scale_step,
        altitude=settings.altitude,
        room_c=settings.room_c,
        bath=settings.bath,
    )
