"""Lines of styled text, the material every drawing is made of: pure, and easy to test as plain text.

A line is a tuple of (text, job) pieces; the theme turns jobs into colours at the very end. A job can also carry what a
click on its text stands for, behind ` @`: keys to press (`soft @enter`), what a binding has for its key (`glow @:look+a`),
or a row to stand on (`ink @#3`). So whatever moves, wraps or cuts a piece takes its target along.
"""

from __future__ import annotations

import sys
from collections.abc import Collection, Iterable, Sequence

from rich.cells import cell_len, set_cell_size

from pourday.language import word
from pourday.tui.terminal.keys import keys_of

Piece = tuple[str, str]
"""(text, job): the job, like `ink` or `glow bold`, says what a text is for; see `theme.style`."""
Line = tuple[Piece, ...]

EMPTY: Line = ()
TARGET = " @"
"""Between what a job is drawn in and what a click on it stands for."""
_HELD = "\ufffc"
"""Stands for a blank at which no line may be broken, while lines are broken."""


def line(text: str, job: str = "ink") -> Line:
    """One line of one piece; empty for an empty text."""
    return ((text, job),) if text else ()


def width(pieces: Line) -> int:
    """Terminal cells across."""
    return sum(len(text) if text.isascii() else cell_len(text) for text, _ in pieces)


def text_of(pieces: Line) -> str:
    """The line without its jobs."""
    return "".join(text for text, _ in pieces)


def target_of(job: str) -> str:
    """What a click on a text of this job stands for; empty where that is nothing."""
    return job.partition(TARGET)[2]


def clickable(pieces: Line, stands_for: str) -> Line:
    """The line with a target wherever a piece has none of its own."""
    if not stands_for:
        return pieces
    return tuple((text, job if TARGET in job else f"{job}{TARGET}{stands_for}") for text, job in pieces)


def target_at(pieces: Line, cell: int) -> str:
    """What a click on this cell of the line stands for."""
    at = 0
    for text, job in pieces:
        at += width(((text, job),))
        if cell < at:
            return target_of(job)
    return ""


def hint(shows: str, says: str = "", key_job: str = "ink bold", says_job: str = "soft") -> Line:
    """A key as it stands in a list of keys, and what it does: a click on either is the key.

    Of several keys (`Up Down`) each is a target of its own, and the words are none.
    """
    named, cap = keys_of(shows), keycap(shows)
    if len(named) == 1:
        return clickable(((cap, key_job), *(((f" {says}", says_job),) if says else ())), named[0])
    if len(named) != len(shows.split(" ")):
        return ((cap, key_job), *(((f" {says}", says_job),) if says else ()))
    pieces: list[Piece] = []
    for each, key in zip(cap.split(" "), named, strict=True):
        pieces += [*([(" ", key_job)] if pieces else []), (each, f"{key_job}{TARGET}{key}")]
    return (*pieces, *(((f" {says}", says_job),) if says else ()))


def keycap(shows: str) -> str:
    """What stands on the keys of a hint, on the keyboards of the person's language."""
    return " ".join(word(each) for each in shows.split(" "))


def tall(rows: Sequence[Line], common: Collection[str], high: int = 3) -> list[Line]:
    """The lines, the `common` targets of the last one reaching up over those above it that have none, for a knuckle.

    They reach half the gap to the next one, too: `high` rows, and as broad as there is room.
    """
    if not rows:
        return []
    *above, last = rows
    last = _broad(last, common)
    bare = [at for at in range(max(0, len(above) - high + 1), len(above)) if not _has_target(above[at])]
    drawn = list(above)
    for at in bare:
        drawn[at] = _under(above[at], last)
    return [*drawn, rows[-1]]


def _has_target(pieces: Line) -> bool:
    return any(TARGET in job for _, job in pieces)


def _broad(pieces: Line, common: Collection[str]) -> Line:
    """Only the `common` targets of a line, those blanks beside them included that are no part of another."""
    kept = tuple(
        (text, job if target_of(job) in common else job.partition(TARGET)[0]) for text, job in pieces
    )
    out: list[Piece] = []
    for at, (text, job) in enumerate(kept):
        before = target_of(kept[at - 1][1]) if at else ""
        if not text.strip() and TARGET not in pieces[at][1] and before:
            job = f"{job}{TARGET}{before}"
        out.append((text, job))
    return tuple(out)


def _under(pieces: Line, targets: Line) -> Line:
    """The line with the targets of another, cell by cell."""
    spans: list[tuple[int, str]] = []
    at = 0
    for text, job in targets:
        at += width(((text, job),))
        spans.append((at, target_of(job)))
    whole = fit(pieces, max(at, width(pieces)))
    spans.append((sys.maxsize, ""))
    out: list[Piece] = []
    cell = 0
    for text, job in whole:
        for rest in (text,) if text.isascii() else text:
            while rest:
                while spans[0][0] <= cell:
                    spans.pop(0)
                end, stands_for = spans[0]
                taken, rest = rest[: end - cell], rest[end - cell :]
                cell += width(((taken, ""),))
                job_there = f"{job}{TARGET}{stands_for}" if stands_for else job
                if out and out[-1][1] == job_there:
                    out[-1] = (out[-1][0] + taken, job_there)
                else:
                    out.append((taken, job_there))
    return tuple(out)


def fit(pieces: Line, cells: int) -> Line:
    """The line exactly so many cells wide: cut with an ellipsis, or filled with blanks.

    >>> fit((("liquid wax", "ink"),), 7)
    (('liquid…', 'ink'),)
    """
    if cells <= 0:
        return EMPTY
    across = width(pieces)
    if across <= cells:
        return (*pieces, (" " * (cells - across), "ink")) if across < cells else pieces
    out: list[Piece] = []
    room = cells - 1
    for text, job in pieces:
        size = cell_len(text)
        if size > room:
            out.append((set_cell_size(text, room).rstrip() + "…", job))
            break
        out.append((text, job))
        room -= size
    return fit(tuple(out), cells)


def wrap(text: str, cells: int, job: str = "ink", most: int | None = None) -> list[Line]:
    """The text broken between words into lines of at most so many cells.

    With `most` at most so many lines, the last one cut with an ellipsis where there would be more.
    """
    if most is not None and most < 1:
        return []
    rows: list[str] = []
    # A figure stays with its degree sign.
    for part in (w.replace(_HELD, " ") for w in text.replace(" °", f"{_HELD}°").split()):
        if rows and cell_len(rows[-1]) + 1 + cell_len(part) <= cells:
            rows[-1] += " " + part
        else:
            rows.append(part)
    if most is not None and len(rows) > most:
        rows = [*rows[: most - 1], " ".join(rows[most - 1 :])]
    return [fit(line(row, job), cells) if cell_len(row) > cells else line(row, job) for row in rows]


def sentences(text: str, cells: int, job: str, most: int) -> list[Line]:
    """The text in at most so many lines: all of it, or as many whole sentences of it as there is room for.

    None at all where not even the first sentence fits.
    """
    shown = text
    while len(wrap(shown, cells)) > most and ". " in shown.rstrip(". "):
        shown = shown[: shown.rstrip(". ").rindex(". ") + 1]
    rows = wrap(shown, cells, job)
    return rows if len(rows) <= most else []


def beside(left: Sequence[Line], right: Sequence[Line], left_cells: int, gap: int = 2) -> list[Line]:
    """Two blocks side by side, the left one `left_cells` wide, `gap` blanks between them."""
    rows = []
    for row in range(max(len(left), len(right))):
        a = left[row] if row < len(left) else EMPTY
        b = right[row] if row < len(right) else EMPTY
        rows.append((*fit(a, left_cells), (" " * gap, "ink"), *b) if b else a)
    return rows


def block(rows: Iterable[str], job: str) -> list[Line]:
    """A line for each text, all of one job."""
    return [line(row, job) for row in rows]


def joined(pieces: Iterable[Piece]) -> Line:
    """The pieces as a line, neighbours of one job as one piece: fewer segments to paint."""
    out: list[Piece] = []
    for text, job in pieces:
        if out and out[-1][1] == job:
            out[-1] = (out[-1][0] + text, job)
        else:
            out.append((text, job))
    return tuple(out)


def answer_key(key: str, label: str) -> str:
    """A key as it stands before the label of what it answers: `3`, or `3:` before a label that begins with a figure."""
    return f"{key}:" if key.isdigit() and label[:1].isdigit() else key


def listed(keys: Iterable[tuple[str, str]], cells: int, head: Line = (), between: int = 3) -> Line:
    """One line of (key, what it does), the most needed first, after `head`; what does not fit whole is left out."""
    pieces = head
    for key, short in keys:
        gap: Line = ((" " * between, "soft"),) if pieces and pieces is not head else EMPTY
        more: Line = (*pieces, *gap, *hint(key, short))
        if width(more) > cells:
            break
        pieces = more
    return fit(pieces, cells)


def key_lines(keys: tuple[tuple[str, str], ...], cells: int, most: int = 1) -> list[Line]:
    """(key, what it does), the most needed first, on at most so many lines; what does not fit is in the help."""
    drawn: list[Line] = [EMPTY]
    for key, says in keys:
        piece = hint(key, says)
        gap: Line = (("   ", "soft"),) if drawn[-1] else EMPTY
        if width(drawn[-1]) + width(gap) + width(piece) <= cells:
            drawn[-1] = (*drawn[-1], *gap, *piece)
        elif len(drawn) < most:
            drawn.append(fit(piece, min(cells, width(piece))))
        else:
            break
    return drawn
