"""What comes next in a mould: the one answer that agenda, day ahead, stove, rescues and menu share.

It follows from what is in the mould, what the plan has for it and what the person left out; no clock and no forecast.
`State.remaining` and `State.next_pour` ask here. How an act that was left out is written in the record is known here and nowhere else.
"""

from __future__ import annotations

from collections.abc import Collection

from pourday.plan.model import Plan
from pourday.plan.pour_order import LeftOut, ToPour, given_up, pours_left
from pourday.session.mould import MouldState

_LAYER_ACTS = ("layer", "pour", "decide")
"""First words of the acts that bring a layer, as the record writes them: `pour 1 A`."""


def left_out(waived: Collection[str], letter: str) -> LeftOut:
    """The pours of a mould among the acts that were left out: `plug 0 A`, `pour 1 A`, `top-up A`."""
    acts = [act.split(" ") for act in waived]
    of_layers = [act for act in acts if len(act) == 3 and act[2] == letter and act[1].isdecimal()]
    return LeftOut(
        plug=any(act[0] == "plug" for act in of_layers),
        layers=frozenset(int(act[1]) for act in of_layers if act[0] in _LAYER_ACTS),
        top_up=f"top-up {letter}" in waived,
    )


def made(mould: MouldState) -> tuple[ToPour, ...]:
    """The pours that are in a mould now, in order."""
    return tuple(ToPour(pour.layer, pour.part) for pour in mould.pours)


def remaining_pours(plan: Plan, waived: Collection[str], mould: MouldState) -> tuple[ToPour, ...]:
    """Every pour a mould still gets, in order; none once it was demoulded, given up, or taken out of the plan."""
    if mould.demoulded_at is not None:
        return ()
    return pours_left(plan, mould.letter, made(mould), left_out(waived, mould.letter))


def is_given_up(plan: Plan, waived: Collection[str], mould: MouldState) -> bool:
    """Whether no candle comes of a mould, because its first layer was left out."""
    return given_up(plan, mould.letter, made(mould), left_out(waived, mould.letter))
