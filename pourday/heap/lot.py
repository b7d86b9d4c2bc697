"""What came of wax that nobody knew: a wax of one's own that plans can use, as surely as it is known."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from msgspec.structs import replace

from pourday.curve.clues import Clues
from pourday.curve.families import NOTHING_READ, FamilyOdds, families_of
from pourday.curve.reading import CurveReading
from pourday.heap.beat import reading_of
from pourday.language import tr
from pourday.plan.model import BlendPart, Plan
from pourday.plan.water import bath_reach
from pourday.session.events import HeapStep
from pourday.session.heap import HeapState
from pourday.session.state import State
from pourday.stock.lot import Cleaned, Reclaimed, StockLot
from pourday.wax.materials import CURVE, WORDS, Wax, families
from pourday.wax.supplier import from_sheet

WATER = 998.0
"""kg/m³ of water at 20 to 22 °C (any handbook)."""
LIKELY_FAMILY = 0.05
"""Odds from which on a family's limits count for wax that may be of it: estimate."""
FIT_C = 2.0
"""K that a lot's congealing point may lie outside a family's range and the family still lend it figures: estimate."""
HEAP_MOST_C = 85.0
"""°C that a heap of old candles is never heated above: nobody knows the scents in it, nor its flash point. Estimate of
the wax table's row of reclaimed candles; the bath's own limit is the other one."""
MANY = 0.8
"""Share of the odds that the range of an unread wax has to hold. Chosen."""


@dataclass(frozen=True, slots=True)
class BlockDensity:
    """Of a cold block, by the water it pushes aside, kg/m³; four times in five between the two ends."""

    low: float
    likely: float
    high: float


LIGHTEST, DENSEST = 600.0, 1200.0
"""kg/m³ between which a block is taken to be wax: the wax table has 780 to 1000, a foamed one less. Estimate."""


def density_of(heap: HeapState, scale_step: float) -> BlockDensity | None:
    """From a dry weight and the water pushed aside, both kg; `scale_step` kg. None where one is missing or absurd.

    Each weight is taken to be off by half a step of the scale and a third of a gram of water on thread and needle.
    """
    if not heap.dry_kg or not heap.water_kg:
        return None
    density = heap.dry_kg / heap.water_kg * WATER
    off = density * math.hypot(
        0.5 * scale_step / heap.dry_kg, math.hypot(0.5 * scale_step, 0.0003) / heap.water_kg
    )
    return (
        BlockDensity(density - off, density, density + off)
        if can_be_wax(heap.dry_kg, heap.water_kg)
        else None
    )


def can_be_wax(dry_kg: float, water_kg: float) -> bool:
    """Whether a block of wax that weighs this dry can push so much water aside."""
    return water_kg > 0 and LIGHTEST < dry_kg / water_kg * WATER < DENSEST


def clues_of(heap: HeapState, scale_step: float) -> Clues:
    """What was seen, smelt and weighed, as clues to the family; `scale_step` is the smallest step of the scale, kg."""
    seen, density = heap.seen, density_of(heap, scale_step)
    return Clues(
        smell=seen.smell,
        surface=seen.surface,
        nail=seen.nail,
        density=None if density is None else density.likely,
        density_sd=0.0 if density is None else (density.high - density.low) / 2 / 1.2816,
        liquid=seen.liquid,
        floats=seen.floats,
    )


def last_reading(heap: HeapState) -> CurveReading | None:
    """What the newest complete curve says that is long enough to say anything; None where there is none."""
    complete = (reading_of(curve) for curve in reversed(heap.curves) if curve.ended is not None)
    return next((reading for reading in complete if reading is not None), None)


def odds_of(heap: HeapState, scale_step: float) -> tuple[FamilyOdds, ...]:
    """What it can be, by everything that is known of it, likeliest first."""
    reading = last_reading(heap)
    return families_of(NOTHING_READ if reading is None else reading, clues_of(heap, scale_step))


def as_wax(heap: HeapState, name: str, scale_step: float, bath_c: float) -> Wax:
    """The lot as a wax of one's own; `bath_c` is the hottest a water bath gets here, °C.

    Where the curve told, it sets there, as surely as that was read; else anywhere from the lowest to the highest
    family that it can be. The rest is of the likeliest family. It is heated no hotter than any family bears that it
    may be, and than the bath can, for nobody knows its flash point; and of a heap nobody knows how much scent is in
    it already, so that it takes none. Raises `Trouble` for a name without a letter or a digit.
    """
    density = density_of(heap, scale_step)
    known = {} if density is None else {"density_solid": density.likely}
    if "a heap" in heap.steps:
        known |= {"scent_max": 0.0, "max_working_c": HEAP_MOST_C}
    return wax_of(name, last_reading(heap), odds_of(heap, scale_step), bath_c, known)


def wax_of(
    name: str,
    reading: CurveReading | None,
    odds: Sequence[FamilyOdds],
    bath_c: float,
    known: Mapping[str, float] = {},
) -> Wax:
    """A wax of one's own from what its curve says and what it can be, as `as_wax` has it.

    `known` are figures of `supplier.FIGURES` that stand; a ceiling among them is an upper limit. Raises `Trouble` for a
    name without a letter or a digit.
    """
    low, high = _sets(reading, odds)
    fits = [each for each in odds if _fits(families()[each.family], (low + high) / 2)]
    nearest = (fits or list(odds))[0].family
    may_be = [families()[each.family] for each in odds if each.odds >= LIKELY_FAMILY]
    ceiling = min(bath_c, known.get("max_working_c", bath_c), *(wax.max_working_c for wax in may_be))
    sets = {"congealing_min_c": low, "congealing_max_c": high, "max_working_c": float(math.floor(ceiling))}
    told = reading is not None and reading.congealing_c is not None
    wax = from_sheet(name, nearest, {**known, **sets}, confidence=CURVE if told else WORDS)
    plain = reading is not None and reading.kind == "plateau"
    return wax if plain or wax.mould_suitable != "yes" else replace(wax, mould_suitable="test first")


def _fits(wax: Wax, sets_c: float) -> bool:
    """Whether a family can lend figures to a lot that sets there."""
    return wax.congealing_min_c - FIT_C <= sets_c <= wax.congealing_max_c + FIT_C


def plan_with(state: State) -> Plan:
    """A plan that is poured of this lot: all that was weighed of it is at hand. Raises `Trouble` for a name that no wax
    can have."""
    heap, kitchen = state.heap or HeapState(), state.plan
    wax = as_wax(heap, heap.name, kitchen.scale_step, bath_reach(kitchen.altitude).best_c)
    part = BlendPart(wax=wax.id, lot=state.session, at_hand=heap.clean_kg)
    return replace(kitchen, blend=(part,), own=(wax,))


CLEANED: tuple[tuple[HeapStep, Cleaned], ...] = (
    ("sorted", "sorted"),
    ("molten", "heated to 80 °C"),
    ("wicks out", "wicks out"),
    ("settled", "settled"),
    ("strained", "strained"),
)
"""Which step of the run is which word of the shelf's."""


def stock_lot(state: State, wax: Wax) -> StockLot | None:
    """The lot for the shelf, as it was weighed clean; None where it was not weighed.

    It bears the name of the session in which it was cleaned, and counts from when that began, so that putting it there twice can be told from another heap of its name.
    """
    heap = state.heap
    if heap is None or heap.clean_kg is None:
        return None
    cleaned = tuple(word for step, word in CLEANED if step in heap.steps and heap.steps[step].came == "done")
    if heap.water is not None and heap.water.came == "dry":
        cleaned = (*cleaned, "dry")
    reading = last_reading(heap)
    span = (None, None) if reading is None or reading.range_c is None else reading.range_c
    before = heap.seen.melted
    reclaimed = Reclaimed(
        came_from=tr("candle ends"),
        cleaned=cleaned,
        melts_from_c=span[0],
        melts_to_c=span[1],
        sets_c=None if reading is None else reading.congealing_c,
        scent="none" if heap.seen.smell == "none" and before == 0 else "",
        colour=heap.seen.colour or "",
        smell=heap.seen.smell or "",
        heat_cycles=None if before is None else before + 1,
        heap=heap.came_kg,
        session=state.session,
    )
    return StockLot(
        kind="wax",
        product=wax.id,
        lot=state.session,
        counted=heap.clean_kg,
        counted_at=state.opened_at,
        reclaimed=reclaimed,
    )


def _sets(reading: CurveReading | None, odds: Sequence[FamilyOdds]) -> tuple[float, float]:
    """°C from and to of where it sets, as far as is known."""
    if reading is not None and reading.early_c is not None and reading.late_c is not None:
        return round(reading.early_c, 1), round(reading.late_c, 1)
    chance, likely_waxes = 0.0, list[Wax]()
    for each in odds:
        likely_waxes.append(families()[each.family])
        chance += each.odds
        if chance >= MANY:
            break
    low, high = (
        min(wax.congealing_min_c for wax in likely_waxes),
        max(wax.congealing_max_c for wax in likely_waxes),
    )
    if reading is not None and reading.rests_at_c is not None and reading.rests_at_c > low:
        high = min(high, reading.rests_at_c)
    return low, high
