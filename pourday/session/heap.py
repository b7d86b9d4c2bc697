"""Wax that nobody knows, at one moment: what was done with it, seen on it, and read in its tin.

Times in s since the epoch, UTC; kg; °C.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import msgspec

from pourday.session import events as ev

OF_HEAP = (
    ev.HeapStepDone,
    ev.HeapWeighed,
    ev.WaxSeen,
    ev.WaterTested,
    ev.TinTold,
    ev.CoolingBegun,
    ev.CoolingRead,
    ev.CoolingEnded,
    ev.BlockWeighed,
    ev.LotNamed,
)
"""The facts that are about wax that nobody knows."""
HeapFact = (
    ev.HeapStepDone
    | ev.HeapWeighed
    | ev.WaxSeen
    | ev.WaterTested
    | ev.TinTold
    | ev.CoolingBegun
    | ev.CoolingRead
    | ev.CoolingEnded
    | ev.BlockWeighed
    | ev.LotNamed
)


@dataclass(frozen=True, slots=True)
class StepAt:
    """How a step stands, and since when."""

    t: float
    came: str
    """`done`, `begun` or `left out`."""


@dataclass(frozen=True, slots=True)
class CoolingAt:
    """One cooling curve, as far as it was taken."""

    begun_at: float
    fact: ev.CoolingBegun
    readings: tuple[tuple[float, float], ...] = ()
    """(t, °C), in the order of time."""
    ended: ev.CoolingEnded | None = None


@dataclass(frozen=True, slots=True)
class Tin:
    """What was said of the tin whose curve has not begun yet. None: not weighed, not read, or not asked for yet."""

    told: frozenset[str] = frozenset()
    """`weight`, `around`: what was asked for and answered."""
    kg: float | None = None
    around_c: float | None = None


@dataclass(frozen=True, slots=True)
class HeapState:
    """All that is known of one lot of wax that nobody knew."""

    steps: dict[ev.HeapStep, StepAt] = field(default_factory=dict)
    came_kg: float | None = None
    """As it came, wicks and all; None: not weighed."""
    clean_kg: float | None = None
    seen: ev.WaxSeen = field(default_factory=ev.WaxSeen)
    """The newest word on each thing."""
    water: ev.WaterTested | None = None
    tin: Tin = field(default_factory=Tin)
    curves: tuple[CoolingAt, ...] = ()
    dry_kg: float | None = None
    """The block whose density is taken: weighed dry,"""
    water_kg: float | None = None
    """and the water it pushes aside."""
    name: str = ""
    """Of the lot; empty while it has none."""

    @property
    def lost_kg(self) -> float | None:
        """Wicks, metal, dregs and what stayed on cloth and pot; None where it was not weighed twice."""
        if self.came_kg is None or self.clean_kg is None:
            return None
        return self.came_kg - self.clean_kg

    @property
    def cooling(self) -> CoolingAt | None:
        """The curve that is being taken now."""
        return self.curves[-1] if self.curves and self.curves[-1].ended is None else None

    @property
    def curve(self) -> CoolingAt | None:
        """The newest curve that was taken to its end."""
        return next((curve for curve in reversed(self.curves) if curve.ended is not None), None)


def with_heap_fact(heap: HeapState, fact: HeapFact, t: float) -> HeapState:
    """The wax after one more fact about it, which happened at `t`.

    A reading or an end belongs to the newest curve; where none is being taken it changes nothing.
    """
    match fact:
        case ev.HeapStepDone():
            # Without a curve there is no tin, whatever was said of one.
            tin = Tin() if fact.step == "curve" else heap.tin
            return replace(heap, steps={**heap.steps, fact.step: StepAt(t, fact.came)}, tin=tin)
        case ev.HeapWeighed():
            return (
                replace(heap, came_kg=fact.kg)
                if fact.what == "as it came"
                else replace(heap, clean_kg=fact.kg)
            )
        case ev.WaxSeen():
            said = {name: v for name in fact.__struct_fields__ if (v := getattr(fact, name)) is not None}
            return replace(heap, seen=msgspec.structs.replace(heap.seen, **said))
        case ev.WaterTested():
            return replace(heap, water=fact)
        case ev.TinTold():
            return replace(heap, tin=_with_told(heap.tin, fact))
        case ev.CoolingBegun():
            return replace(heap, curves=(*heap.curves, CoolingAt(t, fact)), tin=Tin())
        case ev.BlockWeighed():
            dry = heap.dry_kg if fact.dry_kg is None else fact.dry_kg
            return replace(
                heap, dry_kg=dry, water_kg=heap.water_kg if fact.water_kg is None else fact.water_kg
            )
        case ev.LotNamed():
            return replace(heap, name=fact.name)
        case _:
            cooling = heap.cooling
            if cooling is None:
                return heap
            return replace(heap, curves=(*heap.curves[:-1], _with_reading(cooling, fact, t)))


def _with_told(tin: Tin, fact: ev.TinTold) -> Tin:
    match fact.what:
        case "weight":
            return replace(tin, told=tin.told | {"weight"}, kg=fact.kg)
        case "around":
            return replace(tin, told=tin.told | {"around"}, around_c=fact.around_c)
        case "nothing":
            return Tin()


def _with_reading(cooling: CoolingAt, fact: ev.CoolingRead | ev.CoolingEnded, t: float) -> CoolingAt:
    if isinstance(fact, ev.CoolingEnded):
        return replace(cooling, ended=fact)
    readings = (*cooling.readings, (t, fact.celsius))
    if len(readings) > 1 and t < readings[-2][0]:
        readings = tuple(sorted(readings))
    return replace(cooling, readings=readings)
