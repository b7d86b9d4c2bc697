"""Days side by side on the first screen: the candles drawn to one scale, then the rows on which they differ."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pourday.language import tr
from pourday.times import span
from pourday.tui.drawing.lines import EMPTY, Line, fit, line, width, wrap
from pourday.tui.home.pages import BesidePage

if TYPE_CHECKING:
    from pourday.shelf.compare import Comparison
    from pourday.shelf.stacks import DayStack

LABEL = 0.34
"""Share of the width that the name of a row may take at most."""
NARROW = 60
"""Cells below which a row's values stand under its name."""


STACK = 8
"""Cells that a candle is wide where it is drawn."""
ROOM_FOR_STACKS = 20
"""Rows from which the candles are drawn above what differs."""


def draw_beside(page: BesidePage, cells: int, rows: int) -> list[Line]:
    """The page in exactly `rows` lines: what differs, under the candles where there is room; or the candles alone."""
    if page.candles:
        return [*draw_stacks(page.days, cells, rows, page.mould), *[EMPTY] * rows][:rows]
    if rows >= ROOM_FOR_STACKS and cells >= NARROW and any(page.days.stacks):
        top = draw_stacks(page.days, cells, min(12, rows // 3), page.mould)
        return [*top, *_differences(page, cells, rows - len(top))]
    return _differences(page, cells, rows)


def _differences(page: BesidePage, cells: int, rows: int) -> list[Line]:
    """As many rows of figures as there is room for, from the first in sight on; it moves back where the page ends."""
    beside, everything = page.days, page.everything
    shown = beside.rows if everything else beside.differences
    alike = len(beside.rows) - len(beside.differences)
    title = (
        tr("All of it, side by side")
        if everything
        else tr("Where they differ ({alike} more are alike)", alike=alike)
    )
    head = [line(title, "glow bold"), *_columns(tuple(beside.sessions), "", "ink bold", cells)]
    body: list[Line] = [] if shown else wrap(tr("Nothing differs of what is on record."), cells, "ink")
    group = ""
    for row in shown:
        if row.group != group:
            group = row.group
            body += [*([EMPTY] if body else []), line(group, "soft")]
        body += _columns(row.values, row.label, "ink" if row.differs else "soft", cells)
    room = max(0, rows - len(head))
    start = page.top = max(0, min(page.top, len(body) - room))
    part = body[start : start + room]
    if start + room < len(body) and part:
        part[-1] = line(tr("  {count} more below", count=len(body) - start - room + 1), "soft")
    return [*head, *part, *[EMPTY] * (room - len(part))][:rows]


def _columns(values: tuple[str, ...], label: str, job: str, cells: int) -> list[Line]:
    """One row: its name, then what each day says in a column of its own; on a small screen beneath it."""
    if cells < NARROW:
        each = max(1, (cells - 2) // len(values) - 1)
        told: Line = ()
        for value in values:
            told = (*told, *_cell(value, each, job), (" ", "ink"))
        return [*([fit(line(label, "soft"), cells)] if label else []), (("  ", "ink"), *told)]
    left = int(cells * LABEL)
    each = (cells - left) // len(values) - 2
    lines = [wrap(value, each, job) or [EMPTY] for value in values]
    tall = max(len(block) for block in lines)
    drawn: list[Line] = []
    for number in range(tall):
        row: Line = (*_cell(label if number == 0 else "", left, "ink"),)
        for block in lines:
            piece = block[number] if number < len(block) else EMPTY
            row = (*row, *piece, (" " * (each - width(piece) + 2), "ink"))
        drawn.append(row)
    return drawn


def _cell(text: str, cells: int, job: str) -> Line:
    """A text cut or filled to so many cells."""
    cut = fit(line(text, job), cells)
    return (*cut, (" " * max(0, cells - width(cut)), "ink"))


def draw_stacks(beside: Comparison, cells: int, rows: int, mould: int = 0) -> list[Line]:
    """The candles of one mould of each day, all to one scale; waits between pours as bars of one scale beside them."""
    shown = [stacks[min(mould, len(stacks) - 1)] if stacks else None for stacks in beside.stacks]
    tallest = max((stack.layers[-1].high for stack in shown if stack), default=0.0)
    longest = max((layer.wait or 0.0 for stack in shown if stack for layer in stack.layers), default=0.0)
    each = cells // max(1, len(shown))
    high = rows - 2
    if tallest <= 0 or high < 2 or each < 2 * STACK:
        return wrap(tr("No candle of these days can be drawn."), cells, "soft")
    drawn: list[Line] = [EMPTY] * (high + 1)
    for number, stack in enumerate(shown):
        name = beside.sessions[number] + (f" {stack.letter}" if stack else "")
        column = _stack(stack, tallest, longest, each, high)
        for row, piece in enumerate((fit(line(f" {name}", "ink bold"), each), *column)):
            pad = (" " * max(0, each - width(piece)), "ink")
            drawn[row] = (*drawn[row], *piece, pad)
    return [*(fit(row, cells) for row in drawn), EMPTY]


def _stack(stack: DayStack | None, tallest: float, longest: float, cells: int, high: int) -> list[Line]:
    """One candle as `high` rows, the rim on top; the bar of a wait stands where the layer begins that it came before."""
    if stack is None:
        return [line(f" {tr('nothing poured')}", "soft"), *[EMPTY] * (high - 1)]
    rows: list[Line] = []
    top = stack.layers[-1].high
    for row in range(high):
        # The middle of this row, m above the closed end.
        middle = tallest * (high - row - 0.5) / high
        if middle > top:
            rows.append(EMPTY)
            continue
        layer = next(each for each in stack.layers if middle <= each.high or each is stack.layers[-1])
        first = not any(low < middle for low in (tallest * (high - row - 1.5) / high,) if low > layer.low)
        above = not rows or rows[-1] == EMPTY or tallest * (high - row + 0.5) / high > layer.high
        beside: Line = (("  " + (layer.colour or tr("layer")), "soft"),) if above else ()
        if first and layer.wait is not None and longest > 0 and not above:
            room = cells - STACK - 14
            bar = f"├{'─' * max(1, round(room * layer.wait / longest))} " if room > 2 else ""
            beside = ((f"  {bar}", "rule"), (span(layer.wait), "soft"))
        elif first and layer.wait is not None:
            beside = (*beside, (f"  ({span(layer.wait)})", "soft"))
        rows.append(fit(((" ", "ink"), ("█" * STACK, layer.swatch), *beside), cells - 1))
    return rows
