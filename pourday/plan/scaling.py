"""Start from before: a new plan from an old one, for other moulds, as planned or as it really went.

Layers are shares of the fill height and loads are shares of the wax, so a plan carries over to any
mould by itself; scaling twice is scaling once. What belongs to the day it was made (lots, stock) does not
carry over: nothing is filled in by default that nobody looked up.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import accumulate

import msgspec
from msgspec.structs import replace

from pourday.errors import Trouble
from pourday.language import tr
from pourday.plan.bench import bench
from pourday.plan.check import check, height_of
from pourday.plan.model import BlendPart, Mould, Plan, Product
from pourday.plan.own_layers import shares_of
from pourday.plan.volumes import capacity, height_for, volume
from pourday.plan.waxes import waxes_of
from pourday.plan.weigh import set_density
from pourday.wax.materials import Wax
from pourday.wax.working_heat import pour_temperature


def start_from(plan: Plan, moulds: tuple[Mould, ...] | None = None) -> Plan:
    """A new plan after an old one, in `moulds` where others are to be used.

    Kept: layers, loads, blend by share, prices, room and habits. Dropped: lots and weights at hand, what it was made after, and
    with other moulds what was typed for the old ones.
    """
    fresh = replace(
        plan,
        blend=_without_stock(plan.blend),
        layers=tuple(
            replace(
                layer,
                blend=_without_stock(layer.blend),
                scents=_without_lots(layer.scents),
                dyes=_without_lots(layer.dyes),
            )
            for layer in plan.layers
        ),
        scent_lot="",
        dye_lot="",
        parent="",
        tried=None,
        typed={key: text for key, text in plan.typed.items() if not _of_the_day(key)},
    )
    if moulds is None:
        return fresh
    not_of_moulds = {key: text for key, text in fresh.typed.items() if not key.startswith("moulds.")}
    return replace(fresh, moulds=moulds, typed=not_of_moulds)


def _without_stock(parts: tuple[BlendPart, ...]) -> tuple[BlendPart, ...]:
    """A blend without its lots and what is at hand of them."""
    return tuple(replace(part, lot="", at_hand=None) for part in parts)


def _without_lots(parts: tuple[Product, ...]) -> tuple[Product, ...]:
    """Scents or dyes without their lots."""
    return tuple(replace(part, lot="") for part in parts)


def _of_the_day(path: str) -> bool:
    """Whether what was typed into a row belongs to the day it was typed on: lots, and weights at hand."""
    return path.rsplit(".", 1)[-1] in {"lot", "at_hand", "scent_lot", "dye_lot"}


class Went(msgspec.Struct, frozen=True, kw_only=True):
    """How one mould of an old session really went. None: not weighed, or not known."""

    letter: str
    poured: tuple[float | None, ...]
    """kg of each layer's main pour, in pour order."""
    plug: float | None = None
    """kg of the plug, where one was poured."""
    pour_c: float | None = None
    """°C the layers were poured at, where it was read."""
    scent_loads: tuple[float | None, ...] = ()
    dye_loads: tuple[float | None, ...] = ()


def as_it_went(plan: Plan, went: Went, wax: Wax | None = None, own: Mapping[str, Wax] | None = None) -> Plan:
    """The plan with the layer heights, loads and pour temperature one mould really got.

    Heights come from the weights by the arithmetic of the weigh sheet run backwards; a layer that was
    not weighed keeps its planned height, by the mould's own shares where a rescue gave it such. Layers that
    were never reached, or that this mould did not get, are left out. Raises `Trouble`
    for a mould that is not on the bench, or with no layer poured.
    """
    check(plan)
    standing = next((each for each in bench(plan) if each.letter == went.letter), None)
    if standing is None:
        raise Trouble(tr("There is no mould {letter} on the bench.", letter=went.letter))
    layers = plan.layers[: len(went.poured)]
    if not layers:
        raise Trouble(tr("Nothing was poured in this session."), instead=tr("Start from it as planned."))
    heights = _heights(plan, standing.mould, went, waxes_of(plan, wax, own))
    gets = [share > 0 for share in shares_of(plan, standing.mould)]
    return replace(
        plan,
        # What a rescue changed in a single mould belongs to its day.
        moulds=tuple(replace(mould, shares=()) for mould in plan.moulds),
        layers=tuple(
            replace(
                layer,
                share=max(height, 0.0005),
                scent_load=_known(went.scent_loads, index, layer.scent_load),
                dye_load=_known(went.dye_loads, index, layer.dye_load),
            )
            for index, (layer, height) in enumerate(zip(layers, heights, strict=True))
            if gets[index] or went.poured[index] is not None
        ),
        pour_c=plan.pour_c if went.pour_c is None else went.pour_c,
        typed={key: text for key, text in plan.typed.items() if not key.startswith("layers.")},
    )


def _known(values: Sequence[float | None], index: int, planned: float) -> float:
    """A layer's figure as it went, else as it was planned."""
    value = values[index] if index < len(values) else None
    return planned if value is None else value


def _heights(plan: Plan, mould: Mould, went: Went, waxes: tuple[Wax, ...]) -> list[float]:
    """Height in m of each layer that was poured, from its hot surface down to that of the layer below."""
    planned = _planned_lines(shares_of(plan, mould), height_of(mould.shape) - mould.below_rim)
    heights, below, filled = [], 0.0, 0.0
    for index, kg in enumerate(went.poured[: len(plan.layers)]):
        wax = waxes[index]
        celsius = pour_temperature(
            wax, mould.material, plan.room_c, went.pour_c or plan.pour_c, mould.limit_c
        )
        cold, hot = set_density(wax, celsius), wax.density_at(celsius)
        if index == 0 and went.plug:
            filled += went.plug / cold
        if kg is None:
            line = max(below, min(planned[index], height_of(mould.shape)))
            kg = max(0.0, volume(mould.shape, line) - filled) * hot
        line = height_for(mould.shape, min(filled + kg / hot, capacity(mould.shape)))
        filled += kg / cold
        heights.append(line - below)
        below = max(below, line)
    return heights


def _planned_lines(shares: Sequence[float], fill: float) -> list[float]:
    """m above the inside bottom up to which each layer is planned, the last one to `fill`."""
    whole = sum(shares)
    return [fill * line / whole for line in accumulate(shares)]
