"""In what order the waxes of a blend are melted, and what of them is not in the pot yet.

Common practice, no source: what is harder than the bulk is melted first, in a little of it, until it is clear; then
the rest of the bulk goes in, and what is softer with it.
"""

from __future__ import annotations

from dataclasses import dataclass

from pourday.plan.model import Plan
from pourday.plan.waxes import own_of, parts_of
from pourday.plan.weigh import WeighSheet, weigh_sheet
from pourday.session.act_id import ActId
from pourday.session.state import State
from pourday.wax.enthalpy import curve
from pourday.wax.materials import Wax

LITTLE = 0.25
"""Share of the bulk in which the harder waxes are melted. An estimate of ours."""
TRACES = 0.02
"""Solid share that nobody sees in a melt. An estimate of ours."""
ADDED = ActId("add wax")
"""The act that puts the rest in."""


@dataclass(frozen=True, slots=True)
class Melt:
    """What goes in before the burner is lit, and what once that is clear: (name, kg) each."""

    first: tuple[tuple[str, float], ...]
    later: tuple[tuple[str, float], ...]
    clear_c: float
    """From there on all that went in first is molten."""

    @property
    def later_kg(self) -> float:
        """kg that go in later."""
        return sum(kg for _, kg in self.later)


def melt_order(plan: Plan, sheet: WeighSheet) -> Melt | None:
    """What of a plan's blend is melted first and what later; None for a single wax, and where layers have
    blends of their own."""
    if len(plan.blend) < 2 or any(x.blend for x in plan.layers) or len(plan.blend) != len(sheet.waxes):
        return None
    known = parts_of(plan.blend, own_of(plan))
    parts = [(need.name, need.kg, clear_c(wax)) for need, (wax, _) in zip(sheet.waxes, known, strict=True)]
    bulk = max(parts, key=lambda part: (part[1], part[0]))
    harder = sorted((x for x in parts if x[2] > bulk[2]), key=lambda part: -part[2])
    softer = [x for x in parts if x is not bulk and x not in harder]
    begun = LITTLE if harder else 1.0
    first = [*harder, (bulk[0], bulk[1] * begun, bulk[2])]
    later = [*((bulk[0], bulk[1] * (1 - begun), bulk[2]),) * (begun < 1), *softer]
    return Melt(
        tuple((name, kg) for name, kg, _ in first),
        tuple((name, kg) for name, kg, _ in later),
        max(c for _, _, c in first),
    )


def clear_c(wax: Wax) -> float:
    """°C from which a wax looks clear. The last traces of a wide range (microcrystalline: to 90 °C) are not waited
    for, which a water bath in the hills never melts."""
    return curve(wax).celsius_where_set(TRACES)


def wax_added(state: State) -> tuple[tuple[float, float | None], ...]:
    """(time, kg or None) of wax put in beyond what the plan melts.

    All that was put in, but for the rest of the plan's own blend, which is known by its weight.
    """
    if not state.additions or ADDED not in state.waived:
        return state.additions
    plan = state.fixed_plan or state.plan
    order = melt_order(plan, weigh_sheet(plan))
    if order is None:
        return state.additions
    own = next((x for x in state.additions if x[1] == as_filed(order.later_kg)), None)
    return tuple(x for x in state.additions if x is not own)


def as_filed(kg: float) -> float:
    """The weight of the rest of a blend as it goes on record."""
    return round(kg, 6)


def still_out(state: State, sheet: WeighSheet) -> Melt | None:
    """The order of a blend while some of it is to be put in yet; None once a jug was drawn."""
    if state.jugs or ADDED in state.waived:
        return None
    return melt_order(state.plan, sheet)
