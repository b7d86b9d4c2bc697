"""Why a candle came out as it did, as text and as plain data."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from pourday.columns import padded
from pourday.faults.across import FEWEST, Shared, shared
from pourday.faults.change import Change, change_for
from pourday.faults.earlier import Looking, batches_like, days_before, days_seen
from pourday.faults.record import CandleRecord
from pourday.faults.table import OTHER_NAMES, WHERES, at, fault_named, faults
from pourday.faults.weigh import Diagnosis, WeighedCause, diagnose, odds_words
from pourday.language import ntr, tr, word
from pourday.session.state import State
from pourday.store.candles import read_log
from pourday.store.reading import read_session

SHOWN = 5
"""Causes that are told in full; the rest by name only."""


class Why:
    """The answer to why one candle has one fault: causes, the one change, and what bad days share."""

    def __init__(self, diagnosis: Diagnosis, change: Change, across: tuple[Shared, ...], days: int) -> None:
        self.diagnosis, self.change, self.across, self.days = diagnosis, change, across, days


def why_of(
    folder: Path,
    session: str,
    letter: str,
    name: str,
    *,
    with_days: bool = True,
    at: Looking = lambda _name, _done, _all: None,
) -> Why:
    """Read the records of a folder and weigh them.

    `at` is told which day is read, how many were before it and how many there are. Raises `Trouble` for a fault of no such name, and for a session or candle that is not there.
    """
    fault = fault_named(name)
    batch = batch_of(folder, session)
    log = read_log(folder, batch.session)
    batches = batches_like(folder, batch, at)
    record = CandleRecord(batch, letter, log, days_before(batches, batch))
    diagnosis = diagnose(record, fault)
    days = days_seen(batches, fault) if with_days else ()
    return Why(diagnosis, change_for(record, diagnosis), shared(days), len(days))


def batch_of(folder: Path, session: str) -> State:
    """The day of a session; of a record of candles that of the batch they came from. Raises `Trouble`."""
    state = read_session(folder, session).state
    return read_session(folder, state.batch).state if state.batch else state


def faults_told(folder: Path, session: str, letter: str) -> list[str]:
    """Names of the faults that were said of a candle and stand in the table. Raises `Trouble` as `why_of`."""
    batch = batch_of(folder, session)
    log = read_log(folder, batch.session)
    seen = CandleRecord(batch, letter, log).seen
    names = dict.fromkeys(OTHER_NAMES.get(defect.defect, defect.defect) for defect in seen.defects)
    return [name for name in names if name in faults()]


def fault_list(letter: str) -> list[str]:
    """Every fault there is, by where it is seen."""
    lines = [tr("No fault was said of {letter} yet. What do you see? Name it with --fault:", letter=letter)]
    for where in WHERES:
        lines += ["", where]
        lines += [f"  {padded(word(fault.name), 28)} {fault.looks}" for fault in at(where)]
    return lines


def why_data(why: Why) -> dict[str, Any]:
    """Plain data for `--json`."""
    diagnosis, change = why.diagnosis, why.change
    return {
        "fault": diagnosis.fault.name,
        "caution": diagnosis.fault.caution,
        "causes": [
            {
                "cause": cause.says,
                "odds": round(cause.odds, 4),
                "for": list(cause.speaks_for),
                "against": list(cause.speaks_against),
                "not_recorded": list(cause.not_recorded),
            }
            for cause in diagnosis.causes
        ],
        "cannot_tell": diagnosis.cannot_tell,
        "change": {"cause": diagnosis.first.says, "says": change.says, "why": change.why},
        "across_days": [row.says for row in why.across],
    }


def why_text(why: Why, letter: str) -> list[str]:
    """The same as lines: the caution first, then the causes, then the one change."""
    diagnosis = why.diagnosis
    fault = diagnosis.fault
    lines = [f"{letter}: {word(fault.name)}"]
    if fault.caution:
        lines.append(tr("CAUTION: {caution}", caution=fault.caution))
    lines += [
        tr(
            "  {looks}; not to be mistaken for {confused_with}.",
            looks=fault.looks,
            confused_with=fault.confused_with,
        ),
        "",
        tr("What it can come from:"),
    ]
    for number, cause in enumerate(diagnosis.causes[:SHOWN], 1):
        lines += cause_lines(cause, number)
    rest = [cause.says for cause in diagnosis.causes[SHOWN:]]
    lines += [tr("  Less likely still: {rest}.", rest=", ".join(rest))] if rest else []
    lines += ["", diagnosis.cannot_tell] if diagnosis.cannot_tell else []
    lines += ["", tr("One change: {says}", says=why.change.says)]
    lines += [f"  {why.change.why}"] if why.change.why else []
    lines += ["", *across_lines(why)]
    return lines


def cause_lines(cause: WeighedCause, number: int) -> list[str]:
    """One cause: its odds, and what speaks for it, against it, and was not recorded."""
    lines = [f"  {number}. {cause.says}: {odds_words(cause.odds)}"]
    for head, says in (
        (tr("for"), cause.speaks_for),
        (tr("against"), cause.speaks_against),
        (tr("not recorded"), cause.not_recorded),
    ):
        if says:
            lines.append(f"     {head}: {'; '.join(says)}.")
    return lines


def across_lines(why: Why) -> list[str]:
    """What bad days share, or why nothing is said of it."""
    if why.days < FEWEST:
        return [
            ntr(
                "Faults were looked for on {days} day: with fewer than {fewest} nothing is said of what they share.",
                "Faults were looked for on {days} days: with fewer than {fewest} nothing is said of what they share.",
                why.days,
                days=why.days,
                fewest=FEWEST,
            )
        ]
    if not why.across:
        return [
            tr("Over {days} days nothing is shared by the ones with it that the others lack.", days=why.days)
        ]
    return [tr("Over {days} days:", days=why.days), *(f"  {row.says}." for row in why.across)]
