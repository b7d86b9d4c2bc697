"""The weigh sheet, the findings and the sources as lines: beside the form, or as pages of their own."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from rich.cells import cell_len, set_cell_size

from pourday.errors import Trouble
from pourday.language import tr, word
from pourday.plan.check import BadField
from pourday.plan.finding import LEVELS
from pourday.plan.findings import Finding, findings
from pourday.plan.model import Plan
from pourday.plan.origins import origin_of, origins
from pourday.plan.sheet_words import SheetEntry, SheetPart, sheet_words
from pourday.plan.weigh import WeighSheet, weigh_sheet
from pourday.tui.drawing.lines import EMPTY, Line, fit, line, text_of, width, wrap

MoreFindings = Callable[[Plan, WeighSheet], Sequence[Finding]]
"""What is to be said of a plan besides what it tells by itself: of the stock, of the day it was made after."""
JOBS = {"note": "soft", "caution": "late", "stop-and-think": "alarm"}
ROOMY = 60
"""Cells from which the sheet shows everything; below, what fits in a glance."""
_LABEL = 10
_ROOMY_ONLY = {
    "pot": frozenset({"", "cost", "into jugs", "stays", "bath", "figures"}),
    "jug": frozenset({"draw", "plug", "layer", "top-up", "stays", "over"}),
    "mould": frozenset({"", "cost", "candle", "wick", "cut to"}),
}
"""Entries that only a roomy sheet shows, so that a glance has the pot, every jug and every candle."""
_TITLE = tr("Weigh sheet (estimates until weighed)")
_MORE = tr("Tab: the whole sheet")
_OUTRANKED = tr("The supplier's sheet outranks all of this.")


def finding_at(
    plan: Plan, path: str, more: MoreFindings | None = None, filed: str = ""
) -> tuple[str, str] | None:
    """The finding about the row under the cursor, else about the one `filed` last, else the gravest: its sentence and
    its job.

    `more` finds what the plan alone does not tell.
    """
    shown = _findings(plan, more)
    if not shown:
        return None
    about = [f for row in (path, filed) if row for f in shown if f.about == row]
    chosen = next(iter(about), shown[0])
    others = tr(" ({count} more)", count=len(shown) - 1) if len(shown) > 1 else ""
    return f"{word(chosen.level)}{others}: {chosen.what} {chosen.do}", JOBS[chosen.level]


def _findings(plan: Plan, more: MoreFindings | None) -> tuple[Finding, ...]:
    try:
        sheet = weigh_sheet(plan)
        noticed = (*findings(plan, sheet), *(more(plan, sheet) if more is not None else ()))
    except Trouble:
        return ()
    return tuple(sorted(noticed, key=lambda finding: -LEVELS.index(finding.level)))


def draw_sheet(plan: Plan, cells: int, rows: int, more: MoreFindings | None = None) -> list[Line]:
    """What the plan weighs out to beside the form, or the one sentence that says why it cannot be."""
    drawn = sheet_page(plan, cells)
    if cells >= ROOMY:
        drawn += findings_page(plan, cells, more)[1:]
    if len(drawn) > rows:
        drawn = [*drawn[: rows - 1], line(_MORE, "soft")]
    return [fit(row, cells) for row in drawn]


def sheet_page(plan: Plan, cells: int) -> list[Line]:
    """The weigh sheet; below `ROOMY` cells only what a glance needs."""
    parts, drawn = _parts(plan, _TITLE if cells >= len(_TITLE) else tr("Weigh sheet, estimates"), cells)
    for part in parts:
        drawn += _part(part, cells)
    if parts and cells >= ROOMY:
        drawn.append(line(_OUTRANKED, "soft"))
    return drawn


def whole_sheet(plan: Plan, cells: int) -> list[Line]:
    """The weigh sheet with nothing left out, whatever the width."""
    parts, drawn = _parts(plan, _TITLE, cells)
    for part in parts:
        drawn += [EMPTY, _name(part)]
        for entry in part.entries:
            drawn += _entry(entry, cells)
    return [*drawn, EMPTY, *wrap(_OUTRANKED, cells, "soft")] if parts else drawn


def _parts(plan: Plan, title: str, cells: int) -> tuple[Sequence[SheetPart], list[Line]]:
    """The parts of the sheet and its heading; no part, and under the heading why, where there is none."""
    head = line(title, "glow bold")
    try:
        return sheet_words(plan, weigh_sheet(plan)), [head]
    except Trouble as trouble:
        return (), [head, EMPTY, *wrap(str(trouble), cells, "late")]


def _part(part: SheetPart, cells: int) -> list[Line]:
    drawn = [_name(part)]
    for entry in part.entries:
        if cells >= ROOMY:
            drawn += _entry(entry, cells)
        elif entry.label not in _ROOMY_ONLY[part.kind]:
            drawn.append(fit((_figure(entry), (entry.brief, "soft")), cells))
    return drawn if cells < ROOMY else [EMPTY, *drawn]


def _name(part: SheetPart) -> Line:
    return ((part.name, "ink bold"), (f"  {part.amount}", "ink bold"))


def _figure(entry: SheetEntry) -> tuple[str, str]:
    label = text_of(fit(((word(entry.label), "ink"),), _LABEL))
    return f"  {label} {entry.amount:>8}  ", "ink"


def _entry(entry: SheetEntry, cells: int) -> list[Line]:
    """One entry, its remark carried on under itself where it is long."""
    if not entry.label:
        return [((" " * 2, "ink"), *row) for row in wrap(entry.remark, cells - 2, "soft")]
    said = word(entry.label)
    label = f"  {set_cell_size(said, _LABEL)} " if cell_len(said) <= _LABEL else f"  {said}  "
    figure: Line = ((f"{label}{entry.amount:>10}  ", "ink"),)
    figure_cells = width(figure)
    if figure_cells > cells - 16:
        below = wrap(entry.remark, cells - 4, "soft")
        return [fit(figure, cells), *[((" " * 4, "ink"), *row) for row in below]]
    first, *rest = wrap(entry.remark, cells - figure_cells, "soft") or [EMPTY]
    return [(*figure, *first), *[((" " * figure_cells, "ink"), *row) for row in rest]]


def findings_page(plan: Plan, cells: int, more: MoreFindings | None = None) -> list[Line]:
    """Every finding with what, why and what to do, the gravest first."""
    drawn = [line(tr("Findings"), "glow bold")]
    for finding in _findings(plan, more):
        job = JOBS[finding.level]
        drawn += [EMPTY, *wrap(f"{word(finding.level)}: {finding.what}", cells, f"{job} bold")]
        drawn += wrap(finding.why, cells, "soft") + wrap(finding.do, cells, "ink")
    if len(drawn) == 1:
        drawn += [EMPTY, *wrap(tr("Nothing speaks for a second look."), cells)]
    return drawn


def origins_page(plan: Plan, path: str, label: str, cells: int) -> list[Line]:
    """Where the figures come from: the chosen row first, then every figure of the sheet."""
    drawn = [line(tr("Where figures come from"), "glow bold")]
    try:
        chosen = (
            [(tr("{label} (the chosen row)", label=label), says)] if (says := origin_of(plan, path)) else []
        )
        groups = [*chosen, *origins(plan)]
    except (BadField, Trouble) as trouble:
        return [*drawn, EMPTY, *wrap(str(trouble), cells, "late")]
    for name, sentences in groups:
        drawn += [EMPTY, *wrap(word(name), cells, "ink bold")]
        for sentence in sentences:
            drawn += [((" " * 2, "ink"), *row) for row in wrap(sentence, cells - 2, "soft")]
    return drawn
