"""The settings as lines, from 40x12 up: rows to change, what is said of the last change, and where it is kept."""

from __future__ import annotations

from pathlib import Path

from pourday.language import tr, word
from pourday.text import plain
from pourday.tui.drawing.lines import EMPTY, Line, clickable, fit, keycap, line, listed, width, wrap
from pourday.tui.settings.controller import NOTE, SettingRow, SettingsController
from pourday.tui.terminal.signals import MARKS

LABEL = 24
"""Cells for the label of a row."""


def draw_settings(settings: SettingsController, cells: int, rows: int, alarm: str = "") -> list[Line]:
    """The whole screen."""
    head: list[Line] = [fit(line(tr("Settings"), "glow bold"), cells)]
    if rows >= 16:
        head.append(EMPTY)
    foot = _foot(settings, cells, rows, alarm)
    room = rows - len(head) - len(foot)
    body = _form(settings, cells, room)
    return [*head, *body, *[EMPTY] * (room - len(body)), *foot]


def _form(settings: SettingsController, cells: int, room: int) -> list[Line]:
    """The rows under their heads, scrolled so that the chosen one is in view."""
    drawn: list[Line] = []
    here = until = 0
    chosen = settings.row
    for index, row in enumerate(settings.rows()):
        if row.head:
            drawn += [*([EMPTY] if drawn else []), line(row.head, "soft")]
        if index == settings.at:
            here = len(drawn)
        rows = _row(settings, row, row == chosen and index == settings.at, cells)
        drawn += [clickable(each, f"#{index}") for each in rows]
        if index == settings.at:
            until = len(drawn)
    start = max(0, min(here - room // 2, len(drawn) - room))
    start = max(start, min(here, until - room))
    return drawn[start : start + room]


def _row(settings: SettingsController, row: SettingRow, chosen: bool, cells: int) -> list[Line]:
    """One setting with its value; a line of the file that does not count may take several rows."""
    mark, job = ("› ", "glow bold") if chosen else ("  ", "ink")
    if row.path.startswith(NOTE):
        rows = wrap(row.label, cells - 2, "glow bold" if chosen else "late")
        return [((mark if i == 0 else "  ", job), *text) for i, text in enumerate(rows)]
    label = LABEL if cells >= 60 else 18
    said = word(row.value) if row.kind == "choice" else row.value
    if row.path.startswith("keys."):
        said = keycap(said)
    value = said if settings.text is None or not chosen else settings.text + "▏"
    if chosen and settings.catching:
        value = tr("press the new key")
    shown = f"‹ {value} ›" if row.kind == "choice" and chosen else value
    key = row.path.startswith("keys.")
    told = not value if row.kind == "text" else chosen
    hint = row.hint if key or told else ""
    if chosen and settings.catching:
        hint = ""
    name = fit(line(row.label, "ink" if chosen else "soft"), label - 1)
    pieces: Line = ((mark, job), *name, (" ", "ink"), (shown, job))
    gap = "  " if shown else ""
    if hint and (key or width(pieces) + len(gap + hint) <= cells) and width(pieces) + 8 < cells:
        room = max(0, 10 - width(((shown, ""),))) if key else 0
        pieces = (*pieces, (" " * room + gap + hint, "soft"))
    return [fit(pieces, cells)]


def _foot(settings: SettingsController, cells: int, rows: int, alarm: str) -> list[Line]:
    """What is to be said, else where the settings are kept; then the keys."""
    most = 3 if rows < 16 else 2
    row = settings.row
    said = wrap(settings.message, cells, "ink" if settings.calm else "late", most)
    if not said and row.path.startswith("keys."):
        said = wrap(f"{row.label}: {row.hint}", cells, "soft", most)
    if not said:
        said = wrap(tr("Kept in {at_home}", at_home=_at_home(settings.loaded.path)), cells, "soft", most)
    if alarm:
        mark = MARKS["alarm"]
        said = [
            fit(
                line(
                    tr("{sign} {word}  {alarm} Esc goes back.", sign=mark.sign, word=mark.word, alarm=alarm),
                    "alarm bold",
                ),
                cells,
            ),
            *said[: most - 1],
        ]
    gap = [EMPTY] * (most - len(said)) if rows >= 16 else []
    rule: list[Line] = [line("─" * cells, "rule")] if rows >= 16 else []
    return [*rule, *gap, *said, listed(_keys(settings, row), cells)]


def _keys(settings: SettingsController, row: SettingRow) -> list[tuple[str, str]]:
    """What works now, the most needed first."""
    if settings.catching:
        return [("Esc", tr("leaves the key as it is"))]
    if settings.text is not None:
        return [("Enter", tr("saves")), ("Esc", tr("drops")), ("Up Down", tr("save and move"))]
    usual, back, move = ("Delete", tr("usual")), ("Esc", tr("back")), ("Up Down", tr("move"))
    if row.kind == "choice":
        return [("Left Right", tr("change")), back, move, usual, ("e", tr("FIRE")), ("/", tr("help"))]
    if row.path.startswith("keys."):
        return [("Enter", tr("new key")), back, usual, move, ("e", tr("FIRE")), ("/", tr("help"))]
    if row.kind == "act":
        return [move, back, ("Enter", tr("rings"))] if row.path.startswith("ring") else [move, back]
    return [(tr("type"), tr("to change")), back, move, usual, ("F1", tr("FIRE")), ("F2", tr("help"))]


def _at_home(path: Path) -> str:
    """The path, short where it lies at home."""
    try:
        return plain(f"~/{path.relative_to(Path.home())}", 200)
    except (ValueError, RuntimeError):
        return plain(str(path), 200)
