"""Whether a reading can be of the place it is said to be of, by what is known of that place."""

from __future__ import annotations

from pourday.guide.outlook.outlook import Outlook
from pourday.language import tr
from pourday.plan.weigh import waxes_of
from pourday.session.events import Place
from pourday.session.state import State

SOFT = ("wet",)
"""Looks of a surface that may still be as hot as its wax was poured."""
MISREAD = 5.0
"""K by which an infrared thermometer may be off on wax, which shines (from memory; its makers say 2 K or 2 % on matt
black). An estimate of ours."""
WARMEST_ROOM = 45.0
"""°C; as far as `units.py` takes a room without asking (estimate)."""


def impossible(
    state: State, outlook: Outlook, place: Place, celsius: float, *, mould: str = "", jug: int | None = None
) -> str:
    """Why a reading (°C) can hardly be of its place, in a sentence; empty where it can.

    A pot is not asked about: what it reads is held against its forecast (`session/readings.py`), and too hot is
    believed first.
    """
    match place:
        case "jug":
            return "" if jug in state.jugs or (jug is None and state.jugs) else tr("No jug is drawn yet.")
        case "surface":
            return _of_surface(state, outlook, mould, celsius)
        case "bath" if celsius > outlook.boiling_c + MISREAD:
            return tr("Water here boils at {degrees}.", degrees=outlook.degrees(outlook.boiling_c))
        case "room" if celsius > WARMEST_ROOM:
            return tr("No kitchen is as warm.")
        case _:
            return ""


def _of_surface(state: State, outlook: Outlook, letter: str, celsius: float) -> str:
    """Of wax that was seen to have set since it was poured."""
    mould = state.moulds.get(letter)
    last = mould.last_pour if mould is not None else None
    if mould is None or last is None:
        return tr("Nothing was poured into {letter} yet.", letter=letter or tr("it"))
    look = mould.look
    if look is None or look.cue in SOFT:
        return ""
    wax = waxes_of(state.plan, outlook.sheet.wax)[last.layer]
    if celsius <= wax.liquidus_c + MISREAD:
        return ""
    return tr(
        "{letter} has set on top, and its wax is liquid above {degrees}.",
        letter=letter,
        degrees=outlook.degrees(wax.liquidus_c),
    )
