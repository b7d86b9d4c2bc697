"""The last two lines of the stove screen: what is being typed or asked, and the keys that work now."""

from __future__ import annotations

from pourday.tui.desk import Desk
from pourday.tui.keys import BINDINGS, HINTS
from pourday.tui.lines import Line, fit, line, width, wrap
from pourday.tui.stove_layout import Foot


def foot(desk: Desk, cells: int) -> Foot:
    return Foot(_entry(desk, cells), _keys(desk, cells))


def _entry(desk: Desk, cells: int) -> tuple[Line, ...]:
    live = desk.live
    if not (live.unsaved and live.trouble):
        return _usual(desk, cells)
    says = f"NOT SAVED ({len(live.unsaved)}): {live.trouble}"
    if desk.writing or desk.entry.text or desk.message or desk.question is not None:
        short = f"NOT SAVED ({len(live.unsaved)}): {live.trouble.why}"
        return (fit(line(short, "alarm bold"), cells), *_usual(desk, cells))
    return _said(says, cells, "alarm bold")


def _usual(desk: Desk, cells: int) -> tuple[Line, ...]:
    live = desk.live
    if desk.writing:
        ask = "note" if desk.writing == "note" else "timer: minutes, then a name"
        return ((*fit(((f"{ask}: ", "soft"), (desk.entry.text + "▏", "glow bold")), cells),),)
    if desk.entry.text and not desk.message:
        return (fit(_typed(desk), cells),)
    if desk.question is not None:
        said = _said(desk.message, cells, "late") if desk.message else ()
        return (*said, *_asked(desk, cells))
    if desk.message:
        return _said(desk.message, cells, "ink")
    if live.state.finished_at is not None:
        return _said("This session is finished and its record is kept. q leaves.", cells, "soft")
    if live.readonly:
        return _said(f"READ ONLY. {live.remarks[-1] if live.remarks else ''}", cells, "late")
    return (fit(line(f"Digits start a reading of the {desk.target().name}.", "soft"), cells),)


def _said(text: str, cells: int, job: str) -> tuple[Line, ...]:
    return tuple(wrap(text, cells, job, most=3))


def _asked(desk: Desk, cells: int) -> tuple[Line, ...]:
    """The question and its answers, each answer kept whole."""
    assert desk.question is not None
    rows: list[Line] = [((desk.question.asks, "glow bold"),)]
    for choice in desk.question.choices:
        answer: Line = (("  ", "ink"), (choice.key, "glow bold"), (f" {choice.label}", "ink"))
        if width(rows[-1]) + width(answer) > cells:
            rows.append(())
        rows[-1] = (*rows[-1], *answer)
    return tuple(rows)


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
    shown = sorted((b for b in BINDINGS if b.id in HINTS), key=lambda b: HINTS.index(b.id))
    pieces: list[tuple[str, str]] = []
    for binding in shown:
        pieces += [(binding.shows, "ink bold"), (f" {binding.short}   ", "soft")]
    return fit(tuple(pieces), cells)
