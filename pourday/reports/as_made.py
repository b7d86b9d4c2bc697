"""What the recipe became: by whom, with what, in which room, and what really went into each jug.

What nobody said is `not noted`, never what was planned.
"""

from __future__ import annotations

from collections.abc import Iterator

from pourday.language import tr, word
from pourday.plan.model import Plan
from pourday.plan.products import show_dose
from pourday.reports.recipe import NOT_TOLD, RecipePart, RecipeRow
from pourday.session.describe_equipment import equipped_words
from pourday.session.state import DoseAt, JugState, State
from pourday.times import clock
from pourday.units import show_mass, show_temperature

FEW = 4
"""Readings of the room up to which each is told."""
_EQUIPMENT = ("made by", "thermometer", "scale", "pot", "burner")


def as_made_lines(state: State) -> list[str]:
    """The same as lines of text."""
    lines = [tr("As made:")]
    for part in as_made(state):
        lines.append(f"  {part.name}")
        lines += [f"    {row.label:<18} {row.says}" for row in part.rows]
    return lines


def as_made(state: State) -> tuple[RecipePart, ...]:
    """Who and with what, the room, and each jug in pour order."""
    told = dict(equipped_words(state.equipped, state.plan.units))
    rows = [RecipeRow(word(what), told.get(what, NOT_TOLD)) for what in _EQUIPMENT]
    rows.append(RecipeRow(tr("room"), _room(state)))
    return (RecipePart(tr("Who, with what"), tuple(rows)), *_jugs(state))


def _room(state: State) -> str:
    """What was read of the room, each time or from the coldest to the warmest, and what was planned."""
    plan = state.plan
    read = [r for r in state.readings if r.place == "room" and not r.doubt]
    planned = tr("planned {temperature}", temperature=show_temperature(plan.room_c, plan.units))
    if not read:
        return f"{NOT_TOLD}; {planned}"
    if len(read) <= FEW:
        each = [
            tr(
                "{temperature} at {clock}",
                temperature=show_temperature(r.celsius, plan.units, 1),
                clock=clock(r.t),
            )
            for r in read
        ]
        return f"{', '.join(each)}; {planned}"
    coldest, warmest = (find(r.celsius for r in read) for find in (min, max))
    low, high = (show_temperature(celsius, plan.units, 1) for celsius in (coldest, warmest))
    return tr(
        "{low} to {high}, read {count} times from {first} to {last}; {planned}",
        low=low,
        high=high,
        count=len(read),
        first=clock(read[0].t),
        last=clock(read[-1].t),
        planned=planned,
    )


def _jugs(state: State) -> Iterator[RecipePart]:
    """A part for each jug that was made."""
    plan = state.plan
    for layer, jug in sorted(state.jugs.items()):
        colour = plan.layers[layer].colour if 0 <= layer < len(plan.layers) else ""
        rows = [RecipeRow(tr("wax drawn"), _drawn(plan, jug))]
        planned = plan.layers[layer] if 0 <= layer < len(plan.layers) else None
        for what in ("scent", "dye"):
            doses = [dose for dose in jug.doses if dose.fact.what == what]
            rows += [RecipeRow(word(what), dose_words(plan, dose)) for dose in doses]
            wanted = planned is not None and (
                (planned.scent_load > 0 or planned.scent_by_eye) if what == "scent" else planned.dye_load > 0
            )
            if wanted and not doses:
                rows.append(RecipeRow(word(what), NOT_TOLD))
        if jug.heat_cycles > 1:
            rows.append(RecipeRow(tr("melted"), tr("{heat_cycles} times", heat_cycles=jug.heat_cycles)))
        yield RecipePart(
            tr("Jug {layer}, {colour}", layer=layer + 1, colour=colour or tr("no colour named")), tuple(rows)
        )


def _drawn(plan: Plan, jug: JugState) -> str:
    """The weight of the wax, and what it was told to be."""

    def mass(kg: float) -> str:
        return show_mass(kg, plan.units, plan.scale_step)

    kg = jug.drawn_kg if jug.drawn_kg is not None else jug.kg
    weight = tr("not weighed") if kg is None else mass(kg)
    told = "" if jug.planned_kg is None else tr(", asked for {mass}", mass=mass(jug.planned_kg))
    return tr("{weight}{told}, at {clock}", weight=weight, told=told, clock=clock(jug.drawn_at))


def dose_words(plan: Plan, dose: DoseAt) -> str:
    """A scent or dye that went in: weight, name, lot, heat, time."""
    fact = dose.fact
    weight = tr("not weighed") if fact.kg is None else show_dose(fact.kg, plan.units, plan.scale_step)
    told = (
        ""
        if fact.planned_kg is None
        else tr(", asked for {dose}", dose=show_dose(fact.planned_kg, plan.units, plan.scale_step))
    )
    heat = (
        tr("heat {not_told}", not_told=NOT_TOLD)
        if fact.celsius is None
        else tr("at {temperature}", temperature=show_temperature(fact.celsius, plan.units, 1))
    )
    product = fact.product or tr("which: {not_told}", not_told=NOT_TOLD)
    return tr(
        "{product}, lot {lot}: {weight}{told}, {heat}, at {clock}",
        product=product,
        lot=fact.lot or NOT_TOLD,
        weight=weight,
        told=told,
        heat=heat,
        clock=clock(dose.t),
    )
