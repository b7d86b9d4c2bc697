"""How the faults of a candle and their causes are laid out, from 40x12 up: pure, from the controller to lines."""

from __future__ import annotations

from rich.cells import cell_len

from pourday.faults.table import WHERES, at
from pourday.faults.weigh import odds_words
from pourday.language import tr, word
from pourday.plan.model import tried_words
from pourday.reports.faults_report import SHOWN, Why, across_lines
from pourday.tui.drawing.lines import EMPTY, Line, clickable, fit, key_lines, line, wrap
from pourday.tui.faults.controller import FaultsController

LOW = 16
"""Rows below which there is no room for blank lines."""
_WHEN = {
    "demoulding": tr("out of its mould"),
    "after cure": tr("after its cure"),
    "burn test": tr("as it burned"),
}


def draw_faults(faults: FaultsController, cells: int, rows: int, alarm: str = "") -> list[Line]:
    """The whole screen, exactly what fits into `cells` by `rows`; an alarm of the stove stands first."""
    head = wrap(alarm, cells, "alarm bold", most=2) if alarm else []
    foot = [*(wrap(faults.message, cells, "late", most=2) if faults.message else []), _keys(faults, cells)]
    room = max(1, rows - len(head) - len(foot))
    body = {"list": _list, "change": _change, "causes": _causes}[faults.page](faults, cells, room)[:room]
    return [*head, *body, *[EMPTY] * (room - len(body)), *foot][:rows]


def _keys(faults: FaultsController, cells: int) -> Line:
    others = [("Tab", tr("other candle"))] if len(faults.letters) > 1 else []
    if faults.page == "change":
        keys = [("b", tr("better")), ("s", tr("same")), ("w", tr("worse")), ("Esc", tr("not now"))]
    elif faults.page == "list":
        keys = [
            ("Space", tr("mark")),
            ("Enter", tr("that is it")),
            ("n", tr("none")),
            ("Left Right", tr("where")),
            ("Esc", tr("back")),
            *others,
        ]
        keys += [("e", tr("FIRE")), ("/", tr("help"))]
    else:
        more = [("Left Right", tr("other fault"))] if len(faults.told) > 1 else []
        keys = [
            ("p", tr("plan with it")),
            ("Up Down", tr("more")),
            ("a", tr("another fault")),
            *more,
            ("Esc", tr("back")),
            *others,
        ]
        keys += [("e", tr("FIRE")), ("/", tr("help"))]
    return key_lines(tuple(keys), cells)[0]


# -- by where, then what ------------------------------------------------------------------------------


def _list(faults: FaultsController, cells: int, room: int) -> list[Line]:
    """Places, the faults of one, and a sentence about the one the cursor is on."""
    title = tr("{letter}, {when}: what do you see?", letter=faults.letter, when=_WHEN[faults.when])
    gap = [EMPTY] if room >= LOW else []
    top = [fit(line(title, "glow bold"), cells), *_places(faults, cells), *gap]
    about = wrap(
        tr(
            "{sentence} Not to be mistaken for {confused_with}.",
            sentence=_sentence(faults.row.looks),
            confused_with=faults.row.confused_with,
        ),
        cells,
        "ink",
        most=4 if room >= LOW else 2,
    )
    high = max(1, room - len(top) - len(about) - len(gap))
    start = max(0, min(faults.row_at - high // 2, len(faults.rows) - high))
    shown = [_row(faults, n, cells) for n in range(start, min(len(faults.rows), start + high))]
    return [*top, *shown, *gap, *about]


def _places(faults: FaultsController, cells: int) -> list[Line]:
    """`1 top  2 side  3 join ...`, the one that is shown bright; how many are marked in each."""
    names: list[tuple[str, str]] = []
    for n, where in enumerate(WHERES):
        marks = sum(each == where for each in faults.marked.values())
        names.append(
            (
                f"{n + 1} {word(where)}{'*' * marks}",
                f"{'glow bold' if n == faults.where_at else 'soft'} @{n + 1}",
            )
        )
    rows: list[Line] = [()]
    used = 0
    for name, job in names:
        if used + cell_len(name) + 2 > cells and rows[-1]:
            rows.append(())
            used = 0
        rows[-1] = (*rows[-1], (name, job), ("  ", "ink"))
        used += cell_len(name) + 2
    return [fit(row, cells) for row in rows]


def _row(faults: FaultsController, number: int, cells: int) -> Line:
    fault = at(faults.where)[number]
    here = number == faults.row_at
    mark = "x" if fault.name in faults.marked else "●" if fault.name in faults.told else " "
    row = fit(
        line(f"{'›' if here else ' '} [{mark}] {word(fault.name)}", "glow bold" if here else "ink"), cells
    )
    return clickable(row, f"#{number}")


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."


# -- the change of before -----------------------------------------------------------------------------


def _change(faults: FaultsController, cells: int, room: int) -> list[Line]:
    """What was tried on this day, and how it came out."""
    plan = faults.batch.plan
    tried = plan.tried
    assert tried is not None
    after = tr(" after {parent}", parent=plan.parent) if plan.parent else ""
    rows = [line(tr("One thing was changed for this day"), "glow bold"), EMPTY]
    led = (
        tr(
            "Because of {fault} on {letter}{after}: ",
            fault=word(tried.fault),
            letter=tried.letter,
            after=after,
        )
        if tried.fault
        else tr("Made{after}: ", after=after)
        if after
        else ""
    )
    rows += wrap(f"{led}{tried.says if tried.fault else tried_words(tried)}", cells)
    rows += [
        EMPTY,
        *wrap(
            tr("How did it come out, against that day? What you say counts when the next fault is weighed."),
            cells,
        ),
    ]
    rows += [
        EMPTY,
        line(tr(" b   better"), "ink bold @b"),
        line(tr(" s   the same"), "ink bold @s"),
        line(tr(" w   worse"), "ink bold @w"),
    ]
    return [row for row in rows if row != EMPTY] if len(rows) > room else rows


# -- causes -------------------------------------------------------------------------------------------


def _causes(faults: FaultsController, cells: int, room: int) -> list[Line]:
    """Causes for one fault, scrolled; the title stays."""
    fault_of = (
        tr("  {fault_at} of {count}", fault_at=faults.fault_at + 1, count=len(faults.told))
        if len(faults.told) > 1
        else ""
    )
    title = fit(line(f"{faults.letter}: {word(faults.fault)}{fault_of}", "glow bold"), cells)
    why = faults.why
    if why is None:
        return [title, *wrap(tr("The record is being weighed..."), cells, "soft")]
    if isinstance(why, str):
        return [title, *wrap(why, cells, "late")]
    text = cause_page(why, cells)
    faults.top = max(0, min(faults.top, len(text) - (room - 1)))
    return [title, *text[faults.top : faults.top + room - 1]]


def cause_page(why: Why, cells: int) -> list[Line]:
    """The caution first, then the one change, the causes with their reasons, and what bad days share."""
    diagnosis, change = why.diagnosis, why.change
    rows: list[Line] = []
    if diagnosis.fault.caution:
        rows += [*wrap(tr("CAUTION: {caution}", caution=diagnosis.fault.caution), cells, "alarm bold"), EMPTY]
    rows += [*wrap(tr("One change: {says}", says=change.says), cells, "ink bold")]
    rows += [*wrap(change.why, cells, "soft")] if change.why else []
    rows += [*wrap(diagnosis.cannot_tell, cells, "late")] if diagnosis.cannot_tell else []
    rows.append(EMPTY)
    for cause in diagnosis.causes[:SHOWN]:
        rows += wrap(f"{_sentence(cause.says)[:-1]}: {odds_words(cause.odds)}", cells, "glow")
        for head, says in (
            ("for", cause.speaks_for),
            ("against", cause.speaks_against),
            (tr("not recorded"), cause.not_recorded),
        ):
            rows += _hanging(head, "; ".join(says), cells) if says else []
    rest = ", ".join(cause.says for cause in diagnosis.causes[SHOWN:])
    rows += [*wrap(tr("Less likely still: {rest}.", rest=rest), cells, "soft")] if rest else []
    rows.append(EMPTY)
    for each in across_lines(why):
        rows += wrap(each.strip(), cells, "soft")
    return rows


def _hanging(head: str, says: str, cells: int) -> list[Line]:
    """`for  ...`, its further lines under the first."""
    label = f"  {head}: "
    first, *more = wrap(says, max(12, cells - len(label)), "ink") or [EMPTY]
    return [((label, "soft"), *first), *(((" " * len(label), "ink"), *row) for row in more)]
