"""What a session amounts to at one moment: plain, immutable, made only by `fold.py`.

Times are seconds since the epoch, UTC; weights kg; temperatures °C.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from pourday.errors import Trouble
from pourday.plan.model import Plan
from pourday.plan.own_layers import last_layer
from pourday.session.events import Burner, Cue, Means, Part, Place, Release, RescueChosen, RescueEnded, Told

FIRST_POURS = ("plug", "layer")
"""Acts a mould begins with, as the agenda names them (`plug 0 A`): who leaves that out leaves the mould empty."""
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
    share: float = 1.0
    """Of what was planned, as judged by eye."""

    @property
    def kg_best(self) -> float:
        """The weighed amount, or what was planned of it where it was not weighed; for forecasts only."""
        return self.kg if self.kg is not None else (self.planned_kg or 0.0) * self.share


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
    """None until somebody looked underneath,"""
    seal_seen_at: float | None = None
    """last at this time."""
    relieved_at: tuple[float, ...] = ()
    demoulded_at: float | None = None
    release: Release | None = None
    candle_kg: float | None = None
    emptied: tuple[PourAt, ...] = ()
    """Pours that came out of the mould again,"""
    emptied_at: float | None = None
    """last at this time."""
    restarts: int = 0
    """How often wax came out of it again."""

    @property
    def last_pour(self) -> PourAt | None:
        return self.pours[-1] if self.pours else None

    def poured(self, layer: int, part: Part) -> PourAt | None:
        """The first pour of this part of this layer, where it was made."""
        return next((p for p in self.pours if p.layer == layer and p.part == part), None)

    @property
    def look(self) -> LookAt | None:
        """The last look since wax went in or came out; an older one says nothing of this surface."""
        changed = [t for t in (self.pours[-1].t if self.pours else None, self.emptied_at) if t is not None]
        if not self.looks or self.looks[-1].t < max(changed, default=0.0):
            return None
        return self.looks[-1]


@dataclass(frozen=True, slots=True)
class JugState:
    made_at: float
    """When it was last made ready: drawn, or melted again."""
    drawn_at: float
    """When wax was last drawn for it."""
    kg: float | None
    heat_cycles: int = 1
    """How often this wax was melted; the first time counts."""
    returned_kg: float = 0.0
    """kg that came back into it out of moulds; by the pours where it was not weighed, for forecasts only."""
    earlier: tuple[float | None, ...] = ()
    """kg of earlier draws for the same layer; None: not weighed."""
    set_at: float | None = None
    """When its wax was seen set, or came out of a mould as a block; None while it is liquid."""

    @property
    def has_set(self) -> bool:
        """Whether it has to be melted again before anything is poured from it."""
        return self.set_at is not None


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
class RescueAt:
    """A rescue as it was chosen, and how it came out, once that was said."""

    seq: int
    t: float
    fact: RescueChosen
    ended: RescueEnded | None = None


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of time with something true in it; `end` None while it lasts."""

    start: float
    end: float | None
    what: str


def _topped_layer(plan: Plan, mould: MouldState) -> int:
    """The layer that is topped up; the plan's last for a mould that is not in the plan any more."""
    try:
        return last_layer(plan, mould.letter)
    except Trouble:
        return len(plan.layers) - 1


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
    newest: dict[tuple[Place, str], ReadingAt] = field(default_factory=dict)
    """The newest reading of each place and mould, of those that are not in doubt."""
    additions: tuple[tuple[float, float | None], ...] = ()
    """(t, kg or None) of wax put into the pot."""
    water_seen_at: float | None = None
    jugs: dict[int, JugState] = field(default_factory=dict)
    moulds: dict[str, MouldState] = field(default_factory=dict)
    alarms: dict[str, AlarmState] = field(default_factory=dict)
    timers: tuple[TimerState, ...] = ()
    waived: frozenset[str] = frozenset()
    rescues: tuple[RescueAt, ...] = ()
    revisions: tuple[tuple[float, str], ...] = ()
    """(t, why) of every time the fixed plan was revised."""
    notes: tuple[tuple[float, str], ...] = ()
    came_back_at: float = 0.0
    """When somebody last said they were back."""
    away_since: float | None = None
    back_by: float | None = None
    hard_stop: float | None = None
    """When the person must leave the stove."""
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
        return "cure" if all(self.filled(m) for m in self.moulds.values()) else "pour"

    def filled(self, mould: MouldState) -> bool:
        """Whether nothing goes into a mould any more: topped up, out of the mould, or left out by the person."""
        if mould.demoulded_at is not None or f"top-up {mould.letter}" in self.waived:
            return True
        if not mould.pours:
            acts = (act.split(" ") for act in self.waived)
            return any(len(a) == 3 and a[0] in FIRST_POURS and a[2] == mould.letter for a in acts)
        return mould.poured(_topped_layer(self.plan, mould), "top-up") is not None

    def rescue(self, mould: str = "", card: str = "") -> RescueAt | None:
        """The newest rescue of this mould (and card, where given) that nobody said the outcome of yet."""
        for rescue in reversed(self.rescues):
            if rescue.ended is None and rescue.fact.mould == mould and card in ("", rescue.fact.card):
                return rescue
        return None

    def last_reading(self, place: Place, mould: str = "", *, doubted: bool = False) -> ReadingAt | None:
        """The newest reading at a place; those in doubt only where asked for."""
        if not doubted:
            return self.newest.get((place, mould))
        return next((r for r in reversed(self.readings) if (r.place, r.mould) == (place, mould)), None)
