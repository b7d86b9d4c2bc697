"""Wax that nobody knew, told as text: what was done with it, what it weighs, what its curve and its looks say."""

from __future__ import annotations

from collections.abc import Iterator

from pourday.errors import Trouble
from pourday.heap.beat import reading_of
from pourday.heap.lot import as_wax, density_of, odds_of
from pourday.heap.words import curve_says, odds_says
from pourday.language import dated, ntr, tr
from pourday.plan.water import bath_reach
from pourday.session.describe_heap import how_often, say_step
from pourday.session.heap import CoolingAt, HeapState
from pourday.session.state import State
from pourday.times import local, span
from pourday.units import show_mass, show_temperature

NOT_TOLD = tr("not noted")


def heap_report(state: State) -> list[str]:
    """A run with unknown wax as lines of text; nothing is filled in that was not told."""
    heap = state.heap or HeapState()
    lines = [f"{heap.name or tr('Wax that nobody knows')}  [{state.session}]"]
    lines.append(tr("begun {when}", when=dated(local(state.opened_at), "%A %d %B %Y, %H:%M")))
    for label, says in _rows(state, heap):
        lines.append(f"  {label:<18} {says}")
    lines += ["", tr("What was done:")]
    lines += [f"  {say_step(step, at.came)}" for step, at in heap.steps.items()]
    for number, curve in enumerate(heap.curves, 1):
        lines += ["", *_curve(curve, number, state)]
    lines += ["", *_result(state, heap)]
    return lines


def _rows(state: State, heap: HeapState) -> Iterator[tuple[str, str]]:
    plan, seen = state.plan, heap.seen

    def mass(kg: float | None) -> str:
        return NOT_TOLD if kg is None else show_mass(kg, plan.units, plan.scale_step)

    yield "as it came", mass(heap.came_kg)
    lost = "" if heap.lost_kg is None or heap.lost_kg < 0 else tr(", {mass} lost", mass=mass(heap.lost_kg))
    yield "clean", f"{mass(heap.clean_kg)}{lost}"
    yield tr("water in it"), heap.water.came if heap.water is not None else NOT_TOLD
    yield "colour", seen.colour or NOT_TOLD
    yield "smell", seen.smell or NOT_TOLD
    yield "looks", seen.surface or NOT_TOLD
    yield tr("a thumbnail"), seen.nail or NOT_TOLD
    yield (
        tr("melted before"),
        NOT_TOLD
        if seen.melted is None
        else tr("{how_often}, as far as is known", how_often=how_often(seen.melted)),
    )
    density = density_of(heap, plan.scale_step)
    if density is not None:
        yield (
            "density",
            tr(
                "{likely:.0f} kg/m3, four times in five {low:.0f} to {high:.0f}",
                likely=density.likely,
                low=density.low,
                high=density.high,
            ),
        )


def _curve(curve: CoolingAt, number: int, state: State) -> list[str]:
    """One curve: what was read, and what that says."""
    plan = state.plan
    kg, around = curve.fact.kg, curve.fact.around_c
    tin = NOT_TOLD if kg is None else show_mass(kg, plan.units, plan.scale_step)
    air = NOT_TOLD if around is None else show_temperature(around, plan.units, 1)
    head = tr("Cooling curve {number}: {tin} in the tin, around it {air}", number=number, tin=tin, air=air)
    if not curve.readings:
        return [head, tr("  nothing was read")]
    took = span(curve.readings[-1][0] - curve.readings[0][0])
    first, last = (show_temperature(curve.readings[n][1], plan.units, 1) for n in (0, -1))
    open_end = "" if curve.ended is not None else tr("; it is being taken")
    return [
        head,
        ntr(
            "  {count} reading over {took}, from {first} to {last}{open_end}",
            "  {count} readings over {took}, from {first} to {last}{open_end}",
            len(curve.readings),
            count=len(curve.readings),
            took=took,
            first=first,
            last=last,
            open_end=open_end,
        ),
        f"  {curve_says(reading_of(curve), plan.units)}",
    ]


def _result(state: State, heap: HeapState) -> list[str]:
    """What it can be, and the wax that plans get."""
    plan = state.plan
    lines = [odds_says(odds_of(heap, plan.scale_step)), tr("Estimates; the scent in it is unknown.")]
    if not heap.name:
        return lines
    try:
        wax = as_wax(heap, heap.name, plan.scale_step, bath_reach(plan.altitude).best_c)
    except Trouble as trouble:
        return [*lines, str(trouble)]
    low, high, most = (
        show_temperature(c, plan.units, 1)
        for c in (wax.congealing_min_c, wax.congealing_max_c, wax.max_working_c)
    )
    return [
        *lines,
        tr(
            "As a wax of plans, “{name}”: it sets between {low} and {high}, and is heated to {most} at most.",
            name=heap.name,
            low=low,
            high=high,
            most=most,
        ),
    ]
