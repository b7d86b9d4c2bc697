"""What the next pour into a waiting mould will at least melt, as the mould stands or after warming it.

A question stands on the screen for minutes and is asked again at each heartbeat, so moments are rounded
to `STEP`, and what warmings have in common is computed once.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from pourday.forecast.fuse import LIMITS
from pourday.forecast.mould import MouldRun
from pourday.forecast.warming import (
    Promise,
    Warmed,
    Warming,
    in_air,
    in_box,
    least,
    promise,
    promises,
    warmed,
)
from pourday.guide.outlook.as_seen import seen_s
from pourday.guide.outlook.cases import thickness
from pourday.guide.outlook.mould_heat import MouldHeat
from pourday.guide.outlook.moulds import MouldOutlook, planned_c
from pourday.guide.outlook.outlook import Outlook
from pourday.plan.own_layers import mould_of
from pourday.plan.weigh import waxes_of
from pourday.session.state import State
from pourday.wax.materials import Wax

__all__ = ["SEATED_C", "LayerToCome", "Promise", "next_pour", "plain", "top_up_c", "warm_air", "warm_box"]

STEP = 300.0
"""s to which moments are rounded, so that a question that stays on the screen is worked out once. Chosen."""
HOT_END = 5.0
"""K above the usual range at which a rescue is poured (common practice, no source)."""
WARM_TO = (40.0, 45.0, 50.0)
"""°C of a warmed surface, the least first (common practice, no source: 40-50 °C)."""
SEATED_C = 42.0
"""°C at the edge at which a layer in a warm box is taken to sit at the wall again (estimate)."""


@dataclass(frozen=True, slots=True)
class LayerToCome:
    """The layer that goes into a mould next."""

    layer: int
    wax: Wax
    height: float
    """m"""
    planned_c: float
    hottest_c: float
    """The hottest it may be poured at: 5 K above the hot end of its wax, but no hotter than wax, mould and pot may
    get."""


def next_pour(state: State, outlook: Outlook, letter: str, layer: int) -> LayerToCome:
    """The layer that goes into a mould next, number `layer`, as the plan has it."""
    wax = waxes_of(state.plan, outlook.sheet.wax)[layer]
    limit = mould_of(state.plan, letter).limit_c
    tops = [
        wax.pour_max_c + HOT_END,
        wax.max_working_c,
        outlook.ceiling_c,
        *([] if limit is None else [limit]),
    ]
    planned = planned_c(outlook.sheet, letter, layer, "layer")
    height = thickness(outlook.sheet, letter, layer, "layer")
    return LayerToCome(layer, wax, height, planned, max(planned, min(tops)))


def top_up_c(state: State, outlook: Outlook, letter: str, layer: int) -> float:
    """°C of the top-up, within what wax and mould may get."""
    return min(
        planned_c(outlook.sheet, letter, layer, "top-up"), next_pour(state, outlook, letter, layer).hottest_c
    )


def plain(state: State, forecast: MouldOutlook, pour: LayerToCome, celsius: float, now: float) -> Promise:
    """What the pour at `celsius` melts at least, were it made now into the mould as it looks."""
    return _plain(forecast.heat, _moments(state, forecast, now), pour, celsius)


def warm_air(state: State, forecast: MouldOutlook, pour: LayerToCome, now: float) -> tuple[Promise, float]:
    """(promise, °C to warm the surface to) with warm air before the pour: no warmer than a fair seam takes."""
    return _enough(forecast.heat, _moments(state, forecast, now), pour, ())


def warm_box(
    state: State, forecast: MouldOutlook, pour: LayerToCome, now: float
) -> tuple[Promise, float, float]:
    """(promise, °C to warm the surface to, s in the box): first a warm box until the layer sits at the wall again,
    then warm air."""
    box, at = (in_box(SEATED_C),), _moments(state, forecast, now)
    promise, to_c = _enough(forecast.heat, at, pour, box)
    return promise, to_c, _after(forecast.likely, at[1], box).ready_s - at[1]


def _enough(
    heat: MouldHeat, at: tuple[float, ...], pour: LayerToCome, before: tuple[Warming, ...]
) -> tuple[Promise, float]:
    """(promise, °C) of the least of `WARM_TO` that makes a fair seam in every run; of the most where none does.

    `at` has the moment of each run, early to late; `before` is done before the surface is warmed.
    """
    s = heat.spread
    runs = [
        [_after(o, t, (*before, in_air(to_c))) for o, t in zip((s.early, s.likely, s.late), at, strict=True)]
        for to_c in WARM_TO
    ]
    tried = [(w.run, w.ready_s) for warm in runs for w in warm]
    each = promises(tried, pour.hottest_c, pour.wax, pour.height)
    for i in range(len(WARM_TO)):
        promise = least(each[3 * i : 3 * i + 3])
        if promise.least >= LIMITS.no_weld:
            break
    takes_s, reached = runs[i][1].ready_s - at[1], all(w.reached for w in runs[i])
    return replace(promise, takes_s=takes_s, reached=reached), WARM_TO[i]


def _moments(state: State, forecast: MouldOutlook, now: float) -> tuple[float, ...]:
    """The moment of each run, early to late, in which it looks as the mould does now, s on the clock of its pours.

    Rounded to `STEP`, and after the last pour.
    """
    spread = forecast.heat.spread
    runs = (spread.early, spread.likely, spread.late)
    return tuple(
        max(round(seen_s(state, forecast, o, now) / STEP) * STEP, o.after_last_pour.at_s + 1.0) for o in runs
    )


def _plain(heat: MouldHeat, at_s: tuple[float, ...], pour: LayerToCome, celsius: float) -> Promise:
    """What the pour at `celsius` melts at least in any of the three runs, each taken at its moment of `at_s`."""
    s = heat.spread
    return promise((s.early, s.likely, s.late), at_s, celsius, pour.wax, pour.height)


@lru_cache(maxsize=32)
def _after(run: MouldRun, at_s: float, warmings: tuple[Warming, ...]) -> Warmed:
    """One run after some warmings, one after the other; cached, so that those they have in common are computed once."""
    if not warmings:
        return Warmed(run, at_s, True)
    before = _after(run, at_s, warmings[:-1])
    after = warmed(before.run, before.ready_s, warmings[-1])
    return replace(after, reached=before.reached and after.reached)
