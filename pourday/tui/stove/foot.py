"""The last two lines of the stove screen: what is being typed or asked, and the keys that work now."""

from __future__ import annotations

from rich.cells import cell_len

from pourday.language import tr, word
from pourday.tui.drawing.lines import Line, answer_key, clickable, fit, hint, line, listed, width, wrap
from pourday.tui.stove.controller import StoveController
from pourday.tui.stove.layout import Foot
from pourday.tui.terminal.keys import BY_ID, HINTS, KeyMap, canonical
from pourday.tui.terminal.signals import MARKS

USUAL = KeyMap()
MOST_ROWS = 2
"""Rows that a number which is being typed takes with the letters of its places."""


def foot(stove: StoveController, cells: int, keys: KeyMap = USUAL, *, flash: bool = True) -> Foot:
    """The foot with the person's `keys`; `flash` says whether the sign of an alarm shows just now."""
    return Foot(_entry(stove, cells), _keys(stove, cells, keys, flash))


def _entry(stove: StoveController, cells: int) -> tuple[Line, ...]:
    """The lines above the keys; what is not saved is said there before all else."""
    live = stove.live
    if not (live.unsaved and live.trouble):
        return _usual(stove, cells)
    says = tr("NOT SAVED ({count}): {trouble}", count=len(live.unsaved), trouble=live.trouble)
    if stove.writing or stove.entry.text or stove.message or stove.question is not None:
        short = tr("NOT SAVED ({count}): {why}", count=len(live.unsaved), why=word(live.trouble.why))
        return (fit(line(short, "alarm bold"), cells), *_usual(stove, cells))
    return _said(says, cells, "alarm bold")


def _usual(stove: StoveController, cells: int) -> tuple[Line, ...]:
    """What is being written, typed or asked; else the last message, else where digits would go."""
    live = stove.live
    if stove.writing:
        ask = {"note": tr("note"), "reason": tr("why")}.get(stove.writing, tr("timer: minutes, then a name"))
        written = ((f"{ask}: ", "soft"), (_end(stove.entry.text, cells - len(ask) - 3), "glow bold"))
        return (*(_said(stove.message, cells, "late") if stove.message else ()), fit(written, cells))
    if stove.entry.text and not stove.message:
        return _typed(stove, cells)
    if stove.question is not None:
        said = _said(stove.message, cells, "late") if stove.message else ()
        return (*said, *_asked(stove, cells))
    if stove.aside is not None:
        said = tuple(wrap(stove.message, cells, "ink", most=2)) if stove.message else ()
        return (*said, *stove.aside.rows(cells))
    if stove.message:
        return _said(stove.message, cells, "ink")
    if live.state.finished_at is not None:
        return _said(tr("This session is finished and its record is kept. q leaves."), cells, "soft")
    if live.readonly:
        return _said(
            tr("READ ONLY. {remarks}", remarks=live.remarks[-1] if live.remarks else ""), cells, "late"
        )
    name = stove.target_name()
    if stove.target().place == "weight":
        hint = (
            tr("Digits start the {name}.", name=name) if cells >= 60 else tr("Digits: the {name}", name=name)
        )
    elif cells >= 60:
        hint = tr("Digits start a reading of the {name}.", name=name)
    else:
        hint = tr("Digits: reading of the {name}", name=name)
    if stove.second_screen:
        page = tr("second screen: {second_screen}", second_screen=stove.second_screen)
        hint = f"{hint}  {page}" if len(hint) + len(page) + 10 < cells else page
    return (fit((*_mark(stove), (hint, "soft")), cells),)


def _end(text: str, cells: int) -> str:
    """The end of what is being written, with the cursor: what was typed last is what has to be seen."""
    shown = text
    while cell_len(shown) > max(1, cells):
        shown = shown[1:]
    return ("…" + shown[1:] if shown != text else shown) + "▏"


def _mark(stove: StoveController) -> Line:
    """The sign in front of what is typed; it does not blink."""
    first = stove.advice.now
    if first is None or first.act.kind in ("alarm", "wait"):
        return ()
    return ((f"{MARKS['prompt'].sign} {MARKS['prompt'].word}  ", "glow bold"),)


def _said(text: str, cells: int, job: str) -> tuple[Line, ...]:
    """A message, in three lines at most."""
    return tuple(wrap(text, cells, job, most=3))


def _asked(stove: StoveController, cells: int) -> tuple[Line, ...]:
    """The question and its answers, each answer kept whole."""
    assert stove.question is not None
    rows: list[Line] = wrap(stove.question.asks, cells, "glow bold", most=3)
    for choice in stove.question.choices:
        answer: Line = (
            ("  ", "ink"),
            (answer_key(choice.key, choice.label), "glow bold"),
            (f" {choice.label}", "ink"),
        )
        answer = clickable(answer, canonical(choice.key))
        if width(rows[-1]) + width(answer) > cells:
            rows.append(())
        rows[-1] = (*rows[-1], *answer)
    return tuple(rows)


def _typed(stove: StoveController, cells: int) -> tuple[Line, ...]:
    """The digits with their place and unit, and beside them the letters that choose another place; those that have no
    room there stand below."""
    metric = stove.live.state.plan.units == "metric"
    if stove.target().place == "weight" or stove.entry.with_pour:
        unit = "g" if metric else "oz"
    else:
        unit = f"°{stove.entry.unit.upper() or ('C' if metric else 'F')}"
    name, text = stove.target_name(), stove.entry.text
    if stove.entry.with_pour:
        head, _, text = text.partition(" ")
        name = tr("jug {head}°, {name}", head=head, name=name)
    rows: list[Line] = [((f"{name}: ", "soft"), (f"{text}▏ {unit}", "glow bold"))]
    for letter, place in stove.place_letters():
        more = hint(letter, place)
        if width((*rows[-1], *more)) + 2 > cells:
            rows.append(())
        rows[-1] = (*rows[-1], ("  ", "soft"), *more) if rows[-1] else tuple(more)
    return tuple(fit(row, cells) for row in rows[:MOST_ROWS])


def _keys(stove: StoveController, cells: int, keys: KeyMap, flash: bool) -> Line:
    """The keys that count now, the most needed first: a narrow screen leaves the last ones out whole."""
    if stove.writing:
        return listed(
            (("Enter", tr("files")), ("Esc", tr("drops")), ("F1", tr("FIRE")), ("Backspace", tr("rubs out"))),
            cells,
        )
    if stove.entry.text:
        target = stove.target()
        further = tr("next mould") if target.place == "weight" or stove.entry.with_pour else tr("and poured")
        return listed(
            (
                ("Enter", tr("files")),
                *((("Space", further),) if stove.goes_on() else ()),
                *(() if stove.entry.with_pour else (("c f", tr("unit")),)),
                ("Esc", tr("drops")),
                (tr("a letter"), tr("where it was read")),
            ),
            cells,
        )
    fire = (keys.shows(BY_ID["fire"]), BY_ID["fire"].short)
    if stove.question is not None:
        heat = (keys.shows(BY_ID["heat"]), BY_ID["heat"].short)
        leaves = ("Esc", tr("back") if stove.nested else tr("leaves it"))
        return listed(((tr("one key"), tr("answers")), leaves, fire, heat), cells)
    if stove.aside is not None:
        return listed((*stove.aside.keys(), fire), cells)
    alarm = any(a.acknowledged_at is None for a in stove.live.state.alarms.values())
    hints = [(keys.shows(BY_ID[i]), BY_ID[i].short) for i in HINTS]
    if not alarm:
        return listed(hints, cells)
    mark = MARKS["alarm"]
    head: Line = ((mark.sign if flash else " ", "alarm bold"), (f" {mark.word}  ", "alarm bold"))
    ack = (keys.shows(BY_ID["ack"]), BY_ID["ack"].short)
    return listed((ack, *hints), cells, head)
