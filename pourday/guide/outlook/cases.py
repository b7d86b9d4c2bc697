"""From what was planned and poured to what the heat solver is asked: one case a mould."""

from __future__ import annotations

from collections.abc import Sequence

from pourday.forecast.mould_case import COLDEST_POUR_C, HOTTEST_POUR_C, Around, Case, PourInto, RoundMould
from pourday.plan.bench import Standing, bench
from pourday.plan.check import height_of
from pourday.plan.volumes import fill_height, like_cylinder
from pourday.plan.weigh import WeighSheet, waxes_of
from pourday.session.events import Part
from pourday.session.state import MouldState, PourAt, State
from pourday.wax.materials import Wax

JUG_HOLDS = 600.0
"""Seconds for which a reading of the jug speaks for what is poured from it. An estimate of ours."""
THINNEST = 0.003
"""m: a pour is computed as at least this thick. Chosen."""


def vessel_of(standing: Standing) -> RoundMould:
    """A mould as the upright cylinder that cools like it, which is what the solver can compute."""
    mould = standing.mould
    cylinder = like_cylinder(mould.shape, fill_height(mould))
    return RoundMould(radius=cylinder.diameter / 2, height=height_of(mould.shape), material=mould.material)


def thickness(sheet: WeighSheet, letter: str, layer: int, part: Part) -> float:
    """How thick one pour stands by the plan, m."""
    mould = sheet.mould(letter)
    plug = mould.plug.level if mould.plug else 0.0
    if part == "plug":
        return max(THINNEST, plug)
    if part == "top-up":
        whole = mould.pours[-1].level
        return max(THINNEST, whole * mould.top_up.kg / max(mould.finished, 1e-6))
    below = max(plug, mould.pours[layer - 1].level) if layer else plug
    return max(THINNEST, mould.pours[layer].level - below)


def planned_kg(sheet: WeighSheet, letter: str, layer: int, part: Part) -> float:
    """Planned weight of one pour, kg."""
    if part == "top-up":
        return sheet.top_up(letter).kg
    plug = sheet.plug(letter)
    return plug.kg if part == "plug" and plug else sheet.pour(letter, layer).kg


def poured_c(state: State, sheet: WeighSheet, letter: str, pour: PourAt) -> float:
    """What a pour went in at: as read at the lip, else as the jug was read just before, else as planned."""
    if pour.celsius is not None:
        return pour.celsius
    for reading in reversed(state.jug_readings):
        if reading.jug in (None, pour.layer) and 0 <= pour.t - reading.t <= JUG_HOLDS:
            return reading.celsius
    return sheet.pour(letter, pour.layer).pour_c


def around_of(state: State, first_pour_t: float) -> tuple[Around, ...]:
    """The room as read over the day, on the clock of the pours; the first reading holds from the start."""
    rooms = [
        (r.t - first_pour_t, _computable(r.celsius))
        for r in state.readings
        if r.place == "room" and not r.doubt
    ]
    if not rooms:
        return (Around(room_c=_computable(state.plan.room_c)),)
    first = Around(room_c=[c for t, c in rooms if t <= 0 or t == rooms[0][0]][-1])
    return (first, *(Around(room_c=c, from_s=t) for t, c in rooms if t > 0 and (t, c) != rooms[0]))


def _computable(celsius: float) -> float:
    """°C held within what can be computed: a slip of the keys shall spoil a forecast, not stop it."""
    return min(max(celsius, COLDEST_POUR_C), HOTTEST_POUR_C)


def pour_of(
    sheet: WeighSheet,
    waxes: Sequence[Wax],
    letter: str,
    layer: int,
    part: Part,
    at_s: float,
    celsius: float,
    kg: float | None = None,
) -> PourInto:
    """One pour as the solver takes it; a weighed amount makes it as much thicker or thinner than planned."""
    height = thickness(sheet, letter, layer, part)
    planned = planned_kg(sheet, letter, layer, part)
    if kg is not None and planned > 0:
        height = max(THINNEST, height * kg / planned)
    return PourInto(at_s=at_s, celsius=celsius, wax=waxes[min(layer, len(waxes) - 1)], height=height)


def case_of(state: State, sheet: WeighSheet, mould: MouldState) -> tuple[float, Case]:
    """(time of the first pour, what the solver is asked) of a mould with at least one pour."""
    standing = next(s for s in bench(state.plan) if s.letter == mould.letter)
    waxes = waxes_of(state.plan, sheet.wax)
    first_pour_t = min(pour.t for pour in mould.pours)
    pours = tuple(
        pour_of(
            sheet,
            waxes,
            mould.letter,
            pour.layer,
            pour.part,
            pour.t - first_pour_t,
            _computable(poured_c(state, sheet, mould.letter, pour)),
            pour.kg if pour.kg is not None or pour.share >= 1 else pour.kg_best,
        )
        for pour in sorted(mould.pours, key=lambda p: p.t)
    )
    return first_pour_t, Case(vessel_of(standing), pours, around_of(state, first_pour_t))
