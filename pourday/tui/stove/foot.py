"""The last two lines of the stove screen: what is being typed or asked, and the keys that work now."""

from __future__ import annotations

from rich.cells import cell_len

from pourday.tui.drawing.lines import Line, answer_key, fit, line, listed, width, wrap
from pourday.tui.stove.controller import StoveController
from pourday.tui.stove.layout import Foot
from pourday.tui.terminal.keys import BY_ID, HINTS, KeyMap
from pourday.tui.terminal.signals import MARKS

USUAL = KeyMap()


def foot(desk: StoveController, cells: int, keys: KeyMap = USUAL, *, flash: bool = True) -> Foot:
    """The foot with the person's `keys`; `flash` says whether the sign of an alarm shows just now."""
    return Foot(_entry(desk, cells), _keys(desk, cells, keys, flash))


def _entry(desk: StoveController, cells: int) -> tuple[Line, ...]:
    live = desk.live
    if not (live.unsaved and live.trouble):
        return _usual(desk, cells)
    says = f"NOT SAVED ({len(live.unsaved)}): {live.trouble}"
    if desk.writing or desk.entry.text or desk.message or desk.question is not None:
        short = f"NOT SAVED ({len(live.unsaved)}): {live.trouble.why}"
        return (fit(line(short, "alarm bold"), cells), *_usual(desk, cells))
    return _said(says, cells, "alarm bold")


def _usual(desk: StoveController, cells: int) -> tuple[Line, ...]:
    live = desk.live
    if desk.writing:
        ask = "note" if desk.writing == "note" else "timer: minutes, then a name"
        written = ((f"{ask}: ", "soft"), (_end(desk.entry.text, cells - len(ask) - 3), "glow bold"))
        return (*(_said(desk.message, cells, "late") if desk.message else ()), fit(written, cells))
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
    name = desk.target().name
    hint = f"Digits start a reading of the {name}." if cells >= 60 else f"Digits: reading of the {name}"
    return (fit((*_mark(desk), (hint, "soft")), cells),)


def _end(text: str, cells: int) -> str:
    """The end of what is being written, with the cursor: what was typed last is what has to be seen."""
    shown = text
    while cell_len(shown) > max(1, cells):
        shown = shown[1:]
    return ("…" + shown[1:] if shown != text else shown) + "▏"


def _mark(desk: StoveController) -> Line:
    """The sign of a prompt, which stands still."""
    first = desk.advice.now
    if first is None or first.act.kind in ("alarm", "wait"):
        return ()
    return ((f"{MARKS['prompt'].sign} {MARKS['prompt'].word}  ", "glow bold"),)


def _said(text: str, cells: int, job: str) -> tuple[Line, ...]:
    return tuple(wrap(text, cells, job, most=3))


def _asked(desk: StoveController, cells: int) -> tuple[Line, ...]:
    """The question and its answers, each answer kept whole."""
    assert desk.question is not None
    rows: list[Line] = wrap(desk.question.asks, cells, "glow bold", most=3)
    for choice in desk.question.choices:
        answer: Line = (
            ("  ", "ink"),
            (answer_key(choice.key, choice.label), "glow bold"),
            (f" {choice.label}", "ink"),
        )
        if width(rows[-1]) + width(answer) > cells:
            rows.append(())
        rows[-1] = (*rows[-1], *answer)
    return tuple(rows)


def _typed(desk: StoveController) -> Line:
    target = desk.target()
    metric = desk.live.state.plan.units == "metric"
    if target.place == "weight":
        unit = "g" if metric else "oz"
    else:
        unit = f"°{desk.entry.unit.upper() or ('C' if metric else 'F')}"
    return ((f"{target.name}: ", "soft"), (f"{desk.entry.text}▏ {unit}", "glow bold"))


def _keys(desk: StoveController, cells: int, keys: KeyMap, flash: bool) -> Line:
    """The keys that count now, the most needed first: a narrow screen leaves the last ones out whole."""
    if desk.writing:
        return listed((("Enter", "files"), ("Esc", "drops"), ("Backspace", "rubs out")), cells)
    if desk.entry.text:
        place = keys.shows(BY_ID["place"])
        return listed((("Enter", "files"), (place, "other place"), ("c f", "unit"), ("Esc", "drops")), cells)
    fire = (keys.shows(BY_ID["fire"]), BY_ID["fire"].short)
    if desk.question is not None:
        return listed((("one key", "answers"), ("Esc", "back" if desk.nested else "leaves it"), fire), cells)
    alarm = any(a.acknowledged_at is None for a in desk.live.state.alarms.values())
    hints = [(keys.shows(BY_ID[i]), BY_ID[i].short) for i in HINTS]
    if not alarm:
        return listed(hints, cells)
    mark = MARKS["alarm"]
    head: Line = ((mark.sign if flash else " ", "alarm bold"), (f" {mark.word}  ", "alarm bold"))
    ack = (keys.shows(BY_ID["ack"]), BY_ID["ack"].short)
    return listed((ack, *hints), cells, head)
