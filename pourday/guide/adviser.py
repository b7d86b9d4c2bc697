"""Everything the guide has to say about a state at a moment, with the costly part kept between looks."""

from __future__ import annotations

from dataclasses import dataclass

from pourday.errors import Trouble
from pourday.guide.act import Act
from pourday.guide.agenda import agenda
from pourday.guide.alarms import alarm_facts
from pourday.guide.heat import HeatBook, Run, at_once
from pourday.guide.now import Now, told, what_now
from pourday.guide.outlook import Outlook, try_look_ahead
from pourday.session.events import Fact
from pourday.session.state import State

AGE = 60.0
"""Seconds after which the outlook is worked out anew even though nothing was filed."""


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


class Adviser:
    """Keeps the outlook of the last state, so that a tick of the clock costs little.

    `run` is where the heat of the moulds is computed: at once, or beside the screen; then `news` says
    that something was computed since the last look.
    """

    def __init__(self, run: Run = at_once, *, fine: bool = False) -> None:
        self._book = HeatBook(run, fine=fine)
        self._outlook: Outlook | None = None
        self._trouble: Trouble | None = None
        self._key: tuple[str, int, int] = ("", -1, 0)
        self._made_at = 0.0

    def advise(self, state: State, now: float) -> Advice:
        """The advice for a state at a moment; pure but for the outlook it keeps."""
        key = (state.session, state.last_seq, self._book.edition)
        if key != self._key or not 0 <= now - self._made_at < AGE:
            self._outlook, self._trouble = try_look_ahead(state, now, self._book)
            # At once, the book may have gone on while the outlook was made; it holds all of it.
            self._key, self._made_at = (*key[:2], self._book.edition), now
        outlook = self._outlook
        if outlook is None or state.fixed_plan is None:
            return Advice(state, outlook, self._trouble)
        acts = agenda(state, outlook, now)
        waiting = self._book.working
        first = what_now(state, outlook, acts, now)
        facts = alarm_facts(state, outlook, now)
        said = told(state, first) if state.finished_at is None and not waiting else None
        return Advice(state, outlook, None, acts, first, (*facts, *((said,) if said else ())))
