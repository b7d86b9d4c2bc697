"""Help as a card over a screen: the keys that work right now, then why things are done; turned over page by page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rich.cells import cell_len

from pourday.language import tr
from pourday.tui.drawing.help_text import Page
from pourday.tui.drawing.lines import EMPTY, Line, fit, hint, keycap, line, wrap
from pourday.tui.terminal.keys import BINDINGS, BY_ID, OVER_QUESTIONS, KeyMap

if TYPE_CHECKING:
    # Only named here: the guide behind it would be loaded before the first paint.
    from pourday.guide.acts.act import Choice

WIDE = 72
"""From so many cells on, keys are explained in sentences; below, in a word or two."""
BROADEST = 96
"""Longer lines are hard to read from afar."""


@dataclass(frozen=True, slots=True)
class HelpKey:
    """A key as help lists it."""

    shows: str
    """As it is written on the keyboard."""
    short: str
    """What it does, in a word or two,"""
    says: str
    """and in a sentence."""


@dataclass(frozen=True, slots=True)
class Moment:
    """What the stove is in the middle of."""

    writing: bool = False
    pending: bool = False
    """Digits are typed and not filed."""
    choices: tuple[Choice, ...] = ()
    """Answers to the question that is asked."""
    alarm: bool = False
    """One that nobody acknowledged yet."""
    agenda: bool = True
    demo: bool = False
    looking: bool = False
    """The session can only be looked at, or is finished."""


def working(moment: Moment, keys: KeyMap) -> list[HelpKey]:
    """The keys that do something at this moment, in the order of their weight."""

    def named(*ids: str) -> list[HelpKey]:
        return [HelpKey(keys.shows(BY_ID[i]), BY_ID[i].short, BY_ID[i].says) for i in ids]

    digits = HelpKey("0-9", tr("reading"), tr("start a reading; c or f choose its unit"))
    if moment.writing:
        drop = HelpKey("Esc", tr("drop"), tr("drop what is written"))
        fire = HelpKey("F1", tr("FIRE"), BY_ID["fire"].says)
        return [HelpKey("letters", tr("write"), tr("are written down")), *named("file", "rub"), drop, fire]
    if moment.pending:
        drop = HelpKey("Esc", tr("drop"), tr("drop what is typed"))
        unit = HelpKey("c  f", tr("unit"), tr("the unit of what is typed: Celsius or Fahrenheit"))
        more = HelpKey("0-9 . ,", tr("digits"), tr("go on typing; point and comma are the same"))
        where = HelpKey(
            "p j s w b r",
            tr("where"),
            tr(
                "read in the pot, a jug (each has a letter, shown beside the digits), on a surface, a weight, bath, room"
            ),
        )
        return [
            *named("file"),
            drop,
            where,
            *named("place"),
            unit,
            *named("rub"),
            more,
            *named("fire", "help"),
        ]
    if moment.choices:
        answers = [HelpKey(c.key, c.label, c.label) for c in moment.choices]
        drop = HelpKey("Esc", tr("back"), tr("one step back; the question stays unanswered"))
        return [*answers, drop, digits, *named("fire", *OVER_QUESTIONS, "help")]
    if moment.looking:
        return named("up", "down", "view", "fire", "settings", "help", "leave")
    hidden = {"file", "rub", *(() if moment.alarm else ("ack",)), *(() if moment.agenda else ("up", "down"))}
    # On the first page at every size: what is most common, and what cannot wait.
    shown = sorted(
        (b.id for b in BINDINGS if b.id not in hidden), key=("done", "fire").__contains__, reverse=True
    )
    if moment.alarm:
        shown = ["ack", *(i for i in shown if i != "ack")]
    demo = (
        HelpKey("p  [  ]", tr("demo speed"), tr("demo: pause, slower, faster")),
        HelpKey("y", tr("demo hands"), tr("demo: your hands, or it plays itself")),
    )
    return [digits, *named(*shown), *(demo if moment.demo else ())]


def draw_help(page: Page, title: str, keys: Sequence[HelpKey], cells: int, rows: int, at: int) -> list[Line]:
    """Exactly `rows` lines of help, turned to page `at`; the last page where there is none of that number."""
    leaves = help_leaves(page, title, keys, cells, rows)
    at = max(0, min(at, len(leaves) - 1))
    body = leaves[at]
    turn = hint("Up Down", tr("turn"), "soft", "soft") if len(leaves) > 1 else EMPTY
    head = (*line(f"{at + 1}/{len(leaves)} ", "soft"), *turn, (" · ", "soft")) if turn else EMPTY
    foot = fit((*head, *hint("Esc", tr("puts this away"), "soft", "soft")), cells)
    return [*body, *[EMPTY] * (rows - 1 - len(body)), foot][-rows:]


def help_leaves(page: Page, title: str, keys: Sequence[HelpKey], cells: int, rows: int) -> list[list[Line]]:
    """The pages of help at this size: first the keys, then the reasons, no paragraph cut where one page can hold it."""
    room = max(1, rows - 1)
    leaves = _keys(title, keys, cells, room)
    width = min(cells, BROADEST)
    # The reasons begin below the keys where there is room for one of them, else on a page of their own.
    current = leaves.pop()
    for index, (heading, text) in enumerate(page.parts):
        part = [*wrap(heading, width, "ink bold"), *wrap(text, width, "soft")]
        if index == 0:
            part = [line(page.title, "glow bold"), *part]
        gap = [EMPTY] if index == 0 or room > 14 else []
        if current and len(current) + len(gap) + len(part) > room:
            leaves.append(current)
            current, gap = [], []
        current += [*gap, *(fit(row, cells) for row in part)]
        while len(current) > room:  # a paragraph longer than a page
            leaves.append(current[:room])
            current = current[room:]
    return [*leaves, current] if current else leaves


def _keys(title: str, keys: Sequence[HelpKey], cells: int, room: int) -> list[list[Line]]:
    """The pages of keys, each at most `room` lines with its title; in two columns where they are wide or many."""
    label = max((cell_len(keycap(k.shows)) for k in keys), default=1)
    two = cells >= 100 or len(keys) > room - 1
    drawn = _in_two(keys, label, cells) if two else _in_one(keys, label, cells)
    step = max(1, room - 1)
    head = line(title, "glow bold")
    return [[head, *drawn[top : top + step]] for top in range(0, max(1, len(drawn)), step)]


def _right(text: str, cells: int) -> str:
    """The text at the right end of so many cells."""
    return " " * (cells - cell_len(text)) + text


def _in_one(keys: Sequence[HelpKey], label: int, cells: int) -> list[Line]:
    drawn: list[Line] = []
    for key in keys:
        says = wrap(key.says if cells >= WIDE else key.short, max(8, cells - label - 2), "soft")
        for index, row in enumerate(says):
            shows = keycap(key.shows) if index == 0 else ""
            drawn.append(fit(((f"{_right(shows, label)}  ", "ink bold"), *row), cells))
    return drawn


def _in_two(keys: Sequence[HelpKey], label: int, cells: int) -> list[Line]:
    cell = (cells - 2) // 2
    drawn: list[Line] = []
    for index in range(0, len(keys), 2):
        row: Line = ()
        for key in keys[index : index + 2]:
            says = key.says if label + 2 + cell_len(key.says) < cell else key.short
            shows = _right(keycap(key.shows), label)
            row = (*row, *fit(((f"{shows}  ", "ink bold"), (says, "soft")), cell))
        drawn.append(row)
    return drawn
