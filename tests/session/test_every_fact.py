"""What holds for every fact that a record can have, so that one that is added cannot be forgotten half way.

The facts are those of the samples of the current version: together they hold each kind (`tests/store/test_record.py`).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import get_args

import pytest

from pourday.session import events as ev
from pourday.session.describe import say_fact
from pourday.session.events import SCHEMA, Entry, Fact
from pourday.session.fold import apply, effective, fold, last_undoable
from pourday.session.state import State
from pourday.store.reading import read_path

SAMPLES = sorted((Path(__file__).parents[1] / "store/samples").glob(f"version-{SCHEMA}*.json"))
KINDS: dict[str, type] = {kind.__name__: kind for kind in get_args(Fact)}
SAYS_NOTHING_OF_THE_DAY = {
    # What is read off the entries and not off the state; an answer to the watch moves only when somebody was heard.
    "Corrected", "Stopped", "Undone", "Reasoned", "WatchAnswered",
}  # fmt: skip


@cache
def records() -> tuple[tuple[Entry, ...], ...]:
    return tuple(tuple(read_path(path).entries) for path in SAMPLES)


def steps(kind: str) -> Iterator[tuple[State, Entry]]:
    """Each entry of this kind with the state before it."""
    for entries in records():
        state = State()
        for entry in entries:
            if type(entry.fact).__name__ == kind:
                yield state, entry
            state = apply(state, entry)


@pytest.mark.parametrize("kind", KINDS)
def test_every_fact_is_a_sentence_of_its_own(kind: str) -> None:
    told = [say_fact(entry.fact, state.plan) for state, entry in steps(kind)]
    assert told
    assert all(says and kind not in says for says in told), f"give {kind} a line in session/describe*.py"


def bare(state: State) -> State:
    """A state without its bookkeeping, which every entry moves on."""
    return replace(state, last_seq=0, last_t=0.0, heard_at=0.0)


def test_every_fact_changes_the_state_or_is_named_here() -> None:
    """A fact without a handler in `session/fold.py` changes nothing."""
    idle = {
        kind
        for kind in KINDS
        if not any(bare(apply(state, entry)) != bare(state) for state, entry in steps(kind))
    }
    assert idle == SAYS_NOTHING_OF_THE_DAY


def test_whatever_a_person_said_can_be_taken_back() -> None:
    """Each entry of a person, as the last of its record, and then taken back: all is as before it."""
    taken = set[str]()
    for entries in records():
        for length, entry in enumerate(entries, 1):
            kind = type(entry.fact).__name__
            if entry.by != "person" or kind in taken or last_undoable(entries[:length]) is not entry:
                continue
            if entry not in effective(entries[:length]):
                continue
            undone = Entry(
                seq=entry.seq + 1, at=entry.at, logged_at=entry.logged_at, by="person",
                fact=ev.Undone(entry=entry.seq),
            )  # fmt: skip
            assert bare(fold([*entries[:length], undone])) == bare(fold(entries[: length - 1])), kind
            taken.add(kind)
    assert len(taken) > 30
