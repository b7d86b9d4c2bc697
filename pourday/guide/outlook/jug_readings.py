"""Readings of jugs as the record has them, two by two: what each pair says of how fast a jug cools."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise

from pourday.forecast.jug_law import JugFigure, JugLaw, bath_lasts, bench_lasts
from pourday.guide.outlook.pot import bath_known
from pourday.guide.outlook.pot_stretches import WARMED
from pourday.guide.outlook.wax_left import wax_left
from pourday.learning.jugs import JugPair, law_after
from pourday.plan.replan import WaxInventory
from pourday.session.state import ReadingAt, State

SETTLES = 180.0
"""s after the flame was turned, or a jug moved, until it goes the new way. An estimate of ours."""
SHORTEST, LONGEST = 120.0, 3600.0
"""s between two readings that may tell something: in less they may be of one moment, in more much is done that nobody
files. Estimates of ours."""


def jug_laws(state: State, law: JugLaw, lifted_c: float) -> Mapping[int, JugLaw]:
    """The law of each jug by layer, after what was read in it today, from what earlier days say of this kitchen's jugs."""
    pairs = jug_pairs(state, lifted_c)
    return {x: law_after([pair for pair in pairs if pair.layer == x], law) for x in sorted(state.jugs)}


def jug_pairs(state: State, lifted_c: float) -> list[JugPair]:
    """Every two readings of one jug that follow each other with nothing done to it between them.

    A jug that was read at `lifted_c` or hotter over no flame is taken to be lifted out of its bath, as its sentence says.
    """
    if not any(reading.jug is not None for reading in state.readings):
        return []
    room = state.last_reading("room")
    room_c, water_kg = room.celsius if room is not None else state.plan.room_c, bath_known(state.plan)[0]
    pairs, left = list[JugPair](), wax_left(state)
    for layer in sorted(state.jugs):
        read = [r for r in state.readings if r.place == "jug" and r.jug == layer and not r.doubt]
        for one, other in pairwise(read):
            how = _between(state, layer, one, other)
            if how is None or (how == "cooling" and one.celsius >= lifted_c):
                continue
            on_bench = how == "bench"
            pairs.append(
                JugPair(
                    layer, how, other.t - one.t, one.celsius, other.celsius, room_c,
                    bench_lasts(_held(state, left, layer, one.t)) if on_bench
                    else bath_lasts(water_kg, _held(state, left, None, one.t)),
                )
            )  # fmt: skip
    return pairs


def _between(state: State, layer: int, one: ReadingAt, other: ReadingAt) -> JugFigure | None:
    """What went on with a jug from one reading of it to the next; None where that changed, or nobody knows."""
    jug, since = state.jugs[layer], one.t - SETTLES
    if not SHORTEST <= other.t - one.t <= LONGEST or jug.made_at + WARMED > one.t:
        return None
    if any(since < t <= other.t for t, _ in jug.stands):
        return None
    where = jug.where_at(one.t)
    poured = any(
        p.layer == layer and one.t < p.t <= other.t for mould in state.moulds.values() for p in mould.pours
    )
    if where != "bath":
        return "bench" if where == "bench" and not poured else None
    done = [t for t, _ in state.additions] + [*state.water_added]
    done += [t for span in state.burner_spans for t in (span.start, span.end) if t is not None]
    done += [x.made_at for x in state.jugs.values()]
    if any(since < t <= other.t for t in done):
        return None
    lit = any(span.start <= one.t and (span.end is None or one.t < span.end) for span in state.burner_spans)
    return None if lit else "cooling"


def _held(state: State, left: WaxInventory, layer: int | None, t: float) -> float:
    """kg of wax in the jug of a layer at a time, or in pot and jugs together: what is left, and what was poured since."""
    now = left.pot + sum(left.jugs.values()) if layer is None else left.jugs.get(layer, 0.0)
    return now + sum(
        p.kg_best for m in state.moulds.values() for p in m.pours if p.t > t and layer in (None, p.layer)
    )
