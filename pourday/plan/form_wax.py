"""The rows of a blend (the plan's or a layer's own): its waxes, shares, lots, prices, and what is at hand."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import msgspec

from pourday.errors import Trouble
from pourday.language import tr, word
from pourday.plan import form_read as read
from pourday.plan.form_own import adopt, new_own_row, own_rows
from pourday.plan.form_shares import share_row
from pourday.plan.model import BlendPart, Plan
from pourday.plan.rows import (
    Known,
    Row,
    act_row,
    folded,
    get_at,
    insert,
    mass_row,
    price_row,
    put_at,
    remove,
    untyped,
    wax_label,
    word_row,
)
from pourday.plan.wax_words import from_words
from pourday.units import show_mass
from pourday.wax.materials import Wax, families

MOST_PARTS = 6
"""Waxes of one blend."""
_USUAL, _ADDITION = "paraffin_pillar", "stearic_commercial"
_NEW_SHARE = 0.1
"""Share a wax begins with when it is mixed in: as an additive mostly is (common practice, no source). The row is there to be
changed."""


def blend_rows(plan: Plan, path: str, known: Known, head: str = "") -> Iterator[Row]:
    """The rows of the blend at `path` (`blend`, `layers.0.blend`)."""
    parts: tuple[BlendPart, ...] = get_at(plan, path)
    for index, part in enumerate(parts):
        yield from _part(plan, path, index, part, known, head if index == 0 else "")
    yield _mix_in(path, len(parts))
    mixing = list(_mixing(path, parts))
    if parts:
        last = f"{path}.{len(parts) - 1}"
        wax = known.shelf(plan).get(parts[-1].wax)
        nearest = wax.kin if wax and wax.kin in families() else _USUAL
        mixing.append(new_own_row(f"{path}.own", last, nearest, known))
    yield from folded(f"{path}.more", tr("own waxes, what is there"), "", mixing)


def _part(plan: Plan, path: str, index: int, part: BlendPart, known: Known, head: str) -> Iterator[Row]:
    """The rows of one wax of a blend."""
    at = f"{path}.{index}"
    parts: tuple[BlendPart, ...] = get_at(plan, path)
    shelf = known.shelf(plan)
    wax = shelf.get(part.wax)
    label = word("wax") if len(parts) == 1 else tr("wax {index}", index=index + 1)
    yield Row(
        f"{at}.wax",
        label,
        wax_label(wax) if wax else part.wax,
        "choice",
        tuple(wax_label(each) for each in shelf.values()),
        hint=tr("or type: palm, about 60 C"),
        words=True,
        head=head,
        put=lambda before, text: _chosen(before, at, text, known),
    )
    if len(parts) > 1:
        yield share_row(plan, path, index, tr("share of the blend"))
    yield from folded(
        f"{at}.more", tr("lot, price, at hand"), _summary(plan, part), _shelf_rows(plan, at, part, len(parts))
    )
    if wax is not None and any(each.id == wax.id for each in plan.own) and _first_use(plan, wax.id) == at:
        yield from own_rows(plan, wax, at, kept=wax.id in known.waxes)


def _first_use(plan: Plan, wax_id: str) -> str:
    """The first blend part made of a wax; its sheet is shown there and nowhere else."""
    blends = {"blend": plan.blend} | {f"layers.{i}.blend": layer.blend for i, layer in enumerate(plan.layers)}
    places = (f"{p}.{i}" for p, parts in blends.items() for i, part in enumerate(parts) if part.wax == wax_id)
    return next(places, "")


def _summary(plan: Plan, part: BlendPart) -> str:
    """What is set under the fold of a wax."""
    parts = [part.lot] if part.lot else []
    if part.price_per_kg is not None:
        parts.append(read.show_price(part.price_per_kg, plan.units))
    if part.at_hand is not None:
        parts.append(tr("{mass} at hand", mass=show_mass(part.at_hand, plan.units, plan.scale_step)))
    return ", ".join(parts)


def _shelf_rows(plan: Plan, at: str, part: BlendPart, count: int) -> Iterator[Row]:
    """The rows under the fold of a wax: lot, price, what is at hand."""
    yield word_row(f"{at}.lot", tr("its lot"), part.lot, ghost=tr("not noted"))
    ghost = tr("like 12.50/kg, 60 for 5 kg")
    yield price_row(plan, f"{at}.price_per_kg", part.price_per_kg, ghost=ghost)
    yield mass_row(plan, f"{at}.at_hand", tr("at hand"), part.at_hand)
    if count > 1:
        group, index = at.rsplit(".", 1)
        yield act_row(
            f"{at}.remove",
            tr("take this wax out"),
            lambda before, _: _tidied(_reshared(remove(before, group, int(index)), group)),
            f"{group}.0.wax",
        )


def _mix_in(path: str, count: int) -> Row:
    """The act that mixes another wax in."""

    def add(before: Plan, _: str) -> Plan:
        if len(get_at(before, path)) >= MOST_PARTS:
            raise Trouble(tr("A blend takes up to {most_parts} waxes.", most_parts=MOST_PARTS))
        mixed = _reshared(before, path, 1 - _NEW_SHARE)
        old = get_at(mixed, path)
        usual = next(
            wax for wax in (_USUAL, _ADDITION, "beeswax") if all(wax != part.wax for part in old[-2:])
        )
        fresh = BlendPart(wax=_ADDITION if old and old[-1].wax == _USUAL else usual, share=_NEW_SHARE)
        return insert(mixed, path, len(old), fresh)

    return act_row(f"{path}.add", tr("mix in another wax"), add, f"{path}.{count}.wax")


def _mixing(path: str, parts: tuple[BlendPart, ...]) -> Iterator[Row]:
    """The act that takes the shares from the weights at hand."""
    if len(parts) > 1 and all(part.at_hand for part in parts):
        yield act_row(
            f"{path}.by_hand",
            tr("blend as the weights at hand"),
            lambda before, _: _by_hand(before, path),
            f"{path}.0.share",
            hint=tr("Enter sets the shares to what is there"),
        )


def _by_hand(plan: Plan, path: str) -> Plan:
    """The blend in the proportions of what is at hand of each wax."""
    parts: tuple[BlendPart, ...] = get_at(plan, path)
    whole = sum(part.at_hand or 0.0 for part in parts)
    shared = tuple(msgspec.structs.replace(part, share=(part.at_hand or 0.0) / whole) for part in parts)
    return _without_shares(put_at(plan, path, shared), path)


def _reshared(plan: Plan, path: str, whole: float = 1.0) -> Plan:
    """The shares of a blend scaled to add up to `whole`; equal ones where there are none."""
    parts: tuple[BlendPart, ...] = get_at(plan, path)
    total = sum(part.share for part in parts)
    own = [part.share / total if total > 0 else 1 / len(parts) for part in parts]
    scaled = tuple(
        msgspec.structs.replace(part, share=share * whole) for part, share in zip(parts, own, strict=True)
    )
    return _without_shares(put_at(plan, path, scaled), path)


def _without_shares(plan: Plan, path: str) -> Plan:
    """The plan without what was typed for the shares of a blend: they are new figures now."""
    return untyped(plan, *(f"{path}.{index}.share" for index in range(len(get_at(plan, path)) + 1)))


def _chosen(plan: Plan, at: str, name: str, known: Known) -> Plan:
    """A wax by its name or id; an own one comes into the plan, and one no longer used leaves it."""
    shelf = known.shelf(plan)
    named = _on_shelf(name, shelf)
    if named is None and (said := from_words(name, plan.units)) is not None:
        named, plan = said, adopt(plan, said)
    named = named or _begins(name, shelf)
    if named is None:
        instead = tr("Choose one with the arrow keys, or say what you know: “about 60”, “unknown paraffin”.")
        what = tr("There is no wax called “{name}”.", name=name) if name.strip() else tr("No wax was named.")
        raise Trouble(what, instead=instead)
    chosen = put_at(plan, f"{at}.wax", named.id)
    if named.id in known.waxes and all(wax.id != named.id for wax in plan.own):
        chosen = adopt(chosen, named)
    return _tidied(chosen, known)


def _on_shelf(name: str, shelf: Mapping[str, Wax]) -> Wax | None:
    """The wax of exactly this id or name."""
    called = name.casefold()
    return shelf.get(name) or next(
        (wax for wax in shelf.values() if called in (wax_label(wax).casefold(), wax.name.casefold())), None
    )


def _begins(name: str, shelf: Mapping[str, Wax]) -> Wax | None:
    """The first wax with a name that begins so, or with a word in it that does."""
    begun = name.casefold()
    if not begun:
        return None
    starts = (wax for wax in shelf.values() if wax.name.casefold().startswith(begun))
    return next(starts, None) or next(
        (wax for wax in shelf.values() if f" {begun}" in f" {wax.name.casefold()}"), None
    )


def _tidied(plan: Plan, known: Known | None = None) -> Plan:
    """The plan without own waxes that nothing in it is made of, as far as the person's memories have them too."""
    used = {part.wax for parts in (plan.blend, *(layer.blend for layer in plan.layers)) for part in parts}
    still_own = tuple(wax for wax in plan.own if wax.id in used or not _elsewhere(wax, known))
    return plan if still_own == plan.own else msgspec.structs.replace(plan, own=still_own)


def _elsewhere(wax: Wax, known: Known | None) -> bool:
    """Whether the person's memories have this wax with the same figures."""
    return known is not None and known.waxes.get(wax.id) == wax
