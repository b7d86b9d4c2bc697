"""The moulds as lines, from 40x12 up: each a row, under them what is remembered of the chosen one, and the line that is typed."""

from __future__ import annotations

from pourday.language import dated, ntr, tr
from pourday.moulds.memory import MouldMemory
from pourday.reports.moulds_report import mould_lines
from pourday.times import local
from pourday.tui.drawing.lines import EMPTY, Line, clickable, fit, line, wrap
from pourday.tui.line_list.layout import list_foot, list_row
from pourday.tui.moulds.controller import MouldsController

TITLE = tr("Your moulds: what is remembered of each")
HOW = tr(
    "Type its name and what you know: tall sealed putty and tape; tall stands 85C; tall cleaned; tall clean every 5. F2 shows all."
)
WIDE = 60
"""Cells from which a row has room for when it was poured last."""


def draw_moulds(page: MouldsController, cells: int, rows: int) -> list[Line]:
    """The whole screen, exactly `rows` lines."""
    how = wrap(HOW, cells, "soft", most=2 if rows >= 16 else 1)
    foot = list_foot(page, (), how, tr("say something"), cells)
    head = [fit(line(TITLE, "glow bold"), cells), *([EMPTY] if rows > 14 else [])]
    about = _about(page, cells)
    left = rows - len(head) - len(foot)
    # The list keeps three rows at least, and what is known of the chosen one has the rest.
    listed = max(min(3, left), min(len(page.rows), left - len(about) - 1)) if page.rows else left
    body = [clickable(_row(page, number, cells), f"#{number}") for number in range(len(page.rows))]
    start = max(0, min(page.at - listed // 2, len(body) - listed))
    shown = body[start : start + listed] or wrap(
        tr("No mould is known yet: none was poured, and nothing was said of one."), cells, "ink"
    )
    shown += [EMPTY, *about] if page.rows else []
    shown = shown[:left]
    return [*head, *shown, *[EMPTY] * (left - len(shown)), *foot][:rows]


def _row(page: MouldsController, number: int, cells: int) -> Line:
    memory = page.rows[number]
    said = [tr("clean it")] if memory.clean_now else []
    said += [_last(memory, cells)] if memory.uses else [tr("not poured yet")]
    right: Line = ((" · ".join(said), "late" if memory.clean_now else "soft"),)
    name = memory.name or tr("a mould without a name")
    return list_row(name, right, cells, chosen=number == page.at)


def _last(memory: MouldMemory, cells: int) -> str:
    count = len(memory.uses)
    often = ntr("poured once", "poured {count} times", count, count=count)
    return f"{often}, {dated(local(memory.newest.at), '%d %b %Y')}" if cells >= WIDE else often


def _about(page: MouldsController, cells: int) -> list[Line]:
    """All that is remembered of the chosen mould."""
    if page.chosen is None:
        return []
    drawn: list[Line] = []
    for says in mould_lines(page.chosen, page.units, page.names)[1:]:
        drawn += wrap(says.strip(), cells, "soft", most=2)
    return drawn
