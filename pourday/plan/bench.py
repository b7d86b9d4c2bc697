"""The moulds as they stand on the bench: one letter each, as the person calls them."""

from __future__ import annotations

from string import ascii_uppercase

import msgspec

from pourday.plan.model import Mould, Plan

MOST_MOULDS = len(ascii_uppercase)


class Standing(msgspec.Struct, frozen=True):
    """One mould on the bench."""

    letter: str
    mould: Mould


def bench(plan: Plan) -> tuple[Standing, ...]:
    """Each mould of the plan with its letter, in the plan's order; at most 26 of them."""
    moulds = (mould for mould in plan.moulds for _ in range(mould.count))
    return tuple(Standing(letter, mould) for letter, mould in zip(ascii_uppercase, moulds, strict=False))
