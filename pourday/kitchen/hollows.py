"""Where the volume goes that wax loses while it sets: the open surface, the gap at the wall, hidden hollows.

Set wax shrinks as a body: a tube with a warm bore moves in by the mean contraction of its wall, outside and
inside alike (thermal stress of a hollow cylinder with free faces, S. Timoshenko and J. N. Goodier, Theory of
Elasticity, from memory), so what the set part of a row loses goes to the wall and carries its bore along.
What is lost beyond that is missing in the middle. Wax that still runs makes up for it from above: under an
open surface the middle sinks to a well; under a crust that carries itself a hollow opens. A pocket is a run of
rows that still hold running wax; every hollow belongs to the pocket it opened over, for as long as there is one.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from pourday.kitchen.truth import Floats

FEEDS = 0.25
"""Melted share down to which wax still moves to where other wax shrinks; with less than that it gives way as a
whole instead and leaves no hollow. An estimate of ours."""
CARRIES = 0.0025
"""m of set wax that carries itself instead of sinking with what is under it. An estimate of ours."""
_SET = 0.5
"""Melted share below which the wax at the wall holds its shape. Estimate."""


class Pocket(NamedTuple):
    """Rows `low` to `high` (not included) that hold running wax, and whether the air has a way in from above."""

    low: int
    high: int
    open: bool


def pockets(heights: Floats, melted: Floats) -> list[Pocket]:
    """The pockets of a filling from the bottom up; two that are parted by less than a crust are one.

    `heights` in m by row, `melted` by row and ring.
    """
    runs = np.concatenate([[False], (melted >= FEEDS).any(axis=1), [False]])
    edges = np.flatnonzero(runs[1:] != runs[:-1]).tolist()
    merged: list[list[int]] = []
    for low, high in zip(edges[::2], edges[1::2], strict=True):
        if merged and heights[merged[-1][1] : low].sum() < CARRIES:
            merged[-1][1] = high
        else:
            merged.append([low, high])
    return [Pocket(low, high, bool(heights[high:].sum() < CARRIES)) for low, high in merged]


class Hollows:
    """m³ that are missing inside one filling, by row, and m³ of its wall gap.

    `hidden` is shut in, `vented` can be filled through a relief hole. `hole` is the lowest row a hole reaches.
    """

    def __init__(self) -> None:
        self.hidden: Floats = np.empty(0)
        self.vented: Floats = np.empty(0)
        self.gap: Floats = np.empty(0)
        self.strain: Floats = np.empty(0)
        """Share of its volume that each row's set wax has shrunk away from the wall."""
        self.hole: int | None = None

    @property
    def volume(self) -> float:
        """m³ that wax poured on top cannot fill, whatever is done: gap and shut hollows."""
        return float(self.hidden.sum() + self.gap.sum())

    def stack(self, rows: int) -> None:
        """Make room for so many more rows on top."""
        more = np.zeros(rows)
        for name in ("hidden", "vented", "gap", "strain"):
            setattr(self, name, np.concatenate([getattr(self, name), more]))

    def unstack(self, rows: int) -> None:
        """Only so many rows are left; holes and the hollows they led to are open to the air."""
        self.hole = None
        self.vented = np.zeros(rows)
        for name in ("hidden", "gap", "strain"):
            setattr(self, name, getattr(self, name)[:rows])

    def poke(self, heights: Floats, depth: float, there: list[Pocket]) -> bool:
        """Push a rod down by `depth` m from the surface; True where it gets into wax that runs, or a hollow, under a crust.

        Wax that is open to the air closes behind the rod; what is below it is reached through it all the same.
        """
        below = np.cumsum(heights[::-1])[::-1]
        bottom = int(np.searchsorted(-below, -depth))
        meets = any(not p.open and p.high > bottom for p in there) or bool(self.hidden[bottom:].sum() > 0)
        if meets:
            self.hole = bottom if self.hole is None else min(self.hole, bottom)
            self.vented[bottom:] += self.hidden[bottom:]
            self.hidden[bottom:] = 0.0
            self._gather(there)
        return meets

    def close(self) -> None:
        """The holes are frozen shut; a hollow that was not filled through them stays."""
        self.hole = None
        self.hidden, self.vented = self.hidden + self.vented, np.zeros_like(self.vented)

    def shrink(self, heights: Floats, melted: Floats, lost: Floats, relative: Floats, area: float) -> float:
        """Let every row lose volume; returns by how many m³ the set wax grew shorter.

        `lost` is m³ by row, `relative` the share of its volume that the set wax of each row shrank by. A row that
        swells has a negative loss.
        """
        there = pockets(heights, melted)
        held = melted[:, -1] < _SET
        feeding = np.zeros(len(lost), dtype=bool)
        for pocket in there:
            feeding[pocket.low : pocket.high] = True
        taken = np.where(held, np.where(feeding, relative * heights * area, lost), 0.0)
        self.gap = np.where(held, np.maximum(self.gap + taken * 2 / 3, 0.0), 0.0)
        self.strain = np.where(held, np.maximum(self.strain + relative, 0.0), 0.0)
        self._gather(there)
        for pocket in there:
            if not pocket.open:
                rows = slice(pocket.low, pocket.high)
                self._take(pocket, heights, float((lost[rows] - taken[rows]).sum()))
        return float(taken.sum() / 3)

    def _reached(self, pocket: Pocket, heights: Floats) -> bool:
        """Whether a hole leads to that pocket: until a new crust has grown over it below the hole's end."""
        return self.hole is not None and bool(heights[pocket.high : self.hole].sum() < CARRIES)

    def _take(self, pocket: Pocket, heights: Floats, lost: float) -> None:
        """Put m³ lost in a closed pocket at its top: `vented` where a hole leads to it, else `hidden`; below zero they fill."""
        row = pocket.high - 1
        into, other = (
            (self.vented, self.hidden) if self._reached(pocket, heights) else (self.hidden, self.vented)
        )
        into[row] += lost
        if into[row] < 0:
            other[row] = max(other[row] + into[row], 0.0)
            into[row] = 0.0

    def _gather(self, there: list[Pocket]) -> None:
        """Every hollow moves to the top of the pocket it stands over; under an open surface it has come out."""
        for row in np.flatnonzero(self.hidden + self.vented).tolist():
            pocket = next((p for p in reversed(there) if p.low <= row), None)
            if pocket is None or (row == pocket.high - 1 and not pocket.open):
                continue
            shut, vented = self.hidden[row], self.vented[row]
            self.hidden[row] = self.vented[row] = 0.0
            if not pocket.open:
                self.hidden[pocket.high - 1] += shut
                self.vented[pocket.high - 1] += vented
