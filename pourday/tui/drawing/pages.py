"""Pages over the stove screen: a question that takes more than a line or two, and what is left of the day."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from rich.cells import cell_len

from pourday.errors import Trouble
from pourday.guide.acts.act import Question
from pourday.guide.advice.adviser import Advice
from pourday.guide.advice.still_to_weigh import revised_plan_lines, still_to_weigh
from pourday.guide.rescue.on_return import what_is_open
from pourday.language import tr
from pourday.tui.drawing.block_letters import block_rows, block_width
from pourday.tui.drawing.lines import EMPTY, Line, answer_key, block, clickable, fit, line, listed, wrap
from pourday.tui.terminal.keys import BY_ID, KeyMap, canonical

LONG = 150
"""Characters from which a question is read as a page."""
MANY = 7
"""Answers from which it is."""
LOW = 16
"""Rows below which a page has no room for blank lines."""
TITLE = 3
"""Rows of a title."""
USUAL = KeyMap()

Part = tuple[str, Sequence[str]]
"""A heading and its paragraphs."""


def is_page(question: Question) -> bool:
    """Whether a question is too long for the foot of the screen."""
    labels = sum(len(choice.label) for choice in question.choices)
    return len(question.asks) > LONG or len(question.choices) > MANY or labels > 2 * LONG


def draw_question(
    question: Question,
    message: str,
    head: Line,
    cells: int,
    rows: int,
    at: int = 0,
    keys: KeyMap = USUAL,
) -> tuple[list[Line], int]:
    """The question as a page, scrolled by `at` lines where it is too long, and how far it can be scrolled.

    One answer a line, or several where the window is low; answers stay in sight while the text scrolls.
    """
    first, *more = question.asks.split("\n")
    asks = wrap(first, cells, "ink bold" if more else "ink")
    asks += [row for part in more for row in wrap(part, cells, "ink")]
    remark = wrap(message, cells, "late", most=2) if message else []
    top = [head] if rows < LOW else [head, EMPTY]
    room = max(1, rows - len(top) - len(remark) - 1)
    gap = [] if rows < LOW else [EMPTY]
    answers = _answers(question, cells)
    if len(asks) + len(gap) + len(answers) > room:
        answers = _flowing(question, cells)
    text, fixed = (
        [*_title(question, cells, room - len(asks) - len(gap) - len(answers)), *asks],
        [*gap, *answers],
    )
    if len(text) + len(fixed) > room and len(fixed) > room - 3:
        text, fixed = [*asks, *answers], []
    most = max(0, len(text) - (room - len(fixed)))
    start = min(at, most)
    body = [*text[start : start + room - len(fixed)], *fixed]
    foot = _foot(keys, cells, ((tr("one key"), tr("answers")),) if answers else (), tr("back"), most > 0)
    return [*top, *body, *[EMPTY] * (room - len(body)), *remark, foot], most


def _title(question: Question, cells: int, spare: int) -> list[Line]:
    """What a page is about in block letters, where they have room and nothing else has to scroll for them."""
    if not question.title or spare < TITLE + 1 or block_width(question.title.upper(), TITLE) > cells:
        return []
    return [*block(block_rows(question.title.upper(), TITLE), "late"), EMPTY]


def _foot(keys: KeyMap, cells: int, first: Sequence[tuple[str, str]], leaves: str, scrolls: bool) -> Line:
    """The keys of a page, those of `first` among them.

    The fire card is there on any width, and the keys that scroll where there is more to read.
    """
    fire = (keys.shows(BY_ID["fire"]), BY_ID["fire"].short)
    esc = ("Esc", leaves)
    return listed((("Up Down", tr("more")), fire, esc, *first) if scrolls else (*first, esc, fire), cells)


def _answers(question: Question, cells: int) -> list[Line]:
    """The answers, each on a line of its own or more."""
    rows: list[Line] = []
    for choice in question.choices:
        first, *more = wrap(choice.label, max(8, cells - 5), "ink") or [EMPTY]
        drawn: list[Line] = [((f" {choice.key}   ", "glow bold"), *first)]
        drawn += [(("     ", "ink"), *row) for row in more]
        rows += [clickable(fit(row, cells), canonical(choice.key)) for row in drawn]
    return rows


def _flowing(question: Question, cells: int) -> list[Line]:
    """The answers one after the other, several to a line, for a low window."""
    rows: list[Line] = []
    used = cells
    for choice in question.choices:
        key = f" {answer_key(choice.key, choice.label)} "
        wide = cell_len(key + choice.label) + 1
        if used + wide > cells:
            first, *more = wrap(choice.label, max(8, cells - len(key)), "ink") or [EMPTY]
            stands_for = canonical(choice.key)
            rows.append(clickable(((key, "glow bold"), *first, (" ", "ink")), stands_for))
            rows += [clickable(((" " * len(key), "ink"), *row), stands_for) for row in more]
            used = cells if more else wide
        else:
            flowing: Line = ((key, "glow bold"), (choice.label + " ", "ink"))
            rows[-1] = (*rows[-1], *clickable(flowing, canonical(choice.key)))
            used += wide
    return [fit(row, cells) for row in rows]


def day_parts(advice: Advice, now: float) -> tuple[Part, ...]:
    """What is left of the day: where it stands, what is to weigh, and how the plan changed."""
    state, outlook = advice.state, advice.outlook
    opened: Sequence[str] = ()
    if outlook is not None and state.fixed_plan is not None:
        opened = what_is_open(state, outlook, now, advice.acts).lines
    return (
        (tr("Where it stands now"), opened),
        (tr("Still to weigh"), _or_why(lambda: still_to_weigh(state))),
        (tr("The plan as it began, and now"), _or_why(lambda: revised_plan_lines(state))),
    )


def _or_why(make: Callable[[], Sequence[str]]) -> Sequence[str]:
    """The lines, or the sentence that says why there are none."""
    try:
        return make()
    except Trouble as trouble:
        return (str(trouble),)


def draw_paper(
    title: str, parts: Sequence[Part], cells: int, rows: int, at: int, keys: KeyMap = USUAL
) -> tuple[list[Line], int]:
    """(exactly `rows` lines, how far they can be scrolled) of a page to read, scrolled by `at` lines."""
    text: list[Line] = []
    for heading, lines in parts:
        if lines:
            text += [
                line(heading, "glow"),
                *(row for each in lines for row in wrap(each, cells, "ink")),
                EMPTY,
            ]
    text = text[:-1] or [line(tr("Nothing."), "soft")]
    room = max(1, rows - 3)
    most = max(0, len(text) - room)
    shown = text[min(at, most) :][:room]
    return [
        fit(line(title, "glow bold"), cells),
        EMPTY,
        *shown,
        *[EMPTY] * (room - len(shown)),
        _foot(keys, cells, (), tr("back"), most > 0),
    ], most
