"""Every sentence of the guide changed as it is made, to see that no decision reads one.

A mark is put around each text that an act, an answer, a step of the day ahead, an alarm or a card is made with: whoever
compares, splits or searches such a text finds another one. What is decided must stay as it was.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import ExitStack, contextmanager
from typing import Any
from unittest.mock import patch

import msgspec

from pourday.guide.acts.act import Act, Choice, Question
from pourday.guide.acts.leaving import Leave
from pourday.guide.advice.alarms import Alarm
from pourday.guide.advice.degrees import Number
from pourday.guide.ahead.alternatives import Shorter, Try
from pourday.guide.ahead.day import Step
from pourday.guide.outlook.mould_now import MouldNow
from pourday.guide.rescue.card import Card
from pourday.guide.rescue.on_return import OnReturn, PotNow
from pourday.guide.rescue.ways import Option
from pourday.session.events import Entry, Fact

MARK = "◊"
SAID: tuple[tuple[type, tuple[str, ...]], ...] = (
    (Act, ("word", "says", "why", "caution")),
    (Choice, ("label",)),
    (Question, ("asks",)),
    (Number, ("text", "label")),
    (Step, ("word", "says", "why", "caution")),
    (Shorter, ("name", "price")),
    (Try, ("name", "price")),
    (Alarm, ("says",)),
    (Card, ("title", "first", "record")),
    (Option, ("label", "says", "risk")),
    (Leave, ("lost",)),
    (MouldNow, ("says", "short")),
    (PotNow, ("says", "short")),
    (OnReturn, ("burner", "away_says", "burner_short")),
)
"""What carries words to the screen, and in which fields."""


def marked(text: str) -> str:
    """The text with a mark at both ends; nothing stays nothing."""
    return f"{MARK}{unmarked(text)}{MARK}" if text else text


def unmarked(text: str) -> str:
    return text.replace(MARK, "")


@contextmanager
def sentences_changed() -> Iterator[None]:
    """Everything that is made meanwhile is made with other words."""
    with ExitStack() as stack:
        for kind, names in SAID:
            stack.enter_context(patch.object(kind, "__init__", _marking(kind.__init__, names)))
        yield


def _marking(usual: Any, names: tuple[str, ...]) -> Any:
    def init(self: object, *args: object, **kwargs: object) -> None:
        usual(self, *args, **kwargs)
        for name in names:
            object.__setattr__(self, name, marked(getattr(self, name)))

    return init


def without_marks(entries: Iterable[Entry]) -> list[tuple[float, str, bytes]]:
    """When, by whom and what was put on record, its words as they would be unmarked."""
    return [(entry.t, entry.by, plainly(entry.fact)) for entry in entries]


def plainly(fact: Fact) -> bytes:
    return unmarked(msgspec.json.encode(fact).decode()).encode()
