"""Figures that are typed in the run with unknown wax, read and held against what they can be."""

from __future__ import annotations

from pourday.errors import Trouble
from pourday.heap.lot import can_be_wax
from pourday.heap.steps import LEAST_SAMPLE, MOST_SAMPLE, RunStep
from pourday.language import tr
from pourday.plan.model import Plan
from pourday.session.heap import HeapState
from pourday.units import (
    Temperature,
    Units,
    read_mass,
    read_number,
    read_temperature,
    show_mass,
    show_temperature,
)

COLDEST_AROUND, HOTTEST_AROUND = 5.0, 70.0
"""°C between which air or a bath is, in which wax is left to set. Estimate."""


def wax_temperature(text: str, units: Units) -> Temperature:
    """A temperature of melted wax. Raises `Trouble` where it may as well be the other scale."""
    read = read_temperature(text, units, "wax")
    if read.doubt:
        raise Trouble(f"“{read.typed}”: {read.doubt}", instead=tr("Type c or f behind it."))
    return read


def step_value(step: RunStep, text: str, plan: Plan, heap: HeapState) -> float:
    """What was typed into a step that takes a figure: kg, °C, or the plain number; 0 for a step that takes words.

    Raises `Trouble` for what cannot be read, and for what no tin, block or liquid of this run can have.
    """
    match step.kind:
        case "weight":
            value = read_mass(text, plan.units).value
        case "temperature":
            value = read_temperature(text, plan.units, "room").celsius
        case "number":
            most = 1400.0 if step.id == "liquid" else 100.0
            value = read_number(text, step.row, most)
        case _:
            value = 0.0
    if step.id == "around" and not COLDEST_AROUND <= value <= HOTTEST_AROUND:
        raise Trouble(
            tr(
                "{heat} around a tin of cooling wax?",
                heat=show_temperature(value, plan.units),
            ),
            instead=tr("Read it again, or press Enter alone: not read."),
        )
    if step.id == "sample":
        if not LEAST_SAMPLE * 0.6 <= value <= MOST_SAMPLE * 3:
            shown = [show_mass(kg, plan.units, plan.scale_step) for kg in (LEAST_SAMPLE, MOST_SAMPLE)]
            raise Trouble(
                tr(
                    "The tin wants {least} to {most}: less cools too fast to be read, more takes hours.",
                    least=shown[0],
                    most=shown[1],
                ),
                instead=tr("Weigh another tin, or press Enter alone: not weighed."),
            )
    elif step.id == "aside" and heap.dry_kg and not can_be_wax(heap.dry_kg, value):
        dry, wet = (show_mass(kg, plan.units, plan.scale_step) for kg in (heap.dry_kg, value))
        raise Trouble(
            tr("A block of {dry} that pushes {wet} of water aside is no wax.", dry=dry, wet=wet),
            instead=tr(
                "Set the scale to zero with jug and water on it, then push the block just under; x leaves it out."
            ),
        )
    elif step.id == "liquid" and not 600 <= value <= 1400:
        raise Trouble(
            tr("No liquid of a kitchen has that density."),
            instead=tr("Spirit has 800 to 950, brine 1000 to 1200."),
        )
    return value
