"""The pot's story as the record tells it, turned into one forecast.

The day is cut where the burner was switched or wax came or went; what one stretch taught is the start of
the next. Stretches that are over never change, so their result is kept.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import TypeVar, cast

from pourday.forecast.pot import (
    Addition,
    Guess,
    PotForecast,
    PotSetup,
    after_addition,
    after_change,
    forecast,
    low_turned,
    mixed_in,
    topped_up,
    water_seen,
)
from pourday.forecast.pot_law import USUAL_POT, PotLaw
from pourday.forecast.pot_prior import WATER_TOLD_SD
from pourday.forecast.spread import Quantiles
from pourday.guide.outlook.pot_stretches import PotStretch, begun, stretches
from pourday.language import tr
from pourday.plan.bath import bath_water
from pourday.plan.model import Plan
from pourday.session.events import Knob
from pourday.session.state import State
from pourday.times import MINUTE, span
from pourday.wax.materials import Wax

COLD_START = Guess(0.0, 2.0)
"""Wax that was never heated is as warm as the room, within this, K (estimate)."""
CARRIES = (0.0, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0)
"""Minutes after the burner went off at which the wax is looked at for its peak. Chosen."""
TOPPED_UP = Guess(65.0, 15.0)
"""°C of the water a bath is topped up with: hot water is asked for. An estimate of ours."""
LAGS = (0.0, 1.0, 2.0, 3.0, 4.0)
"""Minutes after a flame was turned low in which the hob's own heat shows. Chosen."""
KNOB: dict[Knob, Guess] = {"lower": Guess(math.log(0.6), 0.25), "higher": Guess(math.log(1.5), 0.25)}
"""Logarithm of what is left of a low flame, or comes of it, once its knob is set lower or higher: by a hand, to about half or
three quarters of it, and to a quarter or three quarters more. Estimates of ours."""
LEAST_KG = 0.05
"""kg that the pot is taken to hold where by the record nothing is left in it: what clings to its wall. Estimate."""
CARRIES_MOST = 15.0
"""K by which a bath carries its wax on at most after the burner went off. An estimate of ours."""
ENDED = 1.0
"""s ahead that a stretch which is over is looked at: chosen as next to nothing."""
SOON = 2400.0
"""s ahead that a warm-up is looked for first. Chosen: looking further costs more."""
HARDLY = 1.0
"""K of a fall that nobody has to be told of. Estimate."""
SURE = 300.0
"""s past the likely time that is allowed for at most when a warm-up may be slow. Chosen."""


def pot_forecast(
    state: State,
    wax: Wax,
    left_kg: float,
    room_c: float,
    boiling_c: float,
    now: float,
    before: PotForecast | None = None,
    law: PotLaw = USUAL_POT,
) -> PotForecast:
    """What the pot will do as it stands: `left_kg` of wax in it now, local boiling point in °C.

    `before` is the last forecast of this session; it serves where it was asked for this very moment. `law` is what earlier
    days say of this stove.
    """
    *over, current = stretches(state, wax.pour_max_c)
    base = _base(state, (*over, current), wax, left_kg, room_c, boiling_c, law)
    # Without what was read in it: as long as the current stretch goes on, one cached beginning serves.
    setup = _setup(base, tuple(over), begun(current))
    setup = replace(setup, kg=max(LEAST_KG, left_kg), fullest=current.fullest)
    # What is on record has happened, though the record keeps milliseconds and `now` may lie within one of them.
    now = max(now, current.start, *(t for t, _ in current.readings))
    return forecast(setup, current.readings, now, before=before)


def pot_stretches(
    state: State, wax: Wax, left_kg: float, room_c: float, boiling_c: float
) -> list[PotForecast]:
    """The pot at the end of every stretch of a day, a stretch being the time in which neither flame nor wax was changed; of the
    last one at its last reading. By the usual law and the day's own readings. kg, °C; the boiling point is the local one."""
    all_of = tuple(stretches(state, wax.pour_max_c))
    base = _base(state, all_of, wax, left_kg, room_c, boiling_c, USUAL_POT)
    ends = [
        *(later.start for later in all_of[1:]),
        max([all_of[-1].start, *(t for t, _ in all_of[-1].readings)]),
    ]
    return [_ended(base, all_of[:n], all_of[n], end) for n, end in enumerate(ends)]


def _base(
    state: State,
    all_of: Sequence[PotStretch],
    wax: Wax,
    left_kg: float,
    room_c: float,
    boiling_c: float,
    law: PotLaw,
) -> PotSetup:
    """What is known of the pot before any stretch of the day taught anything, with the wax that was in it as the
    first one ended."""
    since = sum(s.poured_kg - (s.added_kg or 0.0) for s in all_of[1:])
    water_kg, water_sd = bath_known(state.plan, law)
    return PotSetup(
        water_kg=water_kg,
        water_sd=water_sd,
        wax=wax,
        kg=max(LEAST_KG, left_kg + since if len(all_of) > 1 else left_kg),
        room_c=room_c,
        bath_limit_c=boiling_c,
        mode=all_of[-1].mode,
        mode_since=all_of[-1].start,
        start_c=Guess(room_c, COLD_START.sd),
        bath_c=Guess(room_c, 3.0),
        law=law,
    )


def bath_known(plan: Plan, law: PotLaw = USUAL_POT) -> tuple[float, float]:
    """(kg of water in the full bath, likely; how sure that is, as the standard deviation of its logarithm)."""
    kg, told = bath_water(plan)
    return (kg, WATER_TOLD_SD) if told else (kg * law.water / USUAL_POT.water, law.water_sd)


@dataclass(frozen=True, slots=True)
class _ForecastKey:
    """A forecast by what it rests on, so that what was asked of it once is not worked out at every look."""

    setup: PotSetup
    readings: int
    soon_c: float
    pot: PotForecast = field(compare=False)


def _known(pot: PotForecast) -> _ForecastKey:
    """A forecast as a key for caches: two forecasts from the same setup and the same readings count as one."""
    return _ForecastKey(pot.setup, pot.readings, pot.at(pot.setup.mode_since + 600.0)[1], pot)


def warm_up(pot: PotForecast, target_c: float, by: float, now: float) -> float:
    """Seconds the burner has to be lit before `by` for the wax to be at `target_c` then, nine times in ten."""
    if pot.setup.mode == "on heat":
        spread = pot.reaches(target_c).spread
        rising = pot.at(now)[1] < target_c
        return max(0.0, _sure(spread) - now) if spread is not None and rising else 0.0
    lead = _warms(pot, target_c, _whole(max(now, by)))
    return _warms(pot, target_c, _whole(max(now, by - lead)))


def warm_up_low(pot: PotForecast, target_c: float, by: float, now: float, knob: Knob | None = None) -> float:
    """As `warm_up`, with a low flame, set as before or by its `knob`, and by the likely forecast; infinite where that does not
    bring the wax there."""
    lead = _warms_low(pot, target_c, _whole(max(now, by)), knob)
    return _warms_low(pot, target_c, _whole(max(now, by - lead)), knob) if lead < math.inf else lead


def _warms_low(pot: PotForecast, target_c: float, at: float, knob: Knob | None) -> float:
    """Seconds of a low flame from `at` on until the wax is likely at a temperature; worked out once for each forecast."""

    def takes() -> tuple[float]:
        since = max(at, pot.setup.mode_since)
        view = _turned_low(_known(pot), since, knob, None)
        if view.at(since)[1] >= target_c:
            return (0.0,)
        spread = view.reaches(target_c).spread
        return (max(0.0, spread.likely - since) if spread is not None else math.inf,)

    return _once(pot, (f"warm low {knob or ''}", target_c, at), takes)[0]


def _warms(pot: PotForecast, target_c: float, at: float) -> float:
    """Seconds of burner from `at` on for the wax to be at a temperature; worked out once for each forecast."""
    return _once(pot, ("warm", target_c, at), lambda: (_warming(_known(pot), target_c, at),))[0]


_Worked = TypeVar("_Worked", bound=tuple[float, ...])


def _once(pot: PotForecast, aside: tuple[str, float, float], work: Callable[[], _Worked]) -> _Worked:
    """The answer to a side question about a forecast (`aside` names it), worked out once and kept with the forecast. It
    travels along to the screen, which must not work for longer than a key may wait."""
    if aside not in pot.asides:
        pot.asides[aside] = work()
    return cast("_Worked", pot.asides[aside])


def _whole(t: float) -> float:
    """A time rounded to ten minutes, so that times close together share one computation. In ten minutes the bath cools a few
    kelvin, which changes a warm-up by less than its spread."""
    return round(t / 600.0) * 600.0


def _sure(spread: Quantiles) -> float:
    """By when to reckon that something has happened: nine times in ten, but no more than `SURE` after the likely time."""
    return min(spread.late, spread.likely + SURE)


def _warming(known: _ForecastKey, target_c: float, at: float) -> float:
    """Seconds a burner lit at `at` takes to bring the pot to a temperature, on the safe side."""
    pot = known.pot
    at = max(at, pot.setup.mode_since)
    if pot.at(at)[1] >= target_c:
        return 0.0
    spread = _lit(known, at, SOON).reaches(target_c).spread
    if spread is None or spread.likely + SURE > at + SOON:
        spread = _lit(known, at, None).reaches(target_c).spread
    # A pot that may never get there gets all the time a warm-up is looked for, not none.
    return max(0.0, _sure(spread) - at) if spread is not None else SOON


@lru_cache(maxsize=16)
def _lit(known: _ForecastKey, at: float, ahead_s: float | None) -> PotForecast:
    """The pot as if its burner were lit at a time; one forecast serves every target temperature."""
    return forecast(after_change(known.pot, at, "on heat"), (), at, ahead_s)


def carries_to(pot: PotForecast, target_c: float, now: float) -> bool:
    """Whether the bath would still carry the wax to a temperature, were the burner turned off now."""
    likely = pot.at(now)[1]
    if not target_c - CARRIES_MOST <= likely < target_c:
        return likely >= target_c
    return peak(pot, now)[0] >= target_c


def peak(pot: PotForecast, at: float) -> tuple[float, float]:
    """(likely, high) of the hottest the wax gets, °C, were the burner turned off at a time."""
    at = max(round(at / 30.0) * 30.0, pot.setup.mode_since)
    return _once(pot, ("peak", 0.0, at), lambda: _peak(_known(pot), at))


@lru_cache(maxsize=32)
def _peak(known: _ForecastKey, at: float) -> tuple[float, float]:
    """As `peak`, by what a forecast rests on."""
    off = forecast(after_change(known.pot, at, "off heat"), (), at, 60.0 * CARRIES[-1])
    _, likely, high = off.band([at + 60.0 * minute for minute in CARRIES])
    return float(max(likely)), float(max(high))


def bath_peak(pot: PotForecast, at: float, knob: Knob | None = None) -> tuple[float, float]:
    """(likely, high) of the hottest the bath gets within minutes, °C, were the flame turned low at a time: the hob has heat
    left in it."""
    at = max(round(at / 30.0) * 30.0, pot.setup.mode_since)

    def hottest() -> tuple[float, float]:
        view = _turned_low(_known(pot), at, knob, 60.0 * LAGS[-1])
        baths = [view.bath_at(at + 60.0 * minute) for minute in LAGS]
        return max(bath[1] for bath in baths), max(bath[2] for bath in baths)

    return _once(pot, (f"bath peak {knob or ''}", 0.0, at), hottest)


def peak_after_full(pot: PotForecast, at: float, seconds: float) -> tuple[float, float]:
    """(likely, high) of the hottest the wax gets, °C, were the flame lit full at a time and put out so many seconds later."""
    at = max(round(at / 60.0) * 60.0, pot.setup.mode_since)
    return _once(
        pot,
        (f"peak after full {seconds:g}", 0.0, at),
        lambda: _peak(_known(_lit(_known(pot), at, SOON)), at + seconds),
    )


def bath_on_full(pot: PotForecast, at: float, when: float) -> tuple[float, float, float]:
    """(low, likely, high) of the bath at a time, °C, were the flame turned full at another before it."""
    at = max(round(at / 60.0) * 60.0, pot.setup.mode_since)
    when = max(at, when)
    ahead_s = max(MINUTE, when - at)
    return _once(pot, ("bath on full", when, at), lambda: _lit(_known(pot), at, ahead_s).bath_at(when))


def held_low(pot: PotForecast, at: float, knob: Knob | None = None) -> tuple[float, float, float]:
    """(low, likely, high) of the hottest the wax gets within minutes, °C, were the flame turned low at a time."""
    at = max(round(at / 60.0) * 60.0, pot.setup.mode_since)

    def hottest() -> tuple[float, float, float]:
        bands = _turned_low(_known(pot), at, knob, SOON).band([at + 60.0 * minute for minute in CARRIES])
        low, likely, high = (float(max(band)) for band in bands)
        return low, likely, high

    return _once(pot, (f"held low {knob or ''}", 0.0, at), hottest)


def low_at(pot: PotForecast, at: float, when: float, knob: Knob | None = None) -> tuple[float, float, float]:
    """(low, likely, high) of how warm the wax is at a time, °C, were the flame turned low at another before it."""
    at = max(round(at / 60.0) * 60.0, pot.setup.mode_since)
    when = max(at, when)
    ahead_s = SOON if when <= at + SOON else None
    return _once(
        pot, (f"low at {knob or ''}", when, at), lambda: _turned_low(_known(pot), at, knob, ahead_s).at(when)
    )


@lru_cache(maxsize=32)
def _turned_low(known: _ForecastKey, at: float, knob: Knob | None, ahead_s: float | None) -> PotForecast:
    """The pot as if its flame were turned low at a time, set as before or by its `knob`; no further ahead than whoever asks
    looks, for a key may wait for it."""
    return forecast(_knob_set(after_change(known.pot, at, "on low"), knob), (), at, ahead_s)


def _knob_set(setup: PotSetup, knob: Knob | None) -> PotSetup:
    """The setup with its low flame set lower or higher than it was; as it is, where it was set as before."""
    return setup if knob is None else low_turned(setup, KNOB[knob])


def addition(pot: PotForecast, kg: float, at: float) -> Addition:
    """What `kg` of cold wax put in at a time would do, with the burner lit so that it comes back."""
    return after_addition(pot if pot.setup.mode == "on heat" else _lit(_known(pot), at, None), at, kg)


def addition_says(pot: PotForecast, kg: float, now: float, degrees: Callable[[float], str]) -> str:
    """What an addition would do (see `addition`) in one sentence; `degrees` writes a temperature.

    How far the wax falls, were it mixed in at once, and when it is back:
    `The pot falls to about 61 °C at the coldest and is back at 80 °C in about 12 min.`
    """
    before = pot.at(max(now, pot.setup.mode_since))[1]
    at = max(round(max(now, pot.setup.mode_since) / 30.0) * 30.0, pot.setup.mode_since)

    def comes_to() -> tuple[float, float, float]:
        effect = addition(pot, kg, at)
        back = effect.recovers.spread
        return effect.dip_c[1], math.inf if back is None else back.likely, effect.forecast.until

    dip, back, until = _once(pot, ("addition", kg, at), comes_to)
    if before - dip < HARDLY:
        return tr("It hardly cools the pot.")
    sets = tr(", where it begins to set,") if dip < pot.setup.wax.liquidus_c <= before else ""
    lit = "" if pot.setup.mode == "on heat" else tr(", burner lit,")
    falls = tr(
        "The pot falls to about {degrees} at the coldest{sets}{lit}", degrees=degrees(dip), sets=sets, lit=lit
    )
    if back == math.inf:
        return tr(
            "{falls} and is not back at {degrees} within {span}.",
            falls=falls,
            degrees=degrees(before),
            span=span(until - now),
        )
    return tr(
        "{falls} and is back at {degrees} in about {span}.",
        falls=falls,
        degrees=degrees(before),
        span=span(back - now),
    )


@lru_cache(maxsize=32)
def _setup(base: PotSetup, over: tuple[PotStretch, ...], current: PotStretch) -> PotSetup:
    """What is known of the pot as the `current` stretch begins, from those that are `over` one after the other.

    Each stretch is fitted from what the one before it taught, so this calls itself for the one before; what
    is over never changes and is cached. `base` has the wax that was in the pot as the first one ended.
    """
    if not over:
        return base
    *earlier, last = over
    view = _ended(base, tuple(earlier), last, current.start)
    setup = _knob_set(_after(view, current), current.knob)
    if last.looked_at is not None:
        setup = water_seen(setup, view, last.looked_at)
    return topped_up(setup, TOPPED_UP) if current.topped_up else setup


def _ended(base: PotSetup, earlier: tuple[PotStretch, ...], last: PotStretch, at: float) -> PotForecast:
    """The pot as a stretch ends, by its readings and what the `earlier` ones taught."""
    before = replace(base, mode=last.mode, mode_since=last.start)
    began = _setup(before, earlier, begun(last))
    # Most of a stretch in which wax is poured goes on without it.
    kg = began.kg - (last.poured_kg if earlier else 0.0)
    began = replace(began, kg=max(LEAST_KG, kg), fullest=last.fullest)
    # What comes after is the next stretch's own: looked ahead for, it would cost as much again.
    return forecast(began, last.readings, at, ENDED)


def _after(view: PotForecast, current: PotStretch) -> PotSetup:
    """What is known of the pot as the `current` stretch begins, the bath's water left out."""
    if current.added_kg is None:
        return after_change(view, current.start, current.mode, start_known=False)
    if current.added_kg > 0:
        return mixed_in(view, current.start, current.added_kg)
    return after_change(view, current.start, current.mode)
