"""The double boiler as it truly is: hob, bath of water, pan of wax, jugs beside it.

Bath and wax have each their own temperature; heat crosses the pan wall by what is wetted, better when
the wax is molten and when somebody stirs. The hob stores heat, so it answers late and overshoots.
Water leaves by evaporation and, at the local boiling point, by whatever power is over; once it is
gone the pan hangs in a hot dry pot and nothing holds the wax down. Stirring and supply waver as smooth
functions of time, not as noise per step, so that the result does not depend on how often one looks.
Heat ledger: `heat_in` - `heat_out` is what `energy` has gained since the pot was set up.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pourday.errors import Trouble
from pourday.kitchen import water
from pourday.kitchen.truth import Lot, draw_lot, near
from pourday.kitchen.vessel import Vessel
from pourday.language import tr
from pourday.wax.materials import Wax

_STEP = 10.0
"""s, longest step while the hob gives heat; the quickest vessel answers in about a minute. Chosen."""
_CALM_STEP = 60.0
"""s, the same once the hob has been cold for a while and everything is within `_CALM` of the room. Chosen."""
_CALM = 5.0
"""K. Chosen."""
_COVERS = 0.25
"""kg of water below which the pan is no longer fully wetted. Estimate."""
_DRY_RISE = 60.0
"""K above 100 °C at which a hot dry pot loses twice as much per kelvin, mostly by radiation. Estimate."""
_VAPOUR_STEP = 7e-3
"""m/s, mass transfer at a free water surface. Derived: h / (rho cp Le^(2/3)) with h 8 W/m²K (an estimate), by the Lewis
relation (Incropera and DeWitt, chapter 6.7)."""


@dataclass(frozen=True, slots=True)
class StoveTruth:
    """Hidden figures of one kitchen's hob, pot and pan. W/K unless said otherwise."""

    power: float
    """W into the bath at full."""
    steps: int
    """How many settings the knob has."""
    low: float
    """Share of full at which whoever turns it low leaves it."""
    lag: float
    """s, time constant of the hob plate."""
    pot: float
    """J/K of the outer pot."""
    bath_loss: float
    water_surface: float
    """m² of water open to the air around the pan."""
    wet: float
    """Bath to 1 kg of molten wax through the wetted wall."""
    dry: float
    """Hot dry pot to pan."""
    top_loss: float
    """1 kg of wax in the bath to the air."""
    bench_loss: float
    """1 kg of wax on the bench to the air, 50 K above it."""
    loss_rise: float
    """Share of the bench loss that grows with the temperature difference."""
    stirring: float
    """How far the coupling wavers, share."""
    swirl: float
    """How far the tip of a probe departs from the mean, share of the difference between bath and wax."""
    phase: float
    """rad"""


def draw_stove(rng: np.random.Generator) -> StoveTruth:
    """A plausible kitchen: 600-1800 W hob of which the bath gets its part (estimate)."""
    power, steps = float(rng.uniform(600.0, 900.0)), int(rng.integers(6, 10))
    return StoveTruth(
        power=power,
        steps=steps,
        # Its second setting: the first one keeps a plate warm.
        low=2.0 / steps,
        lag=float(rng.uniform(15.0, 120.0)),
        pot=400.0 * near(rng, 0.15),
        bath_loss=1.2 * near(rng, 0.15),
        water_surface=0.015 * near(rng, 0.2),
        wet=14.0 * near(rng, 0.12),
        dry=2.5 * near(rng, 0.2),
        top_loss=0.2 * near(rng, 0.2),
        bench_loss=0.68 * near(rng, 0.12),
        loss_rise=float(rng.uniform(0.15, 0.3)),
        stirring=float(rng.uniform(0.05, 0.2)),
        swirl=float(rng.uniform(0.0, 0.03)),
        phase=float(rng.uniform(0.0, 2 * math.pi)),
    )


class Pot:
    """Bath, pan and jugs on one hob. `rng` draws what is hidden; a `Lot` or `truth` given stays as it is."""

    def __init__(
        self,
        wax: Wax | Lot,
        wax_kg: float,
        water_kg: float,
        rng: np.random.Generator,
        room_c: float = 20.0,
        altitude_m: float = 0.0,
        *,
        truth: StoveTruth | None = None,
        keeps: float = 0.0,
    ) -> None:
        """`keeps` are the kg that cling to each vessel and its spoon."""
        self.lot = draw_lot(wax, rng) if isinstance(wax, Wax) else wax
        self.truth = truth or draw_stove(rng)
        self.boiling_c = water.boiling_point(water.air_pressure(altitude_m))
        self.room_c = room_c
        self.seconds = 0.0
        """Since the pot was set up."""
        self.water_c = room_c
        """°C of bath and outer pot; of the pot alone once it is dry."""
        self.water_kg = water_kg
        self.keeps = keeps
        self.pan = Vessel(self.lot, 150.0, room_c, self.keeps)
        self.jugs: dict[int, Vessel] = {}
        self.heat_in = 0.0
        self.heat_out = 0.0
        self.low_steps = 0
        """Settings by which its low flame was set higher than at first; below 0, lower."""
        self._level = 0.0
        self._power = 0.0
        if wax_kg > 0:
            self.add_wax(wax_kg, room_c)

    @property
    def wax_c(self) -> float:
        """°C of the wax in the pan."""
        return self.pan.celsius

    @property
    def wax_kg(self) -> float:
        """kg of wax in the pan, cold pieces among it."""
        return self.pan.wax_kg

    @property
    def burner_on(self) -> bool:
        """Whether the knob is turned."""
        return self._level > 0

    @property
    def burner_low(self) -> bool:
        """Whether it burns, and no more than low."""
        return 0 < self._level <= self.low_level + 0.5 / self.truth.steps

    @property
    def low_level(self) -> float:
        """Share of full at which whoever turns it low leaves it by now: never below the lowest setting."""
        steps = self.truth.steps
        return min(1.0, max(self.truth.low + self.low_steps / steps, 1.0 / steps))

    @property
    def dry(self) -> bool:
        """Whether there is no water left."""
        return self.water_kg <= 0

    @property
    def energy(self) -> float:
        """J above 0 °C of everything on the hob, liquid water as the zero of water."""
        return self._bath_capacity() * self.water_c + sum(v.energy for v in self._vessels())

    def burner(self, on: bool, level: float = 1.0) -> None:
        """Turn the knob, `level` 0 to 1; it clicks to the nearest setting, and not below the lowest."""
        if not 0 <= level <= 1:
            raise Trouble(
                tr("The burner has no level {level:g}.", level=level),
                instead=tr("Choose a level from 0 to 1."),
            )
        steps = self.truth.steps
        self._level = max(round(level * steps), 1) / steps if on and level > 0 else 0.0

    def add_wax(self, kg: float, celsius: float) -> None:
        """Drop cold or warm wax into the pan; it melts in over some minutes."""
        before = self.energy
        self.pan.drop_in(_weight(kg), celsius)
        self.heat_in += self.energy - before

    def add_water(self, kg: float, celsius: float = 15.0) -> None:
        """Fill up the bath; on a hot dry pot it flashes to steam."""
        added = _weight(kg) * water.SPECIFIC_HEAT
        old = self._bath_capacity()
        self.water_c = (old * self.water_c + added * celsius) / (old + added)
        self.water_kg += kg
        self.heat_in += added * celsius
        # Into a hot dry pot it flashes to steam at once.
        self._boil_off()

    def lift(self, out: bool) -> None:
        """Lift the pan out of the bath, or put it back."""
        self.pan.in_bath = not out

    def draw_jug(self, layer: int, kg: float, in_bath: bool = True) -> None:
        """Pour wax from the pan into the jug of that layer, a cool one if it is new."""
        enthalpy = self.pan.remove(_weight(kg))
        self._jug(layer, in_bath).add(kg, enthalpy)

    def pour_in(self, layer: int, kg: float, enthalpy: float) -> None:
        """Put wax of that enthalpy, J/kg, from elsewhere into the jug of that layer, a cool one if it is new."""
        self._jug(layer, in_bath=True).add(_weight(kg), enthalpy)
        self.heat_in += kg * enthalpy

    def _jug(self, layer: int, in_bath: bool) -> Vessel:
        if layer not in self.jugs:
            self.jugs[layer] = Vessel(self.lot, 110.0, self.room_c, self.keeps)
            self.jugs[layer].in_bath = in_bath
            self.heat_in += self.jugs[layer].energy
        return self.jugs[layer]

    def jug(self, layer: int) -> Vessel:
        """The jug of a layer. Raises `Trouble` where none was drawn."""
        if layer not in self.jugs:
            raise Trouble(
                tr("There is no jug for layer {layer}.", layer=layer + 1),
                instead=tr("Draw wax into it first."),
            )
        return self.jugs[layer]

    def pour_out(self, vessel: Vessel, kg: float) -> float:
        """Take wax away from the hob; returns its enthalpy, J/kg."""
        enthalpy = vessel.remove(_weight(kg))
        self.heat_out += kg * enthalpy
        return enthalpy

    def felt(self, vessel: Vessel) -> float:
        """°C at the tip of a probe: the mean and a wavering part of what the wall is above it."""
        outside = self.water_c if vessel.in_bath else self.room_c
        return vessel.celsius + self.truth.swirl * (outside - vessel.celsius) * (0.5 + self._waver(37.0))

    def advance(self, seconds: float) -> None:
        """Let that many seconds pass at the present room temperature."""
        steps = max(math.ceil(seconds / (_CALM_STEP if self._calm else _STEP) - 1e-9), 0)
        for _ in range(steps):
            self._step(seconds / steps)

    @property
    def _calm(self) -> bool:
        """Whether nothing quick can happen: the long nights and cures of a day with the burner off."""
        warmest = max(self.water_c, *(v.celsius for v in self._vessels()))
        return self._level == 0 and self._power < 1.0 and warmest < self.room_c + _CALM

    def _vessels(self) -> list[Vessel]:
        return [self.pan, *self.jugs.values()]

    def _bath_capacity(self) -> float:
        return self.truth.pot + self.water_kg * water.SPECIFIC_HEAT

    def _waver(self, period: float) -> float:
        """Between -0.5 and 0.5, smooth in time and the same for the same second."""
        turn = 2 * math.pi * self.seconds / period + self.truth.phase
        return 0.3 * math.sin(turn) + 0.2 * math.sin(2.618 * turn + 1.0)

    def _from_hob(self, seconds: float) -> float:
        """Mean W that the plate hands to the bath over a step, and the plate's new state."""
        wanted = self.truth.power * self._level * (1 + 0.08 * self._waver(210.0))
        share = math.exp(-seconds / self.truth.lag)
        mean = wanted + (self._power - wanted) * (1 - share) * self.truth.lag / seconds
        self._power = wanted + (self._power - wanted) * share
        return mean

    def _evaporation(self, celsius: float) -> float:
        """kg/s from the open water below boiling; a kitchen's air holds half its fill of vapour."""
        if self.water_kg <= 0:
            return 0.0
        over = water.vapour_density(celsius) - 0.5 * water.vapour_density(self.room_c)
        return max(_VAPOUR_STEP * self.truth.water_surface * over, 0.0)

    def _couplings(self) -> list[tuple[float, float, float]]:
        """For every vessel W/K to the bath, W/K to the air, and how the latter grows with the difference."""
        t, stir = self.truth, 1 + self.truth.stirring * self._waver(53.0)
        wetted = min(self.water_kg / _COVERS, 1.0)
        through = stir * (t.wet * wetted) + t.dry * (1 - wetted)
        result = []
        for v in self._vessels():
            if v.in_bath:
                result.append((through * v.spread * (0.5 + 0.5 * v.melted) + 0.3, t.top_loss * v.spread, 0.0))
            else:
                result.append((0.0, t.bench_loss * v.spread + 0.02, t.loss_rise))
        return result

    def _flows(
        self, bath: float, vessels: list[float], couplings: list[tuple[float, float, float]]
    ) -> tuple[float, list[float], float]:
        """W that leave the bath other than as steam, W net into each vessel, W lost to the air."""
        room = self.room_c
        hotter = max(bath - 100.0, 0.0) / _DRY_RISE
        lost = self.truth.bath_loss * (1 + hotter) * (bath - room)
        leaving = lost
        net = []
        for celsius, (wall, air, rise) in zip(vessels, couplings, strict=True):
            inwards = wall * (bath - celsius)
            outwards = air * (celsius - room) * (1 - rise + rise * abs(celsius - room) / 50.0)
            leaving += inwards
            lost += outwards
            net.append(inwards - outwards)
        return leaving, net, lost

    def _step(self, seconds: float) -> None:
        """One midpoint step for bath and vessels, then boiling."""
        vessels = self._vessels()
        for v in vessels:
            v.melt_in(seconds)
        power, couplings, capacity = self._from_hob(seconds), self._couplings(), self._bath_capacity()
        steam = self._evaporation(self.water_c)
        leaving, net, _ = self._flows(self.water_c, [v.celsius for v in vessels], couplings)
        half = seconds / 2
        bath = self.water_c + half * (power - leaving - steam * water.LATENT) / capacity
        if self.water_kg > 0:
            bath = min(bath, self.boiling_c)
        steam = min(self._evaporation(bath), self.water_kg / seconds)
        middle = [v.after(half * q) for v, q in zip(vessels, net, strict=True)]
        leaving, net, lost = self._flows(bath, middle, couplings)
        for v, q in zip(vessels, net, strict=True):
            v.take(seconds * q)
        self.water_c += seconds * (power - leaving - steam * water.LATENT) / capacity
        self.heat_in += seconds * power
        self.heat_out += seconds * (lost + steam * (water.LATENT + water.SPECIFIC_HEAT * self.water_c))
        self.water_kg -= seconds * steam
        self._boil_off()
        self.seconds += seconds

    def _boil_off(self) -> None:
        """Above the boiling point the surplus heat leaves as steam, as long as there is water."""
        if self.water_kg <= 0 or self.water_c <= self.boiling_c:
            return
        surplus = (self.water_c - self.boiling_c) * self._bath_capacity()
        gone = min(self.water_kg, surplus / water.LATENT)
        self.heat_out += gone * (water.LATENT + water.SPECIFIC_HEAT * self.boiling_c)
        left = surplus - gone * water.LATENT
        self.water_kg = self.water_kg - gone if gone < self.water_kg else 0.0
        self.water_c = self.boiling_c + left / self._bath_capacity()


def _weight(kg: float) -> float:
    if not kg > 0:
        raise Trouble(tr("That is no weight."), instead=tr("Give more than nothing."))
    return kg
