"""The fire card: lies over whatever screen is there until a key puts it away."""

from __future__ import annotations

from pourday.guide.rescue.fire import (
    BURN_FIRST,
    BURN_MORE,
    BURN_SHORT,
    DEFERS,
    FIRE_MORE,
    FIRE_STEPS,
    FIRE_TITLE,
)
from pourday.language import tr
from pourday.tui.drawing.block_letters import block_rows, block_width
from pourday.tui.drawing.lines import EMPTY, Line, block, hint, line, sentences, wrap


def draw_fire(cells: int, rows: int) -> list[Line]:
    """The fire card: big, in order, nothing else on the screen. What to do about a burn as fully as there is room."""
    big = (
        block(block_rows(FIRE_TITLE, 3), "alarm")
        if block_width(FIRE_TITLE, 3) <= cells
        else [line(FIRE_TITLE, "alarm bold")]
    )
    drawn: list[Line] = [*big, EMPTY] if rows > 12 else [line(FIRE_TITLE, "alarm bold")]
    for number, step in enumerate(FIRE_STEPS, 1):
        drawn += wrap(f"{number}  {step}", cells, "ink bold")
        if rows > 30:
            drawn.append(EMPTY)
    room = rows - 1 - len(drawn)
    whole = [
        EMPTY,
        *wrap(FIRE_MORE, cells, "ink"),
        EMPTY,
        *wrap(tr("BURNS  {burn_first}", burn_first=BURN_FIRST), cells, "ink bold"),
        *(row for each in BURN_MORE for row in wrap(each, cells, "ink")),
        *wrap(DEFERS, cells, "soft"),
    ]
    short = wrap(f"{FIRE_MORE} {BURN_SHORT}", cells, "ink") + wrap(DEFERS, cells, "soft")
    if len(whole) <= room:
        drawn += whole
    elif len(short) <= room:
        drawn += short
    else:
        drawn += sentences(f"{BURN_SHORT} {FIRE_MORE}", cells, "ink", max(0, room))
    return [
        *drawn[: rows - 1],
        *[EMPTY] * (rows - 1 - len(drawn)),
        hint("Esc", tr("puts the card away"), "soft"),
    ]
