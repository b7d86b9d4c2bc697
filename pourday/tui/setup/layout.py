"""The setup screen as lines: the form with the weigh sheet beside it, or one of its pages."""

from __future__ import annotations

from pourday.language import tr, word
from pourday.plan.form import Row
from pourday.tui.drawing.lines import EMPTY, Line, beside, clickable, fit, line, listed, text_of, width, wrap
from pourday.tui.drawing.weigh_sheet import draw_sheet, finding_at, findings_page, origins_page, whole_sheet
from pourday.tui.setup.controller import PAGES, SetupController, takes_text

LABEL = 22
"""Cells for the label of a row."""
TICK = 14
"""Cells that a long sentence leaves for its mark."""
LOW = 16
"""Rows below which no room is kept for a message that is not there."""
SIDE_BY_SIDE = 72
"""Columns from which the sheet stands beside the form; below, Tab shows it."""
READABLE = 96
"""Longer lines of a page are hard to read."""


def draw_setup(setup: SetupController, cells: int, rows: int, remark: str = "") -> list[Line]:
    """The whole screen."""
    where = tr("row {at} of {count}", at=setup.at + 1, count=len(setup.rows())) if setup.page is None else ""
    title = tr("Plan: {title}", title=setup.plan.title or setup.live.session)
    head = (*fit(line(title, "glow bold"), cells - len(where)), (where, "soft"))
    foot = _foot(setup, cells, remark, 2 if rows >= LOW else 0)
    room = rows - 2 - len(foot)
    body = _form_and_sheet(setup, cells, room) if setup.page is None else _page(setup, cells, room)
    body = [*body, *[EMPTY] * (room - len(body))]
    return [head, EMPTY, *body[:room], *foot]


def _form_and_sheet(setup: SetupController, cells: int, room: int) -> list[Line]:
    if cells < SIDE_BY_SIDE:
        return _form(setup, cells, room)
    left = _left(cells)
    sheet = [
        clickable(row, "tab")
        for row in draw_sheet(setup.preview(), cells - left - 2, room, setup.more_findings)
    ]
    return beside(_form(setup, left, room), sheet, left)


def _left(cells: int) -> int:
    """Columns of the form."""
    if cells < SIDE_BY_SIDE:
        return cells
    return min(54 if cells >= 116 else cells // 2 + 2, 56)


def _page(setup: SetupController, cells: int, room: int) -> list[Line]:
    """One page, moved through a line at a time; the last screenful stays whole."""
    assert setup.page is not None
    plan, across, row = setup.preview(), min(cells, READABLE), setup.row
    match PAGES[setup.page]:
        case "weigh sheet":
            drawn = whole_sheet(plan, across)
        case "findings":
            drawn = findings_page(plan, across, setup.more_findings)
        case _:
            drawn = origins_page(plan, row.path, row.label, across)
    setup.scroll = max(0, min(setup.scroll, len(drawn) - room))
    return [fit(each, cells) for each in drawn[setup.scroll : setup.scroll + room]]


def _form(setup: SetupController, cells: int, rows: int) -> list[Line]:
    """So many lines of the form, the row under the cursor among them."""
    drawn: list[Line] = []
    here = 0
    for index, row in enumerate(setup.rows()):
        if row.head:
            drawn += [EMPTY, line(row.head, "soft")] if drawn else [line(row.head, "soft")]
        if index == setup.at:
            here = len(drawn)
        drawn.append(clickable(_row(row, index == setup.at, setup, cells), f"#{index}"))
    start = max(0, min(here - rows // 2, len(drawn) - rows))
    return _window(drawn, start, rows, cells)


def _window(drawn: list[Line], start: int, rows: int, cells: int) -> list[Line]:
    """So many lines from one on, with a mark at the right end of the first and last where there is more."""
    shown = drawn[start : start + rows]
    more = ((0, "▲", start > 0), (len(shown) - 1, tr("▼ more"), start + rows < len(drawn)))
    for at, sign, is_more in more:
        if is_more and shown:
            mark = line(f" {sign}", "soft")
            shown[at] = (*fit(_unpadded(shown[at]), cells - width(mark)), *mark)
    return shown


def _unpadded(drawn: Line) -> Line:
    """The line without the blanks at its end."""
    while drawn and not drawn[-1][0].strip():
        drawn = drawn[:-1]
    return (*drawn[:-1], (drawn[-1][0].rstrip(), drawn[-1][1])) if drawn else drawn


def _row(row: Row, chosen: bool, setup: SetupController, cells: int) -> Line:
    """One row of the form; the chosen one shows what is being typed, its choices or its hint."""
    mark = "› " if chosen else "  "
    mark += "  " if row.within else ""
    job = "glow bold" if chosen else "ink"
    if row.kind == "act":
        return fit(((mark, job), (row.label, job), (f"  {row.hint}" if chosen else "", "soft")), cells)
    if row.kind == "fold":
        sign = "▾" if row.path in setup.opened else "▸"
        return fit(
            ((mark, job), (f"{sign} {row.label}", job if chosen else "soft"), (f"  {row.value}", "soft")),
            cells,
        )
    label = LABEL if width(line(row.label)) < LABEL else cells - TICK
    label -= 2 if row.within else 0
    said = word(row.value) if row.kind == "choice" else row.value
    value = said if setup.text is None or not chosen else setup.text + "▏"
    turns = row.kind == "choice" and chosen and setup.text is None
    shown = f"‹ {value} ›" if turns else value
    aside = row.ghost if not value else f"  {row.hint}" if chosen and row.hint else ""
    if chosen and setup.text and row.words:
        aside = f"  {setup.meant() or tr('Enter takes it')}"
    swatch: Line = ()
    if row.path.endswith(".swatch") and len(row.value) == 7:
        swatch = (("[", "rule"), ("██", row.value), ("] ", "rule"))
    named = (*fit(line(row.label, "ink" if chosen else "soft"), label - 1), (" ", "ink"))
    room = cells - width(((mark, job), *named, *swatch))
    if chosen and setup.text is not None:
        shown = _tail(shown, room)
    field: Line = ((shown, job),)
    if turns:
        field = (("‹ ", f"{job} @left"), (value, job), (" ›", f"{job} @right"))
    return fit(((mark, job), *named, *swatch, *field, (aside, "soft")), cells)


def _tail(text: str, cells: int) -> str:
    """The end of what is being typed, where the cursor is, when all of it does not fit."""
    while text and width(line(text)) > cells:
        text = text[1:]
    return text


def _foot(setup: SetupController, cells: int, remark: str, least: int) -> list[Line]:
    """What is to be said of the chosen row, in at least `least` rows, and the keys."""
    row = setup.row
    said = setup.message or remark or _unsaved(setup)
    finding = (
        None
        if said or setup.page is not None
        else finding_at(setup.preview(), row.path, setup.more_findings, setup.filed)
    )
    message = wrap(said, cells, "late", most=2)
    if not said and setup.page is None:
        message = _in_full(row, setup, cells, 2)
    if finding:
        message += wrap(finding[0], cells, finding[1], most=max(1, 2 - len(message)))
    message = [*[EMPTY] * (least - len(message)), *message]
    return [line("─" * cells, "rule"), *message, _keys(setup, row, cells)]


def _in_full(row: Row, setup: SetupController, cells: int, most: int) -> list[Line]:
    """The chosen row in full where the form has no room for all it says."""
    shown = text_of(_row(row, True, setup, _left(cells)))
    if "…" not in shown:
        return []
    said = row.hint or row.ghost if row.kind != "fold" else row.value
    value = "" if row.kind == "fold" or setup.text is not None or row.value in shown else row.value
    parts = [part for part in (value, said if said != value else "") if part]
    return wrap(f"{row.label}: {'; '.join(parts)}" if parts else row.label, cells, "ink", most)


def _unsaved(setup: SetupController) -> str:
    """What to say while entries are not on disk."""
    live = setup.live
    return tr("NOT SAVED. {trouble}", trouble=live.trouble) if live.unsaved and live.trouble else ""


def _keys(setup: SetupController, row: Row, cells: int) -> Line:
    """What works now, in a line."""
    if setup.page is not None:
        after = (*PAGES, "form")[setup.page + 1]
        return listed(
            (("Tab", word(after)), ("Esc", tr("back")), ("e", tr("FIRE")), ("Up Down", tr("move"))), cells
        )
    do = {
        "text": (("Enter", tr("next")),),
        "choice": (("Left Right", tr("change")),),
        "act": (("Enter", tr("does it")),),
        "fold": (("Enter", tr("closes it") if row.path in setup.opened else tr("opens it")),),
    }[row.kind]
    typed = row.kind == "text" or takes_text(row)
    fire = ("F1" if typed else "e", tr("FIRE"))
    # From every row the way to the stove and the fire card are in sight.
    begin = () if row.path == "start" else (("End", tr("BEGIN THE DAY") if cells >= 100 else tr("BEGIN")),)
    ways = (*begin, ("Tab", tr("sheet")), ("Esc", tr("back")), fire)
    if cells < SIDE_BY_SIDE:
        return listed((*ways, *do), cells, between=2)
    sources = ("Tab", tr("sheet, findings, sources") if cells >= 100 else tr("sheet"))
    return listed((*do, *begin, sources, ("Esc", tr("back")), fire, ("PgDn", tr("next part"))), cells)
