"""The fire card: lies over the screen until a key puts it away."""

from __future__ import annotations

from pourday.tui.drawing.block_letters import block_rows, block_width
from pourday.tui.drawing.lines import EMPTY, Line, block, line, sentences, wrap

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
    drawn += sentences(FIRE_MORE, cells, "soft", max(0, rows - 1 - len(drawn)))
    return [*drawn[: rows - 1], *[EMPTY] * (rows - 1 - len(drawn)), line("Esc puts the card away", "soft")]
