"""The days of a folder as teachers of its kitchen: each record read once, what it taught kept in a cache."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from pourday.errors import Trouble
from pourday.guide.outlook.jug_readings import jug_pairs
from pourday.guide.outlook.learned import DayFactors, mould_keys, wax_key
from pourday.guide.outlook.outlook import pot_of_day
from pourday.learning.factors import posterior
from pourday.learning.jugs import jugs_taught
from pourday.learning.kitchen import DayTaught, LearnedKitchen, kitchen, taught
from pourday.learning.stove import stove_taught
from pourday.plan.weigh import weigh_sheet
from pourday.reports.forecast_check import ForecastOutcome, forecast_outcomes
from pourday.session.events import Entry
from pourday.session.evidence import evidence
from pourday.session.state import State
from pourday.store import names
from pourday.store.disk import DISK, Disk
from pourday.store.kitchen_days import DayRow, ForecastCheck, load_days, save_days
from pourday.store.library import session_files
from pourday.store.memories import KitchenChoices, Memories
from pourday.store.reading import read_path

MODEL = "7"
"""Raised when days would teach something else: by the heat, the factors, or what counts as evidence."""
NEWEST = 40
"""So many days teach, the newest that have taught something: an older one would count for little, and cost as much (about
a second of processor time, so that all of them stay under a minute)."""


def day_rows(
    folder: Path,
    disk: Disk = DISK,
    at: Callable[[str, int, int], None] = lambda _name, _done, _all: None,
    most: int = 1_000_000,
) -> list[DayRow]:
    """What every finished record of a folder taught, the newest first; only what changed since is read, `most` at a time.

    `at` is told which file is read, how many were before it and how many there are. Raises `Trouble` where the folder
    cannot be read; a record that cannot be is left out.
    """
    known, rows, learned, read = load_days(folder, MODEL, disk), list[DayRow](), 0, 0
    files = sorted((n for n in session_files(folder, disk) if n.endswith(names.RECORD)), reverse=True)
    for number, name in enumerate(files):
        at(name, number, len(files))
        try:
            status = disk.stat(folder / name)
        except OSError:
            continue
        row = known.get(name)
        if row is None or (row.size, row.mtime_ns) != (status.st_size, status.st_mtime_ns):
            if read >= most:
                continue
            read += 1
            try:
                stored = read_path(folder / name, disk)
            except Trouble:
                continue
            state = stored.state
            counts = not state.demo and not state.batch and not state.heap and state.finished_at is not None
            row = DayRow(
                file=name, size=status.st_size, mtime_ns=status.st_mtime_ns, counts=counts,
                day=day_taught(state) if counts and learned < NEWEST else None,
                checks=checks(state, stored.entries) if counts else (),
            )  # fmt: skip
        learned += row.day is not None
        rows.append(row)
    if rows != [*known.values()]:
        save_days(folder, MODEL, rows, disk)
    return rows


def day_taught(state: State) -> DayTaught | None:
    """What a finished day said of its kitchen by itself; None where nothing was seen or read that tells anything."""
    try:
        sheet = weigh_sheet(state.plan)
        known = DayFactors().of(state, sheet)[0] if evidence(state) else posterior([])
        stove = stove_taught(pot_of_day(state, sheet)) if state.readings else None
        jugs = jugs_taught(jug_pairs(state, sheet.wax.pour_max_c))
    except Trouble:
        return None
    if not known.looks and stove is None and jugs is None:
        return None
    poured = [pour.t for mould in state.moulds.values() for pour in mould.pours]
    last = max(poured, default=state.finished_at or state.opened_at)
    day = taught(state.session, last, known, mould_keys(state.plan), wax_key(state.plan))
    return replace(day, stove=stove, jugs=jugs)


def known_kitchen(folder: Path, now: float, disk: Disk = DISK) -> LearnedKitchen | None:
    """A kitchen by its days as far as they were worked out already; None where nothing of them is to be used."""
    choices = Memories(folder, disk).kitchen_choices()
    rows = list(load_days(folder, MODEL, disk).values())
    if choices.use_none or not days_that_count(rows, choices):
        return None
    return kitchen_of(rows, choices, now)


def kitchen_of(rows: Sequence[DayRow], choices: KitchenChoices, now: float) -> LearnedKitchen:
    """A kitchen by its days, as far as they count."""
    return kitchen(days_that_count(rows, choices), now)


def days_that_count(rows: Sequence[DayRow], choices: KitchenChoices) -> list[DayTaught]:
    """The days that teach: finished, of a real kitchen, and not forgotten."""
    days = [row.day for row in rows if row.day is not None]
    return [day for day in days if day.session not in choices.forgotten and day.at >= choices.from_t]


def checks(state: State, entries: Sequence[Entry]) -> tuple[ForecastCheck, ...]:
    """How the forecasts of a record did."""
    return tuple(
        ForecastCheck(
            kind=outcome.word.split()[0].lower(), t=outcome.told_at, how=outcome.how, off=_off(outcome, state)
        )
        for outcome in forecast_outcomes(entries)
        if outcome.early is not None
    )


def _off(outcome: ForecastOutcome, state: State) -> float | None:
    """ln of what came over what was told, each counted from the last pour before it was told.

    Of what was seen between two looks the middle is taken, where they lie closer together than the band is wide.
    """
    letter = outcome.word.split()[-1]
    mould = state.moulds.get(letter)
    poured = max((p.t for p in mould.pours if p.t <= outcome.told_at), default=None) if mould else None
    if None in (poured, outcome.likely, outcome.came, outcome.not_yet):
        return None
    after, before = outcome.not_yet or 0.0, outcome.came or 0.0
    if before - after > (outcome.late or 0.0) - (outcome.early or 0.0):
        return None
    came, likely = (after + before) / 2 - (poured or 0.0), (outcome.likely or 0.0) - (poured or 0.0)
    return math.log(came / likely) if came > 0 and likely > 0 else None
