"""What is read across the kitchen, in block letters as far as there is room: the word of the moment, what it waits for,
the burner, and the two numbers.
"""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len

from pourday.guide.acts.act import Act
from pourday.guide.advice.adviser import Advice
from pourday.guide.advice.degrees import Number
from pourday.guide.advice.now import Now
from pourday.language import tr, word
from pourday.session.alarm_words import ALARM_WORDS
from pourday.times import span
from pourday.tui.drawing.block_letters import block_rows, block_width
from pourday.tui.drawing.lines import (
    EMPTY,
    Line,
    beside,
    block,
    clickable,
    fit,
    line,
    text_of,
    width,
    wrap,
)

Block = list[Line]
"""Lines that stand under each other."""
LEAST_WORDS = 9
"""Cells that a big number leaves at least for the words beside it."""
NEXT_GAP, BURNER_GAP = 4, 3
"""Cells between WAIT and what it waits for, and before the burner."""
DONE, HEAT = ":done", ":heat"
"""What a click on the word does, and one on the burner."""
BURNER_LETTERS = {"unknown": "?"}
"""What stands in block letters for a burner, where that is not its state."""


def word_rows(first: Now, advice: Advice, size: int, cells: int) -> Block:
    """The word, what it waits for, and how the burner stands, all in block letters as far as there is room.

    Where there is no room for all three, what is waited for is cut to its first word. A lit burner goes before what is
    waited for, which the sentence says as well; a burner that is off goes after it.
    """
    burner = _burner_big(advice)
    off = advice.state.burner == "off"
    what = first.next.partition(" ")[0]
    second_choices = ((first.next, []), (what, []), ("", burner)) if off else (("", burner), (first.next, []))
    for next_word, at_right in ((first.next, burner), (what, burner), *second_choices):
        left = cells - (width(at_right[0]) + BURNER_GAP if at_right else 0)
        for letters in sorted({size, 3}, reverse=True):
            behind = NEXT_GAP + block_width(next_word, letters) if next_word else 0
            if block_width(first.word, letters) + behind <= left:
                word = [
                    clickable(row, DONE) for row in _big(first.word, letters, word_job(first.act).split()[0])
                ]
                return _beside_word(word, next_word, at_right, cells, size)
    return [clickable(row, DONE) for row in _word(first.word, first.act, size, cells)]


def _beside_word(word: Sequence[Line], next_word: str, burner: Block, cells: int, size: int) -> Block:
    """The word with what it waits for behind it and the burner at the right, `size` rows in all."""
    letters = len(word)
    rows = list(word)
    if next_word:
        rows = beside(rows, _big(next_word, letters, "soft"), max(map(width, rows)), gap=NEXT_GAP)
    if burner:
        rows = beside(rows, burner, cells - width(burner[0]), gap=0)
    return [*rows, *[EMPTY] * (size - len(rows))]


def _burner_big(advice: Advice) -> Block:
    """How the burner stands, in letters that can be read across the kitchen, behind a bar.

    Nothing before it was lit first, and once the candles only cure.
    """
    state = advice.state.burner
    if state == "off" and (not advice.state.burner_spans or advice.state.stage in ("cure", "finished")):
        return []
    job = burner_job(state)
    rows = _big(_burner_letters(state), 3, job.split()[0])
    label = tr("burner ")
    named = [line(label if at == len(rows) // 2 else " " * len(label), "soft") for at in range(len(rows))]
    return [clickable((*name, ("▌ ", job), *row), HEAT) for name, row in zip(named, rows, strict=True)]


def _burner_letters(state: str) -> str:
    """What stands in block letters beside the burner."""
    return BURNER_LETTERS.get(state, word(state).upper())


def burner_job(state: str) -> str:
    """How a state of the burner is drawn: any but off is heat."""
    return {"off": "soft", "unknown": "late bold"}.get(state, "glow bold")


def alarm_bar(advice: Advice, now: float, cells: int, word: Block) -> Line:
    """A row all across, for what has to be seen from far: alarms, else a burner whose letters had no room; else empty."""
    state = advice.state
    if state.alarms:
        names = ", ".join(ALARM_WORDS.get(name, name) for name in sorted(state.alarms))
        return clickable(_across(tr("ALARM: {names}", names=names), "▲", cells, "alarm bold"), ":ack")
    if state.burner == "off" or any("burner" in text for row in word for text, _ in row):
        return EMPTY
    says = tr(
        "burner {get} {span}",
        get=_burner_letters(state.burner),
        span=span(now - state.burner_since),
    )
    return clickable(_across(says, "▀", cells, burner_job(state.burner)), HEAT)


def _across(says: str, sign: str, cells: int, job: str) -> Line:
    """A row of signs with words in its middle."""
    sides = max(0, cells - cell_len(says) - 2)
    return fit(line(f"{sign * (sides // 2)} {says} {sign * (sides - sides // 2)}", job), cells)


def _word(word: str, act: Act, size: int, cells: int) -> Block:
    """The word alone, as large as there is room; in the small letters of a line where there is none, `size` rows in all."""
    job = word_job(act)
    wanted = size
    if block_width(word, size) > cells:
        size = 3
    if block_width(word, size) > cells:
        return [fit(line(word, job), cells)] + [EMPTY] * (wanted - 1)
    return list(_big(word, size, job.split()[0]))


def word_job(act: Act) -> str:
    """How a word is drawn that is not in block letters."""
    return f"{'alarm' if act.kind == 'alarm' else 'ink' if act.kind == 'wait' else 'glow'} bold"


def _big(text: str, size: int, job: str) -> tuple[Line, ...]:
    """Text in block letters."""
    return tuple(block(block_rows(text, size), job))


def number_rows(first: Now, size: int, cells: int) -> Block:
    """The two numbers in block letters beside each other, `size` rows high."""
    half = cells // 2
    left = _number(first.degrees, size, half - 1, "ink")
    right = _number(first.time, size, cells - half - 1, "late" if first.time.late else "ink")
    return beside(left, right, half - 1)


def _number(number: Number, size: int, cells: int, job: str) -> Block:
    """Big digits with their small words to the right."""
    wide = block_width(number.text, size) if number.text else 0
    if wide + 8 > cells and size == 5:
        return [*_number(number, 3, cells, job)]
    words = wrap(number.label, cells - wide - 2, "soft", most=size)
    words = [EMPTY] * ((size - len(words)) // 2) + words
    big = _big(number.text, size, job) if number.text else ()
    return beside(big, words, wide)


def numbers_line(first: Now, cells: int, job: str) -> Line:
    """The two numbers in a line, each with its words as far as there is room: a temperature says of what."""
    degrees, time = (f"{each.text} {each.label}".strip() for each in (first.degrees, first.time))
    short = f"{first.degrees.text} {first.degrees.label.partition(',')[0]}".strip()
    for left, right in (
        (degrees, time),
        (short, time),
        (short, first.time.text),
        (first.degrees.text, first.time.text),
    ):
        if cell_len(f"{left}   {right}") <= cells:
            return line(f"{left}   {right}".strip(), job)
    return line(f"{first.degrees.text}   {first.time.text}".strip(), job)


def numbers_beside(first: Now, cells: int) -> Block:
    """The two numbers in block letters with as much of their words as there is room for; no rows where the
    temperature would not say of what."""
    wide = [block_width(each.text, 3) if each.text else 0 for each in (first.degrees, first.time)]
    spare = cells - sum(wide) - 3
    # The words of the temperature come first; what they leave is for those of the time.
    words = _words_beside(first.degrees.label, max(spare // 2, min(spare, LEAST_WORDS)) - 1)
    if first.degrees.text and not words:
        return []
    spare -= max((width(row) + 1 for row in words), default=0)
    left = beside(_big(first.degrees.text, 3, "ink") if first.degrees.text else (), words, wide[0], gap=1)
    job = "late" if first.time.late else "ink"
    right = beside(
        _big(first.time.text, 3, job) if first.time.text else (),
        _words_beside(first.time.label, spare - 1),
        wide[1],
        gap=1,
    )
    return beside(left, right, max((width(row) for row in left), default=0), gap=3)


def _words_beside(label: str, cells: int) -> Block:
    """The words of a big number beside its three rows: whole, else up to the first comma, else the first of them."""
    for words in (label, label.partition(",")[0], label.split(" ")[0]):
        rows = wrap(words, cells, "soft") if words and cells > 0 else []
        if rows and len(rows) <= 3 and "…" not in "".join(map(text_of, rows)):
            return rows
    return []
