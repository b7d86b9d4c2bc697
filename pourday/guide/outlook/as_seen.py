"""What a look or a reading says about a computed mould: the moment of the forecast that looks like it.

A forecast that has the layer warm while a hand found it cold is behind the truth; it is then read at the
moment when it, too, looks cold. What a person saw outranks what was computed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pourday.forecast.fuse import LIMITS, top_surface, window
from pourday.forecast.mould import MouldRun
from pourday.forecast.mould_read import Surface, rises
from pourday.guide.outlook.moulds import MouldOutlook
from pourday.session.events import Cue
from pourday.session.state import MouldState, State

HAND = 31.0
"""°C below which a hand calls a wall cold. An estimate of ours: about the skin's own temperature."""


@dataclass(frozen=True, slots=True)
class Marks:
    """When a surface passes from each look to the next, s on the clock of its pours; infinite for never."""

    skin: float
    """From wet to skinned: half of the surface is solid."""
    firm: float
    """It carries the next colour."""
    cold: float
    """A hand calls its wall cold."""
    pulled: float
    """It has probably pulled away from the wall."""


def marks(run: MouldRun, celsius: float) -> Marks:
    """When the layer on top of one run passes each mark.

    The marks are read off together with its pour window, which wants to know what the next pour is planned at
    (`celsius`); that moves none of them.
    """
    s, top = top_surface(run), int(run.after_last_pour.layer[-1])
    solidus = run.case.pours[top].wax.solidus_c
    skin = _or_never(rises(s.at_s, s.mean_solid, 0.5))
    firm = max(skin, _or_never(window(run, celsius).opens_s))
    cold = max(firm, _falls(s, HAND))
    return Marks(skin, firm, cold, max(cold, _falls(s, solidus - LIMITS.pulled)))


def _falls(s: Surface, celsius: float) -> float:
    """When the edge of a surface has cooled to a temperature, °C: s on the clock of its pours, infinite for never."""
    return _or_never(rises(s.at_s, -s.edge_c, -celsius))


def _or_never(t: float | None) -> float:
    return math.inf if t is None else t


def seen_s(state: State, forecast: MouldOutlook, run: MouldRun, now: float) -> float:
    """The moment of one run, s on the clock of its pours, in which it looks as the mould does now.

    Found from the newest surface reading or look since the last pour, and the time passed since then;
    without one it is simply the time since the first pour.
    """
    mould = state.moulds[forecast.letter]
    last, at = mould.last_pour, forecast.at(now)
    if last is None:
        return at
    look = mould.look
    reading = state.last_reading("surface", mould.letter)
    if reading is not None and reading.t > last.t and (look is None or reading.t >= look.t):
        s = top_surface(run)
        at_reading = _or_never(rises(s.at_s, -s.mean_c, -reading.celsius))
        return min(at_reading, float(s.at_s[-1])) + (now - reading.t)
    if look is None:
        return at
    low, high = _between(marks(run, forecast.next_c), look.cue)
    seen = min(max(forecast.at(look.t), low), max(low, high))
    return (seen if math.isfinite(seen) else forecast.at(look.t)) + (now - look.t)


def _between(m: Marks, cue: Cue) -> tuple[float, float]:
    """(from, until) when the forecast has the surface look like `cue`, s on the clock of its pours."""
    match cue:
        case "wet":
            return 0.0, m.skin
        case "skinned":
            return m.skin, m.firm
        case "firm":
            return m.firm, m.cold
        case "cold":
            return m.cold, m.pulled
        case "pulled away":
            return m.pulled, math.inf


LOOK_HOLDS = 600.0
"""Seconds after a look for which the surface is taken to look so still; after that the forecast goes on from it. An
estimate of ours."""


def look_of(state: State, forecast: MouldOutlook, now: float) -> tuple[Cue, bool]:
    """(how the surface looks now, whether somebody just saw it).

    What was seen in the last ten minutes, else what the forecast comes to, counted on from what was seen last.
    """
    mould: MouldState = state.moulds[forecast.letter]
    run = forecast.likely
    m = marks(run, forecast.next_c)
    at = seen_s(state, forecast, run, now)
    starts: tuple[tuple[Cue, float], ...] = (
        ("wet", -math.inf),
        ("skinned", m.skin),
        ("firm", m.firm),
        ("cold", m.cold),
        ("pulled away", m.pulled),
    )
    if mould.look is not None and now - mould.look.t <= LOOK_HOLDS:
        return mould.look.cue, True
    return [cue for cue, start in starts if at >= start][-1], False


def surface_c(run: MouldRun, at_s: float) -> float:
    """°C of the open surface, area mean; after the end of what was computed, as it was then."""
    s = top_surface(run)
    return float(np.interp(at_s, s.at_s, s.mean_c))


def crust(run: MouldRun, at_s: float) -> float:
    """m of set wax below the open surface at the axis."""
    s = top_surface(run)
    return float(np.interp(at_s, s.at_s, s.crust))


def core_c(run: MouldRun, at_s: float) -> float:
    """°C of the hottest point of the layer on top."""
    s = top_surface(run)
    return float(np.interp(at_s, s.at_s, s.hottest_c))
