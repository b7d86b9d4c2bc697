"""What the earlier days of a maker say: lots of wax, changes that were tried, and days on which faults were looked for."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
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
MOST_READ = 500
"""How many earlier days are read for what they say of lots and changes: years of them. Reading each takes two
milliseconds."""
MOST_DAYS = 40
"""How many of the newest days are looked at: the computed heat of each takes a third of a second. Chosen."""


def _silent(_name: str, _done: int, _all: int) -> None: ...


@dataclass(frozen=True, slots=True)
class PouredDay:
    """A day that was poured, and the record of its candles, where there is one."""

    state: State
    log: State | None


def days_before(batches: Sequence[PouredDay], of: State) -> tuple[EarlierDay, ...]:
    """What days before this one say."""
    return tuple(earlier_day(each.state, each.log) for each in batches if each.state.opened_at < of.opened_at)


def earlier_day(state: State, log: State | None) -> EarlierDay:
    """One earlier day."""
    lots = {part.wax: part.lot.strip() for part in state.plan.blend if part.lot.strip()}
    tried, came = state.plan.tried, state.change_came
    if came is None and log is not None:
        came = log.change_came
    before = None if tried is None or came is None else TriedBefore(tried.fault, tried.cause, came)
    return EarlierDay(state.session, state.opened_at, lots, before)


def days_seen(batches: Sequence[PouredDay], fault: Fault) -> tuple[DaySeen, ...]:
    """Every day on which somebody looked for faults, by whether this one was seen; of the newest `MOST_DAYS`."""
    seen = []
    newest = sorted(batches, key=lambda batch: batch.state.opened_at, reverse=True)
    earlier = [earlier_day(each.state, each.log) for each in newest]
    for each in newest[:MOST_DAYS]:
        before = tuple(day for day in earlier if day.t < each.state.opened_at)
        day = _day_seen(each.state, each.log, fault, before)
        if day is not None:
            seen.append(day)
    return tuple(seen)


def batches_like(folder: Path, of: State, at: Looking = _silent) -> list[PouredDay]:
    """Days of the folder that were poured: the newest of all, and up to `MOST_READ` before this one.

    Of a demo they are those of demos, of a real day those of real ones.

    `at` is told which day is read, how many were before it and how many there are. Files that cannot be read are left
    out. Raises `Trouble` where the folder cannot be read.
    """
    summaries = [
        row
        for row in list_sessions(folder, at=at)
        if not (row.trouble or row.batch) and row.demo == of.demo and row.stage != "heap"
    ]
    summaries.sort(key=lambda row: row.started or 0.0, reverse=True)
    before = [row for row in summaries if (row.started or 0.0) <= of.opened_at]
    read = {row.session: row for row in (*summaries[:MOST_DAYS], *before[:MOST_READ])}
    batches = []
    for number, summary in enumerate(read.values()):
        at(summary.session, number, len(read))
        try:
            state = read_session(folder, summary.session).state
            batches.append(PouredDay(state, read_log(folder, summary.session)))
        except Trouble:
            continue
    return batches


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
