"""What a mould forecast is asked about: the vessel, what stands around it, what is poured when."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from pourday.errors import Trouble
from pourday.language import tr
from pourday.plan.model import Material
from pourday.wax.enthalpy import Curve, curve
from pourday.wax.materials import Wax

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Films:
    """Coefficients wax to surroundings in W/(m² K), where they are known instead of computed.

    A wall's resistance is taken as part of `side` and `base`; the wall itself then holds no heat.
    """

    side: float
    base: float
    top: float


@dataclass(frozen=True)
class RoundMould:
    """A round mould, or the cylinder that stands for another shape. SI."""

    radius: float
    height: float
    """Inside, bottom to rim."""
    material: Material = "bright metal"
    wall: float | None = None
    """m; None takes the usual wall of the material."""
    insulation: float = 0.0
    """m² K/W around side and base: a towel about 0.1, a box with a blanket about 0.3 (estimates)."""
    warm_c: float | None = None
    """Temperature the mould was warmed to before the first pour; None is the room's."""
    films: Films | None = None
    """Surface coefficients given instead of computed, as text-book cases give them."""
    side_factor: float = 1.0
    """Heat lost through side and base in a kitchen as measured there, over what the correlations say."""
    top_factor: float = 1.0
    """The same for the open surface."""


@dataclass(frozen=True)
class Around:
    """What the mould stands in from a time on."""

    room_c: float = 20.0  # °C; estimate, where nobody says
    from_s: float = 0.0
    bath_c: float | None = None
    """Temperature of a water bath, or None."""
    bath_level: float = 0.0
    """m of water above the mould's inside bottom."""
    draught: float = 1.0
    """Factor on all coefficients in air."""


@dataclass(frozen=True)
class PourInto:
    """One layer, poured at once. Height or mass is given, not both."""

    at_s: float
    """s on the clock of the pours: any zero will do that all pours of a mould share."""
    celsius: float
    """As it arrives on the surface."""
    wax: Wax
    height: float = 0.0
    """m in the mould."""
    mass: float = 0.0
    """kg"""
    curve: Curve | None = None
    """Replaces the wax's own enthalpy curve."""

    @property
    def density(self) -> float:
        """kg/m³ the computation uses throughout: halfway between the liquid at its liquidus and the cold solid.

        The wax does shrink while it sets; the grid does not. Halfway keeps both the mass and the
        size within 8 %.
        """
        return (self.wax.density_at(self.wax.liquidus_c) + self.wax.density_solid) / 2

    def height_in(self, radius: float) -> float:
        """Height of the layer in m in a cylinder of this radius.

        >>> from pourday.wax.materials import family
        >>> round(PourInto(0.0, 80.0, family("paraffin_pillar"), mass=0.1).height_in(radius=0.035), 4)
        0.0308
        """
        return self.height or self.mass / (self.density * math.pi * radius**2)

    def heat_curve(self, width_scale: float) -> Curve:
        """The enthalpy curve that is computed with; `width_scale` stretches the wax's own melting range."""
        return self.curve or curve(self.wax, width_scale)


@dataclass(frozen=True)
class Resolution:
    """How finely a mould is computed. Lengths in m."""

    top: float
    """Height of the rows at the open surface."""
    seam: float
    """Height of the rows either side of a seam."""
    wall: float
    """Width of the rings at the wall and height of the rows at the base."""
    widest: float
    """No row is higher and no ring wider, however far it lies from surface, seam and wall."""
    growth: float
    """How much a row may be higher than its neighbour, per row; rings widen twice as fast."""
    step: float
    """Time step as a share of the time since the last pour: it all slows down as it cools."""
    step_least: float
    """s"""
    step_most: float
    """s"""
    late: float = 2.5
    """How much larger cells at seams, base and wall may be once what happened there is past. Chosen."""


ROUGH = Resolution(0.0012, 0.003, 0.003, 0.015, 0.4, 0.25, 8.0, 2000.0, 4.0)
COARSE = Resolution(0.0009, 0.0018, 0.0015, 0.007, 0.15, 0.14, 4.0, 500.0)
FINE = Resolution(0.0005, 0.0014, 0.0005, 0.005, 0.12, 0.08, 2.0, 400.0)
FINEST = Resolution(0.00025, 0.0004, 0.0005, 0.0015, 0.02, 0.012, 0.5, 40.0, 1.5)
"""All chosen: rough answers stand only until coarse ones come, a third of a second later at most; fine ones are for good. The
finest is a yardstick for tests (`tests/bench/test_mould_bench.py`), far too slow for the stove."""


@dataclass(frozen=True, eq=False)
class HeatField:
    """The heat in one mould at one moment: all that a computation needs to go on from there.

    `z` and `r` are cell edges in m (base to surface, axis to wall); `layer` numbers each row's
    pour; `heat` is J/kg of shape (rows, rings); `side_c` (rows, sheets) and `base_c` (sheets, rings)
    are the wall's temperatures, sheets from the wax outwards.
    """

    at_s: float
    z: Array
    r: Array
    layer: NDArray[np.intp]
    heat: Array
    side_c: Array
    base_c: Array


COLDEST_POUR_C, HOTTEST_POUR_C = -20.0, 130.0
"""Chosen: what the computation's tables hold, far beyond what is poured."""


@dataclass(frozen=True)
class HeatSpread:
    """How a mould's early and late runs differ from its likely one: factors on the likely heat loss at the open
    top, on that through wall and base, and on the width of the melting range; (early, late) each."""

    top: tuple[float, float] = (1.2, 1 / 1.2)  # estimate
    wall: tuple[float, float] = (1.2, 1 / 1.2)  # estimate
    width: tuple[float, float] = (0.75, 1.25)  # estimate


USUAL_SPREAD = HeatSpread()
"""While nothing was seen: a fifth more or less heat loss, a quarter more or less melting range (estimate). All are
moved at once; of each alone the likely spread is about 1.4 times as large."""


@dataclass(frozen=True)
class Case:
    """One mould with everything that happens to it: what `simulate_all` computes one run from."""

    vessel: RoundMould
    pours: tuple[PourInto, ...]
    around: tuple[Around, ...] = field(default_factory=lambda: (Around(),))
    width_scale: float = 1.0
    """Factor on the width of every melting range, about its peak."""
    surface_scale: float = 1.0
    """Factor on all surface coefficients. Both differ from one in early and late runs only."""
    spread: HeatSpread = USUAL_SPREAD
    """What early and late runs of this mould are computed with."""

    def at(self, seconds: float) -> Around:
        """What the mould stands in at a time; before the first entry, that one."""
        return [a for a in self.around if a.from_s <= seconds or a is self.around[0]][-1]

    def begins(self, other: Case, until_s: float) -> bool:
        """Whether another case is this very mould with these pours first, and nothing else about it up to `until_s`.

        Then the heat computed for this one at that moment is what the other can go on from.
        """
        return (
            (self.vessel, self.spread) == (other.vessel, other.spread)
            and self.pours == other.pours[: len(self.pours)]
            and [a for a in self.around if a.from_s <= until_s]
            == [a for a in other.around if a.from_s <= until_s]
        )

    def check(self) -> None:
        """Raises `Trouble`, in words for the person, for sizes, temperatures or times that cannot be computed."""
        self._check_vessel()
        if not _positive(self.width_scale, self.surface_scale):
            raise Trouble(tr("A factor on a forecast must be more than nothing."))
        self._check_around()
        self._check_pours()

    def _check_vessel(self) -> None:
        """Raises `Trouble` for a mould without size, or one that no heat leaves."""
        v = self.vessel
        if not _positive(v.radius, v.height):
            raise Trouble(
                tr("A mould needs a width and a height."), instead=tr("Measure it inside, bottom to rim.")
            )
        if not (_positive(v.wall if v.wall is not None else 1.0) and 0 <= v.insulation < math.inf):
            raise Trouble(
                tr("This mould's wall or wrapping cannot be computed."), instead=tr("Give its thickness.")
            )
        films = (v.films.side, v.films.base, v.films.top) if v.films is not None else ()
        if not _positive(v.side_factor, v.top_factor, *films):
            raise Trouble(tr("A mould that loses no heat cannot be computed."))
        if v.warm_c is not None and not _computable(v.warm_c):
            raise Trouble(tr("A mould at {warm_c:g} °C cannot be computed.", warm_c=v.warm_c))

    def _check_around(self) -> None:
        """Raises `Trouble` where the room is not known, or what stood around the mould is not in order."""
        if not self.around:
            raise Trouble(
                tr("A forecast needs to know the room."), instead=tr("Read the room's temperature.")
            )
        for a in self.around:
            for celsius in (a.room_c, a.room_c if a.bath_c is None else a.bath_c):
                if not _computable(celsius):
                    raise Trouble(tr("A room or bath at {celsius:g} °C cannot be computed.", celsius=celsius))
            if not (math.isfinite(a.from_s) and 0 <= a.bath_level < math.inf and _positive(a.draught)):
                raise Trouble(tr("What stands around the mould cannot be computed."))
        if not all(a.from_s <= b.from_s for a, b in pairwise(self.around)):
            raise Trouble(tr("What stood around the mould is not in order of time."))

    def _check_pours(self) -> None:
        """Raises `Trouble` where there are no pours, one cannot be computed, or they are not in order."""
        if not self.pours:
            raise Trouble(tr("Nothing has been poured into this mould yet."))
        for p in self.pours:
            if not _computable(p.celsius):
                raise Trouble(
                    tr("A pour at {celsius:g} °C cannot be computed.", celsius=p.celsius),
                    tr(
                        "Wax is poured between {coldest_pour_c:g} and {hottest_pour_c:g} °C.",
                        coldest_pour_c=COLDEST_POUR_C,
                        hottest_pour_c=HOTTEST_POUR_C,
                    ),
                )
            if not math.isfinite(p.at_s):
                raise Trouble(tr("A pour needs the time it was made at."))
            if not _positive(p.height_in(self.vessel.radius)):
                raise Trouble(tr("A layer needs a height or a mass."))
        if not all(a.at_s <= b.at_s for a, b in pairwise(self.pours)):
            raise Trouble(tr("The pours are not in order of time."))

    def check_start(self, field: HeatField) -> None:
        """Raises `Trouble` where a field to go on from is not this mould with the first of these pours in it."""
        poured = int(field.layer[-1]) + 1
        heights = [p.height_in(self.vessel.radius) for p in self.pours[:poured]]
        tops = [float(field.z[field.layer.searchsorted(k, side="right")]) for k in range(poured)]
        same = (
            poured <= len(self.pours)
            and math.isclose(field.r[-1], self.vessel.radius, rel_tol=_ALIKE)
            and np.allclose(tops, np.cumsum(heights), rtol=_ALIKE, atol=0)
        )
        if not same:
            raise Trouble(tr("This heat was kept of another mould, or of other pours."))
        if poured < len(self.pours) and self.pours[poured].at_s < field.at_s:
            raise Trouble(tr("A forecast cannot begin after a pour that is still to come in it."))


_ALIKE = 1e-6
"""Sizes that differ by no more than this share are the same; only rounding makes them differ less. Chosen."""


def _positive(*values: float) -> bool:
    """Whether all are above zero and finite."""
    return all(0 < v < math.inf for v in values)


def _computable(celsius: float) -> bool:
    """Whether a temperature lies within the computation's tables."""
    return COLDEST_POUR_C <= celsius <= HOTTEST_POUR_C
