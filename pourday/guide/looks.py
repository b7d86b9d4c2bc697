"""How each layer in a mould looks now: as it was seen, else as the forecast has it (marked with a ~)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from pourday.guide.outlook import Outlook
from pourday.session.state import MouldState, State

Texture = Literal["empty", "liquid", "skinned", "firm", "cold"]


@dataclass(frozen=True, slots=True)
class Band:
    """One layer of one mould, from the closed end up; heights in m above the inside bottom."""

    low: float
    high: float
    layer: int
    name: str
    swatch: str
    texture: Texture
    word: str
    """What to call it, with a ~ where nobody looked."""


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
    found: list[Band] = []
    low = 0.0
    for layer in range(len(state.plan.layers)):
        pours = [p for p in mould.pours if p.layer == layer]
        if not pours:
            break
        only_plug = all(p.part == "plug" for p in pours)
        high = sheet.plug.level if only_plug and sheet.plug else sheet.pours[layer].level
        top = mould.last_pour is not None and mould.last_pour.layer == layer
        texture, word = _texture(outlook, mould, now) if top else ("firm", "")
        plan = state.plan.layers[layer]
        found.append(Band(low, high, layer, outlook.colour(layer), plan.swatch, texture, word))
        low = high
    return found


def _texture(outlook: Outlook, mould: MouldState, now: float) -> tuple[Texture, str]:
    if mould.demoulded_at is not None:
        return "cold", "demoulded"
    look = mould.look
    if look is not None:
        return _SEEN[look.cue], look.cue
    forecast = outlook.mould(mould.letter)
    if forecast is None:
        return "liquid", "~liquid"
    if now < forecast.skinned.likely:
        return "liquid", "~liquid"
    if now < forecast.opens.likely:
        return "skinned", "~skinned"
    return ("firm", "~firm") if now < forecast.cold.likely else ("cold", "~cold")
