"""What really went into a jug, asked in one line once it is made: each figure as far as the person has it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from pourday.errors import Trouble
from pourday.guide.outlook.outlook import Outlook
from pourday.language import tr
from pourday.plan.products import show_dose, weighed_out
from pourday.session import events as ev
from pourday.session.events import Fact
from pourday.session.readings import usual_means
from pourday.session.state import State
from pourday.tui.drawing.lines import Line, Piece, fit, width, wrap
from pourday.tui.terminal.rubbing import RUBS, rubbed
from pourday.units import Units, read_mass, read_temperature

LONGEST = 8
"""Characters of one figure; more is a stuck key."""
FAR_OFF = 0.5
"""A figure that is off by more than this share of the planned weight is asked about: mostly another box was meant.
An estimate of ours."""


@dataclass(frozen=True, slots=True)
class Box:
    """A figure that is told of a jug while it is made: a weight, in kg, or the heat of jug or room."""

    kind: Literal["wax", "scent", "dye", "jug", "room"]
    name: str
    """As it is shown before it."""
    planned_kg: float | None = None
    """What the weigh sheet has for it; None for a heat."""
    product: str = ""
    """Of a scent or dye, what it is called on the shelf,"""
    lot: str = ""
    """and its lot; empty where the plan names none."""

    @property
    def is_heat(self) -> bool:
        """Whether a temperature goes into it, not a weight."""
        return self.kind in ("jug", "room")


def boxes_of(state: State, outlook: Outlook, layer: int) -> tuple[Box, ...]:
    """The figures that can be told of a layer's jug: its wax, each scent and dye of the plan, its heat; and the
    room, until that was read once."""
    planned, jug = state.plan.layers[layer], outlook.jug(layer)
    boxes = [Box("wax", "wax", jug.wax)]
    for kind, kg, products in (("dye", jug.dye, planned.dyes), ("scent", jug.scent, planned.scents)):
        by_eye = kind == "scent" and planned.scent_by_eye
        of: Literal["dye", "scent"] = "dye" if kind == "dye" else "scent"
        known = kg > 0 and not by_eye
        named = [
            Box(of, product.name, part if known else None, product.name, product.lot)
            for product, part in weighed_out(kg, products)
        ]
        boxes += named or ([Box(of, of, kg if known else None)] if kg > 0 or by_eye else [])
    boxes.append(Box("jug", tr("heat of the jug")))
    if state.last_reading("room", doubted=True) is None:
        boxes.append(Box("room", tr("the room")))
    return tuple(boxes)


class JugLine:
    """The line of one jug; see `Aside`."""

    def __init__(self, state: State, outlook: Outlook, layer: int) -> None:
        self.layer = layer
        self.boxes = boxes_of(state, outlook, layer)
        self.at = 0
        """The box that is typed into."""
        self.message = ""
        self.open = True
        self._name = outlook.colour(layer)
        self._units: Units = state.plan.units
        self._step = state.plan.scale_step
        self._texts = [""] * len(self.boxes)
        self._kept: set[tuple[int, str]] = set()
        """Far-off figures that were asked about."""

    @property
    def touched(self) -> bool:
        return any(self._texts)

    # -- keys ---------------------------------------------------------------------------------------

    def takes(self, key: str, character: str | None) -> bool:
        if key in ("enter", "space", "tab", "escape", *RUBS) or _figure(character):
            return True
        return self.touched and character is not None and character.isalpha()

    def press(self, key: str, character: str | None) -> tuple[Fact, ...]:
        self.message = ""
        text = self._texts[self.at]
        if _figure(character):
            self._texts[self.at] = (text + (character or ""))[:LONGEST]
        elif (left := rubbed(text, key)) is not None:
            self._texts[self.at] = left
        elif key == "tab" or (key == "space" and self.touched and self.at < len(self.boxes) - 1):
            self.at = (self.at + 1) % len(self.boxes)
        elif key in ("enter", "space"):
            return self._file()
        elif key == "escape":
            self.message = tr("Nothing of it was filed.") if self.touched else ""
            self.open = False
        elif text and self.boxes[self.at].is_heat and (character or "").lower() in ("c", "f"):
            self._texts[self.at] = text.rstrip("cf") + (character or "").lower()
        else:
            self.message = tr("Enter files what is typed here, Tab goes to the next box, Esc drops it all.")
        return ()

    def _file(self) -> tuple[Fact, ...]:
        """What was typed as facts; none, and a sentence, where one of the figures cannot be meant."""
        try:
            kgs = {n: self._weight(n) for n in self._filled(heat=False)}
            degrees = {n: self._heat(n) for n in self._filled(heat=True)}
        except Trouble as trouble:
            self.message = str(trouble)
            return ()
        self.open = False
        unit = "g" if self._units == "metric" else "oz"
        facts: list[Fact] = []
        at_c = next((celsius for n, celsius in degrees.items() if self.boxes[n].kind == "jug"), None)
        for n, kg in kgs.items():
            box, typed = self.boxes[n], f"{self._texts[n]} {unit}"
            if box.kind == "wax":
                facts.append(ev.JugWeighed(layer=self.layer, kg=kg, typed=typed))
                continue
            facts.append(
                ev.JugDosed(
                    layer=self.layer,
                    what="dye" if box.kind == "dye" else "scent",
                    product=box.product,
                    lot=box.lot,
                    kg=kg,
                    planned_kg=box.planned_kg,
                    celsius=at_c,
                    typed=typed,
                )
            )
        for n, celsius in degrees.items():
            place: ev.Place = "jug" if self.boxes[n].kind == "jug" else "room"
            means = usual_means(place)
            jug = self.layer if place == "jug" else None
            facts.append(ev.Reading(place=place, celsius=celsius, typed=self._texts[n], means=means, jug=jug))
        return tuple(facts)

    def _filled(self, *, heat: bool) -> list[int]:
        """The boxes with something in them, of weights or of temperatures."""
        return [n for n, box in enumerate(self.boxes) if self._texts[n] and box.is_heat is heat]

    def _weight(self, n: int) -> float:
        """kg in a box. Raises `Trouble` for what is no weight, and the first time for one far from the plan; the
        cursor then stands on that box."""
        box, text = self.boxes[n], self._texts[n]
        self.at = n
        kg = read_mass(text, self._units, box.name).value
        planned = box.planned_kg
        if planned and abs(kg - planned) > max(FAR_OFF * planned, self._step) and (n, text) not in self._kept:
            self._kept.add((n, text))
            read, wanted = (show_dose(each, self._units, self._step) for each in (kg, planned))
            raise Trouble(
                tr("{read} of {name}, where {wanted} were told?", read=read, name=box.name, wanted=wanted),
                instead=tr("Enter again keeps it; Backspace rubs it out."),
            )
        return kg

    def _heat(self, n: int) -> float:
        """°C in a box. Raises `Trouble` for what cannot be the temperature of that place; the cursor then stands on
        that box."""
        self.at = n
        read = read_temperature(
            self._texts[n], self._units, "room" if self.boxes[n].kind == "room" else "wax"
        )
        if read.doubt:
            raise Trouble(tr("{texts}: C or F?", texts=self._texts[n]), instead=tr("Type c or f behind it."))
        return read.celsius

    # -- what is shown ------------------------------------------------------------------------------

    def rows(self, cells: int) -> tuple[Line, ...]:
        drawn: list[Line] = wrap(
            tr("Jug of {name}, what really went in:", name=self._name), cells, "glow bold", most=2
        )
        for n in range(len(self.boxes)):
            box = self._box(n)
            if width(drawn[-1]) + 2 + width(box) > cells:
                drawn.append(box)
            else:
                drawn[-1] = (*drawn[-1], ("  ", "ink"), *box)
        return tuple(fit(row, cells) if width(row) > cells else row for row in drawn)

    def _box(self, n: int) -> Line:
        """One box: its name, what is typed or was planned, and its unit."""
        box, text = self.boxes[n], self._texts[n]
        unit = ("°C" if self._units == "metric" else "°F") if box.is_heat else ""
        planned = "" if box.planned_kg is None else show_dose(box.planned_kg, self._units, self._step)
        if not box.is_heat and (text or n == self.at or not planned):
            unit = "g" if self._units == "metric" else "oz"
        name: Piece = (f"{box.name} ", "ink" if n == self.at or text else "soft")
        if n == self.at:
            of = tr(" of {planned}", planned=planned) if planned else ""
            return (name, (f"{text}▏{'' if text[-1:] in 'cf' and text else unit}", "glow bold"), (of, "soft"))
        if text:
            return (name, (text if text[-1:] in "cf" else f"{text} {unit}", "ink bold"))
        return (name, (planned or f"… {unit}", "soft"))

    def keys(self) -> tuple[tuple[str, str], ...]:
        if self.touched:
            return (
                ("Enter", tr("files")),
                ("Space", tr("next")),
                ("Esc", tr("drops")),
                ("Backspace", tr("rubs out")),
            )
        return (("Space", tr("skips it all")), (tr("digits"), tr("what was weighed")), ("Tab", tr("next")))


def _figure(character: str | None) -> bool:
    """Whether a character belongs to a figure."""
    return character is not None and len(character) == 1 and character in "0123456789.,"
