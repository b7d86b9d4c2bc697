"""A candle that burns, in section and to scale: wall, pool, wick and flame. Pure: to lines."""

from __future__ import annotations

from pourday.burn.candle import Candle
from pourday.burn.limits import FLAME
from pourday.session.candle import Burn
from pourday.tui.drawing.lines import EMPTY, Line, fit, joined
from pourday.units import Units, show_length

BELOW = 0.030
"""m of candle that are drawn under its rim. Chosen."""
ABOVE = 0.080
"""m of air above it: room for the highest flame that is inside the limits."""
WAX, POOL, WICK, TIP, BODY = "░", "≈", "│", "▲", "█"


def draw_section(candle: Candle, burn: Burn | None, cells: int, rows: int, units: Units) -> list[Line]:
    """Exactly `rows` lines of `cells`: the top of the candle, and what was last measured of its pool and flame.

    A cell is half as wide as it is high. What was not measured is not drawn.
    """
    if rows < 4 or cells < 8:
        return [EMPTY] * rows
    high = max((ABOVE + BELOW) / rows, candle.width / max(4, cells - 2) * 2)
    """m a row."""
    below = min(rows - 2, max(2, round(BELOW / high)))
    above = rows - below
    half = max(2, round(candle.width / high))
    left = (cells - 2 * half) // 2
    grid = [[(" ", "ink")] * cells for _ in range(rows)]
    for row in range(above, rows):
        for cell in range(left, left + 2 * half):
            grid[row][cell] = (WAX, "soft")
    flame, across, depth = _newest(burn)
    middle = left + half
    if across is not None:
        _pool(grid, middle, above, across / high, depth, high)
    _limit(grid, above - round(FLAME.figure / high), cells, units)
    grid[above - 1][middle] = (WICK, "ink")
    if burn is not None and burn.lit:
        tall = max(1, round((flame if flame is not None else 0.0) / high))
        for up in range(1, tall + 1):
            if above - 1 - up >= 0:
                grid[above - 1 - up][middle] = (TIP if up == tall else BODY, "glow bold")
    return [fit(joined(row), cells) for row in grid]


def _newest(burn: Burn | None) -> tuple[float | None, float | None, float | None]:
    """(flame, mean pool, depth) as they were last measured in this cycle, m."""
    flame: float | None = None
    across: float | None = None
    depth: float | None = None
    for look in burn.looks if burn is not None else ():
        seen = look.seen
        flame = seen.flame if seen.flame is not None else flame
        depth = seen.depth if seen.depth is not None else depth
        ways = [way for way in (seen.across, seen.across_other) if way is not None]
        across = sum(ways) / len(ways) if ways else across
    return flame, across, depth


def _pool(
    grid: list[list[tuple[str, str]]], middle: int, rim: int, half: float, depth: float | None, high: float
) -> None:
    """Liquid wax, `half` cells to each side of the wick, as deep as it was measured or one row."""
    wide = max(1, round(half))
    for row in range(rim, min(len(grid), rim + max(1, round((depth or 0.0) / high)))):
        for cell in range(max(0, middle - wide), min(len(grid[row]), middle + wide)):
            if grid[row][cell][0] == WAX:
                grid[row][cell] = (POOL, "glow")


def _limit(grid: list[list[tuple[str, str]]], row: int, cells: int, units: Units) -> None:
    """The height that no flame may pass."""
    if 0 <= row < len(grid):
        words = f" {show_length(FLAME.figure, units)}" if cells >= 18 else ""
        marks = "┄" * 4 + words
        for cell, sign in enumerate(marks[:cells]):
            grid[row][cell] = (sign, "rule")
