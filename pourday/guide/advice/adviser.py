"""Everything the guide has to say about a state at a moment, with the costly part asked of whoever answers it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

from pourday.errors import Trouble
from pourday.forecast.mould_case import PourInto
from pourday.forecast.pot import PotForecast
from pourday.forecast.remelt import Verdict
from pourday.guide.acts.act import Act, Choice, Question
from pourday.guide.advice.agenda import agenda
from pourday.guide.advice.alarms import WATCH, alarm_facts
from pourday.guide.advice.calm import ToldAgenda, calmed, turns_up
from pourday.guide.advice.degrees import probe_there
from pourday.guide.advice.far import still_ahead
from pourday.guide.advice.now import Now, thinking, what_now
from pourday.guide.advice.queries import (
    AdviceBackend,
    AtOnce,
    Failed,
    Forecast,
    ForecastQuery,
    Key,
    PourQuery,
    RemainingDay,
    RemainingDayQuery,
    RescueQuery,
    key_of,
    nothing,
)
from pourday.guide.advice.telling import fact_to_tell
from pourday.guide.outlook.mould_heat import MouldHeat, PourTrials, Took
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.rescue.options import PreparedWays, WaysQuery
from pourday.language import tr
from pourday.learning.kitchen import LearnedKitchen
from pourday.probes.channel import ProbeNow
from pourday.session.events import Fact
from pourday.session.quiet_hours import PersonsClock
from pourday.session.state import State

AGE = 60.0
"""Seconds after which the outlook is worked out anew even though nothing was filed. Chosen."""
REST_WAIT = 3.0
"""Seconds after the last fact until the rest of the day is worked out: what is asked next must not wait for that. Chosen."""
REST_AGE = 300.0
"""Seconds for which the rest of the day serves while nothing changes that it rests on. Chosen."""
NOBODY = ("", -1)
"""The key before any session was advised on."""


@dataclass(frozen=True, slots=True)
class Advice:
    """What the guide says of a state at a moment."""

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
    probes: tuple[ProbeNow, ...] = ()
    """How the probes stand that report by themselves."""


class Adviser:
    """Keeps the forecasts of the last state and makes the agenda from them, so that a tick of the clock costs little.

    With a `backend` forecasts are asked for there. Until the first ones of a new state have come, which may be rough,
    the last outlook serves, or, where none can (a new plan), a rough one worked out here. `news` is called when they
    are there, and when a question has got its answers. Without a backend forecasts are worked out at once, and coarse.
    """

    def __init__(
        self,
        backend: AdviceBackend | None = None,
        clock: PersonsClock | None = None,
        watch: float = WATCH,
        news: Callable[[], None] = nothing,
    ) -> None:
        self._here = AtOnce()
        self.backend = backend or self._here
        self.clock = clock or PersonsClock()
        self.watch = watch
        """Seconds a lit burner may be unanswered."""
        self.probes: tuple[ProbeNow, ...] = ()
        """How the probes stand, told by whoever listens to them."""
        self.kitchen: LearnedKitchen | None = None
        """What earlier days taught of this kitchen; None: nothing, or nothing that is to be used."""
        self._news = news
        self._asked = State()
        """The state whose forecasts were asked for last,"""
        self._asked_at = float("-inf")
        self._number = 0
        """the number of that question,"""
        self._pending = False
        """and whether more is to come of its answer."""
        self._forecast = Forecast(NOBODY, None, None)
        self._heats: dict[str, MouldHeat] = {}
        self._pot: PotForecast | None = None
        """What came from the backend, which need not send it again."""
        self._trials = PourTrials(self._try_pour)
        self._open: Question | None = None
        """What somebody has opened."""
        self._ways = PreparedWays(self._ask_ways)
        self._rest: RemainingDay | None = None
        self._rest_of: tuple[object, ...] = ()
        self._rest_at = float("-inf")
        self._rest_number = 0
        """The number of the last question for it."""
        self._rest_asked = self._rest_from = State()
        """The state whose rest of the day was asked for last, and the one whose rest is known."""
        self._edition = 0
        """Counts up with every answer."""
        self._failed: dict[str, str] = {}
        """What went wrong last: what was to be worked out, and why it was not; empty where it went well."""
        self._told = ToldAgenda()
        """What was told last of the agenda."""
        self._advice: Advice | None = None
        self._advice_of: tuple[object, ...] = ()

    @property
    def trouble(self) -> str:
        """Why something could not be computed, in a sentence; empty while all goes well."""
        failed = next(((what, why) for what, why in self._failed.items() if why), None)
        said = (
            tr("The {what} could not be worked out: {why}.", what=failed[0], why=failed[1]) if failed else ""
        )
        return self._forecast.sentence or said

    @property
    def waits(self) -> bool:
        """Whether nothing is known yet of the last state that may be put on record."""
        return self._forecast.key != key_of(self._asked) or self._forecast.provisional

    def advise(self, state: State, now: float) -> Advice:
        """The advice for a state at a moment (seconds since the epoch). The same state and moment get the same
        advice, unless a forecast came in between."""
        self._ask(state, now)
        forecast = self._forecast
        if forecast.outlook is None or state.fixed_plan is None:
            return Advice(state, forecast.outlook, forecast.trouble)
        # Nothing in the advice changes within a second but by a new fact or a new answer.
        advice_of = (key_of(state), int(now), self._edition)
        if advice_of != self._advice_of or self._advice is None:
            self._advice = self._made(state, forecast.outlook, now)
            # A pour that was tried at once is in it already.
            self._advice_of = (*advice_of[:2], self._edition)
        return self._advice

    def work_out(self, question: Question | None) -> None:
        """Have the answers of a question worked out that somebody has opened; None: it is closed."""
        self._open = question
        self._ways.want(question)

    def ask_again(self) -> None:
        """The worker has lost what it knew, and what was asked of it: the next look asks for everything anew."""
        self._asked_at, self._heats, self._pot, self._pending = float("-inf"), {}, None, False
        self._rest_of = ()
        self._trials.ask_again()
        self._ways.forget()

    # -- advice -------------------------------------------------------------------------------------

    def _made(self, state: State, outlook: Outlook, now: float) -> Advice:
        """The advice at a moment by an outlook: the acts, the sentence of now, and what the program itself has to
        put on record."""
        settled = self._forecast.key == key_of(state) and not self._forecast.provisional
        acts = self._calmed(state, self._agenda(state, outlook, now), now, settled=settled)
        known = [act for act in acts if not self._of_before_a_pour(act, state, outlook.state)]
        first = what_now(state, outlook, known, now, self.probes)
        old = _forecast_inputs(outlook.state) != _forecast_inputs(state)
        lights = turns_up(first.act, state.burner)
        if (old and (first.act.kind == "wait" or lights)) or (self._forecast.provisional and lights):
            # A moment later does no harm, and said too soon it might be taken back at once.
            first = thinking(first)
        if self.backend is not self._here:
            # What the sentence asks is worked out before somebody opens it.
            self._ways.want(first.act.question)
        facts = alarm_facts(state, outlook, now, self.watch, self.probes)
        said = fact_to_tell(state, first) if settled and state.finished_at is None else None
        to_file = (*facts, *((said,) if said else ()))
        return Advice(state, outlook, None, acts, first, to_file, self._rest, self.probes)

    def _of_before_a_pour(self, act: Act, state: State, before: State) -> bool:
        """Whether an act rests on a surface that new wax has covered since: a look at it would find it wet."""
        if self._forecast.key == key_of(self._asked):
            # Its answer is there, or could not be worked out; then the last one serves on.
            return False
        return any(
            letter in state.moulds
            and (letter not in before.moulds or state.moulds[letter].pours != before.moulds[letter].pours)
            for letter in act.moulds
        )

    def _calmed(self, state: State, acts: tuple[Act, ...], now: float, *, settled: bool) -> tuple[Act, ...]:
        """The acts at the times they were told where these hardly moved; what a forecast that is not `settled` yet says of them
        is not told."""
        calm, told = calmed(self._told, acts, state, now)
        if settled:
            self._told = told
        return calm

    def _agenda(self, state: State, outlook: Outlook, now: float) -> tuple[Act, ...]:
        """The acts at a moment; those of the last time where working them out failed."""
        rest = self._rest or RemainingDay()
        try:
            steps = still_ahead(rest.steps, self._rest_from, state)
            acts = agenda(state, outlook, now, self.clock, steps, rest.too_much)
        except Exception as broken:
            # A person at a hot stove goes on by the last one.
            self._failed["agenda"] = str(broken)
            return self._advice.acts if self._advice is not None else ()
        self._failed["agenda"] = ""
        return self._read_by_hand(acts, state, outlook, now) if self.probes else acts

    def _read_by_hand(
        self, acts: tuple[Act, ...], state: State, outlook: Outlook, now: float
    ) -> tuple[Act, ...]:
        """The acts without the readings that a probe takes by itself, until it falls silent."""
        by_itself = [
            act
            for act in acts
            if act.kind == "read" and probe_there(state, outlook, act, now, self.probes) is not None
        ]
        return tuple(act for act in acts if act not in by_itself)

    # -- asking -------------------------------------------------------------------------------------

    def _ask(self, state: State, now: float) -> None:
        """Ask for what is missing, or has grown old, of the state and the moment."""
        old = not self._pending and not 0 <= now - self._asked_at < AGE
        if old or key_of(state) != key_of(self._asked):
            if state.session != self._asked.session:
                self._rest, self._rest_of = None, ()
                self.backend.drop(self._rest_number)
            if key_of(state) != key_of(self._asked):
                self._ways.forget()
            self._asked, self._asked_at = state, now
            alone = self.backend is self._here
            if alone or not self._serves(state):
                # The backend's, which is finer, comes later; until then no key is answered.
                at_once = ForecastQuery(state, now, kitchen=self.kitchen, roughly=not alone)
                self._here.ask(at_once, self._take)
            if not alone:
                self._ask_backend(state, now)
        elif self.backend is not self._here and now - self._asked_at >= REST_WAIT:
            rests_on = _day_inputs(state)
            if rests_on != self._rest_of or not 0 <= now - self._rest_at < REST_AGE:
                self._rest_of, self._rest_at, self._rest_asked = rests_on, now, state
                self.backend.drop(self._rest_number)
                self._rest_number = self.backend.ask(RemainingDayQuery(now, self.clock), self._take_rest)

    def _ask_backend(self, state: State, now: float) -> None:
        """Ask for a new forecast, in place of the one asked before, and for the rescue ways of the open question."""
        self.backend.drop(self._number)
        known = frozenset(heat.number for heat in self._heats.values())
        self._pending = True
        pot = self._pot.number if self._pot is not None else None
        self._number = self.backend.ask(
            ForecastQuery(state, now, known, pot, self.kitchen), self._take_light, self._over
        )
        self._ways.want(self._open)

    def _ask_ways(self, query: WaysQuery) -> None:
        """Have the rescue ways of an open question worked out."""
        self.backend.ask(RescueQuery(query), partial(self._take_ways, key_of(self._asked), query))

    def _serves(self, state: State) -> bool:
        """Whether the last outlook may stand in for this state's: with another plan it knows nothing of its layers."""
        outlook = self._forecast.outlook
        return outlook is not None and outlook.state.plan == state.plan

    def _try_pour(self, letter: str, pour: PourInto, then: Took) -> None:
        """Have a pour tried that is only thought of; its verdict goes to `then`."""
        self.backend.ask(PourQuery(letter, pour), partial(self._take_verdict, then))

    # -- answers ------------------------------------------------------------------------------------

    def _take(self, answer: Forecast | Failed) -> None:
        """A forecast has come, or why there is none."""
        self._edition += 1
        self._failed["forecast"] = answer.why if isinstance(answer, Failed) else ""
        if isinstance(answer, Failed):
            # What goes wrong where nobody looks is said; the last outlook serves on.
            answer = replace(self._forecast, key=key_of(self._asked))
        self._forecast = self._completed(answer)

    def _completed(self, forecast: Forecast) -> Forecast:
        """A forecast that can try pours: they are tried wherever questions are answered."""
        outlook = forecast.outlook
        return (
            forecast if outlook is None else replace(forecast, outlook=replace(outlook, trials=self._trials))
        )

    def _take_light(self, answer: Forecast | Failed) -> None:
        """Take in a forecast from the worker, which left out the heat that this side has: it is put back in."""
        first = self._forecast.key != key_of(self._asked)
        if isinstance(answer, Forecast):
            answer = answer.whole(self._asked, self._heats, self._pot)
            moulds = answer.outlook.moulds if answer.outlook is not None else {}
            self._heats = {letter: mould.heat for letter, mould in moulds.items()}
            self._pot = answer.outlook.pot if answer.outlook is not None else None
        self._take(answer)
        if first:
            self._news()

    def _over(self) -> None:
        """The forecasts of a state are all there: nothing is being waited for."""
        self._pending = False

    def _take_verdict(self, then: Took, answer: Verdict | Failed) -> None:
        """What a pour would do has come, or nothing where it could not be worked out."""
        self._edition += 1
        then(answer if isinstance(answer, Verdict) else None)

    def _take_ways(self, key: Key, query: WaysQuery, answer: Sequence[Choice] | Failed) -> None:
        """Rescue ways have come; they are dropped where the session has gone on since they were asked for."""
        if key != key_of(self._asked):
            return
        self._edition += 1
        self._failed["ways to go on"] = answer.why if isinstance(answer, Failed) else ""
        self._ways.take(query, query.besides if isinstance(answer, Failed) else answer)
        self._ways.want(self._open)
        self._news()

    def _take_rest(self, answer: RemainingDay | Failed) -> None:
        """The rest of the day has come, or why it could not be worked out."""
        self._edition += 1
        self._failed["rest of the day"] = answer.why if isinstance(answer, Failed) else ""
        if isinstance(answer, RemainingDay):
            self._rest, self._rest_from = answer, self._rest_asked


def _forecast_inputs(state: State) -> tuple[object, ...]:
    """What of a state its forecasts are worked out from: a word that was only told, or heard, changes none of them.

    A probe's next reading, which comes by itself all the time, changes them too little to be waited for.
    """
    by_hand = sum(not reading.probe for reading in state.readings)
    return (*_day_inputs(state), by_hand, len(state.additions), state.burner_spans)


def _day_inputs(state: State) -> tuple[object, ...]:
    """What of a state changes the rest of its day; readings move it only a little."""
    moulds = tuple((m.pours, m.looks, m.relieved_at, m.demoulded_at) for m in state.moulds.values())
    return (
        state.session,
        state.plan,
        moulds,
        tuple(state.jugs),
        state.burner,
        state.hard_stop,
        state.stays_up,
        state.waived,
    )
