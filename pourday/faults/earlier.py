"""What the earlier days of a maker say: lots of wax, changes that were tried, and days on which faults were looked for."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

from pourday.errors import Trouble
from pourday.faults.across import DaySeen
from pourday.faults.reading import evidence_of
from pourday.faults.record import CandleRecord, EarlierDay, TriedBefore
from pourday.faults.table import OTHER_NAMES, Fault
from pourday.session.candle import CandleState, faults_seen
from pourday.session.state import State
from pourday.store.candles import read_log
from pourday.store.library import list_sessions
from pourday.store.reading import read_session

Looking = Callable[[str, int, int], None]
MOST_DAYS = 40
"""The newest days that are looked at: the computed heat of each takes a third of a second."""


def _silent(_name: str, _done: int, _all: int) -> None: ...


def days_before(folder: Path, of: State, at: Looking = _silent) -> tuple[EarlierDay, ...]:
    """What days before this one say; of a demo those of demos, of a real day those of real ones.

    `at` is told which day is read, how many were before it and how many there are. Raises `Trouble`.
    """
    days = []
    for state, log in _batches(folder, of, at):
        if state.opened_at < of.opened_at:
            days.append(earlier_day(state, log))
    return tuple(days)


def earlier_day(state: State, log: State | None) -> EarlierDay:
    """One earlier day."""
    lots = {part.wax: part.lot.strip() for part in state.plan.blend if part.lot.strip()}
    tried, came = state.plan.tried, state.change_came
    if came is None and log is not None:
        came = log.change_came
    before = None if tried is None or came is None else TriedBefore(tried.fault, tried.cause, came)
    return EarlierDay(state.session, state.opened_at, lots, before)


def days_seen(folder: Path, of: State, fault: Fault, at: Looking = _silent) -> tuple[DaySeen, ...]:
    """Every day on which somebody looked for faults, the day itself too, by whether this one was seen.

    `at` as in `days_before`. Raises `Trouble`.
    """
    seen = []
    batches = sorted(_batches(folder, of, at), key=lambda pair: pair[0].opened_at, reverse=True)
    earlier: list[EarlierDay] = [earlier_day(state, log) for state, log in batches]
    for state, log in batches[:MOST_DAYS]:
        before = tuple(day for day in earlier if day.t < state.opened_at)
        day = _day_seen(state, log, fault, before)
        if day is not None:
            seen.append(day)
    return tuple(seen)


def _batches(folder: Path, of: State, at: Looking) -> Iterator[tuple[State, State | None]]:
    """Every day of the folder that was poured, with the record of its candles; files that cannot be read are left out."""
    summaries = list_sessions(folder, at=at)
    for number, summary in enumerate(summaries):
        at(summary.session, number, len(summaries))
        if summary.trouble or summary.batch or summary.demo != of.demo:
            continue
        try:
            state = read_session(folder, summary.session).state
            log = read_log(folder, summary.session)
        except Trouble:
            continue
        yield state, log


def _day_seen(
    state: State, log: State | None, fault: Fault, before: tuple[EarlierDay, ...]
) -> DaySeen | None:
    """One day; None where nobody looked for faults."""
    told: dict[str, bool] = {}
    for letter, mould in sorted(state.moulds.items()):
        if not mould.pours:
            continue
        lives = [state.candles.get(letter, CandleState(letter))]
        lives += [log.candles.get(letter, CandleState(letter))] if log is not None else []
        seen = faults_seen(*lives)
        if seen.told:
            told[letter] = any(_is(defect.defect, fault) for defect in seen.defects)
    if not told:
        return None
    letter = next((letter for letter, bad in told.items() if bad), min(told))
    try:
        evidence = evidence_of(CandleRecord(state, letter, log, before), fault)
    except Trouble:
        return None
    values = {key: (one.value, one.says) for key, one in evidence.items() if one.value}
    return DaySeen(state.session, any(told.values()), values)


def _is(name: str, fault: Fault) -> bool:
    """Whether a fault that was said is this one."""
    return OTHER_NAMES.get(name, name) == fault.name
