"""Everything the guide has to say about a state at a moment, with the costly part kept between looks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from pourday.errors import Trouble
from pourday.forecast.mould_case import COARSE
from pourday.guide.acts.act import Act
from pourday.guide.advice.agenda import agenda
from pourday.guide.advice.alarms import WATCH, alarm_facts
from pourday.guide.advice.now import Now, told, what_now
from pourday.guide.advice.steps import AdviceSnapshot, AdviceSteps, Key, RemainingDay, key_of
from pourday.guide.outlook.outlook import Outlook
from pourday.session.events import Fact
from pourday.session.quiet_hours import PersonsClock
from pourday.session.state import State

AGE = 60.0
"""Seconds after which the outlook is worked out anew even though nothing was filed."""
REST_WAIT = 3.0
"""Seconds after the last fact until the rest of the day is worked out: what is asked next must not wait for that."""


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
    rest: RemainingDay | None = None
    """The rest of the day, where it has been worked out."""


class AdviceBackend(Protocol):
    """Where a state can be thought about while the screen goes on; what is found comes back by `Adviser.take`.

    Each returns whether it was asked for: where it cannot be, the adviser thinks for itself.
    """

    def ask(self, state: State, now: float) -> bool: ...
    def ask_acts(self, now: float) -> bool: ...
    def ask_rest(self, now: float) -> bool: ...


class Adviser:
    """Keeps what was found of the last state, so that a tick of the clock costs little.

    With `elsewhere` a state is thought about there, and until it is answered the last outlook serves;
    without, it is worked out at once and coarse. What comes too late for the state it was asked for is
    dropped.
    """

    def __init__(
        self, elsewhere: AdviceBackend | None = None, clock: PersonsClock | None = None, watch: float = WATCH
    ) -> None:
        self.elsewhere = elsewhere
        self.clock = clock or PersonsClock()
        self.watch = watch
        """Seconds a lit burner may be unanswered."""
        self._thinker = AdviceSteps(self.clock)
        self._asked: Key = ("", -1)
        self._asked_at = 0.0
        self._rest_asked: tuple[Key, float] = (("", -1), 0.0)
        self._found = AdviceSnapshot(("", -1), None, None)
        self._edition = 0
        """Counts up with all that was found."""
        self._acts_asked = False
        """A later agenda is on its way."""
        self._between: tuple[Key, int, tuple[Act, ...]] = (("", -1), 0, ())
        """The agenda of a state that is still being thought about, from the last outlook."""
        self._advice: Advice | None = None
        self._said_of: tuple[object, ...] = ()

    @property
    def trouble(self) -> str:
        """Why something could not be computed, in a sentence; empty while all goes well."""
        return self._found.sentence

    @property
    def waits(self) -> bool:
        """Whether nothing is known yet of the last state."""
        return self._found.key != self._asked

    @property
    def settled(self) -> bool:
        """Whether the last state was answered, and every pour tried that was thought of."""
        return not self.waits and self._found.idle

    def take(self, found: AdviceSnapshot) -> None:
        """What was found elsewhere, unless it comes too late."""
        if found.key == self._asked:
            self._edition += not found.says_as(self._found)
            self._found, self._acts_asked = found, False

    def ask_again(self) -> None:
        """What was asked elsewhere will not be answered: the next look asks anew."""
        self._asked = ("", -1)

    def advise(self, state: State, now: float) -> Advice:
        """The advice for a state at a moment; pure but for what it keeps."""
        self._ask(state, now)
        found = self._found
        if found.outlook is None or state.fixed_plan is None:
            return Advice(state, found.outlook, found.trouble)
        # Nothing in the advice changes within a second but by a new fact or a new forecast.
        said_of = (key_of(state), int(now), self._edition)
        if said_of == self._said_of and self._advice is not None and found.idle:
            return self._advice
        acts = self._agenda(state, found.outlook, now)
        first = what_now(state, found.outlook, acts, now)
        facts = alarm_facts(state, found.outlook, now, self.watch)
        settled = found.key == key_of(state) and state.finished_at is None
        said = told(state, first) if settled else None
        to_file = (*facts, *((said,) if said else ()))
        self._advice = Advice(state, found.outlook, None, acts, first, to_file, found.rest)
        self._said_of = said_of
        return self._advice

    # -- asking -------------------------------------------------------------------------------------

    def _ask(self, state: State, now: float) -> None:
        """Ask for what is missing, or has grown old, of the state and the moment."""
        key, elsewhere = key_of(state), self.elsewhere
        if key != self._asked or not 0 <= now - self._asked_at < AGE:
            first = self._asked[0] != key[0] or not self._serves(state)
            self._asked, self._asked_at, self._acts_asked = key, now, False
            asked = elsewhere is not None and elsewhere.ask(state, now)
            if first or not asked:
                self._think(state, now)
        elif elsewhere is not None and now - self._asked_at >= REST_WAIT:
            asked_for = (self._asked, self._asked_at)
            if asked_for != self._rest_asked:
                self._rest_asked = asked_for
                if not elsewhere.ask_rest(now):
                    self._thinker.ask_rest(now)
                    self._take_steps()

    def _serves(self, state: State) -> bool:
        """Whether the last outlook may stand in for this state's: with another plan it knows nothing of its layers."""
        outlook = self._found.outlook
        return outlook is not None and outlook.state.plan == state.plan

    def _think(self, state: State, now: float) -> None:
        """Here and at once."""
        self._thinker.ask(state, now, (COARSE,))
        self._take_steps()

    def _take_steps(self) -> None:
        while self._thinker.pending:
            found = self._thinker.step()
            if found is not None:
                self.take(found)

    # -- agenda -------------------------------------------------------------------------------------

    def _agenda(self, state: State, outlook: Outlook, now: float) -> tuple[Act, ...]:
        """As it was found; from the last outlook while the state is still being thought about."""
        key, found = key_of(state), self._found
        if found.key != key:
            if self._between[:2] != (key, self._edition):
                rest = found.rest or RemainingDay((), None)
                acts = agenda(state, outlook, now, self.clock, rest.steps, rest.too_much)
                self._between = key, self._edition, acts
            return self._between[2]
        if not found.since <= now < found.until and not self._acts_asked:
            self._acts_asked = True
            if self.elsewhere is None:
                self._thinker.ask_acts(now)
                self._take_steps()
            elif not self.elsewhere.ask_acts(now):
                self._think(state, now)
        return self._found.acts
