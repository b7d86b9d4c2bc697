"""The plans a new session can begin with: an empty one with the person's own defaults, or one from before."""

from __future__ import annotations

from statistics import fmean
from typing import TYPE_CHECKING

from pourday.plan.model import Plan

if TYPE_CHECKING:
    from pourday.plan.scaling import Went
    from pourday.session.state import State
    from pourday.store.settings import Settings


def empty_plan(settings: Settings) -> Plan:
    """A new plan with the units, scale, altitude and room temperature of the settings; all else as usual."""
    return Plan(
        units=settings.units,
        scale_step=settings.scale_step,
        altitude=settings.altitude,
        room_c=settings.room_c,
    )


def as_planned(state: State) -> Plan:
    """A new plan like the one the day began with."""
    from pourday.plan.scaling import start_from

    return start_from(state.fixed_plan or state.plan)


def again(plan: Plan) -> Plan:
    """A new plan like one that was kept."""
    from pourday.plan.scaling import start_from

    return start_from(plan)


def as_it_went(state: State, letter: str) -> Plan:
    """A new plan with the layers that one mould really got. Raises `Trouble` where that cannot be worked out."""
    from pourday.plan import scaling

    went = scaling.as_it_went(state.plan, how_it_went(state, letter))
    # Where a rescue stopped a mould low, the mould itself is as high as it was.
    before = state.fixed_plan.moulds if state.fixed_plan is not None else went.moulds
    return scaling.start_from(went, None if before == went.moulds else before)


def poured_moulds(state: State) -> list[str]:
    """Letters of the moulds that have at least their first layer."""
    return [
        letter
        for letter, mould in sorted(state.moulds.items())
        if any(p.part == "layer" for p in mould.pours)
    ]


def how_it_went(state: State, letter: str) -> Went:
    """What was weighed and read at one mould. Scent and dye are never weighed back, so those stay as planned."""
    from pourday.plan.scaling import Went

    mould = state.moulds[letter]
    mains = {pour.layer: pour for pour in mould.pours if pour.part == "layer"}
    plug = mould.poured(0, "plug")
    read = [pour.celsius for pour in mains.values() if pour.celsius is not None]
    reached = max(mains, default=-1) + 1
    return Went(
        letter=letter,
        poured=tuple(mains[layer].kg if layer in mains else None for layer in range(reached)),
        plug=plug.kg if plug else None,
        pour_c=round(fmean(read), 1) if read else None,
    )
