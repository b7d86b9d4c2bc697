"""The costly part of advice, a piece at a time: forecasts, pours tried before they are made, the rest of the day.

A `AdviceSteps` is asked about a state and then told to take its next step, again and again; what each step has
found comes back whole. Whoever holds it decides where that happens: at once, or in a process of its own.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial

from pourday.errors import Trouble
from pourday.forecast.mould_case import COARSE, FINE, Resolution
from pourday.forecast.spread import Quantiles
from pourday.guide.acts.act import Act
from pourday.guide.advice.agenda import agenda
from pourday.guide.advice.day_end import PlannedStep
from pourday.guide.ahead.alternatives import easing
from pourday.guide.ahead.day import forecast_day
from pourday.guide.outlook.mould_heat import MouldHeatCache, at_once
from pourday.guide.outlook.outlook import Outlook, try_look_ahead
from pourday.session.quiet_hours import PersonsClock
from pourday.session.state import State
from pourday.times import NEVER

ACTS_AGE = 5.0
"""Seconds for which an agenda serves while nothing in it falls due and nothing new is known,"""
REST_AGE = 300.0
"""and the rest of the day."""

Key = tuple[str, int]
"""Session and number of its last entry."""


def key_of(state: State) -> Key:
    return state.session, state.last_seq


@dataclass(frozen=True, slots=True)
class RemainingDay:
    """The rest of the day, as far as it is shown."""

    steps: tuple[PlannedStep, ...]
    end: Quantiles | None
    too_much: str = ""
    """What of a day not begun is too much for one pair of hands, and what would ease it; empty where nothing is."""


@dataclass(frozen=True, slots=True)
class AdviceSnapshot:
    """All that is known of a state after one more step."""

    key: Key
    outlook: Outlook | None
    """None while the plan cannot be weighed out; `trouble` says why."""
    trouble: Trouble | None
    acts: tuple[Act, ...] = ()
    since: float = 0.0
    until: float = 0.0
    """For how long the acts serve."""
    rest: RemainingDay | None = None
    sentence: str = ""
    """Why something could not be computed; empty while all goes well."""
    idle: bool = True
    """Every pour that was thought of has been tried."""

    def says_as(self, other: AdviceSnapshot) -> bool:
        """Whether there is nothing new in it, but for how long it serves."""
        return self.outlook is other.outlook and replace(self, outlook=None, since=0, until=0) == replace(
            other, outlook=None, since=0, until=0
        )


class AdviceSteps:
    """Keeps what was worked out of one session, so that the next question costs only what changed.

    With `beside` a pour that is only thought of is a step of its own; without, it is tried where it comes up.
    """

    def __init__(self, clock: PersonsClock | None = None, *, beside: bool = False) -> None:
        self.clock = clock or PersonsClock()
        self._steps: deque[Callable[[], AdviceSnapshot | None]] = deque()
        self._book = MouldHeatCache(self._try_first if beside else at_once)
        self._state, self._now = State(), 0.0
        self._found: AdviceSnapshot | None = None
        self._rest: RemainingDay | None = None
        self._rest_of: tuple[object, ...] = ()
        self._rest_at = 0.0
        self._broken = self._rest_broken = ""

    @property
    def pending(self) -> bool:
        return bool(self._steps)

    def ask(self, state: State, now: float, grids: tuple[Resolution, ...] = (COARSE, FINE)) -> None:
        """From here on about this state; what is still pending of another is dropped."""
        if state.session != self._state.session:
            self._rest, self._rest_of = None, ()
        self._state, self._now = state, now
        self._book.drop_trials()
        self._steps = deque([partial(self._look, *grids)])

    def ask_acts(self, now: float) -> None:
        """The agenda of the same state, a little later."""
        self._now = now
        self._steps.appendleft(self._again)

    def ask_rest(self, now: float) -> None:
        """The rest of the day, where something it rests on has changed or it has grown old."""
        self._now = now
        self._steps.append(self._look_far)

    def step(self) -> AdviceSnapshot | None:
        """Takes the next step; what is known after it, or None where it changed nothing.

        What goes wrong where nobody looks is said; the last outlook serves on.
        """
        try:
            return self._steps.popleft()() if self._steps else None
        except Exception as broken:
            self._broken = f"The forecast could not be worked out: {broken}."
            last, now = self._known() or self._found, self._now
            outlook, acts = (last.outlook, last.acts) if last is not None else (None, ())
            return self._said(AdviceSnapshot(key_of(self._state), outlook, None, acts, now, now + ACTS_AGE))

    # -- steps --------------------------------------------------------------------------------------

    def _look(self, grid: Resolution, *finer: Resolution) -> AdviceSnapshot:
        outlook, trouble = try_look_ahead(self._state, self._now, self._book, grid)
        found = self._with_acts(outlook, trouble)
        self._broken = ""
        if finer and outlook is not None and any(m.heat.grid is grid for m in outlook.moulds.values()):
            self._steps.append(partial(self._look, *finer))
        return self._said(found)

    def _again(self) -> AdviceSnapshot | None:
        known = self._known()
        return self._said(self._with_acts(known.outlook, known.trouble)) if known is not None else None

    def _try_first(self, trial: Callable[[], None]) -> None:
        self._steps.appendleft(partial(self._tried, trial))

    def _tried(self, trial: Callable[[], None]) -> AdviceSnapshot | None:
        """The agenda waits until all pours were tried that it thought of."""
        trial()
        return self._again() if self._book.idle else None

    def _look_far(self) -> AdviceSnapshot | None:
        known, state = self._known(), self._state
        if (
            known is None
            or known.outlook is None
            or state.fixed_plan is None
            or state.finished_at is not None
        ):
            return None
        rests_on = _rests_on(state)
        if self._rest and rests_on == self._rest_of and 0 <= self._now - self._rest_at < REST_AGE:
            return None
        try:
            whole = forecast_day(state, known.outlook, self._now, clock=self.clock)
        except Exception as broken:
            # The agenda of the moment does without it.
            self._rest_broken = f"The rest of the day could not be worked out: {broken}."
        else:
            before = "" if state.burner_spans else whole.too_much
            self._rest = RemainingDay(whole.steps, whole.end, before)
            self._rest_of, self._rest_at, self._rest_broken = rests_on, self._now, ""
            if before:
                self._steps.append(partial(self._ease, before, easing(whole, clock=self.clock)))
        return self._again()

    def _ease(self, before: str, ways: Iterator[tuple[str, bool]]) -> AdviceSnapshot | None:
        """One more way tried to make the day fit one pair of hands."""
        says, over = next(ways, ("", True))
        if not over:
            self._steps.append(partial(self._ease, before, ways))
            return None
        if self._rest is not None:
            self._rest = replace(self._rest, too_much=f"{before} {says}".strip())
        return self._again()

    # -- what is known ------------------------------------------------------------------------------

    def _known(self) -> AdviceSnapshot | None:
        return self._found if self._found is not None and self._found.key == key_of(self._state) else None

    def _with_acts(self, outlook: Outlook | None, trouble: Trouble | None) -> AdviceSnapshot:
        key, now = key_of(self._state), self._now
        if outlook is None or self._state.fixed_plan is None:
            return AdviceSnapshot(key, outlook, trouble)
        rest = self._rest or RemainingDay((), None)
        acts = agenda(self._state, outlook, now, self.clock, rest.steps, rest.too_much)
        return AdviceSnapshot(key, outlook, trouble, acts, now, serves_until(acts, now), self._rest)

    def _said(self, found: AdviceSnapshot) -> AdviceSnapshot:
        sentence = self._book.trouble or self._broken or self._rest_broken
        self._found = replace(found, sentence=sentence, idle=self._book.idle)
        return self._found


def serves_until(acts: tuple[Act, ...], now: float) -> float:
    """How long an agenda serves: a few seconds, or until something in it falls due."""
    return min(now + ACTS_AGE, NEVER, *(act.due for act in acts if act.due > now))


def _rests_on(state: State) -> tuple[object, ...]:
    """What of a state changes the rest of its day; readings move it only a little."""
    moulds = tuple((m.pours, m.looks, m.relieved_at, m.demoulded_at) for m in state.moulds.values())
    return (state.session, state.plan, moulds, tuple(state.jugs), state.burner, state.hard_stop, state.waived)
