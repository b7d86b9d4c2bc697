"""The whole recipe of a plan in words: everything that a second person has to have and to set before pouring it again.

What the plan does not say is `not noted`: nothing is filled in from what is usual.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pourday.columns import padded
from pourday.errors import Trouble
from pourday.language import tr, word
from pourday.plan.bench import bench
from pourday.plan.model import BlendPart, Layer, Plan, Product, ScentBasis, tried_words
from pourday.plan.on_scale import to_print
from pourday.plan.products import show_dose, weighed_out
from pourday.plan.sheet_words import shape_words
from pourday.plan.water import bath_reach
from pourday.plan.waxes import own_of, parts_of
from pourday.plan.weigh import WeighSheet, weigh_sheet
from pourday.plan.wick import chosen_wick, wicks_of
from pourday.units import show_altitude, show_length, show_mass, show_share, show_temperature, show_volume
from pourday.wax.blend import shares

NOT_TOLD = tr("not noted")
_BASIS: dict[ScentBasis, str] = {
    "on top": tr("of the wax, on top of it"),
    "within": tr("of the wax, counted within the batch"),
}


@dataclass(frozen=True, slots=True)
class RecipeRow:
    """One thing of the recipe and what it is, in words."""

    label: str
    says: str


@dataclass(frozen=True, slots=True)
class RecipePart:
    """Rows that belong together, under a name."""

    name: str
    rows: tuple[RecipeRow, ...]


def recipe_lines(plan: Plan) -> list[str]:
    """The recipe as lines of text."""
    lines = [tr("Recipe:")]
    for part in recipe(plan):
        lines.append(f"  {part.name}")
        lines += [f"    {padded(row.label, 18)} {row.says}" for row in part.rows]
    return lines


def recipe(plan: Plan) -> tuple[RecipePart, ...]:
    """Wax, layers, moulds, temperatures and kitchen of a plan; of a plan that cannot be weighed out, what it says
    itself, and why the rest is missing."""
    try:
        sheet = to_print(weigh_sheet(plan), plan.scale_step)
    except Trouble as trouble:
        return (RecipePart(tr("Plan"), (RecipeRow(tr("cannot be weighed"), str(trouble)),)), _kitchen(plan))
    return (
        _wax(plan, sheet),
        *_layers(plan, sheet),
        *_moulds(plan, sheet),
        _heat(plan, sheet),
        _kitchen(plan),
    )


def _mass(plan: Plan, kg: float) -> str:
    """A weight to the step of the plan's scale."""
    return show_mass(kg, plan.units, plan.scale_step)


def _blend(plan: Plan, parts: tuple[BlendPart, ...]) -> Iterator[RecipeRow]:
    """A row for each wax of a blend: its share and lot."""
    waxes = parts_of(parts, own_of(plan))
    for part, (wax, _), share in zip(parts, waxes, shares([part.share for part in parts]), strict=True):
        yield RecipeRow(
            wax.name, tr("{share} of the blend, lot {lot}", share=show_share(share), lot=part.lot or NOT_TOLD)
        )


def _wax(plan: Plan, sheet: WeighSheet) -> RecipePart:
    """What is melted: each wax with its share, lot and weight, and the load of the pot."""
    rows = list(_blend(plan, plan.blend))
    rows += [
        RecipeRow(
            tr("weigh out"),
            tr(
                "{mass} of {name}, lot {lot}",
                mass=_mass(plan, need.kg),
                name=need.name,
                lot=need.lot or NOT_TOLD,
            ),
        )
        for need in sheet.waxes
    ]
    rows.append(
        RecipeRow(
            tr("load of the pot"),
            tr(
                "{whole}, of which {kept} stay in it",
                whole=_mass(plan, sheet.total_wax),
                kept=_mass(plan, sheet.kept),
            ),
        )
    )
    return RecipePart(tr("Wax"), tuple(rows))


def _layers(plan: Plan, sheet: WeighSheet) -> Iterator[RecipePart]:
    """A part for each layer in pour order: what goes into its jug."""
    whole = sum(layer.share for layer in plan.layers)
    for index, (layer, jug) in enumerate(zip(plan.layers, sheet.jugs, strict=True)):
        rows = [RecipeRow(tr("share of height"), show_share(layer.share / whole))] if whole > 0 else []
        rows += list(_blend(plan, layer.blend)) if layer.blend else []
        rows.append(RecipeRow(tr("draw"), tr("{mass} of wax", mass=_mass(plan, jug.wax))))
        rows.append(RecipeRow(tr("scent"), _scent(plan, layer, jug.scent)))
        rows.append(RecipeRow(tr("dye"), _dye(plan, layer, jug.dye)))
        rows.append(RecipeRow(tr("the jug holds"), _mass(plan, jug.total)))
        yield RecipePart(
            tr("Layer {index}, {colour}", index=index + 1, colour=layer.colour or tr("no colour named")),
            tuple(rows),
        )


def _scent(plan: Plan, layer: Layer, kg: float) -> str:
    """How much scent, of which lot, and how it is reckoned."""
    named = _named(plan, layer.scents, kg, plan.scent_lot)
    if layer.scent_by_eye:
        return tr("by eye, not weighed; {named}", named=named)
    if not layer.scent_load:
        return tr("none")
    return tr(
        "{mass}, load {share} {basis}; {named}",
        mass=_mass(plan, kg),
        share=show_share(layer.scent_load),
        basis=_BASIS[plan.scent_basis],
        named=named,
    )


def _named(plan: Plan, products: tuple[Product, ...], kg: float, noted: str) -> str:
    """Each scent or dye by its name, weight and lot; where none is named, what was `noted` for the whole plan."""
    if not products:
        return noted or tr("which, and its lot: {not_told}", not_told=NOT_TOLD)
    return "; ".join(
        tr(
            "{dose}{name}, lot {lot}",
            dose=f"{show_dose(part, plan.units, plan.scale_step)} " if kg > 0 else "",
            name=product.name,
            lot=product.lot or NOT_TOLD,
        )
        for product, part in weighed_out(kg, products)
    )


def _dye(plan: Plan, layer: Layer, kg: float) -> str:
    """How much dye, of which form and lot."""
    if not layer.dye_load:
        return tr("none")
    named = _named(plan, layer.dyes, kg, plan.dye_lot)
    return tr(
        "{dose} {dye_form}, {share} of the wax; {named}",
        dose=show_dose(kg, plan.units, plan.scale_step),
        dye_form=word(layer.dye_form),
        share=show_share(layer.dye_load),
        named=named,
    )


def _moulds(plan: Plan, sheet: WeighSheet) -> Iterator[RecipePart]:
    """A part for each kind of mould: its sizes, wick, and what goes into it at what temperature."""
    letters = [standing.letter for standing in bench(plan)]
    start = 0
    for mould, wick in zip(plan.moulds, wicks_of(plan), strict=True):
        alike = letters[start : start + mould.count]
        start += mould.count
        if not alike:
            continue
        of = sheet.mould(alike[0])
        chosen = chosen_wick(plan, mould)
        limit = NOT_TOLD if mould.limit_c is None else show_temperature(mould.limit_c, plan.units)
        stands = (
            tr("the candle stays in it")
            if mould.stays
            else tr("closed end up when lit")
            if mould.upside_down
            else tr("closed end down when lit")
        )
        rows = [
            RecipeRow(tr("size"), shape_words(mould, plan)),
            RecipeRow(
                tr("made of"),
                tr(
                    "{material}; {stands}; stands at most {limit}",
                    material=word(mould.material),
                    stands=stands,
                    limit=limit,
                ),
            ),
            RecipeRow(
                tr("wick"),
                chosen or tr("{not_told}; one to start from: {words}", not_told=NOT_TOLD, words=wick.words),
            ),
        ]
        pours = ([("plug", of.plug.layer, of.plug.kg, of.plug.pour_c)] if of.plug else []) + [
            ("layer", pour.layer, pour.kg, pour.pour_c) for pour in of.pours if pour.kg
        ]
        pours.append(("top-up", of.top_up.layer, of.top_up.kg, of.top_up.pour_c))
        rows += [
            RecipeRow(
                f"{word(part)} {plan.layers[layer].colour or layer + 1}",
                tr(
                    "{mass} at {temperature}",
                    mass=_mass(plan, kg),
                    temperature=show_temperature(celsius, plan.units),
                ),
            )
            for part, layer, kg, celsius in pours
        ]
        estimate = tr("as weighed before") if of.weighed_before else tr("an estimate")
        rows.append(RecipeRow(tr("candle"), f"{_mass(plan, of.finished)}, {estimate}"))
        each = tr(", each") if len(alike) > 1 else ""
        yield RecipePart(
            tr("Mould {alike} {name}", alike=" ".join(alike), name=mould.name).strip() + each, tuple(rows)
        )


def _heat(plan: Plan, sheet: WeighSheet) -> RecipePart:
    """What is aimed at with the stove, and what is never passed."""

    def degrees(celsius: float) -> str:
        return show_temperature(celsius, plan.units)

    flash = NOT_TOLD if plan.scent_flash_c is None else degrees(plan.scent_flash_c)
    limit = NOT_TOLD if plan.scent_limit is None else show_share(plan.scent_limit)
    return RecipePart(
        tr("Heat and limits"),
        (
            RecipeRow(tr("heat the pot to"), degrees(sheet.melt_to_c)),
            RecipeRow(
                tr("never above"),
                tr("{degrees}; the supplier's sheet outranks it", degrees=degrees(sheet.ceiling_c)),
            ),
            RecipeRow(
                tr("a bath here gives"),
                tr("{degrees} surely", degrees=degrees(bath_reach(plan.altitude).sure_c)),
            ),
            RecipeRow(
                tr("pour temperature"),
                tr("worked out")
                if plan.pour_c is None
                else tr("{degrees}, as the person asked", degrees=degrees(plan.pour_c)),
            ),
            RecipeRow(tr("scent's flash"), flash),
            RecipeRow(tr("scent at most"), limit),
        ),
    )


def _kitchen(plan: Plan) -> RecipePart:
    """Room, scale and pot, as the plan has them; and what it was made after."""
    tried = [] if plan.tried is None else [RecipeRow(tr("tried"), tried_words(plan.tried))]
    after = [RecipeRow(tr("made after"), plan.parent)] if plan.parent and tried else []
    pot = (
        NOT_TOLD if plan.pot is None else tr("{volume} to the brim", volume=show_volume(plan.pot, plan.units))
    )
    bath = NOT_TOLD if plan.bath is None else show_volume(plan.bath, plan.units)
    return RecipePart(
        tr("Kitchen"),
        (
            *after,
            *tried,
            RecipeRow(
                tr("room"),
                tr("{temperature}, as planned", temperature=show_temperature(plan.room_c, plan.units)),
            ),
            RecipeRow(tr("altitude"), show_altitude(plan.altitude, plan.units)),
            RecipeRow(tr("scale's step"), _mass(plan, plan.scale_step)),
            RecipeRow(tr("pot"), pot),
            RecipeRow(tr("water in the bath"), bath),
            RecipeRow(tr("plug"), show_length(plan.plug, plan.units) if plan.plug else tr("none")),
            RecipeRow(
                tr("loss reckoned"),
                tr(
                    "{share} of what is poured, and {mass} on each vessel",
                    share=show_share(plan.loss),
                    mass=_mass(plan, plan.vessel_keeps),
                ),
            ),
        ),
    )
