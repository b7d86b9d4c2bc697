"""A list with one typed line beneath it as lines, from 40x12 up: a row with its right-hand side, and the foot."""

from __future__ import annotations

from collections.abc import Sequence

from pourday.language import tr
from pourday.tui.drawing.lines import Line, fit, key_lines, line, width, wrap
from pourday.tui.line_list.controller import LineListController, Row


def list_row(name: str, right: Line, cells: int, *, chosen: bool) -> Line:
    """A row: its name at the left, cut where it has no room, and `right` whole at the right."""
    job = "glow bold" if chosen else "ink"
    left: Line = (("› " if chosen else "  ", job), (name, job))
    room = max(1, cells - width(right) - 1)
    cut = fit(left, room)
    return fit((*cut, (" " * (room - width(cut) + 1), "ink"), *right), cells)


def list_foot(
    page: LineListController[Row], about: Sequence[Line], how: Sequence[Line], begin: str, cells: int
) -> list[Line]:
    """A rule, what is to be said, the line that is typed, and the keys.

    `about` tells of the chosen row while nothing else is to be said; `how` tells how to type a line while none is begun;
    `begin` names what Enter does then.
    """
    done, of = page.read
    reading = tr("Looked into {done} of {of} records so far.", done=done, of=of) if done < of else ""
    message = wrap(page.message, cells, "late", most=4)
    said = [*(message or ([] if page.text else about)), *wrap(reading, cells, "soft", most=1)]
    typed: Line = (("  ", "ink"), (page.text + "▏", "glow bold"))
    over = width(typed) - cells
    if over > 0:
        typed = (("  …", "soft"), (page.text[over + 1 :] + "▏", "glow bold"))
    keys = (
        ("Enter", tr("keep it") if page.text else begin),
        ("Up Down", tr("choose")),
        ("Esc", tr("put it away") if page.text else tr("back")),
        ("F1", tr("FIRE")),
        ("F2", tr("help")),
    )
    untyped = [] if page.text or page.message else how
    return [line("─" * cells, "rule"), *said, *untyped, typed, *key_lines(keys, cells)]
