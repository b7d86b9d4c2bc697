"""The stock as lines, from 40x12 up: each lot a row, about the chosen one a few sentences, and the line that is typed."""

from __future__ import annotations

from pourday.language import dated, tr
from pourday.reports.stock_report import name_words, reclaimed_words, uncounted_words
from pourday.stock.amounts import amount_words, price_words
from pourday.stock.balance import LotBalance
from pourday.times import local
from pourday.tui.drawing.lines import EMPTY, Line, clickable, fit, line, wrap
from pourday.tui.line_list.layout import list_foot, list_row
from pourday.tui.stock.controller import StockController

TITLE = tr("Wax, scent, dye and wick: what is there")
HOW = tr("Type what came: add wax palm 10 kg lot A12 paid 64. Or what you counted: scent orange 85 g.")
WIDE = 60
"""Cells from which a row has room for what is reserved."""


def draw_stock(page: StockController, cells: int, rows: int) -> list[Line]:
    """The whole screen, exactly `rows` lines."""
    how = wrap(HOW, cells, "soft", most=2)
    foot = list_foot(page, _about(page, cells, rows), how, tr("correct it"), cells)
    head = [fit(line(TITLE, "glow bold"), cells), *([EMPTY] if rows > 14 else [])]
    body, at = _body(page, cells)
    room = max(1, rows - len(head) - len(foot))
    start = max(0, min(at - room // 2, len(body) - room))
    shown = body[start : start + room]
    return [*head, *shown, *[EMPTY] * (room - len(shown)), *foot][:rows]


def _body(page: StockController, cells: int) -> tuple[list[Line], int]:
    """A row a lot under the name of its kind, then what nobody counted; and the number of the chosen row."""
    drawn: list[Line] = []
    at, kind = 0, ""
    for number, each in enumerate(page.rows):
        if each.lot.kind != kind:
            kind = each.lot.kind
            drawn += [*([EMPTY] if drawn else []), line(f"  {kind.capitalize()}", "soft")]
        chosen = number == page.at
        at = len(drawn) if chosen else at
        drawn.append(clickable(_row(page, each, chosen, cells), f"#{number}"))
    if page.stock.uncounted:
        drawn += [
            *([EMPTY] if drawn else []),
            line(tr("  Used or planned by days, and never counted"), "soft"),
        ]
        drawn += [
            fit(line(f"  {uncounted_words(each, page.units, page.names)}", "late"), cells)
            for each in page.stock.uncounted
        ]
    return drawn or wrap(tr("Nothing was counted yet."), cells, "ink"), at


def _row(page: StockController, each: LotBalance, chosen: bool, cells: int) -> Line:
    lot, job = each.lot, "glow bold" if chosen else "ink"
    about = "" if each.sure else "~"
    there = f"{about}{amount_words(each.there, lot.unit, page.units)}"
    reserved = (
        tr("  {amount_words} reserved", amount_words=amount_words(each.reserved, lot.unit, page.units))
        if each.reserved and cells >= WIDE
        else ""
    )
    right: Line = (
        (there, "late" if each.free < 0 else job),
        (reserved, "soft"),
        (tr("  use first") if lot.use_first else "", "glow"),
    )
    name = name_words(lot.kind, lot.product, page.names) + (f", {lot.lot}" if lot.lot else "")
    return list_row(name, right, cells, chosen=chosen)


def _about(page: StockController, cells: int, rows: int) -> list[Line]:
    """The chosen lot in a few sentences."""
    each = page.chosen
    if each is None:
        return []
    lot = each.lot
    said = [
        tr(
            "counted {when}: {amount_words}",
            when=dated(local(lot.counted_at), "%d %b %Y"),
            amount_words=amount_words(lot.counted, lot.unit, page.units),
        )
    ]
    said += (
        [
            tr(
                "came since: {amount_words}",
                amount_words=amount_words(lot.came - lot.counted, lot.unit, page.units),
            )
        ]
        if lot.deliveries
        else []
    )
    said += [price_words(lot.price, lot.unit, page.units)] if lot.price is not None else []
    said += (
        [tr("a pack has {amount_words}", amount_words=amount_words(lot.pack, lot.unit, page.units))]
        if lot.pack
        else []
    )
    days = [
        f"{use.session} {amount_words(use.amount, lot.unit, page.units)}{('' if use.over else tr(' reserved'))}"
        for use in each.uses
    ]
    said += (
        [
            tr("taken by {days}", days=", ".join(days[-3:]))
            + (tr(" and {count} more", count=len(days) - 3) if len(days) > 3 else "")
        ]
        if days
        else []
    )
    if each.there < 0:
        said.append(tr("more was taken than was ever counted: count it"))
    drawn = wrap(
        " · ".join([*said, *([lot.note] if lot.note else [])]), cells, "soft", most=2 if rows < 24 else 3
    )
    for sentence in reclaimed_words(each, page.units) if rows >= 20 else []:
        drawn += wrap(sentence, cells, "soft", most=2)
    return drawn
