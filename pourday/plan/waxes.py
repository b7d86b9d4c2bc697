"""Which wax each layer of a plan is made of: the families, and the person's own waxes inside the plan."""

from __future__ import annotations

from collections.abc import Mapping

from pourday.errors import Trouble
from pourday.plan.check import BadField
from pourday.plan.model import BlendPart, Plan
from pourday.wax.blend import blend
from pourday.wax.materials import Wax, family


def own_of(plan: Plan, own: Mapping[str, Wax] | None = None) -> dict[str, Wax]:
    """The person's own waxes by id: those of the plan come before any of the same id from elsewhere."""
    return {**(own or {}), **{wax.id: wax for wax in plan.own}}


def parts_of(
    parts: tuple[BlendPart, ...], own: Mapping[str, Wax] | None = None, path: str = "blend"
) -> list[tuple[Wax, float]]:
    """(wax, share) of a plan's blend; `own` waxes come before families.

    Raises `BadField` for a wax nobody knows, naming its place under `path`.
    """
    return [
        (_wax(part.wax, own or {}, f"{path}.{index}.wax"), part.share) for index, part in enumerate(parts)
    ]


def waxes_of(plan: Plan, wax: Wax | None = None, own: Mapping[str, Wax] | None = None) -> tuple[Wax, ...]:
    """The wax of each layer; `wax` stands in for the plan's own blend. Raises `BadField` as `parts_of`."""
    known = own_of(plan, own)
    usual = wax or blend(parts_of(plan.blend, known))
    return tuple(
        blend(parts_of(layer.blend, known, f"layers.{index}.blend")) if layer.blend else usual
        for index, layer in enumerate(plan.layers)
    )


def _wax(wax_id: str, own: Mapping[str, Wax], path: str) -> Wax:
    """The wax of an id, an own one before a family. Raises `BadField` naming `path`."""
    if wax_id in own:
        return own[wax_id]
    try:
        return family(wax_id)
    except Trouble as trouble:
        raise BadField(path, trouble.what, trouble.instead) from None
