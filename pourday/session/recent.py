"""The states after the newest entries, so that taking one of those back costs no more than what came after it.

What is older is folded anew from the beginning, and so is everything once the clock was changed: then every
earlier time is told by another one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pourday.session import events as ev
from pourday.session.events import Entry
from pourday.session.fold import apply, effective, fold, last_heard
from pourday.session.state import State

MOST = 64
"""States that are remembered; they share nearly all they hold."""


class RecentStates:
    """The last `MOST` states of a session, by the number of the entry they follow.

    Whoever adds an entry calls `after` with the state it led to; and where the entry takes back, corrects, or changes the
    clock, gets that state from `refolded` first.
    """

    def __init__(self) -> None:
        self._states: dict[int, State] = {}

    def after(self, seq: int, state: State) -> None:
        """Remember the state after the entry with this number, the newest; states too old to be needed are let go."""
        self._states[seq] = state
        self._states.pop(seq - MOST, None)

    def refolded(self, entries: Sequence[Entry]) -> State:
        """What `fold(entries)` says, the last of which takes back, corrects, or changes the clock."""
        first = _first_changed(entries)
        base = self._states.get(first - 1)
        if base is None:
            self._states.clear()
            return fold(entries)
        since = entries[first - 1 :]
        counting = {entry.seq: entry for entry in effective(since)}
        state = base
        for entry in since:
            if entry.seq in counting:
                state = apply(state, counting[entry.seq])
            # What was taken back is no less a sign that somebody was there.
            heard = max(state.heard_at, last_heard([entry]))
            state = replace(state, last_seq=entry.seq, last_t=entry.t, heard_at=heard)
            self.after(entry.seq, state)
        return state


def _first_changed(entries: Sequence[Entry]) -> int:
    """Number of the first entry that counts otherwise than before because of the last one; 0 for all of them."""
    fact = entries[-1].fact
    if not isinstance(fact, ev.Undone | ev.Corrected):
        return 0
    number = fact.entry
    while 1 <= number <= len(entries) and isinstance(entries[number - 1].fact, ev.Undone | ev.Corrected):
        number = entries[number - 1].fact.entry  # type: ignore[union-attr]
    return number
