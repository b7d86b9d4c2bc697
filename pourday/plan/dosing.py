"""Scent and dye: loads against their limits, and amounts against the scale."""

from __future__ import annotations

from collections.abc import Iterator

from pourday.language import figures, ntr, tr, word
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
    "metric": tr("make a stock of 1 g of dye in 99 g of wax"),
    "us": tr("make a stock of 1 part of dye in 99 parts of wax by weight"),
}
COUNTED = 5
"""Steps of the scale below which an amount is more rounding than weight: 5 steps are good to 10 %."""


def dosing(plan: Plan, sheet: WeighSheet, waxes: tuple[Wax, ...]) -> Iterator[Finding]:
    """Findings on scent and dye; `waxes` holds the wax of each layer."""
    for index, (layer, wax, jug) in enumerate(zip(plan.layers, waxes, sheet.jugs, strict=True)):
        path, name = f"layers.{index}", layer.colour or tr("layer {index}", index=index + 1)
        yield from _scent(plan, layer, wax, path, name)
        yield from _dye(layer, path, name)
        yield from _small(plan, sheet, layer, jug, path, name)
    yield from _batches(plan, sheet)
    if any(layer.scent_load or layer.scent_by_eye for layer in plan.layers):
        yield _flame(plan, sheet)
    if any(layer.dye_load for layer in plan.layers):
        yield note(
            "layers",
            tr("Molten wax looks darker than it sets."),
            tr("The set wax scatters light; opaque waxes pale most."),
            tr("Judge the colour on a drop that has gone cold on white paper."),
        )


def _scent(plan: Plan, layer: Layer, wax: Wax, path: str, name: str) -> Iterator[Finding]:
    """The scent of a layer: weighed or not, within its own limit, within what the wax holds."""
    field, load, shown = f"{path}.scent_load", layer.scent_load, show_share(layer.scent_load)
    if layer.scent_by_eye:
        yield caution(
            f"{path}.scent_by_eye",
            tr("The scent of {name} goes in by eye.", name=name),
            tr("A spoonful varies by half between oils, and oil that lies on a set surface spoils the join."),
            tr("Stir it into the molten jug, never onto the layer; note that it was not weighed."),
        )
    if plan.scent_limit is not None and load > plan.scent_limit:
        yield stop(
            field,
            tr(
                "{shown} scent in {name} is above the scent's own limit of {share}.",
                shown=shown,
                name=name,
                share=show_share(plan.scent_limit),
            ),
            tr("Its sheet sets that limit for safe use, whatever the wax holds."),
            tr("Stay at {share} or below.", share=show_share(plan.scent_limit)),
        )
    if load > wax.scent_max and wax.scent_max == 0:
        yield caution(
            field,
            tr("How much scent {short_name} holds is not known.", short_name=wax.short_name),
            tr("Reclaimed wax may be scented already."),
            tr("Add none or little, and try a small candle first."),
        )
    elif load > wax.scent_max:
        yield caution(
            field,
            tr(
                "{shown} scent in {name} is above the {share} that {short_name} holds.",
                shown=shown,
                name=name,
                share=show_share(wax.scent_max),
                short_name=wax.short_name,
            ),
            tr("What the wax does not hold sweats out, softens spots and soots."),
            tr("Go down to {share}, or follow the wax supplier's sheet.", share=show_share(wax.scent_max)),
        )


def _dye(layer: Layer, path: str, name: str) -> Iterator[Finding]:
    """A layer with more dye than is usual for its form."""
    usual = DYE_USUAL[layer.dye_form]
    if layer.dye_load > usual:
        yield caution(
            f"{path}.dye_load",
            tr(
                "{dye} {dye_form} dye in {name} is more than the usual {usual} at most.",
                dye=show_share(layer.dye_load),
                dye_form=word(layer.dye_form),
                name=name,
                usual=show_share(usual),
            ),
            tr("Too much dye clogs the wick and bleeds into its neighbours."),
            tr("Check the form of the dye and its maker's sheet."),
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
            sentence = tr(
                "The {what} for {name} is {amount}: below the {smallest} the scale can show.",
                what=word(what),
                name=name,
                amount=amount,
                smallest=smallest,
            )
            yield caution(field, sentence, tr("It would be weighed as nothing or as twice as much."), do)
        else:
            sentence = tr(
                "The {what} for {name} is {amount}, only a few steps of {smallest} on the scale.",
                what=word(what),
                name=name,
                amount=amount,
                smallest=smallest,
            )
            yield note(field, sentence, tr("Half a step is already a tenth of it or more."), do)


def fine(kg: float) -> str:
    """A weight in mg or g, whatever the scale shows."""
    return tr("{kg:.0f} mg", kg=kg * 1000000.0) if kg < 0.001 else tr("{kg:.1f} g", kg=kg * 1000.0)


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
        ways.append(
            ntr(
                "count {count} drop (0.03 g each, roughly)",
                "count {count} drops (0.03 g each, roughly)",
                count,
                count=count,
            )
        )
    if what == "dye":
        ways.append(
            tr(
                "{stock} and weigh {stock_mass} of that",
                stock=STOCK[plan.units],
                stock_mass=_stock_mass(plan, kg),
            )
        )
    if bigger <= min(BIG_JUG, day):
        verb = "colour" if what == "dye" else "scent"
        ways.append(
            tr(
                "{verb} {mass} of wax in one jug and pour from it",
                verb=verb,
                mass=show_mass(bigger, plan.units, plan.scale_step),
            )
        )
    ways.append(tr("take a finer scale"))
    do = tr(", or ").join(ways)
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
        tr(
            "Dye weighed straight on this scale would be for {batch} of wax; the day melts about {day}.",
            batch=batch,
            day=day,
        ),
        tr("Less than a few steps of a scale is a guess, and the shade follows it."),
        tr("{stock}, or take a finer scale.", stock=STOCK[plan.units].capitalize()),
    )


def _roughly(kg: float, units: Units) -> str:
    """To two figures, for what is an order of magnitude; nobody melts more than a tonne."""
    amount, unit = (kg, "kg") if units == "metric" else (kg / POUND, "lb")
    return (
        figures("{float:g} {unit}", float=float(f"{amount:.2g}"), unit=unit)
        if kg < HEAVIEST
        else tr("more than {heaviest:.0f} kg", heaviest=HEAVIEST)
    )


def _flame(plan: Plan, sheet: WeighSheet) -> Finding:
    """The flash point of the scent against the heat of the wax: always said where there is scent."""
    flash = plan.scent_flash_c
    hottest = show_temperature(sheet.melt_to_c, plan.units)
    if flash is None:
        what = tr("The flash point of the scent was not given; take it for lower than the wax is hot.")
    elif flash <= sheet.melt_to_c:
        what = tr(
            "The scent's flash point of {temperature} is below the {hottest} of the wax.",
            temperature=show_temperature(flash, plan.units),
            hottest=hottest,
        )
    else:
        what = tr(
            "The scent's flash point of {temperature} is above the {hottest} of the wax.",
            temperature=show_temperature(flash, plan.units),
            hottest=hottest,
        )
        return note(
            "scent_flash_c",
            what,
            tr("Vapour gathers over the jug all the same."),
            tr("Keep flames away from it."),
        )
    return caution(
        "scent_flash_c",
        what,
        tr("Vapour over the jug can catch from a naked flame. It is no limit for the temperature."),
        tr("Off the heat and flame out before the scent goes in."),
    )
