"""What is due with all candles: as text, as JSON, and as a calendar (RFC 5545)."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

from pourday.burn.due import CandleDue, end_of_cycle
from pourday.language import dated, tr
from pourday.text import plain
from pourday.times import clock, local

_LINE = 75
"""Octets of one line of a calendar file, RFC 5545 section 3.1."""


def due_text(rows: tuple[CandleDue, ...], now: float) -> list[str]:
    """A line for each: since when or from when, the candle, what, and why."""
    if not rows:
        return [tr("Nothing is due, and nothing cures. “pourday” plans a day.")]
    lines = []
    heads = ((tr("Now:"), True), (tr("To come:"), False))
    for head, is_due in heads:
        part = [row for row in rows if row.is_due(now) is is_due]
        if part:
            lines += [
                head,
                *(f"  {_when(row, now):<16} {row.says}  ({row.title}; {row.why})" for row in part),
            ]
    return lines


def _when(row: CandleDue, now: float) -> str:
    if row.what == "burning":
        return tr("out by {clock}", clock=clock(end_of_cycle(row), now))
    return f"{('since' if row.is_due(now) else 'from')} {dated(local(row.at), '%a %d %b')}"


def due_data(rows: tuple[CandleDue, ...], now: float) -> dict[str, Any]:
    """Plain data for `--json`; times as UTC."""
    return {
        "now": _utc(now).isoformat(),
        "due": [
            {
                "from": _utc(row.at).isoformat(),
                "due": row.is_due(now),
                "what": row.what,
                "candle": row.label,
                "batch": row.batch,
                "mould": row.letter,
                "title": row.title,
                "why": row.why,
            }
            for row in rows
        ],
    }


def due_calendar(rows: tuple[CandleDue, ...], now: float) -> str:
    """A calendar of RFC 5545: a whole day for each, or the hour for what is due within one.

    The same thing keeps its UID, so that importing the file again moves an entry and adds none.
    """
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//pourday//due//EN", "CALSCALE:GREGORIAN"]
    for row in rows:
        lines += [
            "BEGIN:VEVENT",
            f"UID:{row.batch}-{row.letter}-{row.what.replace(' ', '-')}@pourday",
            f"DTSTAMP:{_utc(now):%Y%m%dT%H%M%SZ}",
            *_span(row),
            f"SUMMARY:{_escaped(row.says)}",
            f"DESCRIPTION:{_escaped(f'{row.title}. {row.why}')}",
            "TRANSP:TRANSPARENT",
            "END:VEVENT",
        ]
    return "".join(f"{_folded(line)}\r\n" for line in [*lines, "END:VCALENDAR"])


def _span(row: CandleDue) -> tuple[str, str]:
    """From when to when: hours for a lit candle or one to be weighed, else the day, whose end does not belong to it."""
    if row.what in ("burning", "weigh cold"):
        end = end_of_cycle(row) if row.what == "burning" else row.at + 3600.0
        return f"DTSTART:{_utc(row.at):%Y%m%dT%H%M%SZ}", f"DTEND:{_utc(end):%Y%m%dT%H%M%SZ}"
    day = local(row.at).date()
    return f"DTSTART;VALUE=DATE:{day:%Y%m%d}", f"DTEND;VALUE=DATE:{day + timedelta(days=1):%Y%m%d}"


def _utc(t: float) -> datetime:
    return datetime.fromtimestamp(round(t), UTC)


def _escaped(text: str) -> str:
    """A text value, RFC 5545 section 3.3.11."""
    safe = plain(text, 500)
    for sign in ("\\", ";", ","):
        safe = safe.replace(sign, f"\\{sign}")
    return safe.replace("\n", "\\n")


def _folded(line: str) -> str:
    """A line in pieces of at most 75 octets, no sign cut in two, each after the first begun by a blank."""
    pieces, room = [""], _LINE
    for sign in line:
        size = len(sign.encode())
        if size > room:
            pieces.append("")
            room = _LINE - 1
        pieces[-1] += sign
        room -= size
    return "\r\n ".join(pieces)
