"""The weigh sheet in words: what a person weighs, pours and melts, for the screen and for paper alike."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from pourday.plan.bench import bench
from pourday.plan.check import height_of
from pourday.plan.dosing import fine, instead_of_weighing
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
from pourday.plan.water import bath_reach
from pourday.plan.weigh import Jug, MouldSheet, WeighSheet, weigh_sheet
from pourday.plan.wick import WickStart, wicks_of
from pourday.units import DROP, show_length, show_mass, show_share, show_temperature
from pourday.wax.supplier import taken


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
    """The whole sheet, rounded to the person's scale so that parts still add up. Raises `Trouble`."""
    exact = sheet or weigh_sheet(plan)
    words = _Words(plan, exact, on_scale(exact, plan.scale_step))
    return (*words.moulds(), *words.jugs(), words.pot())


def shape_words(mould: Mould, plan: Plan) -> str:
    """The shape and its sizes: `cylinder 75 mm x 150 mm, fill line 6 mm below the rim`."""
    shape = mould.shape

    def length(*metres: float) -> str:
        return " x ".join(show_length(each, plan.units) for each in metres)

    line = f"fill line {length(mould.below_rim)} below the rim"
    return f"{_sizes(shape, length)}, {line}"


def _sizes(shape: Shape, length: Callable[..., str]) -> str:
    match shape:
        case Cylinder():
            return f"cylinder {length(shape.diameter, shape.height)}"
        case Tapered():
            return f"tapered round {length(shape.diameter_low)} to {length(shape.diameter_rim, shape.height)}"
        case Square():
            return f"square {length(shape.side, shape.height)}"
        case Rectangle():
            return f"rectangle {length(shape.width, shape.depth, shape.height)}"
        case Hexagon():
            return f"hexagon {length(shape.across_flats, shape.height)}"
        case WaterFilled():
            return f"by water, {length(height_of(shape))} high"


class _Words:
    """Everything the parts are put together from."""

    def __init__(self, plan: Plan, exact: WeighSheet, sheet: WeighSheet) -> None:
        self.plan, self.exact, self.sheet = plan, exact, sheet

    def mass(self, kg: float) -> str:
        return show_mass(kg, self.plan.units, self.plan.scale_step)

    def degrees(self, celsius: float) -> str:
        return show_temperature(celsius, self.plan.units)

    def layer(self, index: int) -> str:
        return self.plan.layers[index].colour or f"layer {index + 1}"

    # -- moulds -------------------------------------------------------------------------------------

    def moulds(self) -> list[SheetPart]:
        """One part for each kind of mould; those that are alike stand together."""
        letters = [standing.letter for standing in bench(self.plan)]
        parts, start = [], 0
        for mould, wick in zip(self.plan.moulds, wicks_of(self.plan), strict=True):
            alike = letters[start : start + mould.count]
            start += mould.count
            if alike:
                parts.append(self._mould(mould, alike, wick))
        return parts

    def _mould(self, mould: Mould, letters: list[str], wick: WickStart) -> SheetPart:
        sheet = self.sheet.mould(letters[0])
        each = ", each" if len(letters) > 1 else ""
        entries = [
            SheetEntry("", "", shape_words(mould, self.plan)),
            *self._pours(sheet),
            SheetEntry("candle", self.mass(sheet.finished), *_finished(sheet)),
            SheetEntry("wick", wick.words, " ".join(wick.because)),
            SheetEntry(
                "cut to", self._cut(wick), "each wick, with its tails" if wick.count > 1 else "with its tails"
            ),
        ]
        cost = self.exact.cost_of(letters[0])
        if cost is not None:
            entries.append(SheetEntry("cost", f"{cost:.2f}", self._costs()))
        name = f"{' '.join(letters)} {mould.name}".strip()
        return SheetPart("mould", name, f"set {self.mass(sheet.set_weight)}{each}", tuple(entries))

    def _pours(self, sheet: MouldSheet) -> list[SheetEntry]:
        entries = []
        if sheet.plug:
            name = self.layer(sheet.plug.layer)
            entries.append(
                SheetEntry("plug", self.mass(sheet.plug.kg), f"of {name}, over the wick hole", "first")
            )
        for pour in sheet.pours:
            if pour.kg:
                deep = f"{show_length(round(pour.below_rim, 3), self.plan.units)} below rim"
                remark = f"{deep}, hot at {self.degrees(pour.pour_c)}"
                brief = deep.replace("below rim", "to rim")
                entries.append(SheetEntry(self.layer(pour.layer), self.mass(pour.kg), remark, brief))
        top = sheet.top_up
        rest = f", {self.mass(top.first)} to the line, the rest as it sinks" if top.first < top.kg else ""
        entries.append(
            SheetEntry(
                "top-up", self.mass(top.kg), f"kept back, of {self.layer(top.layer)}{rest}", "kept back"
            )
        )
        return entries

    def _cut(self, wick: WickStart) -> str:
        low, high = (show_length(round(each, 3), self.plan.units) for each in wick.cut)
        return f"{low.partition(' ')[0]} to {high}"

    def _costs(self) -> str:
        scented = any(jug.scent for jug in self.exact.jugs)
        return "wax and scent" if scented and self.plan.scent_price_per_kg is not None else "wax only"

    # -- jugs and pot -------------------------------------------------------------------------------

    def jugs(self) -> list[SheetPart]:
        pairs = zip(self.exact.jugs, self.sheet.jugs, strict=True)
        return [self._jug(exact, jug) for exact, jug in pairs if exact.batch]

    def _jug(self, exact: Jug, jug: Jug) -> SheetPart:
        layer = self.plan.layers[jug.layer]
        entries = [SheetEntry("wax", self.mass(jug.wax), self._kept(jug))]
        if layer.scent_by_eye:
            entries.append(
                SheetEntry("scent", "by eye", "not weighed; stir it into the molten jug", "not weighed")
            )
        elif exact.scent:
            loads = f"load {show_share(jug.scent_load)}, content {show_share(jug.scent_content)}"
            entries.append(self._dose("scent", exact.scent, jug, loads, liquid=True))
        if exact.dye:
            loads = f"{layer.dye_form}, {show_share(layer.dye_load)} of wax"
            entries.append(self._dose("dye", exact.dye, jug, loads, liquid=layer.dye_form == "liquid"))
        weighed = jug.wax + jug.dye if layer.scent_by_eye else jug.total
        return SheetPart(
            "jug", f"jug {jug.layer + 1} {self.layer(jug.layer)}", self.mass(weighed), tuple(entries)
        )

    def _kept(self, jug: Jug) -> str:
        reserve = f"{self.mass(jug.reserve)} of it for the top-up, " if jug.reserve else ""
        return f"{reserve}{self.mass(jug.allowance)} stays on pot and jug"

    def _dose(self, what: str, exact: float, jug: Jug, loads: str, *, liquid: bool) -> SheetEntry:
        """Scent or dye of a jug; what is below the scale's step is said so, with a way out."""
        shown, step = jug.scent if what == "scent" else jug.dye, self.plan.scale_step
        if exact >= step:
            return SheetEntry(what, self.mass(max(shown, step)), loads, loads.partition(",")[0])
        way = instead_of_weighing(self.plan, what, exact, jug.wax, liquid)
        drops = max(1, round(exact / DROP))
        brief = f"~{drops} drop{'s' if drops > 1 else ''}" if liquid else fine(exact)
        return SheetEntry(
            what, f"< {self.mass(step)}", f"{fine(exact)}, {loads}. Below this scale. {way}", brief
        )

    def pot(self) -> SheetPart:
        sheet, entries = self.sheet, []
        for need in sheet.waxes:
            cost = f", {need.cost:.2f}" if need.cost is not None else ""
            lot = f"lot {need.lot}" if need.lot else ""
            entries.append(SheetEntry(need.name, self.mass(need.kg), f"{lot}{cost}".strip(", ")))
        lost = sum(jug.allowance for jug in sheet.jugs)
        entries.append(SheetEntry("loss", self.mass(lost), "of it stays on pot and jug"))
        entries.append(
            SheetEntry(
                "heat to",
                self.degrees(sheet.melt_to_c),
                f"never above {self.degrees(sheet.ceiling_c)}",
                f"max {self.degrees(sheet.ceiling_c)}",
            )
        )
        entries.append(
            SheetEntry(
                "bath",
                self.degrees(bath_reach(self.plan.altitude).sure_c),
                "a water bath surely gets the wax this hot here",
            )
        )
        if sheet.cost is not None:
            entries.append(SheetEntry("cost", f"{sheet.cost:.2f}", f"of all, {self._costs()}"))
        entries += [SheetEntry("figures", f"confidence {sheet.wax.confidence}", self._figures())]
        return SheetPart("pot", "pot", f"melt {self.mass(sheet.total_wax)}", tuple(entries))

    def _figures(self) -> str:
        lent = len(taken(self.sheet.wax))
        more = f"; {lent} figures taken from its family" if lent else ""
        return f"{self.sheet.wax.name}{more}"


def _finished(sheet: MouldSheet) -> tuple[str, str]:
    if sheet.weighed_before:
        return "as one weighed before", "as before"
    return "estimate, less the gap at the wall", "estimate"
