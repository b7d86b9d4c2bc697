"""What comes next in a mould: the one answer that agenda, day ahead, stove, rescues and menu share.

It follows from what is in the mould, what the plan has for it and what the person left out; no clock and no forecast.
`State.remaining` and `State.next_pour` ask here.
"""

from __future__ import annotations

from collections.abc import Collection

from pourday.plan.model import Plan
from pourday.plan.pour_order import LeftOut, ToPour, given_up, place_of, pours_left
from pourday.session.act_id import ActId
from pourday.session.mould import MouldState

_LAYER_ACTS = ("layer", "pour", "decide")
"""Acts that bring a layer: the first one of a mould without a plug, one on another, one on a surface gone too cold."""

HARDLY = 0.25
"""Share of what was asked for below which a top-up hardly found room (estimate)."""


def left_out(waived: Collection[ActId], letter: str) -> LeftOut:
    """Which pours of a mould the person decided to leave out, from all acts that were waived."""
    here = [act for act in waived if act.moulds == letter]
    return LeftOut(
        plug=any(act.what == "plug" for act in here),
        layers=frozenset(act.layer for act in here if act.what in _LAYER_ACTS and act.layer is not None),
        top_up=any(act.what == "top-up" for act in here),
    )


def made(mould: MouldState) -> tuple[ToPour, ...]:
    """The pours that are in a mould now, in order."""
    return tuple(ToPour(pour.layer, pour.part) for pour in mould.pours)


def swapped(mould: MouldState) -> tuple[tuple[int, int], ...]:
    """(layer that was due, layer that went in) of every wrong colour in a mould, in order."""
    return tuple((pour.instead_of, pour.layer) for pour in mould.pours if pour.instead_of is not None)


def place_in(mould: MouldState, layer: int) -> int:
    """The planned layer in whose place a layer of this mould stands."""
    return place_of(layer, swapped(mould)[::-1])


def takes_no_more(mould: MouldState) -> bool:
    """Whether the last two top-ups hardly found room, by the scale: the mould is full, whatever the forecast still wants.

    One alone may have met a hole that had closed.
    """
    last = mould.pours[-2:]
    return len(last) == 2 and all(
        pour.part == "top-up"
        and pour.kg is not None
        and pour.planned_kg is not None
        and pour.kg < HARDLY * pour.planned_kg
        for pour in last
    )


def remaining_pours(plan: Plan, waived: Collection[ActId], mould: MouldState) -> tuple[ToPour, ...]:
    """Every pour a mould still gets, in order; none once it was demoulded, given up, full, or taken out of the plan."""
    if mould.demoulded_at is not None or takes_no_more(mould):
        return ()
    return pours_left(plan, mould.letter, made(mould), left_out(waived, mould.letter), swapped(mould))


def is_given_up(plan: Plan, waived: Collection[ActId], mould: MouldState) -> bool:
    """Whether no candle comes of a mould, because its first layer was left out."""
    return given_up(plan, mould.letter, made(mould), left_out(waived, mould.letter))
