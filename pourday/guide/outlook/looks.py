"""How each layer in a mould looks now: as it was seen, else as the forecast has it (marked with a ~)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, NamedTuple

import numpy as np

from pourday.forecast.mould import MouldRun, MouldSection
from pourday.forecast.mould_read import HALF, NEAR_ROOM, SET
from pourday.guide.outlook.as_seen import look_of
from pourday.guide.outlook.outlook import Outlook
from pourday.language import tr
from pourday.session.looks import LOOK_SHORT
from pourday.session.state import MouldState, State

Texture = Literal["empty", "liquid", "skinned", "firm", "cold"]


class Appearance(NamedTuple):
    """How a layer looks, and in which words that is said."""

    texture: Texture
    word: str
    """What to call it, with a ~ where nobody looked."""
    short: str = ""
    """The same without what it is like inside; empty where `word` says nothing of the inside."""
    computed: bool = False
    """Nobody looked."""
    out: bool = False
    """It is out of its mould."""


@dataclass(frozen=True, slots=True)
class Band:
    """One layer of one mould, from the closed end up; heights in m above the inside bottom."""

    low: float
    high: float
    layer: int
    name: str
    swatch: str
    looks: Appearance


PICTURE_EVERY = 30.0
"""Seconds for which one picture of the inside serves. Chosen."""


@dataclass(frozen=True, slots=True, eq=False)
class Inside:
    """A mould cut open, as computed: what the wax is like at any place in it."""

    section: MouldSection
    cold_below_c: float

    def across(self, height: float, places: int) -> list[Texture]:
        """At `height` m above the inside bottom, at so many places from wall to wall."""
        z, r = self.section.z, self.section.r
        row = int(np.clip(np.searchsorted(z, height, side="right") - 1, 0, z.size - 2))
        out = np.abs(np.arange(places) + 0.5 - places / 2) / (places / 2) * r[-1]
        rings = np.clip(np.searchsorted(r, out, side="right") - 1, 0, r.size - 2)
        solid, celsius = self.section.solid[row, rings], self.section.celsius[row, rings]
        cold = celsius < self.cold_below_c
        return [
            "liquid" if s < HALF else "skinned" if s < SET else "cold" if c else "firm"
            for s, c in zip(solid, cold, strict=True)
        ]


@lru_cache(maxsize=16)
def _inside(heat: MouldRun, step: int) -> Inside:
    """The inside of a mould at step number `step` of `PICTURE_EVERY`."""
    at_s = max(step * PICTURE_EVERY, heat.after_last_pour.at_s)
    return Inside(heat.section(at_s), heat.case.at(at_s).room_c + NEAR_ROOM)


def inside(heat: MouldRun, at_s: float) -> Inside:
    """The inside of a mould at a time on the clock of its pours, to the half minute."""
    return _inside(heat, round(at_s / PICTURE_EVERY))


_SEEN: dict[str, Texture] = {
    "wet": "liquid",
    "skinned": "skinned",
    "firm": "firm",
    "cold": "cold",
    "pulled away": "cold",
}


def bands(state: State, outlook: Outlook, mould: MouldState, now: float) -> list[Band]:
    """What stands in a mould, by the pours made so far."""
    sheet = outlook.sheet.mould(mould.letter)
    upwards: list[Band] = []
    low = 0.0
    for layer in range(len(state.plan.layers)):
        pours = [p for p in mould.pours if p.layer == layer]
        if not pours:
            continue
        only_plug = all(p.part == "plug" for p in pours)
        high = sheet.plug.level if only_plug and sheet.plug else sheet.pours[layer].level
        top = mould.last_pour is not None and mould.last_pour.layer == layer
        looks = _appearance(state, outlook, mould, now) if top else Appearance("firm", "")
        plan = state.plan.layers[layer]
        upwards.append(Band(low, high, layer, outlook.colour(layer), plan.swatch, looks))
        low = high
    return upwards


def _appearance(state: State, outlook: Outlook, mould: MouldState, now: float) -> Appearance:
    """As it was just seen; else, with a ~, as the forecast goes on from what was seen last."""
    if mould.demoulded_at is not None:
        return Appearance("cold", tr("demoulded"), out=True)
    forecast = outlook.mould(mould.letter)
    if forecast is None:
        if mould.look:
            return Appearance(_SEEN[mould.look.cue], LOOK_SHORT[mould.look.cue])
        return Appearance("liquid", f"~{LOOK_SHORT['wet']}", computed=True)
    cue, seen = look_of(state, forecast, now)
    word = LOOK_SHORT[cue]
    if not seen and cue == "pulled away" and mould.last_pour is not None and mould.last_pour.part == "top-up":
        word = "cold"  # as it should be by then
    return Appearance(_SEEN[cue], word if seen else f"~{word}", computed=not seen)
