"""What is taken for true of a pot before any reading: priors, and guesses made from bell curves.

Every unknown is a standard normal number turned into a physical one, so the prior is the same bell in
every direction. The figures are physics and common practice (estimates, marked by their spread in the code):
- half a kilogram melts from chunks in 15-25 min on a hot bath, the last 10 K are quick, and natural convection
  of molten wax on a wall is 100-250 W/(m² K), more when stirred: k about 14 W/(kg K) molten and half of that
  solid, with the surface per kilogram falling as kg^(-1/3);
- a reading may be off by a degree or two for the tip alone: stirred first, it feels about a hundredth, now and then
  some, of the 40-60 K to the bath;
- a 1 kg jug in air at 80 °C falls about 1 K/min: k about 0.65 W/(kg K) at 40 K above the room;
- a bath holds 1-3 kg of water where nobody said how much, and its pot as much heat as a tenth of a kilogram more; what has
  left it as steam since it was full is reckoned, and where it is told how much it holds, that is right within a tenth; a
  ring of 1-2 kW gives
  about half of that to it; the hob takes half a minute (gas) to two minutes (iron plate) to warm up, and as long
  to die away;
- a flame turned low gives a quarter of the full one, between a seventh and a half: what holds a bath near 85 °C, by the
  losses below (an estimate until it was read);
- the bath boils, or simmers a few kelvin lower; 50 K above the room it loses about 130 W: pot wall 0.15 m² at
  7 (bright) to 12 W/(m² K), and 0.02 m² of open water evaporating at h/(rho cp Le^(2/3)) = 7e-3 m/s, which grows
  with the vapour pressure: by the 2.2th power of the difference there, the sum by the 1.5th (the open water by the Lewis
  relation of heat and mass transfer, Incropera and DeWitt, chapter 6.7; h 8 W/(m² K) above it). So a bath at 85 °C loses
  some 0.15 kg of water an hour, and one that boils hard over 850 W over a kilogram;
- the wax's open top loses 0.25 W/K per kg, which leaves the wax 2-5 K below the water;
- a vessel with little in it is still wetted at its base: a pitcher 10 cm across has 79 cm² of it, and 500 cm² of wall for each
  kilogram of wax (0.8 kg/l), so that below half a kilogram the wax warms the faster for it, and 40 g four times as fast as 500 g;
- a pouring pitcher is 150-250 g of aluminium, or as much heat in steel: about 130 J/K, which a small jug's wax
  takes along;
- two lots of the same wax differ by about 1.5 K and 15 % in latent heat, nineteen times in twenty; one that nobody knows by
  as much as its words or its curve leave open (`wax/unsure.py`), and while it melts its readings say which it is.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np

from pourday.forecast.pot_law import USUAL_POT, WATER_CP, PotLaw
from pourday.forecast.pot_model import Floats, Members, Mode, Table, table
from pourday.wax.materials import Wax
from pourday.wax.unsure import kelvin_sd, latent_sd

_VESSEL: Final = 130.0
"""J/K: 150 g of aluminium at 900 J/(kg K), as of a small pitcher (see above). An estimate of ours."""
_HALF_FULL: Final = 0.5
"""kg in a pitcher from which on more wax means a larger vessel; less of it stands lower in the same one. An
estimate of ours."""
_BASE: Final = 0.0079
_WALL: Final = 0.050
"""m² that wax wets at the base of a pitcher 0.10 m across and at its wall for each kg, derived from that: 4 / (0.10 m x
800 kg/m³). Both estimates."""


USUAL_WATER: Final = USUAL_POT.water
WATER_SD: Final = USUAL_POT.water_sd
"""Of a bath of which nobody said how much it holds, in a kitchen of which nothing is known."""
WATER_TOLD_SD: Final = 0.1
"""Standard deviation of its logarithm where it was told. An estimate of ours."""
LEAST_FULL: Final = 0.15
"""Share of a full bath below which none is taken to have boiled down: somebody would have seen it. An
estimate of ours."""


@dataclass(frozen=True, slots=True)
class Guess:
    """A value not known exactly: mean and standard deviation of a bell curve."""

    mean: float
    sd: float


@dataclass(frozen=True, slots=True)
class Carried:
    """What an earlier stretch has shown, as one bell over several unknowns, so that what belongs together
    stays together. "start" is J/kg on the table's curve, "bath" °C, the others standard normal numbers."""

    names: tuple[str, ...]
    mean: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]

    def joined(self, earlier: Carried, name: str, loosen: float) -> Carried:
        """The same with one unknown as it was known earlier, a little less surely, where it is not among these."""
        if name in self.names or name not in earlier.names:
            return self
        at = earlier.names.index(name)
        variance = earlier.covariance[at][at] + loosen**2
        alone = (*(0.0 for _ in self.names), variance)
        covariance = (*((*row, 0.0) for row in self.covariance), alone)
        return Carried((*self.names, name), (*self.mean, earlier.mean[at]), covariance)

    def moved(self, name: str, by: Guess) -> Carried:
        """The same with one unknown changed by a guess in its own unit; as it is, where that one is not among these."""
        if name not in self.names:
            return self
        at = self.names.index(name)
        mean = tuple(m + by.mean * (i == at) for i, m in enumerate(self.mean))
        covariance = np.array(self.covariance)
        covariance[at, at] += by.sd**2
        return Carried(self.names, mean, tuple(map(tuple, covariance.tolist())))

    def mixed(self, share: float, other_h: float) -> Carried:
        """The same after `share` of the wax is joined by the rest at `other_h` J/kg."""
        at = self.names.index("start")
        mean = tuple(share * m + (1.0 - share) * other_h if i == at else m for i, m in enumerate(self.mean))
        scale = np.ones(len(self.names))
        scale[at] = share
        covariance = np.array(self.covariance) * np.outer(scale, scale)
        return Carried(self.names, mean, tuple(map(tuple, covariance.tolist())))


@dataclass(frozen=True, slots=True, kw_only=True)
class PotSetup:
    """What is known of the pot since the last change, readings apart. Hashable: forecasts can be cached."""

    wax: Wax
    kg: float
    """All the wax on the hob, that of jugs beside the pot too."""
    fullest: float = 1.0
    """Share of it that stands in the fullest vessel, which is the last to be warm."""
    room_c: float = 20.0  # °C; estimate, where nobody says
    bath_limit_c: float = 100.0
    """Local boiling point of water; at sea level 99.97 °C (IAPWS-95)."""
    mode: Mode
    mode_since: float
    """When burner, jug or amount of wax last changed, seconds since the epoch."""
    burner_since: float | None = None
    """When the burner was last switched, where that was before `mode_since`."""
    mode_was: Mode | None = None
    """How it burned before that; None for the other of full and off."""
    start_c: Guess | None = None
    """Wax temperature at `mode_since`, where something is known of it."""
    bath_c: Guess | None = None
    """Bath temperature at `mode_since`."""
    law: PotLaw = USUAL_POT
    """What is likely of this kitchen's stove and pot."""
    water_kg: float = USUAL_WATER
    """Water in the full bath, likely,"""
    water_sd: float = WATER_SD
    """the standard deviation of its logarithm,"""
    gone_kg: float = 0.0
    """how much of it has gone as steam by `mode_since`, likely,"""
    unseen_kg: float = 0.0
    """and how much of that since somebody last looked."""
    carried: Carried | None = None
    """What the stretch before has shown (`pot.after_change`); goes before `start_c` and `bath_c`."""

    @property
    def vessel_kg(self) -> float:
        """kg in the fullest vessel."""
        return self.kg * self.fullest

    @property
    def start_known(self) -> bool:
        """Whether anything is known of how warm the wax was at the last change."""
        return self.start_c is not None or (self.carried is not None and "start" in self.carried.names)

    @property
    def bath_guess(self) -> Guess | None:
        """Mean and spread of the bath at `mode_since`, where something is known of it."""
        if self.carried is None or "bath" not in self.carried.names:
            return self.bath_c
        at = self.carried.names.index("bath")
        return Guess(self.carried.mean[at], math.sqrt(self.carried.covariance[at][at]))


_IN_BATH: Final = ("start", "rate", "contact", "shift", "width", "latent", "bath", "power", "water")
UNKNOWNS: Final[dict[Mode, tuple[str, ...]]] = {
    "on heat": (*_IN_BATH, "cap", "tip"),
    "on low": (*_IN_BATH, "low", "loss", "cap", "tip"),
    "off heat": (*_IN_BATH, "lag", "loss", "tip"),
    "in air": ("start", "air rate", "shift", "latent", "room", "tip"),
}
"""The columns of `z` by mode."""


def _between(low: float | Floats, high: float | Floats, z: Floats) -> Floats:
    """Nearly evenly spread over low..high (logistic stand-in for the normal integral, within 1 %)."""
    return np.asarray(low + (high - low) / (1.0 + np.exp(-1.702 * z)))


def _carried(carried: Carried, mode: Mode) -> tuple[tuple[str, ...], list[int], Floats, Floats]:
    """The carried unknowns that this mode has: names, their columns of z, mean, root of the covariance."""
    names = tuple(n for n in UNKNOWNS[mode] if n in carried.names)
    rows = [carried.names.index(n) for n in names]
    covariance = np.array(carried.covariance)[np.ix_(rows, rows)]
    columns = [UNKNOWNS[mode].index(n) for n in names]
    return names, columns, np.array(carried.mean)[rows], np.linalg.cholesky(covariance)


def unknown_values(setup: PotSetup, z: Floats) -> dict[str, Floats]:
    """The unknowns by name, (n,) each: standard normal by this module's priors, however sure one is of
    them by now; a carried start is in J/kg, a carried bath in °C."""
    value = dict(zip(UNKNOWNS[setup.mode], z.T, strict=True))
    if setup.carried is not None:
        names, columns, mean, root = _carried(setup.carried, setup.mode)
        value.update(zip(names, (mean + z[:, columns] @ root.T).T, strict=True))
    return value


def members_of(setup: PotSetup, z: Floats, later: Floats, start: float, first: Guess | None) -> Members:
    """Physical values of standard normal points z, shape (n, unknowns of the mode); `later` shape (n,).

    Paths begin at `start`; `first`, where given, is a reading taken then that stands for the start.
    """
    value = unknown_values(setup, z)
    zero, law = np.zeros(len(z)), setup.law
    air = setup.mode == "in air"
    shift = kelvin_sd(setup.wax) * value.get("shift", zero)
    room = setup.room_c + 1.0 * value.get("room", zero)
    tip = 0.01 * np.exp(0.9 * value["tip"])
    hob = _hob(setup, value, zero, room, start - setup.mode_since, first or setup.start_c)
    lit = setup.mode_since if setup.burner_since is None else setup.burner_since
    if first is not None:
        wax_c = (first.mean + first.sd * z[:, 0] - tip * hob.bath_c) / (1.0 - tip)
        start_h = table(setup.wax).enthalpy(wax_c - shift)
    else:
        start_h = _start_h(setup, table(setup.wax), value["start"], shift)
    return Members(
        start_h=start_h,
        bath_c=hob.bath_c,
        rate=_rate(setup, value["air rate" if air else "rate"]),
        contact=np.minimum(law.contact * np.exp(law.contact_sd * value.get("contact", zero)), 1.2),
        tip=tip,
        kg=zero + setup.kg,
        power=hob.power,
        flame=zero + hob.flame,
        was=zero + hob.was,
        lag=law.lag * np.exp(law.lag_sd * value.get("lag", zero)),
        burning=zero + (start - lit),
        cap_c=hob.cap_c,
        pot_heat=zero + law.pot_heat,
        full=hob.full,
        water=hob.water,
        loss=hob.loss,
        top=zero + 0.25 * math.pow(setup.vessel_kg, -1 / 3),
        metal=zero + _VESSEL / setup.vessel_kg,
        latent=np.exp(latent_sd(setup.wax) * value["latent"]),
        shift=shift,
        width=0.7 * value.get("width", zero),
        room_c=room,
        later=np.exp((0.1 if air else 0.05) * later),
    )


class _Hob(NamedTuple):
    """Burner and bath: °C, °C, W at full, shares of it now and before, W/K, kg when full and now; all (n,)."""

    bath_c: Floats
    cap_c: Floats
    power: Floats
    flame: Floats
    was: Floats
    loss: Floats
    full: Floats
    water: Floats


def _hob(
    setup: PotSetup,
    value: dict[str, Floats],
    zero: Floats,
    room: Floats,
    elapsed: float,
    wax_c: Guess | None,
) -> _Hob:
    """Burner and bath as the paths start, `elapsed` s after the last change; the wax's pull until then left out."""
    on, law = setup.mode in ("on heat", "on low"), setup.law
    cap = setup.bath_limit_c - (1.5 * np.exp(1.1 * value["cap"]) if on else zero)
    full = setup.water_kg * np.exp(setup.water_sd * value.get("water", zero))
    water = np.maximum(full - setup.gone_kg, LEAST_FULL * full)
    holds = law.pot_heat + WATER_CP * water
    power = zero if _never_lit(setup) else law.power * np.exp(law.power_sd * value.get("power", zero))
    loss = law.loss * np.exp(law.loss_sd * value.get("loss", zero))
    if setup.mode == "in air":
        return _Hob(room, cap, power, zero, zero, loss, full, water)
    flame, was = zero + _flame(setup, setup.mode, value), zero + _flame(setup, _before(setup), value)
    bath = _bath(setup, value.get("bath", zero), cap, wax_c)
    if on:
        bath = bath + flame * power * (elapsed / holds)
    else:
        bath = room + (bath - room) * np.exp(-elapsed * loss / holds)
    return _Hob(np.minimum(bath, cap), cap, power, flame, was, loss, full, water)


def _before(setup: PotSetup) -> Mode:
    """How the burner burned before it was switched last."""
    return setup.mode_was or ("on heat" if setup.mode == "off heat" else "off heat")


def _flame(setup: PotSetup, mode: Mode, value: dict[str, Floats]) -> float | Floats:
    """Share of the full flame: all of it, none, or what this stove's low flame is held to be."""
    if mode != "on low":
        return 1.0 if mode == "on heat" else 0.0
    if "low" in value:
        low = value["low"]
    elif setup.carried is not None and "low" in setup.carried.names:
        low = np.array(setup.carried.mean[setup.carried.names.index("low")])
    else:
        low = np.zeros(1)
    return setup.law.low * np.exp(setup.law.low_sd * low)


def _never_lit(setup: PotSetup) -> bool:
    """Off heat with a cold bath: there is no hot hob under it."""
    bath = setup.bath_guess
    return setup.mode == "off heat" and bath is not None and bath.mean < setup.room_c + 10.0


def _start_h(setup: PotSetup, tab: Table, value: Floats, shift: Floats) -> Floats:
    """J/kg at the last change."""
    if setup.carried is not None and "start" in setup.carried.names:
        return value
    if setup.start_c is not None:
        return tab.enthalpy(setup.start_c.mean + setup.start_c.sd * value - shift)
    ends = tab.enthalpy(np.array([setup.room_c - 2.0, setup.bath_limit_c]))
    return _between(float(ends[0]), float(ends[1]), value)


def _rate(setup: PotSetup, z: Floats) -> Floats:
    """Heat transfer of the molten wax, W/(kg K), shape (n,); a large vessel has less wall for each kg."""
    law = setup.law
    if setup.mode == "in air":
        return np.asarray(law.air * math.pow(setup.vessel_kg, -1 / 3) * np.exp(law.air_sd * z))
    wetted = _wetted(setup.vessel_kg) / _wetted(_HALF_FULL)
    return np.asarray(law.uptake * wetted * np.exp(law.uptake_sd * z))


def _wetted(kg: float) -> float:
    """m² of wall and base that wax wets for each kilogram of it."""
    if kg > _HALF_FULL:
        return _wetted(_HALF_FULL) * math.pow(_HALF_FULL / kg, 1 / 3)
    return _BASE / kg + _WALL


def _bath(setup: PotSetup, value: Floats, cap: Floats, wax_c: Guess | None) -> Floats:
    """Bath temperature at the last change; a burner that went off leaves it no colder than the wax it heated."""
    if setup.carried is not None and "bath" in setup.carried.names:
        return value
    if setup.bath_c is not None:
        return setup.bath_c.mean + setup.bath_c.sd * value
    if setup.mode in ("on heat", "on low"):
        return _between(setup.room_c - 3.0, cap, value)
    low = 0.4 * setup.room_c + 0.6 * setup.bath_limit_c
    if wax_c is not None:
        low = min(max(low, wax_c.mean - 2.0), setup.bath_limit_c - 4.0)
    return _between(low, cap, value)
