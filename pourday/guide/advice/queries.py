"""What takes longer than a frame, as questions in plain data: each can be asked in one process and answered in another.

Whoever answers keeps a `Memory` between the questions of one session, so that the next costs only what changed.
An answer that takes several steps comes in parts; a part is None where a step found nothing to tell.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from typing import ClassVar, Protocol, TypeVar, cast

from pourday.errors import Trouble
from pourday.forecast.mould_case import COARSE, FINE, ROUGH, PourInto
from pourday.forecast.pot import PotForecast
from pourday.forecast.remelt import Verdict, verdict
from pourday.forecast.spread import Quantiles
from pourday.guide.acts.act import Choice
from pourday.guide.advice.agenda import agenda
from pourday.guide.ahead.alternatives import easing
from pourday.guide.ahead.day import Step, day_in_steps, lets_go
from pourday.guide.outlook.learned import prior_of
from pourday.guide.outlook.mould_heat import MouldHeat, MouldHeatCache, PourTrials
from pourday.guide.outlook.outlook import Outlook, try_look_ahead
from pourday.guide.rescue.options import WaysQuery
from pourday.learning.kitchen import LearnedKitchen
from pourday.session.quiet_hours import PersonsClock
from pourday.session.state import State

Key = tuple[str, int]
"""Session and number of its last entry."""


def key_of(state: State) -> Key:
    """Session and number of its last entry, by which a state is told from every other."""
    return state.session, state.last_seq


@dataclass
class Memory:
    """What whoever answers remembers of the session that was asked about last, so that the next answer costs less."""

    state: State = field(default_factory=State)
    outlook: Outlook | None = None
    cache: MouldHeatCache = field(default_factory=MouldHeatCache)


T = TypeVar("T")
T_co = TypeVar("T_co", covariant=True)


class Query(Protocol[T_co]):
    """Something that takes longer than a frame to work out, in plain data."""

    urgency: ClassVar[int]
    """Which first answer comes first where several are asked: 0 before all others. Later parts wait until every
    question has its first one."""

    def answers(self, memory: Memory) -> Iterator[T_co | None]:
        """The answer, as often as a better one is there; None where the next part takes a while, so that another question
        may come between. `memory` is what the process that answers keeps from question to question."""
        ...


@dataclass(frozen=True, slots=True)
class Failed:
    """In the place of an answer: what went wrong."""

    why: str


def nothing() -> None:
    """Does nothing: for a question whose asker need not know when its last part has come."""


class AdviceBackend(Protocol):
    """Where questions are answered: each part of an answer, or `Failed`, is given to `then`; after the last one
    `over` is called."""

    def ask(
        self, question: Query[T], then: Callable[[T | Failed], None], over: Callable[[], None] = ...
    ) -> int:
        """The number of the question, by which it can be dropped."""
        ...

    def drop(self, number: int) -> None:
        """Nobody wants the answer any more."""
        ...


class AtOnce:
    """Answers where it is asked, and only the first part: for the rest somebody would have to wait.

    The same questions as the worker's (`tui/worker.py`), for whom there is none: a day that is played or checked without a
    screen, a screen whose worker has just been started or keeps stopping. It cannot be that worker, which needs an event
    loop to hand on what comes later; nor can it ask as much, for each question holds up whoever asks.
    """

    def __init__(self) -> None:
        self._memory = Memory()

    def ask(
        self, question: Query[T], then: Callable[[T | Failed], None], over: Callable[[], None] = nothing
    ) -> int:
        try:
            answer = next((part for part in question.answers(self._memory) if part is not None), None)
        except Exception as broken:
            then(Failed(str(broken)))
        else:
            if answer is not None:
                then(answer)
        over()
        return 0

    def drop(self, number: int) -> None:
        pass


# -- forecasts ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Forecast:
    """What the forecasts say of a state."""

    key: Key
    outlook: Outlook | None
    """None while the plan cannot be weighed out; `trouble` says why."""
    trouble: Trouble | None
    sentence: str = ""
    """Why the heat of some mould could not be computed; empty while all goes well."""
    provisional: bool = False
    """Whether some mould is computed only roughly, so that nothing is put on record by it; a better one follows at once."""

    same_pot: bool = False
    """Whether the forecast of the pot was left out, because whoever asks has this very one."""

    def whole(self, state: State, heats: Mapping[str, MouldHeat], pot: PotForecast | None) -> Forecast:
        """The same with what was left out so that less has to be sent: the state that it is of, and the heat of each mould (by
        letter) and the pot where whoever asked has those already. Raises `KeyError` for a heat that is neither here nor there."""
        if self.outlook is None:
            return self
        moulds = {x: replace(m, heat=m.heat or heats[x]) for x, m in self.outlook.moulds.items()}
        pot = pot if self.same_pot else self.outlook.pot
        return replace(self, outlook=replace(self.outlook, moulds=moulds, pot=pot, state=state))


@dataclass(frozen=True, slots=True)
class ForecastQuery:
    """The forecasts of a state: rough where somebody waits for them, then coarse, then fine."""

    urgency: ClassVar[int] = 1
    state: State
    now: float
    known: frozenset[int] | None = None
    """Numbers of the heat that whoever asks has and that is left out; None where all is wanted whole."""
    known_pot: int | None = None
    """Number of the forecast of the pot that whoever asks has."""
    kitchen: LearnedKitchen | None = None
    """What earlier days taught; None: nothing, or nothing that is to be used."""
    roughly: bool = False
    """Where all is wanted whole: whether it is to be rough at first all the same."""

    def answers(self, memory: Memory) -> Iterator[Forecast]:
        known, known_pot = self.known, self.known_pot
        prior = prior_of(self.kitchen, self.state.plan)
        before = memory.outlook if _same_plan(memory.state, self.state) else None
        for grid in (ROUGH, COARSE, FINE) if self.roughly or known is not None else (COARSE, FINE):
            outlook, trouble = try_look_ahead(self.state, self.now, memory.cache, grid, before, prior)
            memory.state, memory.outlook = self.state, outlook
            if known is not None and outlook is not None and not _has_pot(outlook, known_pot):
                _look_through(self.state, outlook, self.now)
            heats = [mould.heat for mould in outlook.moulds.values()] if outlook is not None else []
            rough = any(heat.grid == ROUGH for heat in heats)
            if grid != COARSE or known is None or any(heat.number not in known for heat in heats):
                answer = Forecast(key_of(self.state), outlook, trouble, memory.cache.trouble, rough)
                yield answer if known is None else _light(answer, known, known_pot)
                known_pot = outlook.pot.number if outlook is not None and outlook.pot is not None else None
            if outlook is None or memory.state is not self.state or all(heat.grid == FINE for heat in heats):
                return
            known, before = known and known | {heat.number for heat in heats}, outlook


def _same_plan(one: State, other: State) -> bool:
    """Whether two states are of one session and one plan."""
    return one.session == other.session and one.fixed_plan == other.fixed_plan and one.plan == other.plan


def _has_pot(outlook: Outlook, known_pot: int | None) -> bool:
    """Whether the forecast of the pot is the one that whoever asks has; then it is not sent again."""
    return outlook.pot is not None and outlook.pot.number == known_pot


def _look_through(state: State, outlook: Outlook, now: float) -> None:
    """Ask the pot's forecast once for all that an agenda will ask of it. The answers travel with the forecast, so that no
    screen has to work them out."""
    if state.fixed_plan is not None:
        # What goes wrong here goes wrong on the screen too, where it is said.
        with suppress(Exception):
            agenda(state, replace(outlook, trials=PourTrials(lambda *_: None)), now)


def _light(forecast: Forecast, known: frozenset[int], known_pot: int | None) -> Forecast:
    """A forecast made small for its way to whoever asked: without the heat and the pot that they have already (`known`,
    `known_pot`), and without what nobody there looks at."""
    if forecast.outlook is None:
        return forecast
    pot, same_pot = forecast.outlook.pot, _has_pot(forecast.outlook, known_pot)
    pot = None if pot is None or same_pot else pot.light()
    moulds = {
        x: replace(m, heat=cast("MouldHeat", None) if m.heat.number in known else m.heat.light())
        for x, m in forecast.outlook.moulds.items()
    }
    outlook = replace(forecast.outlook, moulds=moulds, pot=pot, state=State())
    return replace(forecast, outlook=outlook, same_pot=same_pot)


@dataclass(frozen=True, slots=True)
class PourQuery:
    """What a pour into a mould would do to the wax in it."""

    urgency: ClassVar[int] = 2
    letter: str
    pour: PourInto

    def answers(self, memory: Memory) -> Iterator[Verdict]:
        forecast = memory.outlook.mould(self.letter) if memory.outlook is not None else None
        if forecast is not None:
            yield verdict(forecast.likely, self.pour)


@dataclass(frozen=True, slots=True)
class RescueQuery:
    """The ways to go on with a mould, by the forecasts that were asked for before."""

    urgency: ClassVar[int] = 1
    ways: WaysQuery

    def answers(self, memory: Memory) -> Iterator[tuple[Choice, ...]]:
        yield self.ways.choices(memory.state, memory.outlook) if memory.outlook else self.ways.besides


# -- the rest of the day ------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class RemainingDay:
    """The rest of the day, as far as it is shown."""

    steps: tuple[Step, ...] = ()
    end: Quantiles | None = None
    """When the stove lets one go, for the night where the rest is left for the morning; None where nothing is left at it."""
    too_much: str = ""
    """What of a day not begun is too much for one pair of hands, and what would ease it; empty where nothing is."""


@dataclass(frozen=True, slots=True)
class RemainingDayQuery:
    """The rest of the day; then what would ease it, where it is too much for one pair of hands."""

    urgency: ClassVar[int] = 3
    now: float
    clock: PersonsClock

    def answers(self, memory: Memory) -> Iterator[RemainingDay | None]:
        state, outlook = memory.state, memory.outlook
        if outlook is None or state.fixed_plan is None or state.finished_at is not None:
            return
        for whole in day_in_steps(state, outlook, self.now, self.clock):
            if whole is not None:
                break
            # A new fact's forecast goes first: the whole of it takes a second or two.
            yield None
        else:
            return
        day = RemainingDay(whole.steps, lets_go(whole), "" if state.burner_spans else whole.too_much)
        yield day
        for says, over in easing(whole, clock=self.clock) if day.too_much else ():
            if memory.state is not state:
                return
            yield replace(day, too_much=f"{day.too_much} {says}".strip()) if over else None
