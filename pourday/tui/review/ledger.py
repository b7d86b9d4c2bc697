"""The whole session as a ledger: time runs down the page, a line for each stretch of it, a column for each mould.

It knows nothing of Textual and reads no clock.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass

from pourday.reports.day_page import DayPage
from pourday.reports.deviations import Deviation
from pourday.times import MINUTE, local
from pourday.tui.terminal.cursor import moved

STEPS = tuple(minutes * MINUTE for minutes in (1, 2, 5, 10, 15, 20, 30, 60, 120))
"""s that one line may stand for, the finest first."""
MOST_LINES = 3000
"""Lines above which a finer step is not offered: it would only be scrolled through."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """What one line stands for, s since the epoch; `folded` where nothing is on record in all of it."""

    start: float
    end: float
    folded: bool


def stretches(page: DayPage, step: float) -> list[Stretch]:
    """Lines of `step` s each, on whole clock times; a folded stretch is one line, and so none is cut by it."""
    rows: list[Stretch] = []
    first, last = page.axis.times[0], page.axis.times[-1]
    start = _whole(first, step)
    for low, high in [*page.axis.folds, (last, float("inf"))]:
        while start <= low:
            rows.append(Stretch(start, start + step, folded=False))
            start += step
        after = _whole(high, step) if high < float("inf") else start
        if after > start:
            rows.append(Stretch(start, after, folded=True))
            start = after
    return rows


def _whole(t: float, step: float) -> float:
    """The last whole clock time up to a moment, in local time."""
    offset = local(t).utcoffset()
    shift = offset.total_seconds() if offset is not None else 0.0
    return (t + shift) // step * step - shift


class Ledger:
    """Which line is looked at, and how long a line is."""

    def __init__(self, page: DayPage, t: float) -> None:
        self.page = page
        self._finer = 0
        """Steps finer (+) or coarser (-) than what shows all of it."""
        self._room = 0
        self._rows: list[Stretch] = []
        self.at = 0
        self._t = t
        """The moment that is looked at, by which a line is found when lines change."""

    def rows(self, room: int) -> list[Stretch]:
        """The lines, as long as lets the whole session stand in `room` lines unless the person wants it otherwise."""
        if room != self._room or not self._rows:
            self._room = room
            self._lay_out()
        return self._rows

    @property
    def step(self) -> float:
        """s of one line."""
        return STEPS[self._index()]

    def _index(self) -> int:
        whole = next((n for n, step in enumerate(STEPS) if self._fits(step)), len(STEPS) - 1)
        index = max(0, min(len(STEPS) - 1, whole - self._finer))
        while index < len(STEPS) - 1 and len(stretches(self.page, STEPS[index])) > MOST_LINES:
            index += 1
        return index

    def _fits(self, step: float) -> bool:
        axis = self.page.axis
        at_least = (axis.length - 900.0 * len(axis.folds)) / step + len(axis.folds)
        return at_least <= self._room and len(stretches(self.page, step)) <= self._room

    def _lay_out(self) -> None:
        self._rows = stretches(self.page, self.step)
        self._stand(self._t)

    def _stand(self, t: float) -> None:
        starts = [row.start for row in self._rows]
        self.at = max(0, min(len(starts) - 1, bisect_left(starts, t + 1e-6) - 1))

    @property
    def row(self) -> Stretch:
        """The line that is looked at."""
        return self._rows[self.at]

    def point(self, row: int) -> None:
        """To the line of that number."""
        if 0 <= row < len(self._rows):
            self.at = row
            self._t = self.row.start

    def press(self, key: str, character: str | None) -> None:
        """A key that moves through the ledger, or makes its lines finer or coarser."""
        if not self._rows:
            return
        row = moved(self.at, key, len(self._rows))
        if row is not None:
            self.at = row
            self._t = self.row.start
        elif character in ("[", "]"):
            before = self.step
            self._finer += 1 if character == "]" else -1
            if self.step == before:
                self._finer -= 1 if character == "]" else -1
            self._lay_out()
        elif key == "tab":
            self._to([one.t for one in self.page.deviating])

    def deviating(self, stretch: Stretch) -> list[Deviation]:
        """What was not as planned in a line."""
        return [one for one in self.page.deviating if stretch.start <= one.t < stretch.end]

    def _to(self, moments: Sequence[float]) -> None:
        """To the next line with one of these moments, from the last on to the first."""
        later = [t for t in moments if t >= self.row.end]
        if moments:
            self._t = min(later or moments)
            self._stand(self._t)
