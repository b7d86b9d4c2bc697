"""Scent and dye: loads against their limits, and amounts against the scale."""

from __future__ import annotations

from collections.abc import Iterator

from pourday.plan.check import HEAVIEST
from pourday.plan.finding import Finding, caution, note, stop
from pourday.plan.model import DyeForm, Layer, Plan, Units
from pourday.plan.weigh import Jug, WeighSheet
from pourday.units import DROP, POUND, show_mass, show_share, show_temperature
from pourday.wax.materials import Wax

DYE_USUAL: dict[DyeForm, float] = {"liquid": 0.0015, "pure": 0.002, "block": 0.01}
"""Highest usual kg of product per kg wax by form. Common practice, no source; a maker's sheet outranks it."""
BIG_JUG = 3.0
"""kg of wax a kitchen jug holds at most: estimate."""
MOST_DROPS = 15
"""Drops that are still counted well. Estimate."""
STOCK: dict[Units, str] = {
    "metric": "make a stock of 1 g of dye in 99 g of wax",
    "us": "make a stock of 1 part of dye in 99 parts of wax by weight",
}
COUNTED = 5
"""Steps of the scale below which an amount is more rounding than weight: 5 steps are good to 10 %."""


def dosing(plan: Plan, sheet: WeighSheet, waxes: tuple[Wax, ...]) -> Iterator[Finding]:
    """Findings on scent and dye; `waxes` holds the wax of each layer."""
    for index, (layer, wax, jug) in enumerate(zip(plan.layers, waxes, sheet.jugs, strict=True)):
        path, name = f"layers.{index}", layer.colour or f"layer {index + 1}"
        yield from _scent(plan, layer, wax, path, name)
        yield from _dye(layer, path, name)
        yield from _small(plan, sheet, layer, jug, path, name)
    yield from _batches(plan, sheet)
    if any(layer.scent_load or layer.scent_by_eye for layer in plan.layers):
        yield _flame(plan, sheet)
    if any(layer.dye_load for layer in plan.layers):
        yield note(
            "layers",
            "Molten wax looks darker than it sets.",
            "The set wax scatters light; opaque waxes pale most.",
            "Judge the colour on a drop that has gone cold on white paper.",
        )


def _scent(plan: Plan, layer: Layer, wax: Wax, path: str, name: str) -> Iterator[Finding]:
    """The scent of a layer: weighed or not, within its own limit, within what the wax holds."""
    field, load, shown = f"{path}.scent_load", layer.scent_load, show_share(layer.scent_load)
    if layer.scent_by_eye:
        yield caution(
            f"{path}.scent_by_eye",
            f"The scent of {name} goes in by eye.",
            "A spoonful varies by half between oils, and oil that lies on a set surface spoils the join.",
            "Stir it into the molten jug, never onto the layer; note that it was not weighed.",
        )
    if plan.scent_limit is not None and load > plan.scent_limit:
        yield stop(
            field,
            f"{shown} scent in {name} is above the scent's own limit of {show_share(plan.scent_limit)}.",
            "Its sheet sets that limit for safe use, whatever the wax holds.",
            f"Stay at {show_share(plan.scent_limit)} or below.",
        )
    if load > wax.scent_max and wax.scent_max == 0:
        yield caution(
            field,
            f"How much scent {wax.short_name} holds is not known.",
            "Reclaimed wax may be scented already.",
            "Add none or little, and try a small candle first.",
        )
    elif load > wax.scent_max:
        yield caution(
            field,
            f"{shown} scent in {name} is above the {show_share(wax.scent_max)} that {wax.short_name} holds.",
            "What the wax does not hold sweats out, softens spots and soots.",
            f"Go down to {show_share(wax.scent_max)}, or follow the wax supplier's sheet.",
        )


def _dye(layer: Layer, path: str, name: str) -> Iterator[Finding]:
    """A layer with more dye than is usual for its form."""
    usual = DYE_USUAL[layer.dye_form]
    if layer.dye_load > usual:
        yield caution(
            f"{path}.dye_load",
            f"{show_share(layer.dye_load)} {layer.dye_form} dye in {name} is more than the usual"
            f" {show_share(usual)} at most.",
            "Too much dye clogs the wick and bleeds into its neighbours.",
            "Check the form of the dye and its maker's sheet.",
        )


def _small(plan: Plan, sheet: WeighSheet, layer: Layer, jug: Jug, path: str, name: str) -> Iterator[Finding]:
    """Amounts the scale cannot show, or only roughly."""
    step = plan.scale_step
    for what, kg, liquid in (("scent", jug.scent, True), ("dye", jug.dye, layer.dye_form == "liquid")):
        if not 0 < kg < COUNTED * step:
            continue
        field = f"{path}.{what}_load"
        smallest, amount = show_mass(step, plan.units, step), fine(kg)
        do = instead_of_weighing(plan, what, kg, jug.wax, sheet.total_wax, liquid)
        if kg < step:
            sentence = f"The {what} for {name} is {amount}: below the {smallest} the scale can show."
            yield caution(field, sentence, "It would be weighed as nothing or as twice as much.", do)
        else:
            sentence = f"The {what} for {name} is {amount}, only a few steps of {smallest} on the scale."
            yield note(field, sentence, "Half a step is already a tenth of it or more.", do)


def fine(kg: float) -> str:
    """A weight in mg or g, whatever the scale shows."""
    return f"{kg * 1e6:.0f} mg" if kg < 0.001 else f"{kg * 1e3:.1f} g"


def drops_of(kg: float) -> int | None:
    """How many drops a dose is, at least one; None where they are too many to be counted or too few to be had."""
    count = round(kg / DROP)
    return max(1, count) if kg >= DROP / 2 and count <= MOST_DROPS else None


def instead_of_weighing(plan: Plan, what: str, kg: float, wax: float, day: float, liquid: bool) -> str:
    """How to dose `kg` of scent or dye that the scale cannot show: drops, a stock, a bigger jug, a finer scale.

    The dose is for `wax` kg of the `day` kg that are melted: no jug is offered that the day has no wax for.
    """
    ways, bigger = [], COUNTED * plan.scale_step * wax / kg
    count = drops_of(kg) if liquid else None
    if count:
        ways.append(f"count {count} drop{'s' if count > 1 else ''} (0.03 g each, roughly)")
    if what == "dye":
        ways.append(f"{STOCK[plan.units]} and weigh {_stock_mass(plan, kg)} of that")
    if bigger <= min(BIG_JUG, day):
        verb = "colour" if what == "dye" else "scent"
        ways.append(
            f"{verb} {show_mass(bigger, plan.units, plan.scale_step)} of wax in one jug and pour from it"
        )
    ways.append("take a finer scale")
    do = ", or ".join(ways)
    return f"{do[0].upper()}{do[1:]}."


def _stock_mass(plan: Plan, kg: float) -> str:
    """Of a stock of one part in a hundred, as the scale shows it; finer where even that is below its step."""
    stock = 100 * kg
    return show_mass(stock, plan.units, plan.scale_step) if stock >= plan.scale_step else fine(stock)


def _batches(plan: Plan, sheet: WeighSheet) -> Iterator[Finding]:
    """Once for all colours: the wax the hardest of them would have to be made for, to be weighed well."""
    needed = [
        COUNTED * plan.scale_step * jug.wax / jug.dye
        for jug in sheet.jugs
        if 0 < jug.dye < COUNTED * plan.scale_step
    ]
    if not needed or max(needed) <= sheet.total_wax:
        return
    batch, day = (_roughly(kg, plan.units) for kg in (max(needed), sheet.total_wax))
    yield note(
        "scale_step",
        f"Dye weighed straight on this scale would be for {batch} of wax; the day melts about {day}.",
        "Less than a few steps of a scale is a guess, and the shade follows it.",
        f"{STOCK[plan.units].capitalize()}, or take a finer scale.",
    )


def _roughly(kg: float, units: Units) -> str:
    """To two figures, for what is an order of magnitude; nobody melts more than a tonne."""
    amount, unit = (kg, "kg") if units == "metric" else (kg / POUND, "lb")
    return f"{float(f'{amount:.2g}'):g} {unit}" if kg < HEAVIEST else f"more than {HEAVIEST:.0f} kg"


def _flame(plan: Plan, sheet: WeighSheet) -> Finding:
    """The flash point of the scent against the heat of the wax: always said where there is scent."""
    flash = plan.scent_flash_c
    hottest = show_temperature(sheet.melt_to_c, plan.units)
    if flash is None:
        what = "The flash point of the scent was not given; take it for lower than the wax is hot."
    elif flash <= sheet.melt_to_c:
        what = f"The scent's flash point of {show_temperature(flash, plan.units)} is below the {hottest} of the wax."
    else:
        what = f"The scent's flash point of {show_temperature(flash, plan.units)} is above the {hottest} of the wax."
        return note(
            "scent_flash_c", what, "Vapour gathers over the jug all the same.", "Keep flames away from it."
        )
    return caution(
        "scent_flash_c",
        what,
        "Vapour over the jug can catch from a naked flame. It is no limit for the temperature.",
        "Off the heat and flame out before the scent goes in.",
    )
