"""Everything the guide has to say about a state at a moment, with the costly part kept between looks."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

from pourday.errors import Trouble
from pourday.forecast.mould_case import COARSE, FINE, Resolution
from pourday.guide.act import Act
from pourday.guide.agenda import agenda
from pourday.guide.ahead import Ahead, ahead
from pourday.guide.alarms import WATCH, alarm_facts
from pourday.guide.heat import HeatBook, Run, at_once
from pourday.guide.now import Now, told, what_now
from pourday.guide.outlook import Outlook, try_look_ahead
from pourday.guide.persons_clock import FAR, PersonsClock
from pourday.session.events import Fact
from pourday.session.state import State

AGE = 60.0
"""Seconds after which the outlook is worked out anew even though nothing was filed,"""
FAR_AGE = 300.0
"""the rest of the day,"""
ACTS_AGE = 5.0
"""and the agenda."""
FAR_WAIT = 3.0
"""Seconds after the last fact until the rest of the day is worked out: what is asked next must not wait for that."""

Key = tuple[str, int]
"""Session and number of its last entry."""


@dataclass(frozen=True, slots=True)
class Advice:
    state: State
    outlook: Outlook | None
    """None while the plan cannot be weighed out."""
    trouble: Trouble | None
    acts: tuple[Act, ...] = ()
    now: Now | None = None
    to_file: tuple[Fact, ...] = ()
    """What the program has to put on record: alarms, and what it tells."""
    rest: Ahead | None = None
    """The rest of the day, where it has been worked out."""


@dataclass(frozen=True, slots=True)
class KeptActs:
    """An agenda with what it was made of and for how long it serves."""

    acts: tuple[Act, ...]
    of: tuple[object, ...]
    since: float
    until: float


class Adviser:
    """Keeps the outlook of the last state, so that a tick of the clock costs little.

    With `run` the outlook is worked out there, coarse first and then fine, and until it is there the
    last one serves; without, it is worked out at once and coarse. What comes too late for the state it
    was asked for is dropped.
    """

    def __init__(
        self, run: Run | None = None, clock: PersonsClock | None = None, watch: float = WATCH
    ) -> None:
        self._run = run
        self.clock = clock or PersonsClock()
        self.watch = watch
        """Seconds a lit burner may be unanswered."""
        self._book = HeatBook(run or at_once)
        self._outlook: Outlook | None = None
        self._trouble: Trouble | None = None
        self._asked: Key = ("", -1)
        self._done: Key = ("", -1)
        self._asked_at = 0.0
        self._far_asked: tuple[Key, float] = (("", -1), 0.0)
        self._ahead: Ahead | None = None
        self._ahead_of: tuple[object, ...] = ()
        self._ahead_trouble = self._work_trouble = ""
        self._edition = 0
        """Counts up with every outlook and every look at the rest of the day."""
        self._kept = KeptActs((), (), 0.0, 0.0)
        self._advice: Advice | None = None
        self._said_of: tuple[object, ...] = ()

    @property
    def trouble(self) -> str:
        """Why something could not be computed, in a sentence; empty while all goes well."""
        return self._book.trouble or self._work_trouble or self._ahead_trouble

    def advise(self, state: State, now: float) -> Advice:
        """The advice for a state at a moment; pure but for the outlook it keeps."""
        key = (state.session, state.last_seq)
        if key != self._asked or not 0 <= now - self._asked_at < AGE:
            self._ask(key, state, now)
        asked = (key, self._asked_at)
        if self._run is not None and asked != self._far_asked and now - self._asked_at >= FAR_WAIT:
            self._far_asked = asked
            self._run(partial(self._look_far, key, state, now))
        outlook = self._outlook
        if outlook is None or state.fixed_plan is None:
            return Advice(state, outlook, self._trouble)
        # Nothing in the advice changes within a second but by a new fact or a new forecast.
        said_of = (key, int(now), self._edition)
        if said_of == self._said_of and self._advice is not None and self._book.idle:
            return self._advice
        rest = self._rest_of(state)
        acts = self._agenda(state, outlook, now)
        first = what_now(state, outlook, acts, now)
        facts = alarm_facts(state, outlook, now, self.watch)
        settled = self._done == key and state.finished_at is None
        said = told(state, first) if settled else None
        advice = Advice(state, outlook, None, acts, first, (*facts, *((said,) if said else ())), rest)
        self._advice, self._said_of = advice, said_of
        return advice

    def _rest_of(self, state: State) -> Ahead | None:
        return self._ahead if self._ahead is not None and self._ahead.state.session == state.session else None

    def _agenda(self, state: State, outlook: Outlook, now: float) -> tuple[Act, ...]:
        """The agenda, kept for a few seconds while nothing in it falls due and nothing new is known."""
        of = (state.session, state.last_seq, self._edition, self._book.idle)
        if of != self._kept.of or not self._kept.since <= now < self._kept.until:
            rest = self._rest_of(state)
            acts = agenda(state, outlook, now, self.clock, rest.steps if rest else ())
            due = (act.due for act in acts if act.due > now)
            self._kept = KeptActs(acts, of, now, min(now + ACTS_AGE, *due, FAR))
        return self._kept.acts

    def _ask(self, key: Key, state: State, now: float) -> None:
        elsewhere = self._run if self._outlook is not None and self._asked[0] == key[0] else None
        self._asked, self._asked_at = key, now
        if elsewhere is None:
            self._work(key, state, now, COARSE)
            return
        for grid in (COARSE, FINE):
            elsewhere(partial(self._work_elsewhere, key, state, now, grid))

    def _work_elsewhere(self, key: Key, state: State, now: float, grid: Resolution) -> None:
        """What goes wrong where nobody looks is said; the last outlook serves on."""
        try:
            self._work(key, state, now, grid)
        except Exception as broken:
            self._work_trouble = f"The forecast could not be worked out: {broken}."
        else:
            self._work_trouble = ""

    def _work(self, key: Key, state: State, now: float, grid: Resolution) -> None:
        if self._asked != key:
            return
        outlook, trouble = try_look_ahead(state, now, self._book, grid)
        if self._asked == key:
            self._outlook, self._trouble, self._done = outlook, trouble, key
            self._edition += 1
            if outlook is not None and state.fixed_plan is not None:
                self._agenda(state, outlook, now)  # here, so that the screen finds it ready

    def _look_far(self, key: Key, state: State, now: float) -> None:
        """Work out the rest of the day, where something it rests on has changed or it has grown old."""
        outlook = self._outlook
        if self._asked != key or outlook is None or state.fixed_plan is None or state.finished_at is not None:
            return
        rests_on = _rests_on(state)
        if self._ahead is not None and rests_on == self._ahead_of and 0 <= now - self._ahead.now < FAR_AGE:
            return
        try:
            found = ahead(state, outlook, now, clock=self.clock)
        except Exception as broken:
            # The agenda of the moment does without it.
            self._ahead_trouble = f"The rest of the day could not be worked out: {broken}."
            return
        if self._asked == key:
            self._ahead, self._ahead_of, self._ahead_trouble = found, rests_on, ""
            self._edition += 1


def _rests_on(state: State) -> tuple[object, ...]:
    """What of a state changes the rest of its day; readings move it only a little."""
    moulds = tuple((m.pours, m.looks, m.relieved_at, m.demoulded_at) for m in state.moulds.values())
    return (state.session, state.plan, moulds, tuple(state.jugs), state.burner, state.hard_stop, state.waived)
