"""The setup screen as lines: the form on the left, the weigh sheet beside it."""

from __future__ import annotations

from pourday.plan.form import Row
from pourday.tui.lines import EMPTY, Line, beside, fit, line, wrap
from pourday.tui.planner import Planner
from pourday.tui.sheet import draw_sheet, finding_at

LABEL = 22


def draw_setup(planner: Planner, cells: int, rows: int, remark: str = "") -> list[Line]:
    """The whole screen; below 72 columns the sheet gives way to the form."""
    head = fit(line(f"Plan: {planner.plan.title or planner.live.session}", "glow bold"), cells)
    foot = _foot(planner, cells, remark)
    room = rows - 2 - len(foot)
    wide = cells >= 72
    left = min(46 if cells >= 100 else cells // 2, 56) if wide else cells
    form = _form(planner, left, room)
    body = beside(form, draw_sheet(planner.preview(), cells - left - 2, room), left) if wide else form
    body = [*body, *[EMPTY] * (room - len(body))]
    return [head, line("─" * cells, "rule"), *body[:room], *foot]


def _form(planner: Planner, cells: int, rows: int) -> list[Line]:
    drawn: list[Line] = []
    here = 0
    for index, row in enumerate(planner.rows()):
        if row.head:
            drawn += [EMPTY, line(row.head, "soft")] if drawn else [line(row.head, "soft")]
        if index == planner.at:
            here = len(drawn)
        drawn.append(_row(row, index == planner.at, planner.text, cells))
    start = max(0, min(here - rows // 2, len(drawn) - rows))
    return drawn[start : start + rows]


def _row(row: Row, chosen: bool, text: str | None, cells: int) -> Line:
    mark = "› " if chosen else "  "
    job = "glow bold" if chosen else "ink"
    if row.kind == "act":
        return fit(((mark, job), (row.label, job), (f"  {row.hint}" if chosen else "", "soft")), cells)
    label = LABEL if len(row.label) <= LABEL else min(len(row.label) + 1, cells - 10)
    value = row.value if text is None or not chosen else text + "▏"
    shown = f"‹ {value} ›" if row.kind == "choice" and chosen else value
    hint = f"  {row.hint}" if chosen and row.hint and not value else ""
    swatch: Line = ()
    if row.path.endswith(".swatch") and len(row.value) == 7:
        swatch = (("[", "rule"), ("██", row.value), ("] ", "rule"))
    return fit(
        (
            (mark, job),
            (fit(line(row.label), label - 1)[0][0].ljust(label), "ink" if chosen else "soft"),
            *swatch,
            (shown, job),
            (hint, "soft"),
        ),
        cells,
    )


def _foot(planner: Planner, cells: int, remark: str) -> list[Line]:
    row = planner.rows()[planner.at]
    said = planner.message or remark
    finding = None if said else finding_at(planner.preview(), row.path)
    message = wrap(said, cells, "late", most=2)
    if finding:
        message = wrap(finding[0], cells, finding[1], most=2)
    message = [*[EMPTY] * (2 - len(message)), *message]
    keys = "Up Down move · type to change · Enter next · Esc back"
    if row.kind == "choice":
        keys = "Left Right or Space change · Up Down move · Esc back"
    return [line("─" * cells, "rule"), *message, fit(line(keys, "soft"), cells)]
