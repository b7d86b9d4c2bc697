"""Moulds carried on past what was poured: each next pour imagined, and the heat computed after it.

Three courses of each mould run side by side (early, likely, late, as the spread of a forecast has them),
each with its own imagined pours, all in one array. Times are seconds since the epoch outside, and seconds
from a common first_pour_t inside, where the solver wants all moulds on one clock.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from pourday.forecast.fuse import Window, window
from pourday.forecast.mould import (
    COARSE,
    MouldRun,
    MouldSection,
    Resolution,
    early_likely_late,
    simulate_all,
)
from pourday.forecast.mould_case import Around, Case, HeatField
from pourday.guide.outlook.cases import around_of, planned_kg, pour_of, vessel_of
from pourday.guide.outlook.learned import likely_factors, with_factors
from pourday.guide.outlook.moulds import hottest_allowed_c, planned_c
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.outlook.room import (
    LEFT,
    LEFT_LATE,
    Hollow,
    bulk_of,
    hollow_of,
    line_of,
    line_poured_to,
    shrinkage_of,
    whole_volume,
)
from pourday.learning.heat import wax_really
from pourday.plan.bench import bench
from pourday.plan.model import Mould
from pourday.plan.pour_order import ToPour
from pourday.plan.weigh import WeighSheet, waxes_of
from pourday.session.events import Part
from pourday.session.state import MouldState, State
from pourday.wax.materials import Wax

MOST_TOP_UPS = 5
"""How many top-ups of one mould are imagined at most; none was ever computed to need more."""
LEAST_POURED = 1e-7
"""m³ that an imagined pour is taken to be at least, so that nothing divides by it. Chosen."""
SEEN_AHEAD = 3 * 3600.0
"""Seconds after a pour for which its surface is computed before the next pour is imagined. Chosen."""
COLD_AFTER = 24 * 3600.0
"""Seconds past the end of a forecast after which a mould is as warm as its room and nothing is computed any more:
it ended within 3 K of the room (`mould_read.NEAR_ROOM`), and a mould's time constant is a few hours. Chosen."""


@dataclass(frozen=True, slots=True)
class AheadPour:
    """One pour of a course, made or imagined."""

    t: float
    """Seconds since the epoch."""
    layer: int
    part: Part
    made: bool
    """False where it is only imagined."""
    kg: float


SURELY_SET = 1.25
"""How many times the likely time a candle is taken to stay liquid inside: in the agenda it counts as set once the
slow forecast, with a fifth less heat loss, says so (estimate)."""


@dataclass(frozen=True, slots=True, eq=False)
class HeatStretch:
    """The heat from one pour to the next."""

    start: float
    """Seconds since the epoch."""
    heat: MouldRun
    first_pour_t: float
    """What the heat's clock counts from."""


@dataclass
class MouldCourse:
    """One mould on one of its three ways through the day."""

    letter: str
    way: int
    """0 early, 1 likely, 2 late."""
    mould: Mould
    """As the plan has it."""
    case: Case
    """What was poured so far, on the common clock."""
    begun: HeatField | None
    """The heat that the next computation starts from; None: an empty mould."""
    todo: list[ToPour]
    """Layer and part of every pour still to come."""
    first_pour_t: float
    """What the clock of `case` and `begun` counts from, seconds since the epoch."""
    pours: list[AheadPour] = field(default_factory=list)
    """Made and imagined, in order."""
    stretches: list[HeatStretch] = field(default_factory=list)
    """The heat after each pour, leaving out a plug that was covered at once."""
    bulk: float = 1.0
    """How many times as much room its wax takes as the table says; see `bulk_of`."""
    little_from: float | None = None
    """When so little is still going to be missing that one top-up serves for the rest, seconds since the epoch,
    judged over all three ways of this mould; None while that is not known."""
    of_wax: tuple[float, float, float] = (0.0, 0.0, 0.0)
    """What looks and earlier days say of the wax: latent heat, melting range and conductivity, as in `wax_really`."""

    @property
    def last(self) -> HeatStretch:
        """The heat since the newest pour that was computed."""
        return self.stretches[-1]

    @property
    def stale(self) -> bool:
        """Whether wax went in after the heat was computed last."""
        return bool(self.pours) and (not self.stretches or self.pours[-1].t > self.last.start)

    def pour(self, sheet: WeighSheet, waxes: Sequence[Wax], t: float) -> None:
        """Imagine the next pour made at `t`, as much as there is room for; after a top-up comes another, where it is wanted.

        The heat after it is computed later, by `carry_on`.
        """
        layer, part = self.todo.pop(0)
        at_s, kg = t - self.first_pour_t, self.takes(sheet, waxes, layer, part, t)
        if self.stretches:
            self.begun = replace(self._heat_until(t).field_at(t - self.last.first_pour_t), at_s=at_s)
        hot = planned_c(sheet, self.letter, layer, part)
        new = pour_of(sheet, waxes, self.letter, layer, part, at_s, hot, kg)
        new = replace(new, wax=wax_really(new.wax, *self.of_wax))
        self.case = replace(self.case, pours=(*self.case.pours, new))
        self.pours.append(AheadPour(t, layer, part, made=False, kg=kg))
        if part == "top-up" and self.top_ups < MOST_TOP_UPS:
            self.todo.append(ToPour(layer, part))

    @property
    def top_ups(self) -> int:
        """How many top-ups it has had, made and imagined."""
        return sum(pour.part == "top-up" for pour in self.pours)

    def takes(self, sheet: WeighSheet, waxes: Sequence[Wax], layer: int, part: Part, t: float) -> float:
        """kg that a pour at `t` takes to its line; as planned while nothing is computed of what stands there."""
        planned = planned_kg(sheet, self.letter, layer, part)
        if part == "plug" or not self.stretches:
            return planned
        dense = waxes[layer].density_at(planned_c(sheet, self.letter, layer, part))
        line = whole_volume(
            sheet, self.mould, self.letter, line_of(sheet, self.mould, self.letter, layer, part)[0]
        )
        levels = shrinkage_of(self.last.heat).levels([pour.kg for pour in self.pours], self.bulk)
        return max(LEAST_POURED, line - levels.fills(t - self.last.first_pour_t)) * dense / self.bulk

    def hollow(self, sheet: WeighSheet) -> Hollow:
        """What the hollow of a mould wants whose layers are all in."""
        kgs = [pour.kg for pour in self.pours]
        layer = self.pours[-1].layer
        return hollow_of(
            sheet,
            self.mould,
            self.letter,
            layer,
            shrinkage_of(self.last.heat),
            kgs,
            self.top_ups > 0,
            self.bulk,
        )

    def settle(self, sheet: WeighSheet) -> None:
        """Take the remaining top-ups off the list once none of them is worth its while."""
        if not (self.stretches and self.tops_up):
            return
        solid_s = self.last.heat.solid_s
        surely_s = None if solid_s is None else solid_s * SURELY_SET
        if not self.hollow(sheet).wants_more(surely_s):
            self.todo.clear()

    @property
    def tops_up(self) -> bool:
        """Whether a top-up is what comes next."""
        return bool(self.todo) and self.todo[0].part == "top-up"

    def _heat_until(self, t: float) -> MouldRun:
        """The heat since the last pour, computed on where nobody thought of looking so far ahead."""
        heat, at_s = self.last.heat, t - self.last.first_pour_t
        ended = heat.snaps[-1].at_s
        if at_s <= ended:
            return heat
        until = min(at_s, ended + COLD_AFTER)
        return simulate_all([heat.case], grid=COARSE, until_s=until, start=[heat.after_last_pour])[0]

    def window(self, sheet: WeighSheet, waxes: Sequence[Wax]) -> Window:
        """When the layer on top can take what comes next."""
        layer, part = self.todo[0]
        wax = waxes[layer]
        at_c = planned_c(sheet, self.letter, layer, part)
        return window(self.last.heat, at_c, wax, hottest_c=hottest_allowed_c(self.mould, wax))

    def section(self, t: float) -> MouldSection | None:
        """The mould cut open at a time; None while it is empty."""
        now = next((s for s in reversed(self.stretches) if s.start <= t), None)
        return now.heat.section(t - now.first_pour_t) if now else None


def todo_of(state: State, sheet: WeighSheet, mould: MouldState) -> list[ToPour]:
    """Every pour a mould still gets, in order; no top-up where the candle weighs too little for one."""
    return [
        pour
        for pour in state.remaining(mould.letter)
        if pour.part != "top-up" or sheet.top_up(mould.letter).kg > 0
    ]


def courses_of(state: State, outlook: Outlook, now: float, bath: Around | None = None) -> list[MouldCourse]:
    """Three courses of every mould that still has something ahead in the kitchen, as they stand now.

    `bath` puts every mould into water from its first pour on.
    """
    courses = []
    for standing in bench(state.plan):
        mould = state.moulds.get(standing.letter) or MouldState(standing.letter)
        if mould.demoulded_at is not None:
            continue
        todo = todo_of(state, outlook.sheet, mould)
        known = outlook.mould(standing.letter)
        if mould.pours and known is None:
            continue
        _, _, *of_wax = likely_factors(outlook.learned, standing.letter)
        learned = (of_wax[0], of_wax[1], of_wax[2])
        for way in range(3):
            if known is not None and mould.pours:
                course = _going_on(mould, standing.mould, way, todo, outlook, now)
            else:
                around = around_of(state, now)
                if bath is not None:
                    around = tuple(replace(a, bath_c=bath.bath_c, bath_level=bath.bath_level) for a in around)
                usual = Case(vessel_of(standing), (), around)
                case = early_likely_late(with_factors(usual, outlook.learned, standing.letter))[way]
                course = MouldCourse(standing.letter, way, standing.mould, case, None, list(todo), now)
            course.of_wax = learned
            courses.append(course)
    return courses


def _going_on(
    mould: MouldState, planned: Mould, way: int, todo: list[ToPour], outlook: Outlook, now: float
) -> MouldCourse:
    """A mould with wax in it: its computed heat so far, on the common clock."""
    known = outlook.mould(mould.letter)
    assert known is not None
    heat = known.heat
    run = (heat.spread.early, heat.spread.likely, heat.spread.late)[way]
    off = heat.first_pour_t - now
    case = replace(
        run.case,
        pours=tuple(replace(p, at_s=p.at_s + off) for p in run.case.pours),
        around=tuple(replace(a, from_s=a.from_s + off) for a in run.case.around),
    )
    made = [
        AheadPour(p.t, p.layer, p.part, made=True, kg=max(p.kg_best, 1e-6))
        for p in sorted(mould.pours, key=lambda p: p.t)
    ]
    begun = [HeatStretch(made[-1].t, run, heat.first_pour_t)]
    line = line_poured_to(outlook.state, outlook.sheet, mould.letter)
    bulk = bulk_of(line, heat.shrinks[way], [pour.kg for pour in made])
    return MouldCourse(mould.letter, way, planned, case, None, list(todo), now, made, begun, bulk)


def little_missing(courses: Sequence[MouldCourse], sheet: WeighSheet) -> None:
    """Set `little_from` of every course whose mould is topped up.

    The agenda waits for that moment by its likely forecast and, nearly, by its slow one (`room.next_top_up`), so the
    three ways of a mould are looked at together. Where its layers are only imagined the slow way was poured later, and
    each way is taken by itself.
    """
    layered = [c for c in courses if c.tops_up and all(p.made for p in c.pours if p.part != "top-up")]
    for letter in {c.letter for c in layered}:
        ways = [c for c in layered if c.letter == letter and c.stretches]
        times = [
            c.last.first_pour_t + c.hollow(sheet).last_s(LEFT if c.way == 1 else LEFT_LATE)
            for c in ways
            if c.way
        ]
        for course in ways:
            course.little_from = max(times, default=None)


def carry_on(courses: Sequence[MouldCourse], grid: Resolution, *, to_the_end: bool = False) -> None:
    """Compute the heat of all courses that wax went into since it was computed.

    For three hours after the last pour, which is as far as the next decision looks; or until all is cold.
    """
    groups: dict[int, list[MouldCourse]] = {}
    for course in (c for c in courses if c.stale):
        groups.setdefault(course.begun.r.size if course.begun is not None else 0, []).append(course)
    for rings, together in groups.items():
        starts = [c.begun for c in together if c.begun is not None] if rings else None
        last = max(c.case.pours[-1].at_s for c in together)
        runs = simulate_all(
            [c.case for c in together],
            grid=grid,
            until_s=None if to_the_end else max(last, 0.0) + SEEN_AHEAD,
            start=starts,
        )
        for course, run in zip(together, runs, strict=True):
            if len(course.pours) > 1 and not course.stretches:
                course.stretches.append(HeatStretch(course.pours[0].t, run, course.first_pour_t))
            course.stretches.append(HeatStretch(course.pours[-1].t, run, course.first_pour_t))


def waxes_in(state: State, outlook: Outlook) -> tuple[Wax, ...]:
    """The wax of each layer of the plan."""
    return waxes_of(state.plan, outlook.sheet.wax)
