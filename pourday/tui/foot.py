"""The last two lines of the stove screen: what is being typed or asked, and the keys that work now."""

from __future__ import annotations

from pourday.tui.desk import Desk
from pourday.tui.keys import BINDINGS, HINTS
from pourday.tui.lines import Line, fit, line, width
from pourday.tui.stove_layout import Foot


def foot(desk: Desk, cells: int) -> Foot:
    return Foot(_entry(desk, cells), _keys(desk, cells))


def _entry(desk: Desk, cells: int) -> Line:
    live = desk.live
    if live.unsaved and live.trouble:
        return fit(line(f"NOT SAVED ({len(live.unsaved)}): {live.trouble}", "alarm bold"), cells)
    if desk.writing:
        ask = "note" if desk.writing == "note" else "timer: minutes, then a name"
        return fit(
            ((f"{ask}: ", "soft"), (desk.entry.text + "▏", "glow bold"), ("  Enter files", "soft")), cells
        )
    if desk.entry.text and not desk.message:
        return fit(_typed(desk), cells)
    if desk.question is not None:
        answers = "  ".join(f"{c.key} {c.label}" for c in desk.question.choices)
        asked: Line = ((f"{desk.question.asks} ", "glow bold"), (answers, "ink"))
        if desk.message:
            asked = line(desk.message, "late")
        elif width(asked) > cells:
            asked = ((f"{desk.question.asks} ", "glow bold"), ("  ".join(_short(desk)), "ink"))
        return fit(asked, cells)
    if desk.message:
        return fit(line(desk.message, "ink"), cells)
    if live.readonly:
        return fit(line(f"READ ONLY. {live.remarks[-1] if live.remarks else ''}", "late"), cells)
    return fit(line(f"Digits start a reading of the {desk.target().name}.", "soft"), cells)


def _short(desk: Desk) -> list[str]:
    assert desk.question is not None
    return [f"{c.key} {c.label.split(',')[0]}" for c in desk.question.choices]


def _typed(desk: Desk) -> Line:
    target = desk.target()
    metric = desk.live.state.plan.units == "metric"
    if target.place == "weight":
        unit = "g" if metric else "oz"
    else:
        unit = f"°{desk.entry.unit.upper() or ('C' if metric else 'F')}"
    return (
        (f"{target.name}: ", "soft"),
        (f"{desk.entry.text}▏ {unit}", "glow bold"),
        ("   Enter files · Tab other place · c f unit · Esc drops", "soft"),
    )


def _keys(desk: Desk, cells: int) -> Line:
    if desk.question is not None:
        return fit(line("one key answers · Esc leaves the question", "soft"), cells)
    shown = [b for b in BINDINGS if b.id in HINTS]
    words = {
        "done": "done",
        "heat": "heat",
        "other": "other",
        "undo": "undo",
        "fire": "FIRE",
        "help": "keys",
        "leave": "leave",
    }
    pieces: list[tuple[str, str]] = []
    for binding in shown:
        pieces += [(binding.shows, "ink bold"), (f" {words[binding.id]}   ", "soft")]
    return fit(tuple(pieces), cells)
