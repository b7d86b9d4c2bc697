"""The pot's story as the record tells it, turned into one forecast.

The day is cut where the burner was switched or wax came or went; what one stretch taught is the start of
the next. Stretches that are over never change, so their result is kept.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

from pourday.forecast.pot import Guess, PotForecast, PotSetup, after_addition, after_change, forecast
from pourday.forecast.pot_model import Mode
from pourday.forecast.spread import Spread
from pourday.session.state import Span, State
from pourday.wax.materials import Wax

COLD_START = Guess(0.0, 2.0)
"""Wax that was never heated is as warm as the room, within this, K."""
CARRIES = (0.0, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0)
"""Minutes after the burner went off at which the wax is looked at for its peak."""
WARMED = 240.0
"""s in the bath until a jug is as warm as the pot beside it. An estimate of ours."""
THIN = 60.0
"""s that one reading stands for."""
CARRIES_MOST = 15.0
"""K by which a bath carries its wax on at most after the burner went off. An estimate of ours."""
SOON = 2400.0
"""s within which a warm-up is looked for first; looking further costs more."""
SURE = 300.0
"""s past the likely time that the late side of a warm-up may add at most."""


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
    *over, current = stretches(state, wax.pour_min_c)
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
    return forecast(
        _setup(base, tuple(over), replace(current, readings=())), current.readings, max(now, current.start)
    )


def reheat(pot: PotForecast, target_c: float, now: float) -> float:
    """Seconds that warming up to a temperature would take from now, burner lit."""
    at = max(now, pot.setup.mode_since)
    lit = pot if pot.setup.mode == "on heat" else forecast(after_change(pot, at, "on heat"), (), at)
    arrival = lit.reaches(target_c)
    return max(0.0, arrival.spread.likely - at) if arrival.spread and arrival.spread.likely > at else 0.0


def stretches(state: State, lifted_c: float) -> list[Stretch]:
    """The pot's day, cut at every change; the last stretch is still going on.

    A jug read at `lifted_c` or hotter is taken to be lifted out of the bath.
    """
    began = state.fixed_at or state.opened_at
    marks: list[tuple[float, Mode, float]] = [(began, "off heat", 0.0)]
    for start, end in _heated(state):
        marks.append((max(start, began), "on heat", 0.0))
        if end is not None:
            marks.append((max(end, began), "off heat", 0.0))
    additions = [(max(t, began), kg) for t, kg in state.additions if kg]
    for t, kg in additions:
        mode = max((m for m in marks if m[0] <= t), key=lambda m: m[0])[1]
        marks.append((t, mode, kg))
    marks.sort(key=lambda mark: mark[0])
    readings = _of_the_bath(state, lifted_c)
    ends = [mark[0] for mark in marks[1:]] + [float("inf")]
    return [
        Stretch(start, mode, kg, thinned([r for r in readings if start <= r[0] < end]))
        for (start, mode, kg), end in zip(marks, ends, strict=True)
    ]


def _heated(state: State) -> list[tuple[float, float | None]]:
    """When the burner heated: (from, until), None for still.

    What nobody watched counts as lit; but a burner that was lit when somebody left and found off on return is
    taken to have gone off as they left, for wax that is held to be hot is drawn cold.
    """
    spans, found = state.burner_spans, list[tuple[float, float | None]]()
    for index, span in enumerate(spans):
        after = spans[index + 1] if index + 1 < len(spans) else None
        if span.what == "on" and after is not None and _found_off(spans, index + 1):
            left = max((g.start for g in state.gaps if g.end == after.start), default=after.start)
            found.append((span.start, max(span.start, left)))
        elif span.what != "unknown" or not _found_off(spans, index):
            found.append((span.start, span.end))
    return found


def _found_off(spans: Sequence[Span], index: int) -> bool:
    """Whether this stretch nobody watched ended with a burner that was off, and not turned off then."""
    span, after = spans[index], spans[index + 1] if index + 1 < len(spans) else None
    return span.what == "unknown" and span.end is not None and (after is None or after.start > span.end)


def thinned(readings: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """One reading (time s, °C) a minute, the mean of its minute.

    Readings closer than that share what the model leaves out (stirring, depth of the tip); taken one by one
    they would make the fit surer than it may be, and slow.
    """
    minutes: dict[int, list[tuple[float, float]]] = {}
    for reading in readings:
        minutes.setdefault(int(reading[0] // THIN), []).append(reading)
    return tuple(
        (sum(t for t, _ in found) / len(found), sum(c for _, c in found) / len(found))
        for found in minutes.values()
    )


def pot_is_empty(state: State) -> bool:
    """Whether a jug was drawn for every layer, so that all wax stands in jugs."""
    return bool(state.jugs) and len(state.jugs) >= len(state.plan.layers)


def _of_the_bath(state: State, lifted_c: float) -> list[tuple[float, float]]:
    """What was read in the pot, and in jugs while they stood in its bath beside it.

    A jug that was read hot enough to pour is taken to be lifted out until the burner is lit again: taken for the
    bath's, its fall would have the bath heated over its ceiling. Once it was poured from, it stands in the bath
    again. Once the pot is empty the jugs are all there is.
    """
    pours = [pour.t for mould in state.moulds.values() for pour in mould.pours]
    emptied = max(j.made_at for j in state.jugs.values()) if pot_is_empty(state) else float("inf")
    drawn = max((j.made_at for j in state.jugs.values()), default=float("inf"))
    hot, found = float("-inf"), []
    for r in state.readings:
        if r.doubt or r.place not in ("pot", "jug"):
            continue
        lit = max((s.start for s in state.burner_spans if s.start <= r.t), default=float("-inf"))
        back = any(hot < t < r.t - WARMED for t in pours)
        beside = r.t > min(drawn + WARMED, emptied) and (hot < lit or back)
        if r.place == "pot" or beside:
            found.append((r.t, r.celsius))
        if r.place == "jug" and r.celsius >= lifted_c:
            hot = r.t
    return found


@dataclass(frozen=True, slots=True)
class _Known:
    """A forecast by what it rests on, so that what was asked of it once is not worked out at every look."""

    setup: PotSetup
    readings: int
    soon_c: float
    pot: PotForecast = field(compare=False)


def _known(pot: PotForecast) -> _Known:
    return _Known(pot.setup, pot.readings, pot.at(pot.setup.mode_since + 600.0)[1], pot)


def warm_up(pot: PotForecast, target_c: float, by: float, now: float) -> float:
    """Seconds the burner has to be lit before `by` for the wax to be at `target_c` then, nine times in ten."""
    if pot.setup.mode == "on heat":
        spread = pot.reaches(target_c).spread
        rising = pot.at(now)[1] < target_c
        return max(0.0, _sure(spread) - now) if spread is not None and rising else 0.0
    lead = _warms(pot, target_c, _whole(max(now, by)))
    return _warms(pot, target_c, _whole(max(now, by - lead)))


def _warms(pot: PotForecast, target_c: float, at: float) -> float:
    key = ("warm", target_c, at)
    if key not in pot.asides:
        pot.asides[key] = _warming(_known(pot), target_c, at)
    return pot.asides[key]


def _whole(t: float) -> float:
    """To ten minutes, in which the bath cools a few kelvin and the warm-up changes by less than its spread."""
    return round(t / 600.0) * 600.0


def _sure(spread: Spread) -> float:
    """The late side, unless that is far off."""
    return min(spread.late, spread.likely + SURE)


def _warming(known: _Known, target_c: float, at: float) -> float:
    pot = known.pot
    at = max(at, pot.setup.mode_since)
    if pot.at(at)[1] >= target_c:
        return 0.0
    spread = _lit(known, at, SOON).reaches(target_c).spread
    if spread is None or spread.likely + SURE > at + SOON:
        spread = _lit(known, at, None).reaches(target_c).spread
    return max(0.0, _sure(spread) - at) if spread is not None else 0.0


@lru_cache(maxsize=16)
def _lit(known: _Known, at: float, ahead_s: float | None) -> PotForecast:
    """The pot as if its burner were lit at a time; other targets ask the same one."""
    return forecast(after_change(known.pot, at, "on heat"), (), at, ahead_s)


def carries_to(pot: PotForecast, target_c: float, now: float) -> bool:
    """Whether the bath would still carry the wax to a temperature, were the burner turned off now."""
    likely = pot.at(now)[1]
    if not target_c - CARRIES_MOST <= likely < target_c:
        return likely >= target_c
    key = ("peak", 0.0, round(now / 30.0) * 30.0)
    if key not in pot.asides:
        pot.asides[key] = _peak(_known(pot), key[2])
    return pot.asides[key] >= target_c


@lru_cache(maxsize=16)
def _peak(known: _Known, at: float) -> float:
    pot = known.pot
    at = max(at, pot.setup.mode_since)
    off = forecast(after_change(pot, at, "off heat"), (), at, 60.0 * CARRIES[-1])
    return float(max(off.band([at + 60.0 * minute for minute in CARRIES])[1]))


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
