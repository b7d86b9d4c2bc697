"""One imagined way through the day: what one pair of hands does when, mould by mould.

An act takes a free stretch of the hands; none is given twice. Acts of one colour that fall together are
done in one go.
"""

from __future__ import annotations

import math
from bisect import insort
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from pourday.forecast.fuse import Window
from pourday.guide.acts.act import Kind
from pourday.guide.acts.durations import (
    HANDS,
    HOLDS,
    JUG_HOT,
    JUG_LEAD,
    LITTLE_LIQUID,
    LOOK_SOONEST,
    LOOK_TO_TOP_UP,
    PACE,
    RELIEF_EVERY,
    SEAL_WAIT,
    TOGETHER,
)
from pourday.guide.acts.heat_plan import TOP_UP_KEEPS
from pourday.guide.acts.mould_end import WIDE
from pourday.guide.ahead.moulds import SEEN_AHEAD, MouldCourse
from pourday.guide.outlook.room import Hollow
from pourday.plan.weigh import WeighSheet
from pourday.session.events import Part
from pourday.session.quiet_hours import PersonsClock
from pourday.session.state import State
from pourday.wax.materials import Wax

NOTED = 4.0
"""How many paces (`Scenario.pace`) an act may wait for hands or stove before that is said. Chosen."""
NARROW = 5.0
"""How many paces before its closing the best moment of a window may lie and still leave time to look first. Estimate."""
BEFORE_CLOSING = 10.0
"""How many paces before its closing a layer is poured on although it is not firm yet. Estimate."""


SLOWLY = 2
"""Number of the way on which everything takes longer than is likely."""


PlannedKind = Kind | Literal["solid"]
"""An act of the agenda; or a mould set through, which needs nobody."""


@dataclass(frozen=True, slots=True)
class PlannedAct:
    """Something that is done on one way through the day."""

    kind: PlannedKind
    moulds: str
    layer: int | None
    start: float
    takes: float
    nth: int = 0
    """How often it was done before, on that day and on its way: the agenda counts holes in the same way. Of a burner
    that is to be lit, only how often ahead of this."""
    wanted: float = 0.0
    """When it would be done with free hands and a hot pot."""
    ready_at: float = 0.0
    """When its moulds would like it, before anybody looked at them, for a pour."""
    opens: float | None = None
    closes: float | None = None
    window: Window | None = None
    """Of a pour whose window never opens."""
    waits_for: str = ""
    """`stove` or `hands`, where one of them makes it later than wanted."""

    @property
    def end(self) -> float:
        """When the hands are free again."""
        return self.start + self.takes


class Hands:
    """One pair of hands: every stretch of it is given once."""

    def __init__(self) -> None:
        self._busy: list[tuple[float, float]] = []
        """(from, until) of every stretch that is taken, in order."""

    def take(self, at: float, takes: float) -> float:
        """Take so many seconds from the first time they are free, at `at` or later; that time."""
        start = at
        for begun, over in self._busy:
            if over <= start:
                continue
            if begun >= start + takes:
                break
            start = over
        insort(self._busy, (start, start + takes))
        return start


@dataclass(frozen=True, slots=True, eq=False)
class PourRequest:
    """The next pour of one mould as the mould alone would have it, before hands and stove are asked."""

    course: MouldCourse
    layer: int
    part: Part
    at: float
    """With hands and hot wax at hand."""
    opens: float | None
    closes: float | None
    look: Literal["", "look", "look under"]
    """The look before it; empty where none is needed any more."""
    window: Window | None


@dataclass
class Scenario:
    """One of the three ways through the day: moulds that cool quickly, as is likely, slowly."""

    state: State
    sheet: WeighSheet
    waxes: Sequence[Wax]
    """One for each layer."""
    now: float
    pace: float
    """Seconds this person takes from a prompt to its being done."""
    way: int
    """0 early, 1 likely, 2 late."""
    hot_from: float
    """When the pot can be hot at the soonest."""
    persons: PersonsClock
    hands: Hands = field(default_factory=Hands)
    acts: list[PlannedAct] = field(default_factory=list)
    """What was planned so far, in no order."""
    together: bool = False
    """One colour goes into all moulds as soon as all can take it, not into each at its own best moment."""
    later: Mapping[str, float] = field(default_factory=dict)
    """Seconds by which the first pour of a mould is put off on purpose."""
    jugs: dict[int, float] = field(default_factory=dict)
    """When each colour's jug was or will be ready."""
    solid: dict[str, float] = field(default_factory=dict)
    """When nothing in a mould is liquid any more,"""
    cold: dict[str, float] = field(default_factory=dict)
    """and when it is within 3 K of the room."""

    def __post_init__(self) -> None:
        self.jugs = {layer: jug.made_at for layer, jug in self.state.jugs.items()}

    def busy(self, kind: PlannedKind) -> float:
        """s that an act of this kind keeps both hands of this person, one mould."""
        return HANDS.get(kind, 0.0) * self.pace / PACE

    def take(
        self, kind: PlannedKind, moulds: str, layer: int | None, at: float, **known: object
    ) -> PlannedAct:
        """Plan an act for when the hands are free, at `at` (s since the epoch) or later; `known` are further fields
        of the planned act."""
        takes = self.busy(kind) * (max(1, len(moulds)) if kind != "demould" else 1)
        start = self.hands.take(max(at, self.now), takes)
        nth = sum(m.kind == kind and m.layer == layer and m.moulds == moulds for m in self.acts)
        if kind == "relief":
            nth += sum(len(self.state.moulds[x].relieved_at) for x in moulds if x in self.state.moulds)
        act = PlannedAct(kind, moulds, layer, start, takes, nth, wanted=at, **known)  # type: ignore[arg-type]
        self.acts.append(act)
        return act

    # -- one round: the next pour of every mould ----------------------------------------------------

    def round(self, courses: Sequence[MouldCourse]) -> None:
        """Plan the next pour of each of these moulds, with the looks and the jug before it.

        What is wanted first is planned first, along with the moulds that can get the same colour in one go.
        """
        requests = sorted((self._request(c) for c in courses), key=lambda w: (w.at, w.course.letter))
        while requests:
            group, wanted = [first := requests.pop(0)], first.at
            for other in list(requests):
                at = max(wanted, self._joins(other, first.at))
                if self._in_one_go(group, other, at):
                    group.append(other)
                    requests.remove(other)
                    wanted = at
            self._go(sorted(group, key=lambda w: w.course.letter), wanted)

    def _in_one_go(self, group: Sequence[PourRequest], other: PourRequest, at: float) -> bool:
        """Whether a mould is poured along with others at `at`: the same colour, soon enough, and all in time."""
        first = group[0]
        if (other.layer, other.part) != (first.layer, first.part):
            return False
        if at == first.at:
            return True
        each = self.busy("look") + self.busy("pour")
        done = at + each * (len(group) + 1)
        waits = HOLDS.get(_kind(first.part), TOGETHER)
        in_time = all(w.closes is None or done <= w.closes for w in (*group, other))
        return in_time and (at - first.at <= waits or self.together)

    def _joins(self, request: PourRequest, at: float) -> float:
        """The soonest that a mould could be poured together with one that is poured at `at`, s since the epoch.

        Its own best moment; where colours are to go into all moulds at once, as soon as its window is open.
        """
        return max(at, request.opens) if self.together and request.opens is not None else request.at

    def _request(self, course: MouldCourse) -> PourRequest:
        """When a mould would like its next pour: at once, once its plug holds, or by its window."""
        layer, part = course.todo[0]
        if not course.pours:
            at = max(self.now, self.hot_from) + self.later.get(course.letter, 0.0)
            return PourRequest(course, layer, part, at, None, None, "", None)
        last = course.pours[-1]
        mould = self.state.moulds.get(course.letter)
        if last.part == "plug":
            waits = (SEAL_WAIT.early, SEAL_WAIT.likely, SEAL_WAIT.late)[self.way]
            dry = last.made and mould is not None and mould.weeps is False
            at = self.now if dry else last.t + waits
            return PourRequest(
                course, layer, part, max(self.now, at), None, None, "" if dry else "look under", None
            )
        if part == "top-up":
            return self._by_hollow(course, layer)
        return self._by_window(course, layer, part)

    def _by_hollow(self, course: MouldCourse, layer: int) -> PourRequest:
        """A top-up: once enough is missing, the first after a look, each before bed where that can be."""
        hollow, zero, seen = course.hollow(self.sheet), course.last.first_pour_t, self._seen(course)
        firm = seen is not None and seen[0] not in ("wet", "skinned")
        look: Literal["", "look"] = "" if firm or course.top_ups else "look"
        # On the quick way less goes missing, and sooner.
        little = None if course.little_from is None or not self.way else course.little_from - zero
        at = zero + hollow.due_s(little)
        if seen is not None:
            at = max(at, seen[1] if firm else seen[1] + LOOK_SOONEST)
        at = max(self.now, self._by_bed(at, zero + hollow.carries_s(), LOOK_TO_TOP_UP if look else 0.0))
        self._relieve(course, hollow, at)
        return PourRequest(course, layer, "top-up", at, zero + hollow.carries_s(), None, look, None)

    def _by_window(self, course: MouldCourse, layer: int, part: Part) -> PourRequest:
        """When a mould would like its next layer, on a layer or into a well: at the best moment of its window,
        judged by what was seen last."""
        last, first_pour_t = course.pours[-1], course.last.first_pour_t
        w = course.window(self.sheet, self.waxes)
        opens = last.t + SEEN_AHEAD if w.opens_s is None else first_pour_t + w.opens_s
        at = opens if w.best_s is None else first_pour_t + w.best_s
        closes = first_pour_t + w.closes_s if w.closes_s is not None and not w.empty else None
        firm = course.last.heat.layers[-1].times["crust_2mm"]
        if firm is not None and not w.empty:
            # Nobody pours before it is firm to the hand, unless the window closes about then.
            at = max(
                at,
                min(first_pour_t + firm, math.inf if closes is None else closes - BEFORE_CLOSING * self.pace),
            )
        if closes is not None and closes - at < NARROW * self.pace:
            at = max(opens, at - self.busy("look"))
        look = self._seen(course)
        kind: Literal["", "look"] = "look"
        if look is not None:
            cue, when = look
            if cue in ("wet", "skinned"):
                at = max(at, when + LOOK_SOONEST)
            else:
                at, kind = max(self.now, when), ""
        return PourRequest(course, layer, part, max(self.now, at), opens, closes, kind, w)

    def _by_bed(self, at: float, earliest: float, takes: float = 0.0) -> float:
        """When to make a top-up, which can wait: before bed where that is possible, else in the morning."""
        return self.persons.awake(self.persons.before_bed(at, earliest, takes)[0])

    def _seen(self, course: MouldCourse) -> tuple[str, float] | None:
        """(how it looked, when) of a surface that really lies open now; None where nobody looked."""
        mould = self.state.moulds.get(course.letter)
        look = mould.look if mould is not None and course.pours[-1].made else None
        return (look.cue, look.t) if look else None

    def _relieve(self, course: MouldCourse, hollow: Hollow, until: float) -> None:
        """Relief holes from the first crust on, opened again while there is liquid below, until the top-up."""
        last, zero = course.pours[-1], course.last.first_pour_t
        mould = self.state.moulds.get(course.letter)
        opened = [t for t in mould.relieved_at if t > last.t] if mould and last.made else []
        carries = zero + hollow.carries_s()
        if course.top_ups:
            carries = max(carries, last.t + RELIEF_EVERY)
        at = max(opened[-1] + RELIEF_EVERY if opened else carries, self.now)
        # What was not opened before bed has set by the morning; soon before the look or the top-up they are made with it.
        large = 2 * course.last.heat.case.vessel.radius > WIDE
        if (opened or course.top_ups) and not large:
            return
        while at < until - RELIEF_EVERY and not self.persons.quiet(at):
            if hollow.levels.liquid_at(at - zero) < LITTLE_LIQUID:
                break
            act = self.take("relief", course.letter, last.layer, at)
            if not large:
                return
            at = act.start + RELIEF_EVERY

    def _go(self, group: list[PourRequest], wanted: float) -> None:
        """Plan one pour into a group of moulds that get the same colour at one time: its jug, the looks before it, the pour.
        `wanted` is when the moulds would like it, s since the epoch."""
        first = group[0]
        moulds = "".join(w.course.letter for w in group)
        ready, waits = self._jug(first, wanted)
        looked = wanted
        for request in group:
            if request.look:
                looked = max(
                    looked, self.take(request.look, request.course.letter, request.layer, wanted).end
                )
        kind = _kind(first.part)
        closes = [w.closes for w in group if w.closes is not None]
        opens = [w.opens for w in group if w.opens is not None]
        empty = next((w.window for w in group if w.window is not None and w.window.empty), None)
        at = max(looked, ready)
        # The first jug of the day is waited for by everything; that is no collision.
        late = at - looked > NOTED * self.pace and any(w.course.pours for w in group)
        act = self.take(
            kind,
            moulds,
            first.layer,
            at,
            opens=max(opens) if opens else None,
            closes=min(closes) if closes else None,
            window=empty,
            waits_for=waits if late else "",
            ready_at=wanted,
        )
        each = act.takes / len(group)
        for n, request in enumerate(group):
            request.course.pour(self.sheet, self.waxes, act.start + n * each)

    def _jug(self, first: PourRequest, wanted: float) -> tuple[float, str]:
        """(when hot wax of this colour is at hand, what it waits for: `stove` or `hands`); a new jug is planned."""
        made = self.jugs.get(first.layer)
        if made is None:
            at = max(self.now, self.hot_from, wanted - JUG_LEAD)
            act = self.take("jug", "", first.layer, at)
            self.jugs[first.layer] = act.end
            return act.end, "stove" if self.hot_from > wanted - JUG_LEAD else "hands"
        if wanted - made < JUG_HOT:
            return made, "hands"
        warm = max(self.now, self.hot_from)
        if first.part == "top-up" and self.way == SLOWLY:
            # A low flame warms it by the time it is likely wanted; it may take longer, and a top-up keeps.
            warm = max(warm, wanted + TOP_UP_KEEPS)
        return warm, "stove"


def _kind(part: Part) -> Kind:
    """The kind of act that pours this part."""
    return "pour" if part == "layer" else part
