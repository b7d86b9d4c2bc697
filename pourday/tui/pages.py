"""Pages over the stove screen: a question that takes more than a line or two, and what is still to weigh."""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len

from pourday.guide.act import Question
from pourday.tui.lines import EMPTY, Line, fit, line, wrap

LONG = 150
"""Characters from which a question is read as a page."""
MANY = 7
"""Answers from which it is."""


def is_page(question: Question) -> bool:
    """Whether a question is too long for the foot of the screen."""
    labels = sum(len(choice.label) for choice in question.choices)
    return len(question.asks) > LONG or len(question.choices) > MANY or labels > 2 * LONG


def draw_question(question: Question, message: str, head: Line, cells: int, rows: int) -> list[Line]:
    """The question as a page: its text, then one answer a line, or several where the window is low."""
    asks = [row for part in question.asks.split("\n") for row in wrap(part, cells, "ink")]
    said = wrap(message, cells, "late", most=2) if message else []
    room = rows - 3 - len(said)
    answers = _answers(question, cells)
    if len(asks) + 1 + len(answers) > room:
        answers = _flowing(question, cells)
    asks = asks[: max(1, room - 1 - len(answers))]
    body = [*asks, EMPTY, *answers][:room]
    keys = line("one key answers   Esc leaves it   e FIRE", "soft")
    return [head, EMPTY, *body, *[EMPTY] * (room - len(body)), *said, fit(keys, cells)]


def _answers(question: Question, cells: int) -> list[Line]:
    rows: list[Line] = []
    for choice in question.choices:
        first, *more = wrap(choice.label, max(8, cells - 5), "ink")
        rows.append(((f" {choice.key}   ", "glow bold"), *first))
        rows += [(("     ", "ink"), *row) for row in more]
    return rows


def _flowing(question: Question, cells: int) -> list[Line]:
    rows: list[Line] = [EMPTY]
    used = 0
    for choice in question.choices:
        wide = cell_len(choice.label) + 4
        if used and used + wide > cells:
            rows.append(EMPTY)
            used = 0
        rows[-1] = (*rows[-1], (f" {choice.key} ", "glow bold"), (choice.label + " ", "ink"))
        used += wide
    return [fit(row, cells) for row in rows]


def draw_paper(
    title: str, parts: Sequence[tuple[str, Sequence[str]]], cells: int, rows: int, at: int
) -> tuple[list[Line], int]:
    """A page to read: titled paragraphs, scrolled by `at` lines. Also returns how far it can be scrolled."""
    text: list[Line] = []
    for heading, lines in parts:
        if lines:
            text += [line(heading, "glow"), *(row for each in lines for row in wrap(each, cells, "ink")), EMPTY]
    room = rows - 3
    most = max(0, len(text) - room)
    shown = text[min(at, most) :][:room]
    more = "Up Down more   " if most else ""
    return [
        fit(line(title, "glow bold"), cells),
        EMPTY,
        *shown,
        *[EMPTY] * (room - len(shown)),
        fit(line(f"{more}Esc back   e FIRE", "soft"), cells),
    ], most
