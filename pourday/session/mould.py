"""What is in one mould and what was seen on it, at one moment of a session. Times in s since the epoch, UTC; kg; °C."""

from __future__ import annotations

from dataclasses import dataclass

from pourday.session.events import Cue, Part, Release


@dataclass(frozen=True, slots=True)
class PourAt:
    """One pour that was made."""

    seq: int
    """Number of its entry in the record."""
    t: float
    layer: int
    """Number in pour order, from 0."""
    part: Part
    kg: float | None
    """None: not weighed."""
    planned_kg: float | None
    celsius: float | None
    """At the lip, °C; None: not read."""
    share: float = 1.0
    """Of what was planned, as judged by eye."""
    instead_of: int | None = None
    """The layer that was due, where this one went in by mistake."""
    spilled_kg: float = 0.0
    """What of it ran over the rim again."""

    @property
    def kg_best(self) -> float:
        """What of it is in the mould: as weighed, or as planned where it was not weighed, less what ran over; for
        forecasts only."""
        return max(0.0, self.kg_left - self.spilled_kg)

    @property
    def kg_left(self) -> float:
        """What left the jug for it: as weighed, or as planned where it was not weighed."""
        return self.kg if self.kg is not None else (self.planned_kg or 0.0) * self.share


@dataclass(frozen=True, slots=True)
class LookAt:
    """What somebody saw on the surface."""

    t: float
    cue: Cue


@dataclass(frozen=True, slots=True)
class MouldState:
    """One mould on the bench: what went in and came out of it, and what was seen on it."""

    letter: str
    pours: tuple[PourAt, ...] = ()
    """What is in it now, from the closed end up."""
    looks: tuple[LookAt, ...] = ()
    weeps: bool | None = None
    """None until somebody looked underneath,"""
    seal_seen_at: float | None = None
    """last at this time."""
    relieved_at: tuple[float, ...] = ()
    """When relief holes were opened in its surface."""
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
        """The pour on top; None in an empty mould."""
        return self.pours[-1] if self.pours else None

    def poured(self, layer: int, part: Part) -> PourAt | None:
        """The first pour of this part of this layer; None where there was none."""
        return next((p for p in self.pours if p.layer == layer and p.part == part), None)

    @property
    def look(self) -> LookAt | None:
        """The last look since wax went in or came out; an older one says nothing of this surface."""
        changed = [t for t in (self.pours[-1].t if self.pours else None, self.emptied_at) if t is not None]
        if not self.looks or self.looks[-1].t < max(changed, default=0.0):
            return None
        return self.looks[-1]
