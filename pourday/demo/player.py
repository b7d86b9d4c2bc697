"""A person who follows the guide, for hands-free demo and for tests: looks, reads, pours, answers.

What it reads and sees comes from the simulated kitchen; what it does goes through the same facts as
the keyboard's. It takes its time, drawn from a seed.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from msgspec.structs import replace

from pourday.errors import Trouble
from pourday.guide.acts.act import Act, Urgency
from pourday.guide.acts.pour_heat import FALLS_SURELY, kelvin_outside
from pourday.guide.advice.adviser import Advice
from pourday.guide.outlook.room import Amount, amount, line_of
from pourday.kitchen.kitchen import Kitchen
from pourday.language import figures
from pourday.plan.own_layers import mould_of
from pourday.plan.weigh import weigh_sheet
from pourday.session import events as ev
from pourday.session.events import Cue, Fact, Part, Place
from pourday.session.readings import reading_of

File = Callable[[Fact], object]

ENOUGH_WATER = 0.75
"""Share of a full bath below which the player tops it up: who goes to look has the kettle in hand. An estimate of ours."""
COLOURS = (240.0, 480.0)
"""s that colouring, scenting and stirring one jug takes, least and most (estimate)."""
POURS = 60.0
"""s that one mould's pour takes. Estimate."""
RESCUES = "pwar"
"""Keys of what the player decides where a layer went too far: pour all the same, or warm it first."""
JUST_READ = 90.0
"""s for which the player goes by what the jug just read. Estimate."""
RELEASES: Mapping[str, ev.Release] = {"drops out": "dropped out", "needs a tap": "needed a tap"}
"""How a candle of the kitchen comes out as the record names it; else it is stuck."""
PATIENCE = 25
"""Looks at a jug that is not right before the player pours all the same."""


@dataclass(frozen=True, slots=True)
class PourSize:
    """One layer or top-up: the weight the guide gave for it beside what the mould took to its line at that moment."""

    mould: str
    layer: int
    part: Part
    guide: Amount
    takes: float
    """kg of the jug to the line, by the kitchen."""


class Player:
    """One person at one kitchen, following the guide; `quick` and `slow` are how many seconds they take to come.

    They pour to the line, watching the wax rise; with `by_scale` they pour the weight they were given and look at no line.
    """

    def __init__(
        self,
        kitchen: Kitchen,
        seed: int,
        *,
        quick: float = 15.0,
        slow: float = 90.0,
        by_scale: bool = False,
    ) -> None:
        self.kitchen = kitchen
        self.by_scale = by_scale
        self.sizes: list[PourSize] = []
        """Of every pour made to a line, in order."""
        self._random = random.Random(seed)
        self._quick, self._slow = quick, slow
        self._waited = 0
        """How often the jug to pour from was read and was not right."""
        self._jug_read: tuple[int, float, float] = (-1, 0.0, 0.0)
        """Layer of the jug read last, when, and what it read."""
        self._lifted: int | None = None
        """Layer of the jug that is let fall for a minute, without a word,"""
        self._goes_back = False
        """and whether it stands in the bath for all that the record knows."""

    def delay(self) -> float:
        """Seconds from being told to having done it."""
        return self._random.uniform(self._quick, self._slow)

    def busy(self, act: Act) -> float:
        """Seconds that both hands were at the act just done; a jug that was not right was only read."""
        if act.kind == "jug":
            return self._random.uniform(*COLOURS)
        poured = act.kind in ("plug", "pour", "top-up") and not self._waited
        return POURS * len(act.moulds) if poured else 0.0

    def do(self, advice: Advice, file: File) -> bool:
        """Do what the guide says first; False where there is nothing to do but wait."""
        if advice.now is None:
            return False
        act = advice.now.act
        if act.urgency is Urgency.NOT_YET:
            return False
        match act.kind:
            case "read" | "alarm" if act.kind == "read" or not act.records:
                self._read(act, advice, file)
            case "heat on" | "heat low":
                for layer in self.kitchen.pot.jugs:
                    # A jug that is done with heats for nothing, and little wax is the first to be too hot.
                    self._stand(layer, "bath" if layer >= self._coming(advice) else "bench", file)
                for fact in act.records:
                    file(fact)
            case "drop":
                self._answer(act, "r", file)
            case "burner?" | "water" | "look under" | "look":
                self._see(act, file)
            case "decide":
                self._answer(act, RESCUES, file)
            case "plug" | "pour" | "top-up":
                self._pour(act, advice, file)
            case "demould":
                self._demould(act, file)
            case _ if act.question is not None:
                self._answer(act, "", file)
            case _:
                for fact in act.records:
                    file(fact)
        return True

    @staticmethod
    def _coming(advice: Advice) -> int:
        """The earliest layer that some mould still gets something of."""
        pours = (advice.state.next_pour(letter) for letter in advice.state.moulds)
        return min((pour.layer for pour in pours if pour is not None), default=0)

    def _read(self, act: Act, advice: Advice, file: File) -> None:
        """Read pot or jug where the act says; a jug hotter than its wax is poured comes out of the bath, unless a low flame
        only holds it there."""
        latest = max(self.kitchen.pot.jugs, default=None)
        jug = None if act.place[0] != "jug" else latest if act.layer is None else act.layer
        celsius = self.kitchen.read("pot") if jug is None else self._read_jug(jug)
        file(self._reading(advice, "pot" if jug is None else "jug", celsius, jug))
        too_hot = celsius > weigh_sheet(self.kitchen.plan).wax.pour_max_c
        if jug is not None and too_hot and not self.kitchen.burner_low:
            self._stand(jug, "bench", file)

    def _stand(self, layer: int, where: ev.JugPlace, file: File) -> None:
        """Stand a jug in the bath or on the bench, and say so: what the record knows of its heat rests on it."""
        if layer == self._lifted:
            # What it was lifted out for is over: from here on it stands where the record has it.
            self._lift(None)
        if self.kitchen.pot.jug(layer).in_bath != (where == "bath"):
            file(ev.JugStands(layer=layer, where=where))

    def _reading(self, advice: Advice, place: Place, celsius: float, jug: int | None) -> ev.Reading:
        pot = advice.outlook.pot if advice.outlook else None
        return reading_of(
            advice.state,
            pot,
            place,
            celsius,
            figures("{celsius:.1f}", celsius=celsius),
            self.kitchen.now,
            jug=jug,
        )

    def _read_jug(self, layer: int) -> float:
        celsius = self.kitchen.read("jug", layer)
        self._jug_read = layer, self.kitchen.now, celsius
        return celsius

    def _see(self, act: Act, file: File) -> None:
        """Look where the act says, and file what is seen there."""
        match act.kind:
            case "burner?":
                lit: ev.Burner = "low" if self.kitchen.burner_low else "on"
                file(ev.BurnerSet(state=lit if self.kitchen.burner_on else "off"))
            case "water":
                file(ev.WaterSeen(topped_up=self.kitchen.water_kg < ENOUGH_WATER * self.kitchen.full_bath))
            case "look under":
                for letter in act.moulds:
                    file(ev.SealSeen(mould=letter, weeps=self.kitchen.weeps(letter)))
            case _:
                self._look(act, file)

    def _look(self, act: Act, file: File) -> None:
        """Say what each mould looks like, by one answer where all look the same."""
        cues = {letter: cue_of(self.kitchen.look(letter)) for letter in act.moulds}
        question = act.question
        alike = len(set(cues.values())) == 1
        while question is not None:
            answers = {
                looked[0].cue: choice
                for choice in question.choices
                if (looked := [fact for fact in choice.facts if isinstance(fact, ev.Looked)])
            }
            if not alike and question is act.question:
                question = next(choice.then for choice in question.choices if choice.key == "n")
                continue
            facts = next(iter(answers.values())).facts
            looked_at = next(fact.mould for fact in facts if isinstance(fact, ev.Looked))
            choice = answers[cues[looked_at]]
            for fact in choice.facts:
                file(fact)
            question = choice.then

    @staticmethod
    def _answer(act: Act, keys: str, file: File) -> None:
        """Answer the act's question, and what it asks next, with the first of these keys that it has, else its first."""
        question = act.question
        while question is not None:
            choices = question.choices
            key = next((k for k in keys if any(c.key == k for c in choices)), choices[0].key)
            choice = next(c for c in choices if c.key == key)
            for fact in choice.facts:
                file(fact)
            question = choice.then

    def _pour(self, act: Act, advice: Advice, file: File) -> None:
        layer = act.layer or 0
        if not self._jug_is_right(act, advice, layer, file):
            return
        for fact in act.records:
            file(self._weighed(fact, advice) if isinstance(fact, ev.Poured) else fact)

    def _weighed(self, pour: ev.Poured, advice: Advice) -> ev.Poured:
        """A pour with what the scale under its mould says of it: its weight is typed with it."""
        step = self.kitchen.plan.scale_step
        kg = self._to_its_line(pour, advice).kg
        if kg is None:
            there = self.kitchen.jug_kg(pour.layer)
            kg = min(pour.planned_kg or 0.0, there) if there > 0 else 0.0
        return replace(pour, kg=round(round(kg / step) * step, 6)) if kg > 0 else pour

    def _to_its_line(self, pour: ev.Poured, advice: Advice) -> ev.Poured:
        """A pour to its line by the eye, or by the scale, as far as the jug goes; a plug goes by its weight."""
        there = self.kitchen.jug_kg(pour.layer)
        if pour.part == "plug" or advice.outlook is None or there <= 0:
            return pour
        outlook, mould = advice.outlook, mould_of(advice.state.plan, pour.mould)
        place = advice.state.place_of(pour.mould, pour.layer)
        _, below_rim = line_of(outlook.sheet, mould, pour.mould, place, pour.part)
        takes = self.kitchen.pours_to(pour.mould, below_rim, pour.layer)
        guide = amount(outlook, pour.mould, pour.layer, pour.part, self.kitchen.now)
        self.sizes.append(PourSize(pour.mould, pour.layer, pour.part, guide, takes))
        return replace(pour, kg=round(min(guide.kg if self.by_scale else takes, there), 4))

    def _jug_is_right(self, act: Act, advice: Advice, layer: int, file: File) -> bool:
        """Whether the jug is as hot as it is to be poured; else it goes into the bath, or out of it, for a while.

        After `PATIENCE` looks it is poured as it is.
        """
        read, at, celsius = self._jug_read
        lifted, typed = layer == self._lifted, read == layer and self.kitchen.now - at <= JUST_READ
        if lifted or not typed:
            try:
                celsius = self._read_jug(layer)
            except Trouble:
                return True
        off = kelvin_outside(act.between or (celsius, celsius), celsius)
        self._waited += 1
        if self._waited <= PATIENCE and 0 < off <= FALLS_SURELY:
            # Lifted out for a minute or two until it is right: nobody tells anybody of that.
            self._lift(layer)
            return False
        if off or not (lifted or typed):
            # What is right is typed with its pour; of a jug that was let fall a little nothing is.
            file(self._reading(advice, "jug", celsius, layer))
        self._lift(None)
        if self._waited <= PATIENCE and off:
            self._stand(layer, "bath" if off < 0 else "bench", file)
            return False
        self._waited = 0
        return True

    def _lift(self, layer: int | None) -> None:
        """Lift the jug of a layer out of the bath for a minute, and put the one back that was lifted out before; one that
        the record has on the bench stays there."""
        if layer is not None and layer == self._lifted and not self.kitchen.pot.jug(layer).in_bath:
            return
        if self._lifted is not None and self._goes_back:
            self.kitchen.jug_in_bath(self._lifted, True)
        self._lifted, self._goes_back = layer, layer is not None and self.kitchen.pot.jug(layer).in_bath
        if layer is not None:
            self.kitchen.jug_in_bath(layer, False)

    def _demould(self, act: Act, file: File) -> None:
        came = {letter: RELEASES.get(self.kitchen.demould(letter), "stuck") for letter in act.moulds}
        for letter, release in came.items():
            file(ev.Demoulded(mould=letter, release=release))
        for letter, release in came.items():
            if release != "stuck":
                kg = self.kitchen.weigh(letter)
                file(ev.Weighed(mould=letter, what="candle", kg=kg, typed=f"{kg * 1000:.0f} g"))


def cue_of(look: str) -> Cue:
    """A look of the simulated kitchen as the record names it."""
    cues: tuple[Cue, ...] = ("wet", "skinned", "firm", "cold", "pulled away")
    return next(cue for cue in cues if cue.startswith(look))
