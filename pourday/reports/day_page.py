"""A session on one time axis, as data: what the paper draws as SVG and the screen as cells."""

from __future__ import annotations

import itertools
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from pourday.reports.deviations import Deviation, deviations
from pourday.reports.forecast_check import forecast_outcomes
from pourday.session.events import Cue, Entry, Part
from pourday.session.state import State
from pourday.times import HOUR

FOLD_FROM = 2 * HOUR
"""s without anything on record that are folded."""
_FOLDED = 900.0
"""s of axis that a folded stretch takes."""


@dataclass(frozen=True, slots=True)
class FoldedAxis:
    """Seconds since the epoch along a line, with quiet stretches folded."""

    times: tuple[float, ...]
    """Moments at which something happened, rising."""
    places: tuple[float, ...]
    """Where each is on the axis, s from its start."""

    @classmethod
    def of(cls, moments: Sequence[float]) -> FoldedAxis:
        """The axis of these moments, at least one."""
        times = tuple(sorted(set(moments)))
        places = [0.0]
        for before, after in itertools.pairwise(times):
            apart = after - before
            places.append(places[-1] + (apart if apart < FOLD_FROM else _FOLDED))
        return cls(times, tuple(places))

    @property
    def folds(self) -> list[tuple[float, float]]:
        """(start, end) of each folded stretch."""
        return [(a, b) for a, b in zip(self.times, self.times[1:], strict=False) if b - a >= FOLD_FROM]

    @property
    def length(self) -> float:
        """s of axis, at least one."""
        return max(1.0, self.places[-1])

    def at(self, t: float) -> float:
        """Place of a moment, s of axis; what lies outside is put at the nearer end."""
        if t <= self.times[0]:
            return 0.0
        if t >= self.times[-1]:
            return self.places[-1]
        index = bisect_right(self.times, t) - 1
        (low, high), (start, end) = self.times[index : index + 2], self.places[index : index + 2]
        return start + (end - start) * (t - low) / (high - low)


@dataclass(frozen=True, slots=True)
class PourMark:
    """Something poured into a mould."""

    t: float
    letter: str
    part: Part
    layer: int


@dataclass(frozen=True, slots=True)
class ToldWindow:
    """A stretch in which something was told to come, and when it was seen so. s since the epoch."""

    letter: str
    start: float
    end: float
    closes: bool
    """Whether it is a pour window as it was still open, not the spread of a look."""
    came: float | None


@dataclass(frozen=True, slots=True)
class LookMark:
    """What somebody saw on a mould."""

    t: float
    letter: str
    saw: Cue


@dataclass(frozen=True, slots=True)
class DayPage:
    """Everything that has its place on the axis. Readings and burner are those of `state`."""

    state: State
    axis: FoldedAxis
    pours: tuple[PourMark, ...]
    windows: tuple[ToldWindow, ...]
    looks: tuple[LookMark, ...]
    deviating: tuple[Deviation, ...]
    """In order of time; they are numbered from 1."""


def day_page(
    state: State, entries: Sequence[Entry], deviating: Sequence[Deviation] | None = None
) -> DayPage | None:
    """The page of a session; None where nothing was read, poured, seen or lit. `deviating` where it is known already."""
    pours = sorted(
        (
            PourMark(pour.t, letter, pour.part, pour.layer)
            for letter, mould in state.moulds.items()
            for pour in (*mould.pours, *mould.emptied)
        ),
        key=lambda mark: mark.t,
    )
    looks = sorted(
        (
            LookMark(look.t, letter, look.cue)
            for letter, mould in state.moulds.items()
            for look in mould.looks
        ),
        key=lambda mark: mark.t,
    )
    moments = [reading.t for reading in state.readings]
    moments += [pour.t for pour in pours]
    moments += [look.t for look in looks]
    moments += [t for lit in state.burner_spans for t in (lit.start, lit.end) if t is not None]
    moments += [mould.demoulded_at for mould in state.moulds.values() if mould.demoulded_at is not None]
    if not moments:
        return None
    rows = deviations(state, entries) if deviating is None else deviating
    return DayPage(state, FoldedAxis.of(moments), tuple(pours), _windows(entries), tuple(looks), tuple(rows))


def _windows(entries: Sequence[Entry]) -> tuple[ToldWindow, ...]:
    """Every first forecast of a look or a pour."""
    windows = []
    for one in forecast_outcomes(entries):
        letter = one.word.split()[-1]
        if one.early is not None and one.late is not None:
            windows.append(ToldWindow(letter, one.early, one.late, closes=False, came=one.came))
        elif one.closes is not None and one.closes > one.told_at:
            windows.append(ToldWindow(letter, one.told_at, one.closes, closes=True, came=one.came))
    return tuple(windows)
