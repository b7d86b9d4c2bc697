"""Cards that lie over the stove screen until a key puts them away: fire, and the keys."""

from __future__ import annotations

from pourday.tui.block_letters import block_rows, block_width
from pourday.tui.keys import BINDINGS
from pourday.tui.lines import EMPTY, Line, block, fit, line, wrap

FIRE_STEPS = (
    "HEAT OFF, if you can reach it.",
    "LID ON: slide a lid or tray over, from your side away.",
    "LEAVE IT COVERED until it is cold. Do not move the pot.",
    "NO WATER. It throws burning wax.",
    "OUT AND CALL the emergency services if it is not small.",
)
FIRE_MORE = (
    "A powder or CO2 extinguisher only with the way out behind you. Burns: cool running tap water for 20 minutes. "
    "Local rules and the emergency services outrank this card."
)


def draw_fire(cells: int, rows: int) -> list[Line]:
    """The fire card: big, in order, nothing else on the screen."""
    title = "FIRE: LID, NO WATER"
    big = (
        block(block_rows(title, 3), "alarm")
        if block_width(title, 3) <= cells
        else [line(title, "alarm bold")]
    )
    drawn: list[Line] = [*big, EMPTY] if rows > 12 else [line(title, "alarm bold")]
    for number, step in enumerate(FIRE_STEPS, 1):
        drawn += wrap(f"{number}  {step}", cells, "ink bold")
        if rows > 20:
            drawn.append(EMPTY)
    drawn += wrap(FIRE_MORE, cells, "soft")
    return [*drawn[: rows - 1], *[EMPTY] * (rows - 1 - len(drawn)), line("Esc puts the card away", "soft")]


def draw_help(cells: int, rows: int, demo: bool) -> list[Line]:
    """The keys that work at the stove."""
    drawn = [line("Keys at the stove", "glow bold")]
    entries = [("digits", "start a reading; c or f choose its unit" if cells >= 72 else "reading")]
    entries += [(b.shows, b.says if cells >= 72 else b.short) for b in BINDINGS]
    if demo:
        entries += [("p  [  ]", "demo: pause, slower, faster"), ("y", "demo: your hands, or it plays itself")]
    half = (cells - 2) // 2
    columns = 2 if cells >= 100 or len(entries) > rows - 3 else 1
    cell = half if columns == 2 else cells
    for index in range(0, len(entries), columns):
        row: Line = ()
        for key, says in entries[index : index + columns]:
            row = (*row, *fit(((f"{key:>9}  ", "ink bold"), (says, "soft")), cell))
        drawn.append(row)
    body = drawn[: rows - 1]
    return [*body, *[EMPTY] * (rows - 1 - len(body)), line("Esc puts this away", "soft")]
