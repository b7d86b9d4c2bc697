"""What a session amounts to at one moment: plain, immutable, made only by `fold.py`.

Times are seconds since the epoch, UTC; weights kg; temperatures °C.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from pourday.plan.model import Plan
from pourday.session.events import Burner, Cue, Means, Part, Place, Release, Told

Stage = Literal["setup", "melt", "pour", "cure", "finished"]


@dataclass(frozen=True, slots=True)
class ReadingAt:
    seq: int
    t: float
    place: Place
    celsius: float
    mould: str
    means: Means
    doubt: str


@dataclass(frozen=True, slots=True)
class PourAt:
    seq: int
    t: float
    layer: int
    part: Part
    kg: float | None
    """None: not weighed."""
    planned_kg: float | None
    celsius: float | None

    @property
    def kg_best(self) -> float:
        """The weighed amount, or the planned one where it was not weighed; for forecasts only."""
        return self.kg if self.kg is not None else (self.planned_kg or 0.0)


@dataclass(frozen=True, slots=True)
class LookAt:
    t: float
    cue: Cue


@dataclass(frozen=True, slots=True)
class MouldState:
    letter: str
    pours: tuple[PourAt, ...] = ()
    looks: tuple[LookAt, ...] = ()
    weeps: bool | None = None
    """None until somebody looked underneath."""
    relieved_at: tuple[float, ...] = ()
    demoulded_at: float | None = None
    release: Release | None = None
    candle_kg: float | None = None

    @property
    def last_pour(self) -> PourAt | None:
        return self.pours[-1] if self.pours else None

    def poured(self, layer: int, part: Part) -> PourAt | None:
        """The first pour of this part of this layer, where it was made."""
        return next((p for p in self.pours if p.layer == layer and p.part == part), None)

    @property
    def look(self) -> LookAt | None:
        """The last look since the last pour; an older one says nothing of this surface."""
        if not self.looks or (self.pours and self.looks[-1].t < self.pours[-1].t):
            return None
        return self.looks[-1]


@dataclass(frozen=True, slots=True)
class JugState:
    made_at: float
    kg: float | None
    heat_cycles: int = 1


@dataclass(frozen=True, slots=True)
class AlarmState:
    raised_at: float
    says: str
    acknowledged_at: float | None = None


@dataclass(frozen=True, slots=True)
class TimerState:
    name: str
    set_at: float
    due: float


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of time with something true in it; `end` None while it lasts."""

    start: float
    end: float | None
    what: str


@dataclass(frozen=True, slots=True)
class State:
    session: str = ""
    demo: bool = False
    opened_at: float = 0.0
    plan: Plan = field(default_factory=Plan)
    fixed_plan: Plan | None = None
    """The plan the day began with; None while it is still being drafted."""
    fixed_at: float | None = None
    prepared: dict[str, str] = field(default_factory=dict)
    burner: Burner = "off"
    burner_since: float = 0.0
    burner_spans: tuple[Span, ...] = ()
    readings: tuple[ReadingAt, ...] = ()
    additions: tuple[tuple[float, float | None], ...] = ()
    """(t, kg or None) of wax put into the pot."""
    water_seen_at: float | None = None
    jugs: dict[int, JugState] = field(default_factory=dict)
    moulds: dict[str, MouldState] = field(default_factory=dict)
    alarms: dict[str, AlarmState] = field(default_factory=dict)
    timers: tuple[TimerState, ...] = ()
    waived: frozenset[str] = frozenset()
    notes: tuple[tuple[float, str], ...] = ()
    away_since: float | None = None
    back_by: float | None = None
    told: Told | None = None
    told_at: float = 0.0
    heard_at: float = 0.0
    """When a person last did anything."""
    gaps: tuple[Span, ...] = ()
    finished_at: float | None = None
    verdict: str = ""
    last_seq: int = 0
    last_t: float = 0.0

    @property
    def stage(self) -> Stage:
        """Where the day has got to; it locks nothing."""
        if self.finished_at is not None:
            return "finished"
        if self.fixed_plan is None:
            return "setup"
        if not any(m.pours for m in self.moulds.values()):
            return "melt"
        last = len(self.plan.layers) - 1
        if all(m.poured(last, "top-up") or f"top-up {m.letter}" in self.waived for m in self.moulds.values()):
            return "cure"
        return "pour"

    def last_reading(self, place: Place, mould: str = "", *, doubted: bool = False) -> ReadingAt | None:
        """The newest reading at a place; those in doubt only where asked for."""
        for reading in reversed(self.readings):
            if reading.place == place and reading.mould == mould and (doubted or not reading.doubt):
                return reading
        return None
