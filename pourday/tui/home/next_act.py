"""What open sessions ask for next, as a question in plain data."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

from pourday.guide.advice.adviser import Adviser
from pourday.guide.advice.queries import Memory
from pourday.heap.steps import next_step, steps_of
from pourday.language import tr
from pourday.learning.kitchen import LearnedKitchen
from pourday.reports.kitchen_days import known_kitchen
from pourday.session.state import LIT, State
from pourday.store.reading import read_session
from pourday.times import clock, letters_short
from pourday.tui.home.controller import NextOfSession

UNKNOWN = NextOfSession("", float("inf"))


@dataclass(frozen=True, slots=True)
class NextActsQuery:
    """What sessions in a folder ask for next, by their names; all at once, for the list is put in order by it."""

    urgency: ClassVar[int] = 4
    folder: Path
    sessions: tuple[str, ...]
    now: float

    def answers(self, _memory: Memory) -> Iterator[dict[str, NextOfSession] | None]:
        upcoming: dict[str, NextOfSession] = {}
        kitchen = known_kitchen(self.folder, self.now)
        for session in self.sessions:
            yield None
            try:
                upcoming[session] = _next_of(read_session(self.folder, session).state, self.now, kitchen)
            except Exception:
                # One record that no forecast can be made for shall not keep the others from being seen.
                upcoming[session] = UNKNOWN
        yield upcoming


def _next_of(state: State, now: float, kitchen: LearnedKitchen | None) -> NextOfSession:
    if state.heap is not None:
        return _next_of_heap(state)
    adviser = Adviser()
    adviser.kitchen = None if state.demo else kitchen
    advice = adviser.advise(state, now)
    if advice.now is None:
        return NextOfSession(tr("plan it"), float("inf")) if state.fixed_plan is None else UNKNOWN
    act = advice.acts[0] if advice.now.act.kind == "wait" and advice.acts else advice.now.act
    says = f"{act.word} {letters_short(act.moulds)}".rstrip()
    if act.due < float("inf"):
        says = f"{says}, {'about' if act.due > now else 'due'} {clock(act.due, now)}"
    return NextOfSession(says, act.due)


def _next_of_heap(state: State) -> NextOfSession:
    """The step that comes next with wax that nobody knows; a lit burner goes before all."""
    steps = steps_of(state)
    step = steps[next_step(steps)]
    lit = tr(", burner lit") if state.burner in LIT else ""
    until = state.last_t if lit else math.inf
    return NextOfSession(f"{step.row}{lit}", until if step.until is None else step.until)
