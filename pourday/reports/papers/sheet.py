"""The sheet for the wall before the day: what each jug and mould gets, with boxes for what really came."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from pourday.guide.rescue.fire import BURN_SHORT, FIRE_STEPS
from pourday.language import tr, word
from pourday.plan.bench import bench
from pourday.plan.check import height_of
from pourday.plan.model import Plan
from pourday.plan.on_scale import to_print
from pourday.plan.products import show_dose, weighed_out
from pourday.plan.sheet_words import shape_words
from pourday.plan.weigh import Jug, WeighSheet, weigh_sheet
from pourday.plan.wick import chosen_wick
from pourday.reports.papers.mould_svg import mould_svg
from pourday.units import show_mass, show_temperature

BOX = "______"
OUTRANKS = tr("The supplier's sheet and your local rules outrank this paper.")


@dataclass(frozen=True, slots=True)
class JugRow:
    """What goes into one jug, in words."""

    number: int
    colour: str
    swatch: str
    draw: str
    scents: tuple[str, ...]
    """Each by its weight and name; one entry at least."""
    dye: str
    holds: str


@dataclass(frozen=True, slots=True)
class PourRow:
    """One pour, in words."""

    part: str
    grams: str
    degrees: str


@dataclass(frozen=True, slots=True)
class MouldCard:
    """One mould with its pours in order."""

    letter: str
    name: str
    size: str
    wick: str
    section: Markup
    candle: str
    pours: tuple[PourRow, ...]


@dataclass(frozen=True, slots=True)
class WallSheet:
    """All that stands on the sheet."""

    title: str
    batch: str
    waxes: tuple[str, ...]
    load: str
    heat_to: str
    ceiling: str
    fire: tuple[str, ...]
    burn: str
    jugs: tuple[JugRow, ...]
    moulds: tuple[MouldCard, ...]

    @property
    def size(self) -> str:
        """How large it can be printed: by how many rows there are."""
        rows = sum(len(mould.pours) + 2 for mould in self.moulds)
        return "large" if rows <= 16 else "medium" if rows <= 32 else "small" if rows <= 44 else "small tiny"


def wall_sheet(plan: Plan, batch: str) -> WallSheet:
    """The sheet of a plan. Raises `Trouble` for one that cannot be weighed out."""
    sheet = to_print(weigh_sheet(plan), plan.scale_step)

    def mass(kg: float) -> str:
        return show_mass(kg, plan.units, plan.scale_step)

    return WallSheet(
        title=plan.title or tr("A day of pouring"),
        batch=batch,
        waxes=tuple(f"{mass(need.kg)} {need.name}" for need in sheet.waxes),
        load=mass(sheet.total_wax),
        heat_to=show_temperature(sheet.melt_to_c, plan.units),
        ceiling=show_temperature(sheet.ceiling_c, plan.units),
        fire=FIRE_STEPS,
        burn=BURN_SHORT,
        jugs=tuple(_jug(plan, jug) for jug in sheet.jugs if jug.batch),
        moulds=_moulds(plan, sheet),
    )


def _jug(plan: Plan, jug: Jug) -> JugRow:
    """One jug; scent by eye and what the scale cannot show are said so."""
    layer = plan.layers[jug.layer]

    def dose(kg: float) -> str:
        return show_mass(kg, plan.units, plan.scale_step) if kg else "none"

    def fine(kg: float) -> str:
        return show_dose(kg, plan.units, plan.scale_step) if kg else "none"

    named = tuple(f"{fine(kg)} {product.name}" for product, kg in weighed_out(jug.scent, layer.scents))
    scents = (tr("by eye"),) if layer.scent_by_eye else named or (dose(jug.scent),)
    name = layer.colour or tr("layer {layer}", layer=jug.layer + 1)
    return JugRow(jug.layer + 1, name, layer.swatch, dose(jug.wax), scents, fine(jug.dye), dose(jug.total))


def _moulds(plan: Plan, sheet: WeighSheet) -> tuple[MouldCard, ...]:
    """A card for each mould, all sections to one scale."""
    standing = bench(plan)
    most = max(height_of(each.mould.shape) for each in standing)
    high = 45.0 if len(standing) <= 2 else 34.0 if len(standing) <= 4 else 20.0
    cards = []
    for each in standing:
        of = sheet.mould(each.letter)
        pours = [PourRow(*_pour(plan, "plug", of.plug.layer, of.plug.kg, of.plug.pour_c))] if of.plug else []
        pours += [PourRow(*_pour(plan, "layer", p.layer, p.kg, p.pour_c)) for p in of.pours if p.kg]
        top = of.top_up
        pours.append(PourRow(*_pour(plan, "top-up", top.layer, top.kg, top.pour_c)))
        if not each.mould.stays:
            pours.append(PourRow(tr("once more"), "", ""))
        cards.append(
            MouldCard(
                letter=each.letter,
                name=each.mould.name,
                size=shape_words(each.mould, plan),
                wick=chosen_wick(plan, each.mould) or tr("not noted"),
                section=mould_svg(each.mould, of, plan.layers, high, most),
                candle=show_mass(of.finished, plan.units, plan.scale_step),
                pours=tuple(pours),
            )
        )
    return tuple(cards)


def _pour(plan: Plan, part: str, layer: int, kg: float, celsius: float) -> tuple[str, str, str]:
    colour = plan.layers[layer].colour or tr("layer {layer}", layer=layer + 1)
    weight = show_mass(kg, plan.units, plan.scale_step)
    return (
        colour if part == "layer" else f"{word(part)} {colour}",
        weight,
        show_temperature(celsius, plan.units),
    )


def sheet_text(sheet: WallSheet) -> list[str]:
    """The same as plain text, for those without a browser."""
    lines = [f"{sheet.title}  [{sheet.batch}]", tr("Day ______________  Made by ______________"), ""]
    lines += [
        tr(
            "Pot: {load} ({waxes}). Heat to {heat_to}.",
            load=sheet.load,
            waxes="; ".join(sheet.waxes),
            heat_to=sheet.heat_to,
        ),
        tr("NEVER ABOVE {ceiling}.", ceiling=sheet.ceiling),
        "",
    ]
    lines.append(
        tr(
            "{jug:<20} {wax:>12} {scent:>10} {dye:>10} {holds:>12}   really: g, scent, dye, °",
            jug=tr("Jug"),
            wax=tr("wax"),
            scent=tr("scent"),
            dye=tr("dye"),
            holds=tr("holds"),
        )
    )
    for jug in sheet.jugs:
        name = f"{jug.number} {jug.colour}"[:20]
        lines.append(
            f"{name:<20} {jug.draw:>12} {' + '.join(jug.scents):>10} {jug.dye:>10} {jug.holds:>12}   {BOX} {BOX} {BOX} {BOX}"
        )
    for mould in sheet.moulds:
        lines += [
            "",
            tr(
                "{letter} {name}: {size}; wick {wick}; candle {candle}",
                letter=mould.letter,
                name=mould.name,
                size=mould.size,
                wick=mould.wick,
                candle=mould.candle,
            ),
        ]
        lines += [
            tr(
                "  {part:<26} {grams:>12} {degrees:>8}   really: {box} ° {box} g {box} time",
                part=pour.part[:26],
                grams=pour.grams,
                degrees=pour.degrees,
                box=BOX,
            )
            for pour in mould.pours
        ]
    return [
        *lines,
        "",
        "FIRE:",
        *(f"  {n} {step}" for n, step in enumerate(sheet.fire, 1)),
        f"  {sheet.burn}",
        "",
        OUTRANKS,
    ]
