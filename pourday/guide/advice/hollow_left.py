"""What becomes of a mould whose hollow is not filled any more before the person is gone, in a sentence."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from pourday.guide.outlook.outlook import Outlook
from pourday.guide.outlook.room import WORTH_OPENING, left_inside
from pourday.language import tr
from pourday.units import show_volume

SEATS_C = (45.0, 50.0)
"""°C to which a mould that has set is warmed before wax goes in again (common practice, no source)."""


def hollow_words(outlook: Outlook, moulds: Sequence[tuple[str, float | None]], when: str) -> str:
    """How big a hollow each mould sets over, and what is done about it `when` the person is there again.

    `moulds` has each letter with the time of its last top-up before that, None without one. Empty where no hollow is
    worth the while.
    """
    sized = [(letter, size) for letter, topped_at in moulds if (size := _size(outlook, letter, topped_at))]
    if not sized:
        return ""
    names = tr(" and ").join(f"{letter} ({size})" for letter, size in sized)
    them = "it" if len(sized) == 1 else "each"
    return tr(
        "{names} {count} over a hidden hollow: {when} open {them} with a hot rod, warm the mould to {degrees_between}, and fill {them}. Put a lid on the jug of {colours} now; what sets in it is melted again for that.",
        names=names,
        count=tr("sets") if len(sized) == 1 else tr("set"),
        when=when,
        them=them,
        degrees_between=outlook.degrees_between(*SEATS_C),
        colours=_colours(outlook, [letter for letter, _ in sized]),
    )


def _size(outlook: Outlook, letter: str, topped_at: float | None) -> str:
    """`about 37 ml, 28 g of wax`; `up to` where the last layer is not in yet; empty where there is none to speak of."""
    known, show = left_inside(outlook, letter, topped_at), _shown(outlook)
    if known is not None:
        return tr("about {show}", show=show(*known)) if known[0] > 0 else ""
    planned = outlook.sheet.top_up(letter)
    kg = planned.kg if topped_at is None else planned.kg - planned.first
    dense = outlook.wax.density_at(planned.pour_c)
    finished = outlook.sheet.mould(letter).finished
    return tr("up to {show}", show=show(kg / dense, kg)) if kg >= WORTH_OPENING * finished else ""


def _shown(outlook: Outlook) -> Callable[[float, float], str]:
    return lambda m3, kg: tr(
        "{volume}, {mass} of wax", volume=show_volume(m3, outlook.state.plan.units), mass=outlook.mass(kg)
    )


def _colours(outlook: Outlook, moulds: Sequence[str]) -> str:
    """The colours of their top-ups."""
    layers = [outlook.sheet.top_up(letter).layer for letter in moulds]
    return tr(" and ").join(dict.fromkeys(outlook.colour(layer) for layer in layers))
