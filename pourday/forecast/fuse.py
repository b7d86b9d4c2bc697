"""Will the next colour weld to the one below: contact temperature and the pour window.

A surface can be poured on once it carries the next colour, and as long as that colour still turns
it half liquid at the edge, where it is coldest. All thresholds stand in `Limits` and are estimates:
the clock only says "go and look", what the person sees decides. What a pour melts, and for how
long, is computed in `remelt`.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from pourday.errors import Trouble
from pourday.forecast.mould import MouldRun
from pourday.forecast.mould_case import Array
from pourday.forecast.mould_read import HALF, SET, Surface, rises
from pourday.language import tr
from pourday.wax.materials import Wax


@dataclass(frozen=True)
class Limits:
    """Where a window opens and closes. Every number is an estimate, to be learned from what people see."""

    carry_edge: float = SET
    """Solid share of the surface at the edge that carries the next colour (estimate): what decides in narrow and wrapped
    moulds,"""
    carry_mean: float = 0.9
    """and of the whole surface on average, which decides in bare wide ones (estimate)."""
    bleed: float = HALF
    """Solid share of the surface below which colours run into each other (estimate)."""
    good_crust: float = 0.002
    """m of set wax at the axis at which a pour is safest (estimate)."""
    pulled: float = 20.0
    """K below its solidus at which the wax at the wall is taken to have pulled away (estimate)."""
    no_weld: float = 0.0002
    """m of old wax that must at least soften for any bond (estimate)."""
    margin: float = 2.0
    """K that advice on a hotter pour goes beyond what is just enough (estimate)."""


LIMITS = Limits()


def effusivity(conductivity: ArrayLike, density: ArrayLike, cp: ArrayLike) -> Array:
    """How hard a material holds on to its temperature where it is touched: sqrt(k rho c), W s^0.5/(m² K).

    Conductivity in W/(m K), density in kg/m³, heat capacity in J/(kg K), any shapes.

    >>> float(effusivity(0.15, 780.0, 2200.0).round())
    507.0
    """
    k, rho, c = (np.asarray(a, dtype=np.float64) for a in (conductivity, density, cp))
    return np.asarray(np.sqrt(k * rho * c))


def contact_c(hot_c: ArrayLike, cold_c: ArrayLike, hot: Wax, cold: Wax) -> Array:
    """°C in the seam at the moment liquid wax meets set wax: (e1 T1 + e2 T2) / (e1 + e2), any shapes.

    `hot_c` and `cold_c` are the two in °C, e their effusivities. Closed form for two half-spaces
    (Carslaw and Jaeger); the heat of melting is left out.

    >>> from pourday.wax.materials import family
    >>> float(contact_c(80.0, 45.0, family("paraffin_pillar"), family("paraffin_pillar")).round(1))
    60.4
    """
    e1, e2 = _effusivities(hot, cold)
    t1, t2 = np.asarray(hot_c, dtype=np.float64), np.asarray(cold_c, dtype=np.float64)
    return np.asarray((e1 * t1 + e2 * t2) / (e1 + e2))


def _effusivities(hot: Wax, cold: Wax) -> tuple[float, float]:
    """Of the liquid that is poured, and of the solid that it meets."""
    liquid = effusivity(hot.conductivity_liquid, hot.density_at(hot.liquidus_c), hot.cp_liquid)
    solid = effusivity(cold.conductivity_solid, cold.density_solid, cold.cp_solid)
    return float(liquid), float(solid)


@dataclass(frozen=True)
class Window:
    """When the top layer can take the next colour. Times in s on the clock of the pours."""

    celsius: float
    """°C of the pour that this window is for; a hotter one keeps it open longer."""
    opens_s: float | None
    """None: not in the time computed."""
    best_s: float | None
    """A good time within it; see `_best`."""
    closes_s: float | None
    """None: it stays open for all the time computed."""
    closed_by: Literal["cold", "pulled", ""]
    """Which of the next two comes first; empty where neither comes in the time computed."""
    cold_s: float | None
    """From then on this pour no longer turns the edge half liquid."""
    pulled_s: float | None
    """When the layer has probably pulled from the wall: seen, not only computed."""
    empty: bool
    """Whether it closes before it opens, so that no moment suits this pour."""
    bleeds_until_s: float | None
    """Before this the surface is mostly liquid and colours run together."""
    hotter_c: float | None
    """Empty: a pour at this would open it; None where the wax may not be that hot."""
    warm_to_c: float | None
    """Empty: the surface warmed to this would open it; None where no warming helps."""

    def open_at(self, at_s: float) -> bool:
        """Whether a pour at this time falls into the window."""
        after = self.opens_s is not None and at_s >= self.opens_s
        return after and not self.empty and (self.closes_s is None or at_s <= self.closes_s)


def window(
    run: MouldRun,
    celsius: float,
    wax: Wax | None = None,
    *,
    limits: Limits = LIMITS,
    hottest_c: float | None = None,
) -> Window:
    """When the layer on top of a mould can be poured on with wax at `celsius`.

    `run` is the mould computed with the pours already made and none to come; `wax` is the next
    layer's (the top layer's own where None); `hottest_c` is the most that mould and wax stand, beyond
    which no hotter pour is advised (the wax's working ceiling where None).
    """
    top = int(run.after_last_pour.layer[-1])
    s, pour = top_surface(run), run.case.pours[top]
    hot, half = wax or pour.wax, pour.heat_curve(run.case.width_scale).celsius_where_set(HALF)
    opens, best_crust = _opens(s, limits), rises(s.at_s, s.crust, limits.good_crust)
    contact = contact_c(celsius, s.edge_c, hot, pour.wax)
    cold = _falls(s.at_s, contact, half)
    pulled = _falls(s.at_s, s.edge_c, pour.wax.solidus_c - limits.pulled)
    closes, by = _earlier(cold, pulled)
    empty = opens is not None and closes is not None and closes <= opens
    hotter = warm = None
    if empty and opens is not None:
        # What brings the edge to half melting at the moment it opens: `contact_c` solved for the pour, and for the surface.
        edge = float(np.interp(opens, s.at_s, s.edge_c))
        e1, e2 = _effusivities(hot, pour.wax)
        needed = half + (half - edge) * e2 / e1 + limits.margin
        hotter = needed if needed <= (hottest_c if hottest_c is not None else hot.max_working_c) else None
        warm = half - (celsius - half) * e1 / e2 if celsius > half else None
        if closes == pulled:
            # However hot it is, wax runs down behind a layer that has come off the wall.
            hotter = None
    return Window(
        celsius, opens, None if empty else _best(opens, closes, best_crust), closes, by, cold, pulled, empty,
        rises(s.at_s, s.mean_solid, limits.bleed), hotter, warm,
    )  # fmt: skip


def opens_s(run: MouldRun, limits: Limits = LIMITS) -> float | None:
    """When the layer on top of a mould carries the next colour, s on the clock of its pours; None: not while computed."""
    return _opens(top_surface(run), limits)


def _opens(s: Surface, limits: Limits) -> float | None:
    """When both the edge and the whole surface are solid enough to carry the next colour."""
    edge, mean = (
        rises(s.at_s, s.edge_solid, limits.carry_edge),
        rises(s.at_s, s.mean_solid, limits.carry_mean),
    )
    return None if edge is None or mean is None else max(edge, mean)


def _falls(at_s: Array, value: Array, level: float) -> float | None:
    """First time a value falls to a level; None if it does not."""
    return rises(at_s, -value, -level)


def _earlier(cold: float | None, pulled: float | None) -> tuple[float | None, Literal["cold", "pulled", ""]]:
    """When a window closes and by what: by whichever comes first, the edge too cold or the layer off the wall."""
    if cold is None and pulled is None:
        return None, ""
    if pulled is None or (cold is not None and cold <= pulled):
        return cold, "cold"
    return pulled, "pulled"


def _best(opens: float | None, closes: float | None, crust: float | None) -> float | None:
    """A good moment in a window: once the crust is a good one, but no later than 0.6 of the window.

    Waiting makes the surface stronger and the seam weaker; past the middle there is enough of both (estimate).
    """
    if opens is None:
        return None
    late = math.inf if closes is None else opens + 0.6 * (closes - opens)
    best = max(opens, min(crust if crust is not None else late, late))
    return best if math.isfinite(best) else opens


Show = Callable[[float], str]


def _plain(celsius: float) -> str:
    return tr("{celsius:.0f} °C", celsius=celsius)


def why(w: Window, show: Show = _plain) -> str:
    """Why the window is as it is, in a sentence; `show` writes a temperature in the person's own unit."""
    if w.opens_s is None:
        return tr("The surface does not get to carry the next colour in the time computed.")
    if w.empty and w.closed_by == "pulled":
        return tr("The layer pulls from the wall before its surface carries the next colour.")
    if w.empty:
        return tr(
            "At {show} the next colour no longer melts the edge by the time the surface carries it.",
            show=show(w.celsius),
        )
    if w.closed_by == "pulled":
        return tr("It closes when the layer pulls from the wall: new wax would run down behind it.")
    if w.closed_by == "cold":
        return tr("It closes when wax at {show} no longer melts the edge of the layer.", show=show(w.celsius))
    return tr("Wax at {show} still melts the edge for all the time computed.", show=show(w.celsius))


def what_would_open(w: Window, show: Show = _plain) -> list[str]:
    """Ways out of an empty window, best first; empty where the window is open."""
    if not w.empty:
        return []
    out = []
    if w.hotter_c is not None:
        out.append(tr("Pour at {show} or hotter.", show=show(w.hotter_c)))
    if w.warm_to_c is not None:
        out.append(
            tr("Warm the surface and the mould's outside to {show} before the pour.", show=show(w.warm_to_c))
        )
    else:
        out.append(tr("Heat the next colour: it is colder than the layer's melting point."))
    out.append(tr("Pour while the surface is still soft and accept a soft line."))
    return out


def top_surface(run: MouldRun) -> Surface:
    """The open surface of the last pour, which every run has."""
    surface = run.layers[int(run.after_last_pour.layer[-1])].surface
    assert surface is not None
    return surface


def trouble_if_before(run: MouldRun, at_s: float) -> None:
    """Raises `Trouble` for a pour before the last one made."""
    if not at_s >= run.after_last_pour.at_s:
        raise Trouble(
            tr("This pour comes before the last one made."), instead=tr("Give the time it was poured at.")
        )
