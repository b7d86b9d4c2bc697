"""How a mould of an imagined day looks at any time: its layers, their state, and the liquid core inside."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from pourday.forecast.mould import MouldRun, MouldSection
from pourday.forecast.mould_read import FIRM, HALF, NEAR_ROOM
from pourday.guide.ahead.day import DayForecast
from pourday.guide.ahead.moulds import MouldCourse
from pourday.guide.outlook.looks import PICTURE_EVERY, Appearance, Band, Inside
from pourday.language import tr
from pourday.session.events import Part
from pourday.session.looks import FIRM_THROUGH, LOOK_SHORT

CORE = 0.03
"""Liquid share of a covered layer from which on its core is told. Chosen."""


def bands_at(day_ahead: DayForecast, letter: str, t: float) -> tuple[Band, ...]:
    """What stands in a mould at a time (seconds since the epoch), from the closed end up; empty before its first pour."""
    course = day_ahead.course(letter)
    if course is None:
        return ()
    poured = [p for p in course.pours if p.t <= t]
    section = course.section(t)
    if not poured or section is None:
        return ()
    sheet = day_ahead.outlook.sheet.mould(letter)
    bands: list[Band] = []
    low = 0.0
    for layer in dict.fromkeys(p.layer for p in poured):
        only_plug = all(p.part == "plug" for p in poured if p.layer == layer)
        high = sheet.plug.level if only_plug and sheet.plug else sheet.pours[layer].level
        top = poured[-1].part if layer == poured[-1].layer else None
        looks = _appearance(day_ahead, course, section, layer, top, t)
        plan = day_ahead.state.plan.layers[layer]
        bands.append(Band(low, high, layer, day_ahead.outlook.colour(layer), plan.swatch, looks))
        low = high
    return tuple(bands)


def inside_at(day_ahead: DayForecast, letter: str, t: float) -> Inside | None:
    """A mould cut open at a time, to the half minute; None while it is empty and once it is out of the mould."""
    course = day_ahead.course(letter)
    out = _out_at(day_ahead, letter)
    if course is None or (out is not None and t >= out):
        return None
    now = next((s for s in reversed(course.stretches) if s.start <= t), None)
    return _cut(now.heat, now.first_pour_t, now.start, round(t / PICTURE_EVERY)) if now else None


@lru_cache(maxsize=16)
def _cut(heat: MouldRun, first_pour_t: float, start: float, step: int) -> Inside:
    """A mould cut open at step number `step` of `PICTURE_EVERY`, not before the stretch of heat began."""
    at_s = max(step * PICTURE_EVERY, start) - first_pour_t
    return Inside(heat.section(at_s), heat.case.at(at_s).room_c + NEAR_ROOM)


def _out_at(day_ahead: DayForecast, letter: str) -> float | None:
    """When a candle comes out of its mould, likely; None where that is not in sight."""
    return next((s.at.likely for s in day_ahead.steps if s.kind == "demould" and s.moulds == letter), None)


def _appearance(
    day_ahead: DayForecast, course: MouldCourse, section: MouldSection, layer: int, top: Part | None, t: float
) -> Appearance:
    """How a layer of the plan is computed to look at `t`; `top` is what was poured last, where that is this layer."""
    out = _out_at(day_ahead, course.letter)
    if out is not None and t >= out:
        return Appearance("cold", tr("~demoulded"), computed=True, out=True)
    liquid, hottest = _inside(section, course, layer)
    core = tr(", {liquid:.0%} liquid inside", liquid=liquid) if liquid >= CORE else ""
    if hottest <= course.case.at(t - course.first_pour_t).room_c + NEAR_ROOM:
        return Appearance("cold", tr("~cold"), computed=True)
    if top is None and core:
        return Appearance(
            "firm",
            tr("~{liquid:.0%} liquid inside", liquid=liquid),
            tr("~{liquid:.0%} liquid", liquid=liquid),
            computed=True,
        )
    if top is None:
        return Appearance("firm", f"~{FIRM_THROUGH}", computed=True)
    solid = _surface(course, t)
    if top == "top-up" and solid < FIRM:
        # A little hot wax in the well does not make the layer liquid again.
        return Appearance("skinned", tr("~topped up{core}", core=core), tr("~topped up"), computed=True)
    if solid < HALF:
        return Appearance("liquid", f"~{LOOK_SHORT['wet']}", computed=True)
    if solid < FIRM:
        return Appearance(
            "skinned", f"~{LOOK_SHORT['skinned']}{core}", f"~{LOOK_SHORT['skinned']}", computed=True
        )
    return Appearance("firm", f"~{LOOK_SHORT['firm']}{core}", f"~{LOOK_SHORT['firm']}", computed=True)


def _inside(section: MouldSection, course: MouldCourse, layer: int) -> tuple[float, float]:
    """Liquid share of a layer of the plan, by volume, and its hottest place, °C."""
    of_layer = np.array([course.pours[int(k)].layer == layer for k in section.layer])
    weight = np.diff(section.z)[of_layer, None] * np.diff(section.r**2)[None, :]
    liquid = 1.0 - float((section.solid[of_layer] * weight).sum() / weight.sum())
    return liquid, float(section.celsius[of_layer].max())


def _surface(course: MouldCourse, t: float) -> float:
    """Solid share of the open surface at a time, area mean."""
    now = next(s for s in reversed(course.stretches) if s.start <= t)
    open_now = [x for x in now.heat.layers if x.poured_s + now.first_pour_t <= t + 1.0]
    surface = open_now[-1].surface
    if surface is None:
        return 1.0
    return float(np.interp(t - now.first_pour_t, surface.at_s, surface.mean_solid))
