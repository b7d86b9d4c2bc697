"""The page of the kitchen as lines, from 40x12 up: what was learned, from which days, and how good the forecasts were."""

from __future__ import annotations

from pourday.language import dated, tr
from pourday.reports.kitchen_report import (
    NOTHING_YET,
    day_line,
    example_lines,
    factor_lines,
    forecast_lines,
)
from pourday.times import local
from pourday.tui.drawing.lines import EMPTY, Line, clickable, fit, key_lines, line, wrap
from pourday.tui.kitchen.controller import LEAVES, KitchenController, Leaf

TITLE = tr("What your days taught of your kitchen")
WIDE = 72
"""Cells from which a row has room for the date as well."""
NAMES: dict[Leaf, str] = {"factors": tr("learned"), "days": tr("days"), "forecasts": tr("forecasts")}


def draw_kitchen(page: KitchenController, cells: int, rows: int) -> list[Line]:
    """The whole screen, exactly `rows` lines."""
    roomy = rows > 14
    foot = _foot(page, cells, rows)
    head = [fit(line(TITLE, "glow bold"), cells), fit(_leaves(page), cells), *([EMPTY] if roomy else [])]
    room = max(1, rows - len(head) - len(foot))
    if page.data is None:
        body = [] if page.message else wrap(tr("The records are being read..."), cells, "soft")
    elif not page.days and page.leaf != "forecasts":
        body = [row for text in NOTHING_YET for row in wrap(text, cells, "ink")]
    else:
        body = {"factors": _factors, "days": _days, "forecasts": _forecasts}[page.leaf](page, cells)
    most = max(0, len(body) - room)
    page.tops[page.leaf] = min(page.tops[page.leaf], most)
    top = page.tops[page.leaf]
    if page.leaf == "days":
        top = max(0, min(page.at - room // 2, most))
    shown = body[top : top + room]
    return [*head, *shown, *[EMPTY] * (room - len(shown)), *foot][:rows]


def _leaves(page: KitchenController) -> Line:
    """`learned  days  forecasts`, the one that is shown bright."""
    out: Line = ()
    for leaf in LEAVES:
        out = (*out, (NAMES[leaf], "glow bold" if leaf == page.leaf else "soft"), ("   ", "ink"))
    return out


def _factors(page: KitchenController, cells: int) -> list[Line]:
    assert page.data is not None
    rows: list[Line] = []
    if not page.data["use"]:
        rows += wrap(tr("None of it is used in forecasts: u uses it again."), cells, "late")
    for text in example_lines(page.data["example"]):
        rows += wrap(text, cells, "ink bold")
    for one in page.data["factors"]:
        first, *does = factor_lines(one)
        rows += [EMPTY, *wrap(first, cells, "ink")]
        rows += [row for text in does for row in wrap(text.strip(), cells, "soft")]
    return rows


def _days(page: KitchenController, cells: int) -> list[Line]:
    rows = []
    for n, day in enumerate(page.days):
        here = n == page.at
        job = "glow bold" if here else "ink" if day["counts"] else "soft"
        date = f"{dated(local(day['at']), '%d %b %Y')}  " if cells >= WIDE else ""
        text = f"{'› ' if here else '  '}{date}{day_line(day)}"
        rows.append(clickable(fit(line(text, job), cells), f"#{n}"))
    return rows


def _forecasts(page: KitchenController, cells: int) -> list[Line]:
    assert page.data is not None
    return [row for text in forecast_lines(page.data) for row in wrap(text, cells, "ink")]


def _foot(page: KitchenController, cells: int, rows: int) -> list[Line]:
    drawn: list[Line] = []
    if page.asks:
        drawn += wrap(
            tr("Forget all days until now? Their records stay; they teach nothing any more."), cells, "late"
        )
        return [*drawn, *key_lines((("y", tr("forget them")), ("Esc", tr("keep them"))), cells)]
    if page.message:
        drawn += wrap(page.message, cells, "glow", most=2)
    keys: list[tuple[str, str]] = [("Tab", tr("turn")), ("Up Down", tr("move"))]
    if page.leaf == "days" and page.day is not None:
        keys.append(("f", tr("forget this day") if page.day["counts"] else tr("let it teach")))
    if page.data is not None and page.days:
        keys += [("u", tr("use none") if page.data["use"] else tr("use it")), ("a", tr("forget all"))]
    keys += [("Esc", tr("back")), ("e", tr("FIRE")), ("/", tr("help"))]
    return [*drawn, *key_lines(tuple(keys), cells, most=2 if rows > 14 else 1)]
