"""The pot's story as the record tells it, turned into one forecast.

The day is cut where the burner was switched or wax came or went; what one stretch taught is the start of
the next. Stretches that are over never change, so their result is kept.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from pourday.forecast.pot import Guess, PotForecast, PotSetup, after_addition, after_change, forecast
from pourday.forecast.pot_model import Mode
from pourday.session.state import State
from pourday.wax.materials import Wax

COLD_START = Guess(0.0, 2.0)
"""Wax that was never heated is as warm as the room, within this, K."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """Time between two changes to the pot."""

    start: float
    mode: Mode
    added_kg: float
    """Cold wax put in at its start; 0 where the burner made the change."""
    readings: tuple[tuple[float, float], ...]


def pot_forecast(
    state: State, wax: Wax, left_kg: float, room_c: float, boiling_c: float, now: float
) -> PotForecast:
    """What the pot will do as it stands: `left_kg` of wax in it, local boiling point in °C."""
    *over, current = stretches(state)
    base = PotSetup(
        wax=wax,
        kg=left_kg,
        room_c=room_c,
        bath_limit_c=boiling_c,
        mode=current.mode,
        mode_since=current.start,
        start_c=Guess(room_c, COLD_START.sd),
        bath_c=Guess(room_c, 3.0),
    )
    return forecast(_setup(base, tuple(over), current), current.readings, max(now, current.start))


def reheat(pot: PotForecast, target_c: float, now: float) -> float:
    """Seconds that warming up to a temperature would take from now, burner lit."""
    at = max(now, pot.setup.mode_since)
    lit = pot if pot.setup.mode == "on heat" else forecast(after_change(pot, at, "on heat"), (), at)
    arrival = lit.reaches(target_c)
    return max(0.0, arrival.spread.likely - at) if arrival.spread and arrival.spread.likely > at else 0.0


def stretches(state: State) -> list[Stretch]:
    """The pot's day, cut at every change; the last stretch is still going on."""
    began = state.fixed_at or state.opened_at
    marks: list[tuple[float, Mode, float]] = [(began, "off heat", 0.0)]
    for span in state.burner_spans:
        marks.append((max(span.start, began), "on heat", 0.0))
        if span.end is not None:
            marks.append((max(span.end, began), "off heat", 0.0))
    additions = [(max(t, began), kg) for t, kg in state.additions if kg]
    for t, kg in additions:
        mode = max((m for m in marks if m[0] <= t), key=lambda m: m[0])[1]
        marks.append((t, mode, kg))
    marks.sort(key=lambda mark: mark[0])
    readings = [(r.t, r.celsius) for r in state.readings if r.place == "pot" and not r.doubt]
    ends = [mark[0] for mark in marks[1:]] + [float("inf")]
    return [
        Stretch(start, mode, kg, tuple(r for r in readings if start <= r[0] < end))
        for (start, mode, kg), end in zip(marks, ends, strict=True)
    ]


@lru_cache(maxsize=32)
def _setup(base: PotSetup, over: tuple[Stretch, ...], current: Stretch) -> PotSetup:
    """What is known of the pot as the current stretch begins."""
    if not over:
        return base
    *earlier, last = over
    before = replace(base, mode=last.mode, mode_since=last.start)
    began = _setup(before, tuple(earlier), Stretch(last.start, last.mode, last.added_kg, ()))
    view = forecast(began, last.readings, current.start)
    if current.added_kg > 0:
        return after_addition(view, current.start, current.added_kg).forecast.setup
    return after_change(view, current.start, current.mode)
