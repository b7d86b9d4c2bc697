"""Candles as stacks of layers, so that days can be drawn beside each other to one scale."""

from __future__ import annotations

from dataclasses import dataclass

from pourday.errors import Trouble
from pourday.plan.weigh import weigh_sheet
from pourday.session.state import State


@dataclass(frozen=True, slots=True)
class StackLayer:
    """One layer as it stands in its mould."""

    colour: str
    swatch: str
    """#rrggbb"""
    low: float
    """m above the closed end, where it begins by the plan,"""
    high: float
    """and where it ends."""
    wait: float | None
    """s from the pour below it to its own; None of the lowest."""


@dataclass(frozen=True, slots=True)
class DayStack:
    """What was poured into one mould of a day, from the closed end up."""

    session: str
    letter: str
    layers: tuple[StackLayer, ...] = ()


def stacks_of(state: State) -> tuple[DayStack, ...]:
    """One for each mould that has a layer; none of a day whose plan cannot be weighed out."""
    plan = state.plan
    try:
        sheet = weigh_sheet(plan)
    except Trouble:
        return ()
    stacks = []
    for mould in sheet.moulds:
        poured = state.moulds.get(mould.letter)
        layers: list[StackLayer] = []
        low, before = 0.0, None
        for pour in poured.pours if poured is not None else ():
            if pour.part != "layer" or not 0 <= pour.layer < len(plan.layers):
                continue
            layer, high = (
                plan.layers[pour.layer],
                max(low, mould.pours[state.place_of(mould.letter, pour.layer)].level),
            )
            wait = None if before is None else pour.t - before
            layers.append(StackLayer(layer.colour, layer.swatch, low, high, wait))
            low, before = high, pour.t
        if layers:
            stacks.append(DayStack(state.session, mould.letter, tuple(layers)))
    return tuple(stacks)
