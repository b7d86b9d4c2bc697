"""What a session amounts to at one moment: plain, immutable, made only by `fold.py`.

Times are seconds since the epoch, UTC; weights kg; temperatures °C.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from pourday.plan.bench import bench
from pourday.plan.model import Plan
from pourday.plan.pour_order import ToPour
from pourday.session import sequence
from pourday.session.act_id import ActId
from pourday.session.candle import CandleState
from pourday.session.events import (
    Burner,
    ChangeCame,
    Equipped,
    JugDosed,
    JugPlace,
    Knob,
    Means,
    Place,
    RescueChosen,
    RescueEnded,
    Told,
)
from pourday.session.heap import HeapState
from pourday.session.mould import LookAt as LookAt
from pourday.session.mould import MouldState as MouldState
from pourday.session.mould import PourAt as PourAt
from pourday.session.stage import Stage as Stage

LIT: tuple[Burner, ...] = ("on", "low")
"""A burner that somebody lit, full or low."""
NOBODY_TOLD = Equipped()
"""Who and with what, where that was not told."""


@dataclass(frozen=True, slots=True)
class ReadingAt:
    """A temperature that was read."""

    seq: int
    """Number of its entry in the record."""
    t: float
    place: Place
    celsius: float
    mould: str
    """Letter of the mould it was read at; empty where it was read at none."""
    means: Means
    doubt: str
    """Why it does not count; empty for one that does."""
    probe: str = ""
    """The probe it came from by itself; empty where somebody took it."""
    jug: int | None = None
    """The layer whose jug it was read in; None: in no jug, or nobody told which."""


@dataclass(frozen=True, slots=True)
class DoseAt:
    """A scent or a dye that went into a jug."""

    seq: int
    t: float
    fact: JugDosed


@dataclass(frozen=True, slots=True)
class JugState:
    """The jug of one layer."""

    made_at: float
    """When it was last made ready: drawn, or melted again."""
    drawn_at: float
    """When wax was last drawn for it."""
    kg: float | None
    """Weight of the last draw; None: not weighed."""
    heat_cycles: int = 1
    """How often this wax was melted; the first time counts."""
    returned_kg: float = 0.0
    """kg that came back into it out of moulds; by the pours where it was not weighed, for forecasts only."""
    earlier: tuple[float | None, ...] = ()
    """kg of earlier draws for the same layer; None: not weighed."""
    planned_kg: float | None = None
    """kg of wax the last draw was told to be; None where nothing was told."""
    set_at: float | None = None
    """When its wax was seen set, or came out of a mould as a block; None while it is liquid."""
    drawn_kg: float | None = None
    """kg of wax of the last draw as it was weighed, without scent and dye; None: not weighed."""
    doses: tuple[DoseAt, ...] = ()
    """Every scent and dye that was said to go into it."""

    stands: tuple[tuple[float, JugPlace], ...] = ()
    """(t, where) of every time it was put somewhere else since it was last drawn."""

    @property
    def where(self) -> JugPlace:
        """Where it stands now: in the bath, unless somebody said otherwise."""
        return self.where_at(float("inf"))

    def where_at(self, t: float) -> JugPlace:
        """Where it stood at a time, s since the epoch."""
        return next((where for since, where in reversed(self.stands) if since <= t), "bath")

    def where_until(self, t: float) -> JugPlace:
        """Where it stood until a time, s since the epoch: whoever reads it puts it elsewhere right after."""
        return next((where for since, where in reversed(self.stands) if since < t), "bath")

    @property
    def has_set(self) -> bool:
        """Whether it has to be melted again before anything is poured from it."""
        return self.set_at is not None


@dataclass(frozen=True, slots=True)
class AlarmState:
    """An alarm that has not ended."""

    raised_at: float
    says: str
    acknowledged_at: float | None = None


@dataclass(frozen=True, slots=True)
class TimerState:
    """A timer that still runs, or has run out and was not put away."""

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
class SpillAt:
    """Wax that is in no vessel any more."""

    t: float
    mould: str
    """Where it ran over or out of one."""
    layer: int | None
    """The jug it came from; None: the pot, where no mould is named."""
    kg: float | None


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of time in which something was so."""

    start: float
    end: float | None
    """None while it lasts."""
    what: str
    """Of the burner: `on`, `low` or `unknown`. Of a gap: `away`, `closed`, or what stopped the clock."""
    knob: Knob | None = None
    """Of a low flame: whether it was set lower or higher, as it began, than it had been before."""


@dataclass(frozen=True, slots=True)
class State:
    """All that is known of a session at one moment."""

    session: str = ""
    demo: bool = False
    batch: str = ""
    """The session whose candles this is about; empty for a day at the stove."""
    heap: HeapState | None = None
    """Wax that nobody knows, where the session is about some; None for a day at the stove."""
    candles: dict[str, CandleState] = field(default_factory=dict)
    """What became of each candle since it left its mould, by the letter of that mould."""
    opened_at: float = 0.0
    equipped: Equipped = NOBODY_TOLD
    """Who is at the stove and with what; empty where that was not told."""
    plan: Plan = field(default_factory=Plan)
    fixed_plan: Plan | None = None
    """The plan the day began with; None while it is still being drafted."""
    fixed_at: float | None = None
    prepared: dict[str, str] = field(default_factory=dict)
    """How each item of the preparation stands (`done`, `waived`, `open`), by its id."""
    burner: Burner = "off"
    burner_since: float = 0.0
    burner_spans: tuple[Span, ...] = ()
    """When the burner was lit, or nobody knew."""
    readings: tuple[ReadingAt, ...] = ()
    newest: dict[tuple[Place, str], ReadingAt] = field(default_factory=dict)
    """The newest reading of each place and mould, of those that are not in doubt."""
    jug_readings: tuple[ReadingAt, ...] = ()
    """Those of jugs alone that are not in doubt: beside thousands of the pot's they are asked for at every look."""
    additions: tuple[tuple[float, float | None], ...] = ()
    """(t, kg or None) of wax put into the pot."""
    water_seen_at: float | None = None
    """When somebody last looked at the water of the bath."""
    water_enough: tuple[float, ...] = ()
    """When it was looked at and was enough,"""
    water_added: tuple[float, ...] = ()
    """When they topped it up."""
    jugs: dict[int, JugState] = field(default_factory=dict)
    """By the number of the layer they are for."""
    moulds: dict[str, MouldState] = field(default_factory=dict)
    alarms: dict[str, AlarmState] = field(default_factory=dict)
    timers: tuple[TimerState, ...] = ()
    spills: tuple[SpillAt, ...] = ()
    left_over: dict[int | None, float] = field(default_factory=dict)
    """kg weighed at the end in each jug, and in the pot (None)."""
    waived: frozenset[ActId] = frozenset()
    """Acts that were left out, or need not be asked for again."""
    rescues: tuple[RescueAt, ...] = ()
    revisions: tuple[tuple[float, str], ...] = ()
    """(t, why) of every time the fixed plan was revised."""
    notes: tuple[tuple[float, str], ...] = ()
    came_back_at: float = 0.0
    """When somebody last said they were back."""
    away_since: float | None = None
    """When somebody said they were leaving; None while they are here."""
    back_by: float | None = None
    """When they meant to be back, where they said so."""
    hard_stop: float | None = None
    """When the person must leave the stove."""
    stays_up: float | None = None
    """Until when they work on into their quiet hours, seconds since the epoch; of one taken back, since when no more. None where
    nobody said anything."""
    told: Told | None = None
    """What the program last said to do,"""
    told_at: float = 0.0
    """and when."""
    heard_at: float = 0.0
    """When a person last did anything."""
    gaps: tuple[Span, ...] = ()
    """Stretches in which nobody watched, or the program did not run."""
    change_came: ChangeCame | None = None
    """How the plan's one change came out; None while nobody said."""
    finished_at: float | None = None
    verdict: str = ""
    last_seq: int = 0
    last_t: float = 0.0
    _remaining: dict[str, tuple[ToPour, ...]] = field(
        default_factory=dict, init=False, compare=False, repr=False
    )
    """What still comes into each mould, as far as it was asked for: one agenda asks sixty times."""

    @property
    def stage(self) -> Stage:
        """Where the day has got to; it locks nothing."""
        if self.finished_at is not None:
            return "finished"
        if self.batch:
            return "candles"
        if self.heap is not None:
            return "heap"
        if self.fixed_plan is None:
            return "setup"
        if not any(m.pours for m in self.moulds.values()):
            return "melt"
        return "cure" if all(self.filled(letter) for letter in self.moulds) else "pour"

    def remaining(self, letter: str) -> tuple[ToPour, ...]:
        """Every pour that still comes into a mould, in order; see `sequence.remaining_pours`."""
        if letter not in self._remaining:
            mould = self.moulds.get(letter, MouldState(letter))
            self._remaining[letter] = sequence.remaining_pours(self.plan, self.waived, mould)
        return self._remaining[letter]

    def next_pour(self, letter: str) -> ToPour | None:
        """What goes into a mould next; None where nothing does."""
        return next(iter(self.remaining(letter)), None)

    def filled(self, letter: str) -> bool:
        """Whether every layer is in a mould and it was topped up once, or nothing comes into it any more.

        A wide candle gets further top-ups all the same.
        """
        mould, coming = self.moulds[letter], self.next_pour(letter)
        topped = mould.last_pour is not None and mould.last_pour.part == "top-up"
        return coming is None or (coming.part == "top-up" and topped)

    def came_out(self, letter: str) -> bool:
        """Whether a candle came of a mould: it left it, or stays in it and was filled."""
        mould = self.moulds[letter]
        stays = any(each.mould.stays for each in bench(self.plan) if each.letter == letter)
        return mould.demoulded_at is not None or (stays and bool(mould.pours) and self.filled(letter))

    def place_of(self, letter: str, layer: int) -> int:
        """The planned layer whose line a layer goes to in a mould; another one after a wrong colour went in."""
        return sequence.place_in(self.moulds[letter], layer) if letter in self.moulds else layer

    def given_up(self, letter: str) -> bool:
        """Whether no candle comes of a mould, because its first layer was left out."""
        return sequence.is_given_up(self.plan, self.waived, self.moulds.get(letter, MouldState(letter)))

    def rescue(self, mould: str = "", card: str = "") -> RescueAt | None:
        """The newest rescue of this mould (and card, where given) that nobody said the outcome of yet."""
        for rescue in reversed(self.rescues):
            if rescue.ended is None and rescue.fact.mould == mould and card in ("", rescue.fact.card):
                return rescue
        return None

    def lip_c(self, pour: PourAt) -> float | None:
        """°C a pour was read at: at the lip, else in the jug at that very moment; None where neither was read."""
        if pour.celsius is not None:
            return pour.celsius
        for reading in reversed(self.readings):
            named = reading.jug in (None, pour.layer)
            if reading.place == "jug" and named and not reading.doubt and reading.t == pour.t:
                return reading.celsius
        return None

    def last_reading(self, place: Place, mould: str = "", *, doubted: bool = False) -> ReadingAt | None:
        """The newest reading at a place; those in doubt only where asked for."""
        if not doubted:
            return self.newest.get((place, mould))
        return next((r for r in reversed(self.readings) if (r.place, r.mould) == (place, mould)), None)
