"""The settings screen: rows to change, what is said of the last change, and where it is kept."""

from __future__ import annotations

import os
from pathlib import Path

from pourday.text import plain
from pourday.tui.base import LineScreen
from pourday.tui.drawing.lines import EMPTY, Line, fit, line, listed, width, wrap
from pourday.tui.settings.controller import NOTE, SettingRow, SettingsController
from pourday.tui.terminal import endings as terminal
from pourday.tui.terminal.signals import MARKS

LABEL = 24


class SettingsScreen(LineScreen):
    HELP = "settings"

    def on_mount(self) -> None:
        usual = {"cells": terminal.usual_cells(os.environ)}
        self.desk = SettingsController(self.pourday.loaded, self.pourday.apply, self.pourday.ring, usual)

    def lines(self, cells: int, rows: int) -> list[Line]:
        return draw_settings(self.desk, cells, rows, self.pourday.signals.alarm)

    def typing(self) -> bool:
        return self.desk.catching or self.desk.row.kind == "text"

    def may_repeat(self, key: str, character: str | None) -> bool:
        row = self.desk.row
        if row.kind == "choice" and key in ("left", "right"):
            return not self.pourday.held.by_machine
        return (key == "enter" and row.kind != "act") or super().may_repeat(key, character)

    def pressed(self, key: str, character: str | None) -> None:
        self.desk.press(key, character)
        if self.desk.leaving:
            self.back()

    def tick(self) -> None:
        # An alarm of the stove behind this screen has to show here too.
        trouble = self.pourday.signals.program.trouble()
        if trouble:
            self.desk.message = trouble
        self.draw()

    def pasted(self, text: str) -> None:
        self.desk.paste(text)

    def leave(self) -> None:
        """Asked to end the whole program: what is typed is saved if it can be, and the screen below is asked."""
        self.desk.commit()
        self.back()

    def back(self) -> None:
        """To the screen below."""
        self.app.pop_screen()


def draw_settings(desk: SettingsController, cells: int, rows: int, alarm: str = "") -> list[Line]:
    """The whole screen."""
    head: list[Line] = [fit(line("Settings", "glow bold"), cells)]
    if rows >= 16:
        head.append(EMPTY)
    foot = _foot(desk, cells, rows, alarm)
    room = rows - len(head) - len(foot)
    body = _form(desk, cells, room)
    return [*head, *body, *[EMPTY] * (room - len(body)), *foot]


def _form(desk: SettingsController, cells: int, room: int) -> list[Line]:
    drawn: list[Line] = []
    here = until = 0
    chosen = desk.row
    for index, row in enumerate(desk.rows()):
        if row.head:
            drawn += [*([EMPTY] if drawn else []), line(row.head, "soft")]
        if index == desk.at:
            here = len(drawn)
        drawn += _row(desk, row, row == chosen and index == desk.at, cells)
        if index == desk.at:
            until = len(drawn)
    start = max(0, min(here - room // 2, len(drawn) - room))
    start = max(start, min(here, until - room))
    return drawn[start : start + room]


def _row(desk: SettingsController, row: SettingRow, chosen: bool, cells: int) -> list[Line]:
    mark, job = ("› ", "glow bold") if chosen else ("  ", "ink")
    if row.path.startswith(NOTE):
        rows = wrap(row.label, cells - 2, "glow bold" if chosen else "late")
        return [((mark if i == 0 else "  ", job), *text) for i, text in enumerate(rows)]
    label = LABEL if cells >= 60 else 18
    value = row.value if desk.text is None or not chosen else desk.text + "▏"
    if chosen and desk.catching:
        value = "press the new key"
    shown = f"‹ {value} ›" if row.kind == "choice" and chosen else value
    key = row.path.startswith("keys.")
    told = not value if row.kind == "text" else chosen
    hint = row.hint if key or told else ""
    if chosen and desk.catching:
        hint = ""
    name = fit(line(row.label, "ink" if chosen else "soft"), label - 1)
    pieces: Line = ((mark, job), *name, (" ", "ink"), (shown, job))
    gap = "  " if shown else ""
    if hint and (key or width(pieces) + len(gap + hint) <= cells) and width(pieces) + 8 < cells:
        room = max(0, 10 - width(((shown, ""),))) if key else 0
        pieces = (*pieces, (" " * room + gap + hint, "soft"))
    return [fit(pieces, cells)]


def _foot(desk: SettingsController, cells: int, rows: int, alarm: str) -> list[Line]:
    most = 3 if rows < 16 else 2
    row = desk.row
    said = wrap(desk.message, cells, "ink" if desk.calm else "late", most)
    if not said and row.path.startswith("keys."):
        said = wrap(f"{row.label}: {row.hint}", cells, "soft", most)
    if not said:
        said = wrap(f"Kept in {_at_home(desk.loaded.path)}", cells, "soft", most)
    if alarm:
        mark = MARKS["alarm"]
        said = [
            fit(line(f"{mark.sign} {mark.word}  {alarm} Esc goes back.", "alarm bold"), cells),
            *said[: most - 1],
        ]
    gap = [EMPTY] * (most - len(said)) if rows >= 16 else []
    rule: list[Line] = [line("─" * cells, "rule")] if rows >= 16 else []
    return [*rule, *gap, *said, listed(_keys(desk, row), cells)]


def _keys(desk: SettingsController, row: SettingRow) -> list[tuple[str, str]]:
    """What works now, the most needed first."""
    if desk.catching:
        return [("Esc", "leaves the key as it is")]
    if desk.text is not None:
        return [("Enter", "saves"), ("Esc", "drops"), ("Up Down", "save and move")]
    usual, back, move = ("Delete", "usual"), ("Esc", "back"), ("Up Down", "move")
    if row.kind == "choice":
        return [("Left Right", "change"), back, move, usual, ("/", "help")]
    if row.path.startswith("keys."):
        return [("Enter", "new key"), back, usual, move, ("/", "help")]
    if row.kind == "act":
        return [move, back, ("Enter", "rings")] if row.path.startswith("ring") else [move, back]
    return [("type", "to change"), back, move, usual, ("F1", "help")]


def _at_home(path: Path) -> str:
    """The path, short where it lies at home."""
    try:
        return plain(f"~/{path.relative_to(Path.home())}", 200)
    except (ValueError, RuntimeError):
        return plain(str(path), 200)
