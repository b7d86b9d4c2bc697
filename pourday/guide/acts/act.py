"""The shapes in which the guide speaks: an act of the agenda, and a question with its answers."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import IntEnum
from typing import Literal, overload

from pourday.forecast.spread import Quantiles
from pourday.session.act_id import ActId
from pourday.session.events import Fact, Place

Kind = Literal[
    "load",
    "burner?",
    "heat on",
    "heat low",
    "heat off",
    "read",
    "water",
    "add",
    "jug",
    "drop",
    "plug",
    "look under",
    "pour",
    "look",
    "relief",
    "top-up",
    "decide",
    "demould",
    "cure",
    "finish",
    "alarm",
    "timer",
    "stop",
    "prepare",
    "back",
    "wait",
    "nothing",
]
"""How an act is done, and so how it is shown and answered. `wait`: only the next act is named; `nothing`: nothing
lies ahead at all."""


NO_ANSWER = frozenset("deghsz")
"""Keys that are no answer to any question, so that they do their own work whatever is asked: the fire card, the
alarm's key, the burner's and the low flame's, away, taking back."""


class Urgency(IntEnum):
    """Which of several acts that are due comes first, whatever the time each fell due."""

    FIRST = 0
    """Before everything: a burner that nobody knows of, wax at its ceiling."""
    BEFORE_HEAT = 1
    """Before the burner is touched: how things stand after an absence, cold wax that the heat is for."""
    QUICK = 2
    """A turn of the knob, a cloth on a leak: before anything that takes minutes."""
    CLOSING = 3
    """It gets worse by waiting: a pour on warm wax, a choice, the water of the bath."""
    USUAL = 4
    SOON = 5
    """A few minutes later does no harm: readings, relief holes."""
    UNHURRIED = 6
    SOME_DAY = 7
    LAST = 8
    NOT_YET = 9
    """There is nothing to do about it yet."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One answer: its key, what it says, and what choosing it puts on record."""

    key: str
    label: str
    facts: tuple[Fact, ...] = ()
    then: Question | None = None
    """A further question, where one answer is not enough; nothing goes on record before its answer."""


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked, and the answers to it."""

    asks: str
    choices: Sequence[Choice]
    title: str = ""
    """What it is about, short enough to be read from the other side of the kitchen; empty where the question says it all."""


class LazyChoices(Sequence[Choice]):
    """Answers that take a while to work out, and are not worked out before somebody wants to see them.

    `about` says in plain data which answers they are, so that another process can work them out and `fill` can put them
    in. Where nobody did, the first look at them works them out with `make`.
    """

    def __init__(self, about: object, make: Callable[[], Sequence[Choice]]) -> None:
        self.about = about
        self._make = make
        self._choices: Sequence[Choice] | None = None

    def __eq__(self, other: object) -> bool:
        return isinstance(other, LazyChoices) and self.about == other.about

    def __hash__(self) -> int:
        return hash(self.about)

    @property
    def known(self) -> bool:
        """Whether they have been worked out."""
        return self._choices is not None

    def fill(self, choices: Sequence[Choice]) -> None:
        """Put in the answers that were worked out elsewhere."""
        self._choices = choices

    def _all(self) -> Sequence[Choice]:
        """The answers, worked out now where they are not known yet."""
        if self._choices is None:
            self._choices = self._make()
        return self._choices

    @overload
    def __getitem__(self, index: int) -> Choice: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[Choice]: ...
    def __getitem__(self, index: int | slice) -> Choice | Sequence[Choice]:
        return self._all()[index]

    def __len__(self) -> int:
        return len(self._all())


def awaits(question: Question | None) -> bool:
    """Whether the answers of a question have still to be worked out, which takes a moment."""
    return question is not None and isinstance(question.choices, LazyChoices) and not question.choices.known


@dataclass(frozen=True, slots=True)
class Act:
    """Something to do, when, and what doing it puts on record."""

    id: ActId
    """Equal while it is the same act."""
    kind: Kind
    word: str
    """What stands in block letters: POUR, LOOK, HEAT OFF."""
    says: str
    """The whole sentence, with amounts."""
    why: str
    """What it rests on."""
    due: float
    """When the agenda puts it, seconds since the epoch; infinite for what has no time in sight."""
    moulds: str = ""
    """Letters of the moulds it is done to."""
    layer: int | None = None
    """The layer it is about, numbered from 0 in pour order; of a look, the one that goes onto what is looked at."""
    window: Quantiles | None = None
    """When it can first be done, where that is a forecast."""
    closes: float | None = None
    """After this it comes too late."""
    caution: str = ""
    """What can hurt here, and whose word outranks ours."""
    records: tuple[Fact, ...] = ()
    """What "done" puts on record."""
    question: Question | None = None
    """Asked by "done" instead, where an answer is needed."""
    place: tuple[Place, str] = ("pot", "")
    """Where typed digits go unless the person says otherwise."""
    urgency: Urgency = Urgency.SOON
    between: tuple[float, float] | None = None
    """°C between which the jug may be poured, for a pour; None where that is not known."""
    parts: tuple[ActId, ...] = ()
    """Ids of the acts that are done in this one go; empty where it is a single act."""

    def late(self, now: float) -> float:
        """Seconds past its closing time; 0 while it is in time or has none."""
        return max(0.0, now - self.closes) if self.closes is not None else 0.0
