"""In which order one mould is poured: plug, the layers it gets, top-up; and what of that is still to come."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

from pourday.errors import Trouble
from pourday.plan.model import Plan
from pourday.plan.own_layers import layers_of, mould_of

Part = Literal["plug", "layer", "top-up"]


class ToPour(NamedTuple):
    """One pour into one mould."""

    layer: int
    """Number in the plan's pour order, from 0; of a top-up the colour that is on top then."""
    part: Part


@dataclass(frozen=True, slots=True)
class LeftOut:
    """What a person decided not to pour into one mould."""

    plug: bool = False
    layers: frozenset[int] = frozenset()
    top_up: bool = False


NOTHING = LeftOut()


def pours_of(plan: Plan, letter: str) -> tuple[ToPour, ...]:
    """Every pour the plan has for a mould, in order; none for a mould that is not on the bench."""
    try:
        layers = layers_of(plan, letter)
    except Trouble:
        return ()
    if not layers:
        return ()
    plugged = plan.plug > 0 and not mould_of(plan, letter).stays
    plug = (ToPour(layers[0], "plug"),) if plugged else ()
    return (*plug, *(ToPour(i, "layer") for i in layers), ToPour(layers[-1], "top-up"))


def pours_left(
    plan: Plan,
    letter: str,
    made: Sequence[ToPour],
    left_out: LeftOut = NOTHING,
    swapped: Sequence[tuple[int, int]] = (),
) -> tuple[ToPour, ...]:
    """What a mould still gets, in order, after the pours that are in it (`made`, in order).

    `swapped` has (layer that was due, layer that went in) of every wrong colour: the two change places.

    A layer that was left out is passed over, and the one above it comes next. A mould whose first layer was left
    out is given up: nothing goes in any more. A top-up is followed by another, until the person leaves the rest out or
    the candle is out of its mould: how many the wax needs, only its forecast can say.
    """
    whole = tuple(ToPour(place_of(pour.layer, swapped), pour.part) for pour in pours_of(plan, letter))
    last = made[-1] if made else None
    if not whole or given_up(plan, letter, made, left_out):
        return ()
    if last is not None and last.part == "top-up":
        return () if left_out.top_up else (last,)
    ahead = _after(whole, last)
    poured = [
        pour
        for pour in ahead
        if (pour.part == "layer" and pour.layer not in left_out.layers)
        or (pour.part == "plug" and not left_out.plug)
    ]
    on_top = [pour.layer for pour in (*made, *poured) if pour.part == "layer"]
    if not left_out.top_up and on_top:
        poured.append(ToPour(on_top[-1], "top-up"))
    return tuple(poured)


def place_of(layer: int, swapped: Sequence[tuple[int, int]]) -> int:
    """The planned layer in whose place, and to whose line, a layer goes after colours changed places."""
    for due, went_in in swapped:
        layer = went_in if layer == due else due if layer == went_in else layer
    return layer


def _after(whole: Sequence[ToPour], last: ToPour | None) -> Sequence[ToPour]:
    """The pours of `whole` that come after `last`, all where there is none.

    After a pour that the plan no longer has: the layers above it.
    """
    if last is None:
        return whole
    if last in whole:
        return whole[whole.index(last) + 1 :]
    from_layer = last.layer if last.part == "plug" else last.layer + 1
    return [pour for pour in whole if pour.part == "layer" and pour.layer >= from_layer]


def given_up(plan: Plan, letter: str, made: Sequence[ToPour], left_out: LeftOut) -> bool:
    """Whether the first layer of a mould was left out, so that no candle comes of it."""
    whole = pours_of(plan, letter)
    first = next((pour.layer for pour in whole if pour.part == "layer"), None)
    return first in left_out.layers and not any(pour.part == "layer" for pour in made)
