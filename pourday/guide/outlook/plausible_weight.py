"""Whether a weight can be true, by what jug or pot held and by what its mould holds."""

from __future__ import annotations

from pourday.errors import Trouble
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.outlook.wax_left import drawn_into, wax_left
from pourday.language import tr
from pourday.plan.check import height_of
from pourday.plan.own_layers import mould_of
from pourday.plan.volumes import volume
from pourday.plan.weigh import waxes_of
from pourday.session import events as ev
from pourday.session.mould import PourAt
from pourday.session.state import State

UNSURE = 0.02
"""Share by which a weight may pass what jug or mould is known to hold before it is doubted (estimate: a kitchen scale
twice, and a mould measured to the millimetre)."""


def too_heavy(state: State, outlook: Outlook, weighed: ev.Weighed) -> str:
    """Why a weight can hardly be, in a sentence with the figures; empty where it can."""
    if weighed.what == "candle":
        return _more_than_mould(state, outlook, weighed, ())
    pours = state.moulds[weighed.mould].pours
    index = next((i for i, pour in enumerate(pours) if pour.seq == weighed.pour), len(pours) - 1)
    if index < 0:
        return ""
    from_vessel = _more_than_vessel(state, outlook, weighed, pours[index])
    return from_vessel or _more_than_mould(state, outlook, weighed, pours[: index + 1])


def _more_than_vessel(state: State, outlook: Outlook, weighed: ev.Weighed, pour: PourAt) -> str:
    """More than the jug of its colour held, all told; where none was made, than the pot."""
    jug = state.jugs.get(pour.layer)
    if jug is None:
        held_kg, vessel, others = wax_left(state).pot, tr("the pot"), 0.0
    else:
        held_kg = drawn_into(state, pour.layer) + jug.returned_kg
        vessel = tr("the jug of {colour}", colour=outlook.colour(pour.layer))
        others = sum(
            other.kg or 0.0
            for mould in state.moulds.values()
            for other in (*mould.pours, *mould.emptied)
            if other.layer == pour.layer and other.seq != pour.seq
        )
    if others + weighed.kg <= _about(state, held_kg):
        return ""
    also = tr(" together with the {mass} weighed before", mass=outlook.mass(others)) if others else ""
    return tr(
        "{vessel} held {held}; {poured} would have left it{also}.",
        vessel=vessel.capitalize(),
        held=outlook.mass(held_kg),
        poured=outlook.mass(others + weighed.kg),
        also=also,
    )


def _more_than_mould(state: State, outlook: Outlook, weighed: ev.Weighed, pours: tuple[PourAt, ...]) -> str:
    """More than its mould holds to the rim: hot wax on what stands in it, or, without `pours`, a set candle."""
    try:
        room = volume((mould := mould_of(state.plan, weighed.mould)).shape, height_of(mould.shape))
    except Trouble:
        return ""
    waxes = waxes_of(state.plan, outlook.sheet.wax)
    if pours:
        *below, top = pours
        volume_below = sum(pour.kg_best / waxes[pour.layer].density_solid for pour in below)
        dense = waxes[top.layer].density_at(outlook.sheet.pour(weighed.mould, top.layer).pour_c)
        holds = max(0.0, room - volume_below) * dense
    else:
        holds = room * max(wax.density_solid for wax in waxes)
    if weighed.kg <= _about(state, holds):
        return ""
    on_top = tr(" on what is in it") if len(pours) > 1 else ""
    return tr(
        "To its rim {mould} holds about {mass}{on_top}.",
        mould=weighed.mould,
        mass=outlook.mass(holds),
        on_top=on_top,
    )


def _about(state: State, kg: float) -> float:
    """The most that a scale may show for so many kg without being doubted."""
    return kg + max(UNSURE * kg, state.plan.scale_step)
