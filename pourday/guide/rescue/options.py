"""What can still be done with a mould that did not go by the plan: each way with its figures and its risk.

The ways are those of the trade (common practice, no source); what a pour will melt is computed, on the low
side. A layer that has pulled from the wall is never met with a hotter pour alone: that wax runs down behind
it. What is chosen goes on record with the words it was chosen by.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from pourday.guide.acts.act import Choice, LazyChoices, Question
from pourday.guide.acts.mould_looks import cue_question
from pourday.guide.outlook.as_seen import look_of
from pourday.guide.outlook.moulds import next_layer_of
from pourday.guide.outlook.outlook import Outlook
from pourday.guide.rescue.ways import Option, RescueWays, broken_off
from pourday.language import tr
from pourday.session.events import Fact
from pourday.session.state import PourAt, State

__all__ = ["Option", "WaysQuery", "broken_off", "option_question", "options"]


def options(state: State, outlook: Outlook, letter: str, now: float) -> tuple[Option, ...]:
    """The ways to go on with a mould, the best first; none for one that is empty, done or still computed."""
    mould, forecast = state.moulds[letter], outlook.mould(letter)
    if forecast is None or mould.last_pour is None:
        return ()
    cue, _ = look_of(state, forecast, now)
    way = RescueWays(state, outlook, mould, forecast, cue, now)
    if broken_off(state, outlook, letter):
        choices = [*way.new_heights(), *way.stop_here(), *way.melt_again()]
    elif mould.last_pour.part == "top-up":
        choices = []
    elif next_layer_of(state, letter) is None:
        choices = way.top_up()
    elif cue in ("wet", "skinned", "firm"):
        choices = [*way.carry_on(), *way.stop_here()]
    elif cue == "cold":
        choices = [*way.carry_on(), *way.warm(), *way.new_heights(), *way.stop_here(), *way.melt_again()]
    else:
        choices = [*way.reseat(), *way.melt_again(), *way.stop_here(), *way.accept()]
    return tuple(option for option in choices if option)


@dataclass(frozen=True, slots=True)
class WaysQuery:
    """Which ways are to be worked out, in plain data: those of one mould, as it stands at one time."""

    letter: str
    now: float
    poured: PourAt | None = None
    """The pour that is to count as its last, where one was only told in the question so far,"""
    first: tuple[Fact, ...] = ()
    """and the facts about it, which are filed before the way that is chosen."""
    besides: tuple[Choice, ...] = ()
    """What can be answered besides."""

    def choices(self, state: State, outlook: Outlook) -> tuple[Choice, ...]:
        """The ways and what else there is, as answers to one question."""
        if self.poured is not None:
            state = _with_pour(state, self.letter, self.poured)
            outlook = replace(outlook, state=state)
        ways = options(state, outlook, self.letter, self.now)
        if self.poured is not None:
            # Nobody demoulds what is half poured; that way is asked about when it is cold.
            ways = tuple(option for option in ways if option.id != "melt again")
        return (*(option.choice(self.first) for option in ways), *self.besides)

    def question(self, state: State, outlook: Outlook) -> Question:
        """The same as a question of its own."""
        return Question(f"{self.letter}:", LazyChoices(self, lambda: self.choices(state, outlook)))


def _with_pour(state: State, letter: str, pour: PourAt) -> State:
    """The state with a pour as the last of a mould, in the place of the one on record where that is the same."""
    mould = state.moulds[letter]
    before = tuple(p for p in mould.pours if p.seq != pour.seq)
    return replace(state, moulds={**state.moulds, letter: replace(mould, pours=(*before, pour))})


def option_question(state: State, outlook: Outlook, letter: str, now: float) -> Question | None:
    """The ways for a mould as one question; None where there is nothing to choose."""
    last = state.moulds[letter].last_pour
    if outlook.mould(letter) is None or last is None or last.part == "top-up":
        return None
    again = Choice("l", tr("look again"), then=cue_question(letter))
    return WaysQuery(letter, now, besides=(again,)).question(state, outlook)


WAYS_AGE = 300.0
"""Seconds for which ways serve that were worked out, while nothing is filed; moments are rounded to it. Chosen."""


class PreparedWays:
    """Ways that are worked out elsewhere: each is asked for once, and put into every question about the same mould and
    moment.

    `ask` is given every query; whoever answers it calls `take`.
    """

    def __init__(self, ask: Callable[[WaysQuery], None]) -> None:
        self._ask = ask
        self._known: dict[WaysQuery, tuple[float, Sequence[Choice] | None]] = {}
        """When they were last wanted, and the answers, by query at the time 0; None while they are on their way."""

    def want(self, question: Question | None) -> None:
        """Put in the answers of a question, or have them worked out."""
        choices = question.choices if question is not None else ()
        if not isinstance(choices, LazyChoices) or choices.known or not isinstance(choices.about, WaysQuery):
            return
        query, key = choices.about, replace(choices.about, now=0.0)
        at, known = self._known.get(key, (float("-inf"), ()))
        if known is not None and abs(query.now - at) < WAYS_AGE:
            choices.fill(known)
            return
        self._known[key] = query.now, None
        if known is not None:
            self._ask(query)

    def take(self, query: WaysQuery, choices: Sequence[Choice]) -> None:
        """The answer to a query has come."""
        key = replace(query, now=0.0)
        # They serve from when they were last wanted: in a demo that may be an hour after they were asked for.
        self._known[key] = self._known.get(key, (query.now, None))[0], choices

    def forget(self) -> None:
        """Drop what is known and what was asked: something was filed, or the answers will not come."""
        self._known = {}
