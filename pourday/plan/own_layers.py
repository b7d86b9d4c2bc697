"""Which of the plan's layers a mould gets, and how high: the plan's own shares, or the mould's after a rescue."""

from __future__ import annotations

from pourday.errors import Trouble
from pourday.language import tr
from pourday.plan.bench import bench
from pourday.plan.model import Mould, Plan


def shares_of(plan: Plan, mould: Mould) -> tuple[float, ...]:
    """Share of the fill height of each of the plan's layers in this mould; 0 for one it does not get."""
    if not mould.shares:
        return tuple(layer.share for layer in plan.layers)
    missing = len(plan.layers) - len(mould.shares)
    return (*mould.shares[: len(plan.layers)], *[0.0] * missing)


def waxes_in(plan: Plan, mould: Mould) -> dict[str, float]:
    """Share of each wax, by id, in a candle from this mould; empty where its layers or blends have no shares.

    By height of the layers and by weight within a blend, so it tells waxes apart and is no weight.
    """
    shares: dict[str, float] = {}
    heights = shares_of(plan, mould)
    for layer, height in zip(plan.layers, heights, strict=True):
        parts = layer.blend or plan.blend
        whole = sum(part.share for part in parts)
        for part in parts if whole > 0 and sum(heights) > 0 else ():
            share = height / sum(heights) * part.share / whole
            if share > 0:
                shares[part.wax] = shares.get(part.wax, 0.0) + share
    return shares


def mould_of(plan: Plan, letter: str) -> Mould:
    """The mould of a letter. Raises `Trouble` where none stands there."""
    for standing in bench(plan):
        if standing.letter == letter:
            return standing.mould
    raise Trouble(tr("There is no mould {letter} on the bench.", letter=letter))


def stays(plan: Plan, letter: str) -> bool:
    """Whether the candle of this mould stays in it. False where none stands there."""
    return any(standing.mould.stays for standing in bench(plan) if standing.letter == letter)


def layers_of(plan: Plan, letter: str) -> tuple[int, ...]:
    """Numbers of the layers this mould gets, in pour order."""
    return tuple(i for i, share in enumerate(shares_of(plan, mould_of(plan, letter))) if share > 0)


def last_layer(plan: Plan, letter: str) -> int:
    """The layer poured last into this mould: the one that is topped up."""
    return max(layers_of(plan, letter), default=len(plan.layers) - 1)
