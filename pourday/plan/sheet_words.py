"""The weigh sheet in words: what a person weighs, pours and melts, for the screen and for paper alike."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from pourday.language import figures, ntr, tr, word
from pourday.plan.bench import bench
from pourday.plan.check import height_of
from pourday.plan.dosing import drops_of, fine, instead_of_weighing
from pourday.plan.model import (
    Cylinder,
    Hexagon,
    Mould,
    Plan,
    Rectangle,
    Shape,
    Square,
    Tapered,
    WaterFilled,
)
from pourday.plan.on_scale import on_scale
from pourday.plan.pour_order import Part
from pourday.plan.water import bath_reach
from pourday.plan.weigh import Jug, MouldSheet, WeighSheet, weigh_sheet
from pourday.plan.wick import WickStart, chosen_wick, wicks_of
from pourday.times import letters
from pourday.units import show_length, show_mass, show_share, show_temperature
from pourday.wax.materials import WORDS
from pourday.wax.supplier import lent_figures

GOES = tr("in one to four goes until it has set")
"""How a top-up is poured where the candle leaves its mould: the wax sinks again as long as some of it is liquid (common
practice, no source; a wide pillar wants most)."""


@dataclass(frozen=True, slots=True)
class SheetEntry:
    """One line of the sheet: what, how much, and a word about it."""

    label: str
    amount: str = ""
    remark: str = ""
    brief: str = ""
    """The remark where there is room for a word or two only."""


@dataclass(frozen=True, slots=True)
class SheetPart:
    """One mould, one jug, or the pot."""

    kind: Literal["mould", "jug", "pot"]
    name: str
    amount: str
    """The one figure that stands beside the name."""
    entries: tuple[SheetEntry, ...]


def sheet_words(plan: Plan, sheet: WeighSheet | None = None) -> tuple[SheetPart, ...]:
    """The whole sheet in the order of the work (pot, jugs, moulds), rounded to the person's scale so that parts
    still add up. Raises `Trouble`."""
    exact = sheet or weigh_sheet(plan)
    words = _Words(plan, exact, on_scale(exact, plan.scale_step))
    return (words.pot(), *words.jugs(), *words.moulds())


def shape_words(mould: Mould, plan: Plan) -> str:
    """The shape and its sizes: `cylinder 75 mm x 150 mm, fill line 6 mm below the rim`."""
    shape = mould.shape

    def length(*metres: float) -> str:
        return " x ".join(show_length(each, plan.units) for each in metres)

    line = tr("fill line {length} below the rim", length=length(mould.below_rim))
    return f"{_sizes(shape, length)}, {line}"


def _sizes(shape: Shape, length: Callable[..., str]) -> str:
    """The sizes of a shape; `length` writes metres in the units of the plan."""
    match shape:
        case Cylinder():
            return tr("cylinder {length}", length=length(shape.diameter, shape.height))
        case Tapered():
            return tr(
                "tapered round {low} to {rim}",
                low=length(shape.diameter_low),
                rim=length(shape.diameter_rim, shape.height),
            )
        case Square():
            return tr("square {length}", length=length(shape.side, shape.height))
        case Rectangle():
            return tr("rectangle {length}", length=length(shape.width, shape.depth, shape.height))
        case Hexagon():
            return tr("hexagon {length}", length=length(shape.across_flats, shape.height))
        case WaterFilled():
            return tr("by water, {length} high", length=length(height_of(shape)))


class _Words:
    """A sheet in words: `exact` has the weights as they are worked out, `sheet` as the person's scale shows them."""

    def __init__(self, plan: Plan, exact: WeighSheet, sheet: WeighSheet) -> None:
        self.plan, self.exact, self.sheet = plan, exact, sheet

    def mass(self, kg: float) -> str:
        """A weight in the plan's units and steps."""
        return show_mass(kg, self.plan.units, self.plan.scale_step)

    def shown(self, kg: float, exact: float) -> str:
        """A rounded weight; one that is there and that no step of the scale shows is said to be below it."""
        step = self.plan.scale_step
        return f"< {self.mass(step)}" if exact > 0 and kg < step / 2 else self.mass(kg)

    def degrees(self, celsius: float) -> str:
        """A temperature in the plan's units."""
        return show_temperature(celsius, self.plan.units)

    def layer(self, index: int) -> str:
        """The colour's name, or the layer's number where it has none."""
        return self.plan.layers[index].colour or tr("layer {index}", index=index + 1)

    # -- moulds -------------------------------------------------------------------------------------

    def moulds(self) -> list[SheetPart]:
        """One part for each kind of mould, those that are alike together: what becomes a candle."""
        standing = [each.letter for each in bench(self.plan)]
        parts, start = [], 0
        for mould, wick in zip(self.plan.moulds, wicks_of(self.plan), strict=True):
            alike = standing[start : start + mould.count]
            start += mould.count
            if alike:
                parts.append(self._mould(mould, alike, wick))
        return parts

    def _mould(self, mould: Mould, alike: list[str], wick: WickStart) -> SheetPart:
        """The part of moulds that are alike: shape, pours, candle, wick and cost."""
        sheet = self.sheet.mould(alike[0])
        each = tr(", each") if len(alike) > 1 else ""
        entries = [
            SheetEntry("", "", shape_words(mould, self.plan)),
            *self._pours(mould, sheet, self.exact.mould(alike[0])),
            SheetEntry("candle", self.mass(sheet.finished), *self._finished(sheet)),
            self._wick(mould, wick),
            SheetEntry("cut to", self._cut(wick), _cut_words(wick)),
        ]
        cost = self.exact.cost_of(alike[0])
        if cost is not None:
            entries.append(SheetEntry("cost", figures("{cost:.2f}", cost=cost), self._costs()))
        name = f"{' '.join(alike)} {mould.name}".strip()
        return SheetPart(
            "mould",
            name,
            tr("candle {mass}{each}", mass=self.mass(sheet.finished), each=each),
            tuple(entries),
        )

    def _wick(self, mould: Mould, wick: WickStart) -> SheetEntry:
        """The wick that was chosen, or one to start from."""
        chosen, because = chosen_wick(self.plan, mould), " ".join(wick.because)
        if chosen:
            return SheetEntry(
                "wick", chosen, tr("To start from: {words}. {because}", words=wick.words, because=because)
            )
        return SheetEntry("wick", wick.words, because)

    def _finished(self, sheet: MouldSheet) -> tuple[str, str]:
        """(where the candle's weight comes from, the same in a word)."""
        if sheet.weighed_before:
            return tr("as one weighed before"), tr("as before")
        solid = self.mass(sheet.set_weight)
        return tr(
            "estimate: {solid} of solid wax up to the line, less the gap at the wall", solid=solid
        ), "estimate"

    def _pours(self, mould: Mould, sheet: MouldSheet, exact: MouldSheet) -> list[SheetEntry]:
        """Plug, layers and top-up of one mould, in the order they are poured."""
        entries = []
        if sheet.plug and exact.plug:
            name, kg = self.layer(sheet.plug.layer), self.shown(sheet.plug.kg, exact.plug.kg)
            entries.append(
                SheetEntry("plug", kg, tr("of {name}, over the wick hole", name=name), tr("first"))
            )
        for pour, unrounded in zip(sheet.pours, exact.pours, strict=True):
            if unrounded.kg:
                deep = tr("{length} below rim", length=show_length(round(pour.below_rim, 3), self.plan.units))
                remark = tr("{deep}, hot at {degrees}", deep=deep, degrees=self.degrees(pour.pour_c))
                brief = deep.replace(tr("below rim"), tr("to rim"))
                kg = self.shown(pour.kg, unrounded.kg)
                entries.append(SheetEntry(self.layer(pour.layer), kg, remark, brief))
        top = sheet.top_up
        when = (
            tr(". It is the candle's own top: pour it in one go and leave it level")
            if mould.stays
            else tr(", poured {goes}: the stove says when, and how much each time", goes=GOES)
        )
        kg = self.shown(top.kg, exact.top_up.kg)
        entries.append(
            SheetEntry(
                "top-up",
                kg,
                tr("kept back, of {layer}{when}", layer=self.layer(top.layer), when=when),
                tr("kept back"),
            )
        )
        return entries

    def _cut(self, wick: WickStart) -> str:
        low, high = (show_length(round(each, 3), self.plan.units) for each in wick.cut)
        return tr("{partition} to {high}", partition=low.partition(" ")[0], high=high)

    def _costs(self) -> str:
        scented = any(jug.scent for jug in self.exact.jugs)
        return tr("wax and scent") if scented and self.plan.scent_price_per_kg is not None else tr("wax only")

    # -- jugs and pot -------------------------------------------------------------------------------

    def jugs(self) -> list[SheetPart]:
        """One part for each jug that anything goes into."""
        pairs = zip(self.exact.jugs, self.sheet.jugs, strict=True)
        return [self._jug(exact, jug) for exact, jug in pairs if exact.batch]

    def _jug(self, exact: Jug, jug: Jug) -> SheetPart:
        """One jug: what is drawn and stirred in, and where it goes."""
        layer = self.plan.layers[jug.layer]
        entries = [SheetEntry("draw", self.mass(jug.wax), tr("of wax from the pot"), tr("from the pot"))]
        if layer.scent_by_eye:
            entries.append(
                SheetEntry(
                    "scent", tr("by eye"), tr("not weighed; stir it into the molten jug"), tr("not weighed")
                )
            )
        elif exact.scent:
            loads = tr(
                "load {load}, content {content}",
                load=show_share(jug.scent_load),
                content=show_share(jug.scent_content),
            )
            entries.append(self._dose("scent", exact.scent, jug, loads, liquid=True))
        if exact.dye:
            loads = tr(
                "{dye_form}, {share} of wax", dye_form=word(layer.dye_form), share=show_share(layer.dye_load)
            )
            entries.append(self._dose("dye", exact.dye, jug, loads, liquid=layer.dye_form == "liquid"))
        weighed = jug.wax + jug.dye if layer.scent_by_eye else jug.total
        entries += self._goes(exact, jug, weighed)
        name = tr("jug {number} {colour}", number=jug.layer + 1, colour=self.layer(jug.layer))
        return SheetPart("jug", name, tr("holds {mass}", mass=self.mass(weighed)), tuple(entries))

    def _goes(self, exact: Jug, jug: Jug, weighed: float) -> list[SheetEntry]:
        """Where the jug's wax goes, and when: the parts make what it holds."""
        onto = any(
            pour.layer < jug.layer for mould in self._getting(jug.layer) for pour in mould.pours if pour.kg
        )
        then = (
            tr("once the plug holds")
            if exact.plug
            else tr("once the colour below carries")
            if onto
            else tr("first")
        )
        parts: tuple[tuple[Part, float, float, str, str], ...] = (
            ("plug", jug.plug, exact.plug, tr("first"), tr("first")),
            ("layer", jug.poured - jug.plug, exact.poured - exact.plug, then, word("then")),
            (
                "top-up",
                jug.reserve,
                exact.reserve,
                tr("last, hot, {goes_in}", goes_in=self._goes_in(jug.layer)),
                tr("last"),
            ),
        )
        entries = [
            SheetEntry(part, self.shown(kg, unrounded), f"{when}{self._each(jug.layer, part)}", brief)
            for part, kg, unrounded, when, brief in parts
            if unrounded > 0
        ]
        if exact.allowance:
            stays = self.shown(jug.allowance, exact.allowance)
            entries.append(SheetEntry("stays", stays, tr("on jug and spoon"), tr("on the jug")))
        over = weighed - jug.batch
        if over > self.plan.scale_step / 2:
            why = tr("left when all is poured: scent and dye went on top of the wax")
            entries.append(SheetEntry("over", self.mass(over), why, tr("left over")))
        return entries

    def _goes_in(self, layer: int) -> str:
        """In how many goes the top-ups of a colour are poured."""
        topped = [s for s in bench(self.plan) if self.exact.top_up(s.letter).layer == layer]
        return tr("in one go") if all(s.mould.stays for s in topped) else GOES

    def _getting(self, layer: int) -> list[MouldSheet]:
        return [mould for mould in self.exact.moulds if mould.pours[layer].kg]

    def _each(self, layer: int, part: Part) -> str:
        """`, A and B 12 g each, C 8 g`: how much of one colour goes into each mould."""
        alike: dict[str, str] = {}
        for mould in self.sheet.moulds:
            pour = mould.plug if part == "plug" else mould.top_up if part == "top-up" else mould.pours[layer]
            if pour is not None and pour.layer == layer and pour.kg:
                mass = self.mass(pour.kg)
                alike[mass] = alike.get(mass, "") + mould.letter
        return "".join(
            tr(", {moulds} {mass} each", moulds=letters(moulds), mass=mass)
            if len(moulds) > 1
            else f", {moulds} {mass}"
            for mass, moulds in alike.items()
        )

    def _dose(self, what: str, exact: float, jug: Jug, loads: str, *, liquid: bool) -> SheetEntry:
        """Scent or dye of a jug; what is below the scale's step is said so, with a way out."""
        shown, step = jug.scent if what == "scent" else jug.dye, self.plan.scale_step
        if exact >= step:
            return SheetEntry(what, self.mass(max(shown, step)), loads, loads.partition(",")[0])
        way = instead_of_weighing(self.plan, what, exact, jug.wax, self.exact.total_wax, liquid)
        drops = drops_of(exact) if liquid else None
        brief = ntr("~{drops} drop", "~{drops} drops", drops, drops=drops) if drops else fine(exact)
        return SheetEntry(
            what,
            f"< {self.mass(step)}",
            tr("{fine}, {loads}. Below this scale. {way}", fine=fine(exact), loads=loads, way=way),
            brief,
        )

    def pot(self) -> SheetPart:
        """What is melted, of each wax, and how hot."""
        sheet, entries = self.sheet, []
        for need in sheet.waxes:
            cost = figures(", {cost:.2f}", cost=need.cost) if need.cost is not None else ""
            lot = tr("lot {lot}", lot=need.lot) if need.lot else ""
            entries.append(SheetEntry(need.name, self.mass(need.kg), f"{lot}{cost}".strip(", ")))
        drawn = sum(jug.wax for jug in sheet.jugs)
        entries.append(SheetEntry("into jugs", self.mass(drawn), tr("of it, once it is hot"), tr("of it")))
        if self.exact.kept:
            entries.append(
                SheetEntry(
                    "stays", self.shown(sheet.kept, self.exact.kept), tr("in the pot"), tr("in the pot")
                )
            )
        entries.append(
            SheetEntry(
                tr("heat to"),
                self.degrees(sheet.melt_to_c),
                tr("never above {degrees}", degrees=self.degrees(sheet.ceiling_c)),
                tr("max {degrees}", degrees=self.degrees(sheet.ceiling_c)),
            )
        )
        entries.append(
            SheetEntry(
                "bath",
                self.degrees(bath_reach(self.plan.altitude).sure_c),
                tr("a water bath surely gets the wax this hot here"),
            )
        )
        if sheet.cost is not None:
            entries.append(
                SheetEntry(
                    "cost", figures("{cost:.2f}", cost=sheet.cost), tr("of all, {costs}", costs=self._costs())
                )
            )
        told = (
            tr("a guess")
            if sheet.wax.confidence == WORDS
            else tr("confidence {confidence}", confidence=sheet.wax.confidence)
        )
        entries += [SheetEntry("figures", told, self._figures())]
        return SheetPart(
            "pot", word("pot"), tr("load {mass}", mass=self.mass(sheet.total_wax)), tuple(entries)
        )

    def _figures(self) -> str:
        lent = len(lent_figures(self.sheet.wax))
        more = tr("; {lent} figures taken from its family", lent=lent) if lent else ""
        if self.sheet.wax.confidence == WORDS:
            return tr("all that is known are words: {name}{more}", name=self.sheet.wax.name, more=more)
        return f"{self.sheet.wax.name}{more}"


def _cut_words(wick: WickStart) -> str:
    each = tr("each wick, ") if wick.count > 1 else ""
    return (
        tr("{each}held upright over the rim", each=each)
        if wick.braid == "cored"
        else tr("{each}with its tails", each=each)
    )
