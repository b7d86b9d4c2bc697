"""The pot strip: readings, the range they should be in, what is likely next, when the burner was lit."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from pourday.guide.outlook import Outlook
from pourday.session.state import State
from pourday.tui.lines import Line, Piece
from pourday.units import show_temperature

BACK = 45 * 60.0
AHEAD = 30 * 60.0


def draw_pot(state: State, outlook: Outlook, now: float, cells: int, rows: int) -> list[Line]:
    """`rows` of temperature over the last 45 and the next 30 minutes, and one row for the burner."""
    label = 8
    columns = cells - label
    if rows < 2 or columns < 20:
        return []
    edges = np.linspace(now - BACK, now + AHEAD, columns + 1)
    middle = (edges[:-1] + edges[1:]) / 2
    readings = [r for r in state.readings if r.place == "pot" and r.t > now - BACK]
    top, bottom = _range(outlook, [r.celsius for r in readings])
    grid = [[(" ", "ink")] * columns for _ in range(rows)]

    def row_of(celsius: float) -> int:
        return min(rows - 1, max(0, int((top - celsius) / (top - bottom) * rows)))

    for column in range(columns):
        grid[row_of(outlook.melt_c)][column] = ("┄", "rule")
    _forecast(outlook, now, middle, grid, row_of)
    for reading in readings:
        column = min(columns - 1, int((reading.t - edges[0]) / (edges[1] - edges[0])))
        grid[row_of(reading.celsius)][column] = ("?", "late") if reading.doubt else ("●", "ink bold")
    units = state.plan.units
    names = [""] * rows
    names[0] = show_temperature(top - (top - bottom) / rows / 2, units)
    names[-1] = show_temperature(bottom + (top - bottom) / rows / 2, units)
    drawn: list[Line] = [
        ((names[row].rjust(label - 1) + " ", "soft"), *_joined(grid[row])) for row in range(rows)
    ]
    return [*drawn, ((("pot ").rjust(label), "soft"), *_burner(state, now, middle))]


def _range(outlook: Outlook, seen: list[float]) -> tuple[float, float]:
    top = max([outlook.ceiling_c + 2, *(c + 2 for c in seen)])
    bottom = min([outlook.pour_c - 15, *(c - 2 for c in seen)])
    return top, bottom


def _forecast(
    outlook: Outlook,
    now: float,
    middle: NDArray[np.float64],
    grid: list[list[Piece]],
    row_of: Callable[[float], int],
) -> None:
    if outlook.pot is None:
        return
    ahead = [i for i, t in enumerate(middle) if t >= now]
    if not ahead:
        return
    low, likely, high = outlook.pot.band(middle[ahead])
    for k, column in enumerate(ahead):
        for row in range(row_of(high[k]), row_of(low[k]) + 1):
            grid[row][column] = ("░", "soft")
        grid[row_of(likely[k])][column] = ("─", "soft")


def _burner(state: State, now: float, middle: NDArray[np.float64]) -> Line:
    pieces: list[Piece] = []
    for t in middle:
        span = next((s for s in state.burner_spans if s.start <= t < (s.end or now)), None)
        if t > now:
            pieces.append((" ", "ink"))
        elif span is None:
            pieces.append(("·", "rule"))
        else:
            pieces.append(("▬", "glow") if span.what == "on" else ("?", "late"))
    now_at = int(np.searchsorted(middle, now))
    if now_at < len(pieces):
        pieces[now_at] = ("╵", "soft")
    return _joined(pieces)


def _joined(pieces: list[Piece]) -> Line:
    """Neighbours of one job as one piece: fewer segments to paint."""
    out: list[Piece] = []
    for text, job in pieces:
        if out and out[-1][1] == job:
            out[-1] = (out[-1][0] + text, job)
        else:
            out.append((text, job))
    return tuple(out)
