"""The shelf as a list: a line a session, plain data, and a table for a spreadsheet."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pourday.errors import Trouble
from pourday.language import tr, word
from pourday.reports.spreadsheet import cell
from pourday.shelf.card import DayCard, about_card, words_in
from pourday.shelf.search import Search, matches
from pourday.store.library import Summary
from pourday.times import local, utc_text

NO_CARD = DayCard(session="")
COLUMNS = (
    "session", "title", "stage", "demo", "started_utc", "last_utc", "moulds", "colours", "waxes", "lots", "scents", "dyes", "wicks",
    "mould_sizes", "off", "faults", "no_fault", "tested", "verdict", "parent", "change", "trouble",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Listed:
    """One session of a list: what the library says of it, and its card."""

    summary: Summary
    card: DayCard
    """`NO_CARD` of a session that cannot be read."""


def listed(
    summaries: Iterable[Summary],
    cards: Mapping[str, DayCard],
    search: Search,
    words: Mapping[str, str] | None = None,
) -> list[Listed]:
    """Those of the sessions that are looked for, in their order; records of candles belong to their batch.

    `words` is the `hay` of each card by its session, where that is known already. Of a session that has no card, its
    name and what is wrong with it are looked through.
    """
    words = words or {}
    rows = []
    for summary in summaries:
        if summary.batch:
            continue
        card = cards.get(summary.session, NO_CARD)
        fits = (
            matches(search, card, words.get(summary.session))
            if card is not NO_CARD
            else matches(search, NO_CARD, " " + " ".join(words_in(f"{summary.session} {summary.title} {summary.trouble}")))
        )  # fmt: skip
        if fits:
            rows.append(Listed(summary, card))
    return rows


def list_line(row: Listed) -> str:
    """One session in a line: its name, how far it is, when something last happened, and what tells it from others."""
    summary = row.summary
    if summary.trouble:
        return tr(
            "{session:<20} cannot be opened: {trouble}", session=summary.session, trouble=summary.trouble
        )
    last = f"{local(summary.last):%Y-%m-%d %H:%M}" if summary.last else "-"
    demo = tr("  demo") if summary.demo else ""
    tells = "; ".join(part for part in (summary.title, about_card(row.card)) if part)
    return f"{summary.session:<20} {word(summary.stage):<9} {last}  {tells}{demo}"


def list_data(rows: Sequence[Listed]) -> dict[str, Any]:
    """Plain data for `--json`; times as UTC."""
    return {"sessions": [_data(row) for row in rows]}


def _data(row: Listed) -> dict[str, Any]:
    """One session as plain data."""
    summary, card = row.summary, row.card
    return {
        "session": summary.session,
        "title": summary.title,
        "stage": summary.stage,
        "demo": summary.demo,
        "started_utc": _utc(summary.started),
        "last_utc": _utc(summary.last),
        "moulds": summary.moulds,
        "colours": list(card.colours),
        "waxes": list(card.waxes),
        "lots": list(card.lots),
        "scents": list(card.scents),
        "dyes": list(card.dyes),
        "wicks": list(card.wicks),
        "mould_sizes": list(card.moulds),
        "off": list(card.off),
        "faults": list(card.faults),
        "no_fault": card.no_fault,
        "tested": card.tested,
        "verdict": summary.verdict,
        "parent": card.parent,
        "change": card.change,
        "trouble": summary.trouble,
    }


def list_csv(rows: Sequence[Listed]) -> bytes:
    """A row a session, UTF-8 with a byte order mark; no text of it is a formula (see `reports/spreadsheet.py`)."""
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, COLUMNS)
    writer.writeheader()
    for row in rows:
        values = {
            key: ", ".join(value) if isinstance(value, list) else value for key, value in _data(row).items()
        }
        writer.writerow({key: cell(value) for key, value in values.items()})
    return text.getvalue().encode("utf-8-sig")


def _utc(t: float | None) -> str | None:
    """A time, seconds since the epoch, as UTC in ISO 8601."""
    return None if t is None else utc_text(t)


def refuse_nothing(rows: Sequence[Listed], words: str) -> None:
    """Raises `Trouble` where `rows` is empty although `words` were looked for."""
    if not rows:
        raise Trouble(
            tr("No session has all of “{words}”.", words=words),
            instead=tr("Leave a word out, or “pourday list” alone shows every one."),
        )
