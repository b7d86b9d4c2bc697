"""The whole kitchen of a demo, rehearsal or test day: stove, moulds, thermometers, a room that drifts.

Kitchen time is epoch seconds and moves only by `advance`; every act happens at the time reached.
Everything hidden is drawn from the seed, so the same calls give the same day.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from copy import deepcopy
from itertools import pairwise
from typing import Literal

import msgspec
import numpy as np

from pourday.errors import Trouble
from pourday.kitchen import looks
from pourday.kitchen.looks import Look, Release
from pourday.kitchen.moulds import Filling, Seam
from pourday.kitchen.pot import Pot
from pourday.kitchen.shells import draw_mould, shell
from pourday.kitchen.thermometer import Infrared, Probe, WallThermometer
from pourday.kitchen.truth import Floats, draw_blend, near
from pourday.kitchen.vessel import Vessel
from pourday.language import tr
from pourday.plan.bench import bench
from pourday.plan.model import Plan
from pourday.plan.waxes import own_of
from pourday.wax.materials import Wax

Place = Literal["pot", "jug", "surface", "room", "bath"]
_ROOM_STEP = 300.0
"""s for which the pot's surroundings are held. Chosen."""
_STREAM_LOSS = 0.012
"""Share of the excess over the room that the stream loses on its way into the mould (estimate)."""


class Section(msgspec.Struct, frozen=True):
    """The field of one mould. Rows from the bottom up, rings from the axis out."""

    layers: tuple[int, ...]
    """Layer of every row."""
    celsius: Floats
    solid: Floats
    """Solid share, 0 to 1; both arrays rows x rings."""


class Kitchen:
    """Starts with `water_kg` in the bath, else as much as the plan says, and an empty pan; `own` are waxes in neither the table nor the plan.

    One pan holds one wax: the plan's blend, also for layers that have a blend of their own. Raises `Trouble`
    for a wax that is nowhere, or a blend of nothing.
    """

    def __init__(
        self,
        plan: Plan,
        seed: int,
        start: float,
        *,
        water_kg: float | None = None,
        own: Mapping[str, Wax] | None = None,
    ) -> None:
        rng = np.random.default_rng(seed)
        self.plan = plan
        self.now = start
        self.melted_kg = 0.0
        """kg of wax that was put into the pot so far."""
        self.set_aside_kg = 0.0
        """kg of it that came out of a mould again and went into no jug."""
        self._start = start
        # Within 0.8 K of what was planned (estimate).
        self._room = plan.room_c + 0.4 * float(np.clip(rng.standard_normal(), -2, 2))
        self._window = (0.0, 3600.0)
        """K that the room falls again and again, and s from one time to the next."""
        self._drift = (float(rng.uniform(0.2, 0.8)), float(rng.uniform(0, 2 * math.pi)))
        """K to either side that the room swings over a day (estimate), and where in that swing the day begins."""
        self.lot = draw_blend(plan.blend, rng, own_of(plan, own))
        # People know their own jugs to about a tenth. Drawn apart, so that it moves no other figure.
        keeps = plan.vessel_keeps * near(rng.spawn(1)[0], 0.1)
        self.full_bath = water_kg or (1.5 if plan.bath is None else plan.bath * 998.2)
        """kg of water that a full bath holds."""
        self.pot = Pot(self.lot, 0.0, self.full_bath, rng, self.room_at(start), plan.altitude, keeps=keeps)
        self._moulds = {
            s.letter: (s.mould, Filling(self.lot, shell(s.mould), draw_mould(s.mould, rng)))
            for s in bench(plan)
        }
        self._weeping: set[str] = {k for k, (_, f) in self._moulds.items() if f.truth.bad_seal}
        self._probe = Probe(rng, self.room_at(start))
        self._infrared = Infrared(rng)
        self._wall = WallThermometer(rng)

    def room_at(self, at: float) -> float:
        """True room temperature, °C: a day's slow swing about its mean, and what a window does to it."""
        swing, phase = self._drift
        drop, every = self._window
        windy = drop / 2 * (math.cos(2 * math.pi * (at - self._start) / every) - 1)
        return self._room + windy + swing * math.sin(2 * math.pi * (at - self._start) / 86400 + phase)

    def swing(self, drop: float, every: float) -> None:
        """Let the room fall by so many K and rise again, once in so many s."""
        self._window = drop, every

    def misread(self, kelvin: float) -> None:
        """Let the stick thermometer show so many K more."""
        self._probe.offset += kelvin

    @property
    def fillings(self) -> dict[str, Filling]:
        """What is in each mould, as it truly is, by letter."""
        return {letter: filling for letter, (_, filling) in self._moulds.items()}

    def advance(self, to: float) -> None:
        """Let everything happen up to that time; a time already past does nothing."""
        now = self.now
        for _, filling in self._moulds.values():
            filling.advance(now, to, self.room_at)
        while now < to:
            until = min(now + _ROOM_STEP, to)
            self.pot.room_c = self.room_at((now + until) / 2)
            self.pot.advance(until - now)
            now = until
        self.now = max(self.now, to)

    @property
    def burner_on(self) -> bool:
        """Whether a flame burns, full or low."""
        return self.pot.burner_on

    @property
    def burner_low(self) -> bool:
        """Whether it burns, and no more than low."""
        return self.pot.burner_low

    def turn_low(self, steps: int = 0) -> None:
        """Turn the knob to where this stove's low flame was last, or so many of its settings higher (below 0: lower)."""
        self.pot.low_steps += steps
        self.pot.burner(True, self.pot.low_level)

    def burner(self, on: bool, level: float = 1.0) -> None:
        """Turn the knob; see `Pot.burner`."""
        self.pot.burner(on, level)

    def add_wax(self, kg: float, celsius: float | None = None) -> None:
        """Drop wax into the pot, at room temperature unless told."""
        self.melted_kg += kg
        self.pot.add_wax(kg, self.room_at(self.now) if celsius is None else celsius)

    def add_water(self, kg: float, celsius: float = 15.0) -> None:
        """Fill up the bath; see `Pot.add_water`."""
        self.pot.add_water(kg, celsius)

    @property
    def water_kg(self) -> float:
        """kg of water in the bath."""
        return self.pot.water_kg

    @property
    def wax_kg(self) -> float:
        """kg of wax in the pot."""
        return self.pot.wax_kg

    @property
    def molten_kg(self) -> float:
        """kg of it that would run out: what clings to the pan does not, nor what still lies there in pieces."""
        return self.pot.pan.pourable

    @property
    def everywhere_kg(self) -> float:
        """kg of wax in moulds, pot and jugs, set aside, and spilled."""
        fillings = [filling for _, filling in self._moulds.values()]
        jugs = sum(jug.wax_kg for jug in self.pot.jugs.values())
        return (
            self.wax_kg + jugs + self.set_aside_kg + sum(filling.kg + filling.spilled for filling in fillings)
        )

    def draw_jug(self, layer: int, kg: float, in_bath: bool = True) -> None:
        """Move wax from the pot into the jug of a layer (0 for the first)."""
        self.pot.draw_jug(layer, kg, in_bath)

    def jug_kg(self, layer: int) -> float:
        """kg in that jug; 0 where there is none."""
        return self.pot.jugs[layer].wax_kg if layer in self.pot.jugs else 0.0

    def jug_pourable(self, layer: int) -> float:
        """kg of it that would run out; what clings to jug and spoon does not."""
        return self.pot.jugs[layer].pourable if layer in self.pot.jugs else 0.0

    def jug_in_bath(self, layer: int, yes: bool) -> None:
        """Stand a jug in the bath, or on the bench."""
        self.pot.jug(layer).in_bath = yes

    def pour(self, letter: str, kg: float, from_jug: int | None, layer: int | None = None) -> float:
        """Pour into a mould; returns the true °C of the wax as it lands.

        `from_jug` names the jug by its layer, None the pot itself; `layer` is which layer the wax
        becomes, the jug's own unless told (the first for the pot). What does not fit under the rim is
        spilled. Raises `Trouble` for an unknown mould or jug, too little wax, or wax that has set.
        """
        filling = self._filling(letter)
        vessel = self.pot.pan if from_jug is None else self.pot.jug(from_jug)
        becomes = layer if layer is not None else (from_jug or 0)
        enthalpy = self.pot.pour_out(vessel, kg)
        room = self.room_at(self.now)
        lands = vessel.celsius - _STREAM_LOSS * (vessel.celsius - room)
        enthalpy += vessel.enthalpy_at(lands) - vessel.enthalpy_at(vessel.celsius)
        filling.pour(becomes, kg, enthalpy, room, self.now)
        return lands

    def top_up(self, letter: str, kg: float, from_jug: int | None, layer: int | None = None) -> float:
        """The same as `pour`."""
        return self.pour(letter, kg, from_jug, layer)

    def read(self, place: Place, which: str | int | None = None) -> float:
        """°C as a thermometer shows it now; `which` names the mould's letter or the jug's layer. Raises `Trouble` for a mould that
        is empty, and for a jug that was not drawn."""
        if place == "room":
            return self._wall.read(self.room_at(self.now))
        if place == "surface":
            return self._infrared.read(self.true(place, which), self.room_at(self.now))
        if place == "bath":
            return self._probe.read(place, self.pot.water_c, self.now)
        vessel = self._vessel(place, which)
        return self._probe.read((place, which), self.pot.felt(vessel), self.now)

    def true(self, place: Place, which: str | int | None = None) -> float:
        """The °C that is so, for scoring: mean of the wax, mean of the surface."""
        if place == "room":
            return self.room_at(self.now)
        if place == "bath":
            return self.pot.water_c
        if place == "surface":
            filling = self._filled(str(which))
            return float(filling.face(self.room_at(self.now)) @ filling.ring_share)
        return self._vessel(place, which).celsius

    def look(self, letter: str) -> Look:
        """What a person sees and feels at that mould now."""
        return looks.look(self._filled(letter), self.room_at(self.now))

    def weeps(self, letter: str) -> bool:
        """Whether wax shows under the mould: only with a bad seal, and until the bottom has set."""
        return letter in self._weeping and looks.can_weep(self._filled(letter))

    def make_weep(self, letter: str, yes: bool = True) -> None:
        """Decide by hand whether the seal of a mould is bad."""
        self._filling(letter)
        (self._weeping.add if yes else self._weeping.discard)(letter)

    def level_below_rim(self, letter: str) -> float:
        """m from the rim down to the wax at the wall."""
        filling = self._filling(letter)
        return filling.shell.height - filling.level

    def well_volume(self, letter: str) -> float:
        """m³ of the hollow in the middle of the surface."""
        return self._filling(letter).well

    def spilled(self, letter: str) -> float:
        """kg that ran over that mould's rim."""
        return self._filling(letter).spilled

    def hollow_volume(self, letter: str) -> float:
        """m³ of the hollows hidden under the surface, those that a relief hole leads to included."""
        return self._filling(letter).hollow

    def capacity(self, letter: str) -> float:
        """m³ that the mould holds to its rim."""
        filling = self._filling(letter)
        return filling.shell.volume(filling.shell.height)

    def highest_level(self, letter: str) -> float:
        """m above the inside bottom of the highest level that any pour reached while liquid; 0 before the first."""
        return self._filling(letter).highest

    def fits(self, letter: str, below_rim: float, celsius: float) -> float:
        """kg of wax of that temperature which can be poured before it stands `below_rim` m under the rim.

        What a person would see by pouring up to a line; open relief holes and the well are filled with it.
        """
        filling = self._filling(letter)
        return filling.room(filling.shell.height - below_rim) / float(self.lot.volume_at(celsius))

    def warm(self, letter: str, celsius: float) -> None:
        """Warm a mould's surface with hot air. Raises `Trouble` for a mould that is empty."""
        self._filled(letter).warm(celsius)

    def take_out(self, letter: str, layer: int, into: int | None = None) -> float:
        """Take a layer and all above it out of a mould again; returns its kg.

        It goes into the jug of the layer `into`, or is set aside. Raises `Trouble` for a mould that is empty.
        """
        kg, enthalpy = self._filled(letter).take_out(layer)
        if kg > 0 and into is not None:
            self.pot.pour_in(into, kg, enthalpy)
        else:
            self.set_aside_kg += kg
        return kg

    def pours_to(self, letter: str, below_rim: float, from_jug: int) -> float:
        """kg of a jug that bring the surface of a mould to a line, `below_rim` m under its rim, watched as it rises.

        A little more than `fits`: what cools at the wall while it goes in takes less room. Raises `Trouble` as `pour` does.
        """
        filling, vessel, room = self._filling(letter), self.pot.jug(from_jug), self.room_at(self.now)
        lands = vessel.celsius - _STREAM_LOSS * (vessel.celsius - room)
        kg = self.fits(letter, below_rim, lands)
        for _ in range(2):
            trial = deepcopy(filling)
            trial.pour(from_jug, kg, vessel.enthalpy_at(lands), room, self.now)
            kg += trial.room(filling.shell.height - below_rim) / float(self.lot.volume_at(lands))
        return kg

    def relieve(self, letter: str, depth: float | None = None) -> bool:
        """Push relief holes `depth` m down, or through the crust; True where they reach liquid wax or a hollow.

        Raises `Trouble` for a mould that is empty.
        """
        return self._filled(letter).relieve(depth)

    def weigh(self, letter: str) -> float:
        """kg of wax in the mould on the person's own scale."""
        step = self.plan.scale_step
        return round(self._filling(letter).kg / step) * step

    def joints(self, letter: str) -> list[tuple[int, int]]:
        """Pairs of layers in that mould of which the second was poured on the first."""
        return [(below, above) for below, above in pairwise(self._filling(letter).layers) if above != below]

    def section(self, letter: str) -> Section:
        """The true field in a mould."""
        f = self._filled(letter)
        return Section(tuple(f.layers), f.celsius, 1 - f.melted)

    def seam(self, letter: str, layer: int) -> Seam:
        """How deep the joint under that layer remelted, so far. Raises `Trouble` where there is no joint."""
        join = self._filled(letter).seam(layer)
        if join is None:
            raise Trouble(
                tr("Mould {letter} has no joint under layer {layer}.", letter=letter, layer=layer + 1)
            )
        return join

    def demould(self, letter: str) -> Release:
        """What happens when the mould is turned over now."""
        mould, _ = self._moulds[letter]
        return looks.release(self._filled(letter), mould.material == "silicone")

    def _vessel(self, place: str, which: str | int | None) -> Vessel:
        if place == "pot":
            return self.pot.pan
        if which is None or not str(which).isdigit():
            raise Trouble(tr("Which jug?"), instead=tr("Name it by its layer."))
        return self.pot.jug(int(which))

    def _filling(self, letter: str) -> Filling:
        if letter not in self._moulds:
            raise Trouble(
                tr("There is no mould {letter} on the bench.", letter=letter),
                instead=tr("There are {moulds}.", moulds=", ".join(self._moulds)),
            )
        return self._moulds[letter][1]

    def _filled(self, letter: str) -> Filling:
        filling = self._filling(letter)
        if filling.empty:
            raise Trouble(
                tr("Mould {letter} is still empty.", letter=letter), instead=tr("Pour into it first.")
            )
        return filling
