"""Dots into terminal cells: a small raster on NumPy, in braille or in half blocks.

A braille cell holds 4 by 2 dots, a half block 2 by 1. Not every font has braille: hence the choice.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from pourday.tui.drawing.lines import Line

Cells = Literal["braille", "blocks"]
Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Dots = NDArray[np.bool_]

_FINE = {"braille": (4, 2), "blocks": (2, 1)}
"""Dots of one cell: down, across."""
_BRAILLE = np.array([0x01, 0x08, 0x02, 0x10, 0x04, 0x20, 0x40, 0x80], dtype=np.uint32)
"""Value of each dot, row by row (Unicode, block Braille Patterns: dots 1-3, 7 in the left column, 4-6, 8 in the right)."""
_BLOCKS = np.array([ord(c) for c in " ▀▄█"], dtype="<u4")


class Raster:
    """`rows` by `columns` of cells. What is added later lies on top and has the cells it touches for itself."""

    def __init__(self, columns: int, rows: int, cells: Cells) -> None:
        self.columns, self.rows, self.cells = columns, rows, cells
        self.down, self.across = _FINE[cells]
        # By cell, so that whatever comes on top can take the whole cell for itself.
        self._dots = np.zeros((rows, columns, self.down, self.across), dtype=bool)
        self._signs = np.zeros((rows, columns), dtype="<u4")
        self._jobs = np.zeros((rows, columns), dtype=np.int64)
        self._names = ["soft"]
        """The jobs that numbers in `_jobs` stand for."""

    @property
    def shape(self) -> tuple[int, int]:
        """Dots down and across."""
        return self.rows * self.down, self.columns * self.across

    def touched(self, dots: Dots) -> Dots:
        """Cells, of shape (rows, columns), that hold any of these dots."""
        held: Dots = np.any(self._by_cell(dots), axis=(2, 3))
        return held

    def add(self, dots: Dots, job: str) -> None:
        """Set these dots, of shape `shape`; what was in the cells they touch gives way."""
        touched = self.touched(dots)
        self._dots[touched] = self._by_cell(dots)[touched]
        self._signs[touched] = 0
        self._jobs[touched] = self._number(job)

    def put(self, rows: Ints, columns: Ints, sign: str, job: str) -> None:
        """One character over whatever is in these cells; rows and columns of equal shape."""
        self._signs[rows, columns] = ord(sign)
        self._jobs[rows, columns] = self._number(job)

    def lines(self) -> list[Line]:
        """The cells as lines, neighbours of one job as one piece."""
        drawn = np.where(self._signs > 0, self._signs, self._packed())
        jobs = _carried(self._jobs, drawn == ord(" "))
        return [self._line(row, numbers) for row, numbers in zip(drawn, jobs, strict=True)]

    def _by_cell(self, dots: Dots) -> Dots:
        """Dots of shape `shape` sorted into their cells: (rows, columns, down, across)."""
        return dots.reshape(self.rows, self.down, self.columns, self.across).transpose(0, 2, 1, 3)

    def _packed(self) -> NDArray[np.uint32]:
        """The character of each cell's dots, (rows, columns)."""
        if self.cells == "blocks":
            blocks: NDArray[np.uint32] = _BLOCKS[self._dots[:, :, 0, 0] + 2 * self._dots[:, :, 1, 0]]
            return blocks
        codes = self._dots.reshape(self.rows, self.columns, 8) @ _BRAILLE
        return np.where(codes > 0, 0x2800 + codes, ord(" ")).astype("<u4")

    def _line(self, row: NDArray[np.uint32], jobs: Ints) -> Line:
        text = row.astype("<u4").tobytes().decode("utf-32-le")
        cuts = [0, *(np.flatnonzero(np.diff(jobs)) + 1).tolist(), self.columns]
        return tuple((text[a:b], self._names[jobs[a]]) for a, b in pairwise(cuts))

    def _number(self, job: str) -> int:
        if job not in self._names:
            self._names.append(job)
        return self._names.index(job)


def _carried(jobs: Ints, blank: Dots) -> Ints:
    """Blank cells take the job of the cell before them: fewer pieces to paint."""
    column = np.arange(jobs.shape[1])
    source = np.maximum.accumulate(np.where(blank, 0, column), axis=1)
    return np.take_along_axis(jobs, source, axis=1)


def between(first: Ints, last: Ints, down: int) -> Dots:
    """Dots of shape (down, columns): in each column those from row `first` to row `last`, none where first > last.

    `first` and `last` have one entry a column; both rows count in.
    """
    row = np.arange(down)[:, None]
    return (row >= first[None, :]) & (row <= last[None, :])


def trace(t: Floats, y: Floats, edges: Floats, join: float) -> tuple[Floats, Floats]:
    """Lowest and highest value of a polyline in each column of a picture, each of shape (columns,).

    The line runs through the points `t`, `y` (one shape, `t` rising); points further apart than `join` are not
    joined. Column k reaches from `edges[k]` to `edges[k + 1]`. Columns without any of it hold (inf, -inf).
    """
    count = edges.size - 1
    low, high = np.full(count, np.inf), np.full(count, -np.inf)
    if t.size == 0:
        return low, high
    after = np.searchsorted(t, edges, side="right")
    inside = (after > 0) & (after < t.size)
    near = np.clip(after, 1, max(1, t.size - 1))
    if t.size > 1:
        inside &= t[near] - t[near - 1] <= join
        at = np.interp(edges, t, y)
        for ends in (slice(None, -1), slice(1, None)):
            low = np.where(inside[ends], np.minimum(low, at[ends]), low)
            high = np.where(inside[ends], np.maximum(high, at[ends]), high)
    column = np.searchsorted(edges, t, side="right") - 1
    seen = (column >= 0) & (column < count)
    np.minimum.at(low, column[seen], y[seen])
    np.maximum.at(high, column[seen], y[seen])
    return low, high
