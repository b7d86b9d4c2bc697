"""Facts as a person puts them on record, and a day at a point where many tests begin."""

from __future__ import annotations

from typing import Any

from pourday.session import events as ev

Day = Any  # the `Told` of conftest.py


def looked(mould: str, cue: ev.Cue) -> ev.Looked:
    """A look at a mould."""
    return ev.Looked(mould=mould, cue=cue)


def poured(mould: str, layer: int, part: ev.Part = "layer", **more: float) -> ev.Poured:
    """A pour of 100 g as planned, whatever the plan says; `more`: what else the fact says."""
    return ev.Poured(mould=mould, layer=layer, part=part, planned_kg=0.1, **more)


def hot(celsius: float) -> ev.Reading:
    """A reading of the pot, °C."""
    return ev.Reading(place="pot", celsius=celsius)


def both_jugs(day: Day) -> Day:
    """First layers poured at 51 min, both jugs drawn, the flame out."""
    return day.melted().jug(37, 1).plugged().sealed().first_layers()
