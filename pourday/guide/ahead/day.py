"""The rest of the day, from any state: every act still to come, how sure, and when the stove lets you go.

Each pour still to come is imagined at the best moment of the window computed for the layer below it, in
all moulds side by side; one pair of hands does one thing at a time, and the pot is worked back from that.
An estimate throughout: the record is not touched, and what is seen on the day decides.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from pourday.forecast.mould import COARSE, Resolution
from pourday.forecast.mould_case import Around
from pourday.forecast.spread import Quantiles
from pourday.guide.acts.durations import PACE
from pourday.guide.acts.load_pot import still_to_load
from pourday.guide.acts.mould_end import comes_out
from pourday.guide.acts.wording import block_word, jug_word
from pourday.guide.ahead.burner import HeatNeed, Lit, PotAhead
from pourday.guide.ahead.clashes import Clash, clashes_of, too_much
from pourday.guide.ahead.moulds import MouldCourse, carry_on, courses_of, little_missing, waxes_in
from pourday.guide.ahead.schedule import NOTED, PlannedAct, PlannedKind, Scenario
from pourday.guide.ahead.words import note_of, says_of, why_of
from pourday.guide.outlook.outlook import Outlook, look_ahead
from pourday.learning.factors import USUAL, Prior
from pourday.plan.bench import bench
from pourday.plan.model import Plan
from pourday.plan.own_layers import stays
from pourday.session.act_id import ActId
from pourday.session.quiet_hours import PersonsClock
from pourday.session.state import MouldState, State
from pourday.times import DAY, HOUR

AWAY_FROM_STOVE = frozenset({"solid", "demould", "cure"})
"""What needs nobody at the stove."""
NIGHT = 4 * HOUR
"""s without an act at the stove, across the time one is gone, from which on what follows is left for the morning. Estimate."""
BURNER = frozenset({"heat on", "heat low", "heat off"})
FROM_THE_JUG, SOON_AFTER = frozenset({"plug", "pour", "top-up"}), 600.0
"""Acts that need hot wax: one that begins no later than `SOON_AFTER` s after the wax may be hot is as unsure as that
time is. An estimate of ours."""


@dataclass(frozen=True, slots=True)
class Step:
    """One act of the day ahead."""

    id: ActId
    kind: PlannedKind
    word: str
    moulds: str
    layer: int | None
    at: Quantiles
    """When it begins, seconds since the epoch."""
    takes: float
    """Seconds of both hands; 0 where it needs none."""
    says: str
    why: str
    opens: float | None = None
    closes: float | None = None
    empty: bool = False
    """Its pour window never opens."""
    caution: str = ""
    """An empty window, a late pour, a wait for hands or stove; empty where all goes well."""

    @property
    def end(self) -> float:
        """When the hands are free again on the likely way, seconds since the epoch."""
        return self.at.likely + self.takes


@dataclass(frozen=True, slots=True, eq=False)
class DayForecast:
    """The rest of a day as it is likely to go."""

    state: State
    outlook: Outlook
    now: float
    steps: tuple[Step, ...]
    """In order of their likely times."""
    end: Quantiles | None
    """When the last act at the stove is done; None where there is none."""
    lit: tuple[Lit, ...]
    courses: tuple[MouldCourse, ...]
    """The likely course of every mould, for pictures."""
    solid: dict[str, Quantiles] = field(default_factory=dict)
    """When nothing in a mould is liquid any more."""
    cold: dict[str, Quantiles] = field(default_factory=dict)
    gone: float = math.inf
    """When the person is gone from the bench."""
    clashes: tuple[Clash, ...] = ()
    """Pours that one pair of hands does not get to in time, on any of the three ways."""
    too_cold: str = ""
    """Why the pot is not seen to get hot at all; empty where it is."""
    prior: Prior = USUAL
    """What earlier days said of this kitchen."""

    @property
    def burner(self) -> float:
        """Seconds the burner is lit from now on."""
        return sum(span.off - max(span.on, self.now) for span in self.lit)

    @property
    def too_much(self) -> str:
        """What of it is too much for one pair of hands, in a sentence; empty where nothing is."""
        return too_much(self.clashes, self.outlook, self.now)

    @property
    def collisions(self) -> tuple[str, ...]:
        """What gets in each other's way, each once."""
        notes = [self.too_cold, *(step.caution for step in self.steps)]
        return tuple(dict.fromkeys(note for note in notes if note))

    def light(self) -> DayForecast:
        """Without the forecasts it began with, which are not shown."""
        return replace(self, outlook=replace(self.outlook, pot=None, moulds={}))

    def course(self, letter: str) -> MouldCourse | None:
        """The likely course of one mould; None for one that has none ahead."""
        return next((c for c in self.courses if c.letter == letter), None)


def state_of(plan: Plan, begins_at: float) -> State:
    """A day with this plan on which nothing was done yet."""
    moulds = {s.letter: MouldState(s.letter) for s in bench(plan)}
    return State(plan=plan, opened_at=begins_at, moulds=moulds, last_t=begins_at)


def ahead_of_plan(
    plan: Plan,
    begins_at: float,
    *,
    follow: float = PACE,
    clock: PersonsClock | None = None,
    bath: Around | None = None,
    together: bool = False,
    later: Mapping[str, float] | None = None,
    prior: Prior = USUAL,
) -> DayForecast:
    """The whole day of a plan; `prior` is what earlier days say of this kitchen. Raises `Trouble` where it cannot be weighed out."""
    state = state_of(plan, begins_at)
    outlook = look_ahead(state, begins_at, prior=prior)
    day = forecast_day(
        state, outlook, begins_at, follow=follow, clock=clock, bath=bath, together=together, later=later
    )
    return replace(day, prior=prior)


def forecast_day(
    state: State,
    outlook: Outlook,
    now: float,
    *,
    follow: float = PACE,
    clock: PersonsClock | None = None,
    bath: Around | None = None,
    together: bool = False,
    later: Mapping[str, float] | None = None,
    grid: Resolution = COARSE,
) -> DayForecast:
    """The rest of the day from a state.

    `follow` is what the person takes from a prompt to its being done, s; `clock` is the person's; `bath` puts
    moulds that are still empty into water; `together` pours a colour into all moulds as soon as all can take
    it; `later` puts off the first pour of a mould by so many seconds. A mould whose heat is still being worked out is left out.
    """
    courses = courses_of(state, outlook, now, bath)
    pot = PotAhead(state, outlook, now, now + follow)
    ways = _three_ways(state, outlook, pot, now, follow, clock, together=together, later=later)
    for _ in _pour_all(courses, ways, grid):
        pass
    return _played(courses, ways, pot, outlook)


def day_in_steps(
    state: State, outlook: Outlook, now: float, clock: PersonsClock
) -> Iterator[DayForecast | None]:
    """The rest of the day as `forecast_day` has it, after a None for every step on the way to it: whoever works it out can
    see to something more urgent between two."""
    courses, pot = courses_of(state, outlook, now), PotAhead(state, outlook, now, now + PACE)
    yield None
    ways = _three_ways(state, outlook, pot, now, PACE, clock)
    for _ in _pour_all(courses, ways, COARSE):
        yield None
    yield _played(courses, ways, pot, outlook)


def _three_ways(
    state: State,
    outlook: Outlook,
    pot: PotAhead,
    now: float,
    follow: float,
    clock: PersonsClock | None,
    *,
    together: bool = False,
    later: Mapping[str, float] | None = None,
) -> list[Scenario]:
    """The early, the likely and the late way of the day, on none of which anything was done yet."""
    persons = (clock or PersonsClock()).of(state)
    sheet, waxes, hot = outlook.sheet, waxes_in(state, outlook), pot.hot.likely
    return [
        Scenario(state, sheet, waxes, now, follow, i, hot, persons, together=together, later=later or {})
        for i in range(3)
    ]


def _played(
    courses: Sequence[MouldCourse], ways: Sequence[Scenario], pot: PotAhead, outlook: Outlook
) -> DayForecast:
    """The day, once all is poured on its three ways: with the burner, and with what the wax does by itself."""
    now = ways[1].now
    lit = _light(ways[1], pot, now, now + ways[1].pace) if any(w.acts for w in ways) else []
    for way in ways:
        _afterwards(way, [c for c in courses if c.way == way.way])
    _demoulded(ways, ways[1].state, outlook)
    return _as_one_day(ways, courses, outlook, pot, lit)


def _as_one_day(
    ways: Sequence[Scenario],
    courses: Sequence[MouldCourse],
    outlook: Outlook,
    pot: PotAhead,
    lit: Sequence[Lit],
) -> DayForecast:
    """What was worked out on the three ways: the likely one, with the spread of all three."""
    likely, now = ways[1], ways[1].now
    fresh = {c.letter for c in courses if not any(p.made for p in c.pours)}
    steps = _steps(ways, outlook, pot.hot, fresh, lit)
    return DayForecast(
        likely.state,
        outlook,
        now,
        steps,
        _end(steps, ways),
        tuple(lit),
        tuple(c for c in courses if c.way == likely.way),
        _wholly([way.solid for way in ways], pot.hot, fresh, now),
        _wholly([way.cold for way in ways], pot.hot, fresh, now),
        likely.persons.ends(now),
        clashes_of(ways),
        pot.never,
    )


def _pour_all(courses: Sequence[MouldCourse], ways: Sequence[Scenario], grid: Resolution) -> Iterator[None]:
    """Round by round the next pour of every mould on all three ways, then what the wax does by itself; a step after each
    piece of it that takes long."""
    while waiting := [c for c in courses if c.todo]:
        # A plug is covered within minutes, before it says anything of its own.
        carry_on([c for c in waiting if c.pours and c.pours[-1].part != "plug" and not c.tops_up], grid)
        yield
        carry_on([c for c in waiting if c.tops_up], grid, to_the_end=True)
        yield
        for course in waiting:
            course.settle(ways[0].sheet)
        little_missing(waiting, ways[0].sheet)
        for way in ways:
            way.round([c for c in waiting if c.way == way.way and c.todo])
    carry_on(courses, grid, to_the_end=True)
    yield


def _wholly(
    ways: Sequence[dict[str, float]], hot: Quantiles, fresh: set[str], now: float
) -> dict[str, Quantiles]:
    """When one thing (set through, cold) happens to each mould, by letter: `ways` has its time on the early, likely and late
    way, s since the epoch.

    The likely way's time, with the earliest and the latest of the three as spread. A mould with no wax in it yet (one of
    `fresh`) also waits for the pot, so the spread of `hot`, when that is hot, is added.
    """
    early, likely, late = ways
    whole = {}
    for letter, t in likely.items():
        at = Quantiles(min(t, early.get(letter, t)), t, max(t, late.get(letter, t)))
        whole[letter] = _wider(at, hot, now) if letter in fresh else at
    return whole


def _light(way: Scenario, pot: PotAhead, now: float, lit_at: float) -> list[Lit]:
    """When the burner is lit on the likely way; each turn of its knob becomes an act of that way.

    Wanted hot are the jugs and the pours that the way has by now, each with the wax left in the pot by then.
    """
    total = way.sheet.total
    drawn = sum(way.sheet.jug(layer).total for layer in way.state.jugs)
    needs: list[HeatNeed] = []
    acts = sorted(way.acts, key=lambda m: m.start)
    for act in acts:
        if act.kind == "jug" and act.layer is not None:
            drawn += way.sheet.jug(act.layer).total
        if act.kind in ("jug", "plug", "pour", "top-up"):
            begins = act.start if act.kind == "jug" else act.start - NOTED * way.pace
            needs.append(HeatNeed(max(now, begins), act.end, max(0.05, total - drawn), act.kind != "jug"))
    spans = pot.burns(needs, now, lit_at)
    if spans and still_to_load(way.state):
        # Its weighing is no wait of the day: it is done when the person sits down to it, before the flame.
        way.acts.append(PlannedAct("load", "", None, (now + spans[0].on) / 2, 0.0))
    for span in spans:
        if not span.already:
            way.take("heat on", "", None, span.on)
        if span.low_from is not None:
            way.take("heat low", "", None, span.low_from)
        way.take("heat off", "", None, span.off)
    return spans


def _afterwards(way: Scenario, courses: Sequence[MouldCourse]) -> None:
    """Set through, cold, out of the mould: a mould stands overnight, and nobody is called at night."""
    for course in courses:
        if not course.stretches:
            continue
        heat, first_pour_t = course.last.heat, course.last.first_pour_t
        if heat.solid_s is not None and first_pour_t + heat.solid_s > way.now:
            way.solid[course.letter] = first_pour_t + heat.solid_s
            way.acts.append(PlannedAct("solid", course.letter, None, first_pour_t + heat.solid_s, 0.0))
        if heat.demould_s is not None:
            cold = way.cold[course.letter] = max(first_pour_t + heat.demould_s, way.now)
            last, radius = course.pours[-1].t, course.case.vessel.radius
            if not stays(way.state.plan, course.letter):
                way.take("demould", course.letter, None, comes_out(way.persons, last, cold, radius))


def _demoulded(ways: Sequence[Scenario], state: State, outlook: Outlook) -> None:
    """The cure, counted from demoulding, or from when a candle that stays in its vessel is cold."""
    shortest = outlook.cure_days[0] * DAY
    for way in ways:
        out = {m.moulds: m.end for m in way.acts if m.kind == "demould"}
        out |= {x: m.demoulded_at for x, m in state.moulds.items() if m.demoulded_at is not None}
        out |= {letter: cold for letter, cold in way.cold.items() if stays(state.plan, letter)}
        for letter, since in out.items():
            if ActId("cure", letter) not in state.waived:
                when = way.persons.awake(max(way.now, since + shortest))
                way.acts.append(PlannedAct("cure", letter, None, when, 0.0))


def _across(ways: Sequence[Scenario], act: PlannedAct) -> Quantiles:
    """When an act of the likely way begins, with its earliest and latest time on the three ways as spread. A way that does
    not have the act widens nothing."""
    times = [act.start]
    for way in (ways[0], ways[2]):
        times += [
            m.start
            for m in way.acts
            if (m.kind, m.layer, m.nth) == (act.kind, act.layer, act.nth) and _shares(m, act)
        ]
    return Quantiles(min(times), act.start, max(times))


def _shares(one: PlannedAct, other: PlannedAct) -> bool:
    """Whether two acts have a mould in common: ways may group moulds differently."""
    return one.moulds == other.moulds or not set(one.moulds).isdisjoint(other.moulds)


def _steps(
    ways: Sequence[Scenario], outlook: Outlook, hot: Quantiles, fresh: set[str], lit: Sequence[Lit]
) -> tuple[Step, ...]:
    """The acts of the likely way as steps, each with the spread of its time and the words that go with it.

    `hot` is when the pot is hot; `fresh` moulds have no wax in them yet, so that all of theirs waits for it.
    """
    acts = sorted(ways[1].acts, key=lambda m: (m.start, m.kind, m.moulds))
    steps: list[Step] = []
    for act in acts:
        at = _across(ways, act)
        if act.kind in BURNER:
            at = _with_its_pour(ways, acts, act, lit)
        unhot = act.kind in FROM_THE_JUG and ways[1].now < hot.likely and act.start <= hot.late + SOON_AFTER
        # What the pot does once it is lit makes its lighting no less sure.
        lit_first = act.kind == "heat on" and act.start < hot.early
        by_the_pot = unhot or set(act.moulds) & fresh or (act.kind in {"jug", *BURNER} and fresh)
        if by_the_pot and not lit_first:
            at = _wider(at, hot, ways[1].now)
        if act.kind in ("demould", "cure"):
            at = Quantiles(*(ways[1].persons.awake(t) for t in (at.early, at.likely, at.late)))
        late = act.start - act.wanted if act.takes else 0.0
        waits = act.waits_for or ("hands" if late > NOTED * ways[1].pace else "")
        steps.append(
            Step(
                id=ActId(act.kind, act.moulds, act.layer, act.nth, far=True),
                kind=act.kind,
                word=_word(act, outlook.state.plan),
                moulds=act.moulds,
                layer=act.layer,
                at=at,
                takes=act.takes,
                says=says_of(act, outlook),
                why=why_of(act, outlook),
                opens=act.opens,
                closes=act.closes,
                empty=act.kind == "pour" and act.window is not None,
                caution=note_of(act, waits, outlook, ways[1].persons),
            )
        )
    return tuple(steps)


def _with_its_pour(
    ways: Sequence[Scenario], acts: Sequence[PlannedAct], act: PlannedAct, lit: Sequence[Lit]
) -> Quantiles:
    """When the burner is turned. How unsure that is follows from what it is turned for: the first jug or pour after it has
    the same spread."""
    on = next((s.on for s in lit if act.wanted in (s.on, s.low_from, s.off)), act.start)
    needs = [m for m in acts if m.kind in ("jug", "plug", "pour", "top-up")]
    model = next((m for m in needs if m.end >= on), None)
    if model is None:
        return Quantiles(act.start, act.start, act.start)
    s = _across(ways, model)
    early = max(ways[1].now, act.start - (s.likely - s.early))
    return Quantiles(early, act.start, act.start + (s.late - s.likely))


def _wider(at: Quantiles, hot: Quantiles, now: float) -> Quantiles:
    """The time of something that also has to wait for the pot. How unsure the two are has nothing to do with each other, so
    the squares of their spreads add up."""
    early = math.hypot(at.likely - at.early, hot.likely - hot.early)
    late = math.hypot(at.late - at.likely, hot.late - hot.likely)
    return Quantiles(max(now, at.likely - early), at.likely, at.likely + late)


def _end(steps: Sequence[Step], ways: Sequence[Scenario]) -> Quantiles | None:
    """When the last act at the stove is done: of early, likely and late each the latest of all acts; None without an
    act.

    An act that only the slow way has, such as one more top-up, counts as well.
    """
    at_stove = [s for s in steps if s.kind not in AWAY_FROM_STOVE and s.kind not in BURNER]
    if not at_stove:
        return None
    ends = [(s.at.early + s.takes, s.end, s.at.late + s.takes) for s in at_stove]
    slow = [act.end for act in ways[2].acts if act.kind not in AWAY_FROM_STOVE and act.kind not in BURNER]
    late = max([*slow, *(x for _, _, x in ends)])
    return Quantiles(max(e for e, _, _ in ends), max(x for _, x, _ in ends), late)


def left_for_morning(day_ahead: DayForecast) -> tuple[Step, ...]:
    """What at the stove is left until after the night, such as a last top-up that falls into the quiet hours."""
    at_stove = [s for s in day_ahead.steps if s.kind not in AWAY_FROM_STOVE and s.kind not in BURNER]
    evening = [s.end for s in at_stove if s.at.likely <= day_ahead.gone]
    later = tuple(s for s in at_stove if s.at.likely > day_ahead.gone)
    if not evening or not later or min(s.at.likely for s in later) - max(evening) < NIGHT:
        return ()
    return later


def lets_go(day_ahead: DayForecast) -> Quantiles | None:
    """When the stove lets one go: in the evening where the rest is left for the morning, else after the last act at it."""
    later = left_for_morning(day_ahead)
    if not later:
        return day_ahead.end
    evening = [
        s
        for s in day_ahead.steps
        if s not in later and s.kind not in AWAY_FROM_STOVE and s.kind not in BURNER
    ]
    likely = max(s.end for s in evening)
    # What may come too late for the evening waits for the morning as well.
    late = max(s.at.late + s.takes for s in evening)
    return Quantiles(
        min(likely, max(s.at.early + s.takes for s in evening)),
        likely,
        max(likely, min(late, day_ahead.gone)),
    )


def past_bedtime(day_ahead: DayForecast) -> bool:
    """Whether the stove still keeps somebody at the time they meant to be gone, or the morning after."""
    return day_ahead.end is not None and day_ahead.end.likely > day_ahead.gone


def _word(act: PlannedAct, plan: Plan) -> str:
    """The block letters for a planned act; a jug by its name."""
    named = act.kind == "jug" and act.layer is not None
    return jug_word(act.kind, plan, act.layer or 0) if named else block_word(act.kind)
