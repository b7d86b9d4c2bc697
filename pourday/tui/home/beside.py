"""Days side by side on the first screen: the candles drawn to one scale, then the rows on which they differ."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pourday.language import tr
from pourday.tui.drawing.lines import EMPTY, Line, fit, line, width, wrap

if TYPE_CHECKING:
    from pourday.shelf.compare import Comparison

LABEL = 0.34
"""Share of the width that the name of a row may take at most."""
NARROW = 60
"""Cells below which a row's values stand under its name."""


def draw_beside(beside: Comparison, everything: bool, first: int, cells: int, rows: int) -> list[Line]:
    """As many rows as there is room for, from row `first` on; exactly `rows` lines."""
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
    start = max(0, min(first, len(body) - room))
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
