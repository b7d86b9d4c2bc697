"""Rows of shares that belong together: the waxes of a blend, the layers of a height."""

from __future__ import annotations

from typing import Any

import msgspec

from pourday.language import tr
from pourday.plan.model import Plan
from pourday.plan.rows import Row, get_at, put_at, text_row
from pourday.units import read_share, show_share

_SAME = 1e-6
"""Shares that add up to one but for this do add up. Chosen."""


def share_row(plan: Plan, group: str, index: int, label: str) -> Row:
    """The share of one item of a group (`blend`, `layers`), and what it counts as where all do not add up to one.

    A typed share leaves the rest to those that nobody typed.
    """
    path = f"{group}.{index}.share"
    shares = [each.share for each in get_at(plan, group)]
    whole = sum(shares)
    shown, hint = shares[index], ""
    if whole > 0 and abs(whole - 1) > _SAME:
        counts = round(shares[index] / whole, 3)
        if _typed(plan, group):
            hint = tr(
                "counts as {counts}: all together are {whole}",
                counts=show_share(counts),
                whole=show_share(round(whole, 3)),
            )
        else:
            shown = counts
    return text_row(
        plan,
        path,
        label,
        show_share(shown),
        lambda text: read_share(text, label).value,
        hint=hint,
        unit="%",
        put=lambda before, text: _put_share(before, group, index, read_share(text, label).value),
    )


def _put_share(plan: Plan, group: str, index: int, share: float) -> Plan:
    """The plan with one share as typed, and the rest of the whole spread over those that nobody typed."""
    items: tuple[Any, ...] = get_at(plan, group)
    shares = {at: each.share for at, each in enumerate(items)} | {index: share}
    free = [at for at in shares if at not in _typed(plan, group) | {index}]
    rest = 1.0 - sum(value for at, value in shares.items() if at not in free)
    if free and rest > _SAME:
        among = sum(shares[at] for at in free)
        shares |= {at: rest * (shares[at] / among if among > 0 else 1 / len(free)) for at in free}
    return put_at(
        plan,
        group,
        tuple(msgspec.structs.replace(each, share=shares[at]) for at, each in enumerate(items)),
    )


def _typed(plan: Plan, group: str) -> set[int]:
    """Which items of a group have a share that somebody typed."""
    return {at for at in range(len(get_at(plan, group))) if f"{group}.{at}.share" in plan.typed}
