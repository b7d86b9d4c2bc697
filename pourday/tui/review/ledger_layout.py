"""How the ledger of a session is drawn, from 40x12 up: pure, from the ledger to lines.

From the left: the time, what was not as planned, the burner, how hot pot and jug were, then the moulds as they stand on
the bench: told beforehand, poured, seen. A mould's layers stand side by side in its column from the line on which they
were poured.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from pourday.errors import Trouble
from pourday.language import dated, tr
from pourday.plan.weigh import weigh_sheet
from pourday.reports.day_page import DayPage
from pourday.reports.deviations import say_deviation
from pourday.reports.story import Happening
from pourday.session.events import Cue
from pourday.session.state import ReadingAt
from pourday.times import clock, local, span
from pourday.tui.drawing.lines import EMPTY, Line, Piece, clickable, fit, joined, line, wrap
from pourday.tui.review.ledger import Ledger, Stretch
from pourday.units import show_temperature

SEEN: Mapping[Cue, str] = {"wet": "w", "skinned": "e", "firm": "c", "cold": "x", "pulled away": "p"}
"""A letter for each look."""
POURED = {"plug": "▄", "layer": "█", "top-up": "▀"}
LEGEND = tr(
    "█ pour ▄ plug ▀ top-up   ░ expected ▒ may be poured   seen: w wet e edge c carries x cold p pulled away   ┴ out"
)
STRIP = 14
"""Cells of the scale of temperatures; the ceiling of the wax is marked on it."""
ABOVE = 10.0
"""K above the ceiling at which the scale ends; what is hotter or colder than it stands at its end."""
FIGURE = 6
"""Cells of a temperature in figures."""
WORDS = 18
"""Cells below which nothing is written beside a line."""


def draw_ledger(
    ledger: Ledger, title: str, told: Sequence[tuple[float, Happening]], cells: int, rows: int
) -> list[Line]:
    """The page in `cells` by `rows`; `told` has each line of the story with its moment, rising."""
    foot_rows = 1 if rows < 18 else 2 if rows < 30 else 4
    legend = wrap(LEGEND, cells, "soft", most=2) if rows >= 18 else []
    room = max(1, rows - 2 - foot_rows - len(legend))
    lines = ledger.rows(room)
    columns = _LedgerColumns(ledger.page, cells)
    each = tr("{span} a line", span=span(ledger.step))
    head = fit(line(title, "glow bold"), max(1, cells - len(each) - 2))
    top = max(0, min(ledger.at - room // 2, len(lines) - room))
    drawn: list[Line] = []
    for number, stretch in enumerate(lines[top : top + room], top):
        before = lines[number - 1] if number > top else None
        row = _row(ledger, columns, stretch, told, chosen=number == ledger.at, before=before)
        drawn.append(clickable(fit(row, cells), f"#{number}"))
    drawn += [EMPTY] * (room - len(drawn))
    detail = _detail(ledger, told, cells, foot_rows)
    whole: list[Line] = [(*head, ("  ", "ink"), (each, "soft")), columns.head(), *drawn, *detail, *legend]
    return [fit(row, cells) for row in whole][:rows]


class _LedgerColumns:
    """Which columns there are room for, and how broad the moulds' are."""

    def __init__(self, page: DayPage, cells: int) -> None:
        self.page = page
        self.letters = sorted(page.state.moulds)
        layers = max(1, len(page.state.plan.layers))
        self.day = cells >= 56
        left = cells - (11 if self.day else 7) - 5
        many = len(self.letters)
        # Figures give way to moulds, then what was told; the pours and the looks stay.
        self.figure = FIGURE if many * 3 <= left - FIGURE else 0
        left -= self.figure
        self.mould = next((wide for wide in (layers + 3, 3) if many * wide <= left), 2)
        self.body = layers if self.mould == layers + 3 else 1
        left -= self.mould * many
        self.strip = STRIP if left >= STRIP + 1 else 0
        left -= self.strip + 1 if self.strip else 0
        self.words = left - 1 if left > WORDS else 0
        self.ceiling_c = _ceiling(page)
        self.low, self.high = 40.0, max([90.0, *(celsius + ABOVE for celsius in self.ceiling_c)])

    def head(self) -> Line:
        """What each column is."""
        time = " " * (11 if self.day else 7)
        strip = fit(line(tr("pot ● jug ○"), "soft"), self.strip) if self.strip else EMPTY
        gap: Line = ((" ", "ink"),) if self.strip else EMPTY
        moulds = "".join(
            letter.center(max(1, self.mould - 1 + (self.mould == 3))).ljust(self.mould)
            for letter in self.letters
        )
        return (
            (time, "ink"),
            ("▼   ", "late"),
            ("▌", "glow"),
            *gap,
            *strip,
            (" " * self.figure, "ink"),
            (moulds, "ink bold"),
        )

    def cell(self, celsius: float) -> int:
        """Where a temperature is on the scale."""
        share = (celsius - self.low) / max(1.0, self.high - self.low)
        return max(0, min(self.strip - 1, int(share * self.strip)))


def _row(
    ledger: Ledger,
    columns: _LedgerColumns,
    stretch: Stretch,
    told: Sequence[tuple[float, Happening]],
    *,
    chosen: bool,
    before: Stretch | None,
) -> Line:
    """One line of the ledger."""
    page = ledger.page
    mark = "›" if chosen else " "
    new_day = before is None or local(before.start).date() != local(stretch.start).date()
    when = (
        f"{dated(local(stretch.start), '%a')} " if new_day and columns.day else "    " if columns.day else ""
    )
    time: Piece = (
        f"{mark}{when}{clock(stretch.start)} ",
        "glow bold" if chosen else "ink" if new_day else "soft",
    )
    if stretch.folded:
        quiet = tr("┄┄ {span}, nothing on record ", span=span(stretch.end - stretch.start))
        return (time, (quiet.ljust(40, "┄"), "rule"))
    numbers = [n for n, one in enumerate(page.deviating, 1) if _within(one.t, stretch)]
    more = "+" if len(numbers) > 1 else ""
    marked: Piece = (f"{f'{numbers[0]}{more}' if numbers else '':<4}", "late bold")
    pieces: list[Piece] = [time, marked, _burner(page, stretch), *_heat(page, columns, stretch)]
    for letter in columns.letters:
        pieces += _mould(page, columns, letter, stretch)
    if columns.words:
        # Readings and the burner have columns of their own.
        said = "; ".join(each.says for t, each in told if _within(t, stretch) and not each.drawn)
        pieces.append((said, "ink" if chosen else "soft"))
    return joined(pieces)


def _within(t: float, stretch: Stretch) -> bool:
    return stretch.start <= t < stretch.end


def _burner(page: DayPage, stretch: Stretch) -> Piece:
    """How the burner was in a line: the higher, the longer it was lit; a sign of its own for a low flame and for one of
    which nobody knows."""
    lit = {"on": 0.0, "low": 0.0, "unknown": 0.0}
    for each in page.state.burner_spans:
        # A burner that nobody turned off is drawn as long as the record goes.
        end = each.end if each.end is not None else page.axis.times[-1]
        lit[each.what] += max(0.0, min(end, stretch.end) - max(each.start, stretch.start))
    if lit["unknown"] > 0 and lit["unknown"] >= lit["on"]:
        return ("?", "late")
    if lit["low"] > lit["on"]:
        return ("░", "glow")
    share = lit["on"] / (stretch.end - stretch.start)
    return ("▂▄▆█"[min(3, int(share * 4))], "glow bold") if share > 0 else ("╷", "rule")


def _heat(page: DayPage, columns: _LedgerColumns, stretch: Stretch) -> list[Piece]:
    """Pot and jug on the scale of temperatures, and the last that was read in figures."""
    read = [
        r for r in page.state.readings if _within(r.t, stretch) and r.place in ("pot", "jug") and not r.doubt
    ]
    last = next(iter(reversed(read)), None)
    figure = "      "
    if last is not None:
        degrees = show_temperature(last.celsius, page.state.plan.units).split()[0]
        figure = f" {'●' if last.place == 'pot' else '○'}{degrees:<3} "
    number: Piece = (figure if columns.figure else "", "ink")
    if not columns.strip:
        return [number]
    return [(" ", "ink"), *_strip(columns, read), number]


def _strip(columns: _LedgerColumns, read: Sequence[ReadingAt]) -> list[Piece]:
    signs = {columns.cell(r.celsius): "●" if r.place == "pot" else "○" for r in read}
    ceiling = [columns.cell(celsius) for celsius in columns.ceiling_c]
    over = [n > ceiling[0] for n in range(columns.strip)] if ceiling else [False] * columns.strip
    return [
        (
            signs.get(n, "┊" if n in ceiling else "·"),
            ("late bold" if over[n] else "ink bold") if n in signs else "rule",
        )
        for n in range(columns.strip)
    ]


def _ceiling(page: DayPage) -> list[float]:
    """°C that the wax should not pass; nothing of a plan that cannot be weighed out."""
    try:
        return [weigh_sheet(page.state.plan).ceiling_c]
    except Trouble:
        return []


def _mould(page: DayPage, columns: _LedgerColumns, letter: str, stretch: Stretch) -> list[Piece]:
    """One mould in one line: what was told, what is in it, what was seen."""
    windows = [
        w for w in page.windows if w.letter == letter and w.start < stretch.end and w.end >= stretch.start
    ]
    sign = "▒" if any(w.closes for w in windows) else "░" if windows else " "
    looks = [look for look in page.looks if look.letter == letter and _within(look.t, stretch)]
    seen = SEEN[looks[-1].saw] if looks else " "
    gap = [(" ", "ink")] if columns.mould > 3 else []
    told: list[Piece] = [(sign, "soft")] if columns.mould > 2 else []
    return [*told, *_layers(page, columns, letter, stretch), (seen, "ink bold"), *gap]


def _layers(page: DayPage, columns: _LedgerColumns, letter: str, stretch: Stretch) -> list[Piece]:
    """The layers side by side: what is poured in this line, a thread of what was poured before, its end."""
    mould, layers = page.state.moulds[letter], page.state.plan.layers
    out = mould.demoulded_at
    if out is not None and _within(out, stretch):
        return [("┴" * columns.body, "ink bold")]
    if out is not None and out < stretch.start:
        return [(" " * columns.body, "ink")]
    pours = [pour for pour in page.pours if pour.letter == letter and pour.t < stretch.end]
    pieces: list[Piece] = []
    for place in range(columns.body):
        poured_here = [p for p in pours if columns.body == 1 or min(p.layer, columns.body - 1) == place]
        if not poured_here:
            pieces.append((" ", "ink"))
            continue
        now = [p for p in poured_here if _within(p.t, stretch)]
        whole = [p for p in now if p.part == "layer"]
        newest = (whole or now or poured_here)[-1]
        swatch = layers[newest.layer].swatch if 0 <= newest.layer < len(layers) else "ink"
        pieces.append((POURED[newest.part] if now else "│", swatch))
    return pieces


def _detail(ledger: Ledger, told: Sequence[tuple[float, Happening]], cells: int, rows: int) -> list[Line]:
    """What the line stands for in words: first what was not as planned, then what happened."""
    stretch, page = ledger.row, ledger.page
    deviating = [
        (f"▼{n} {say_deviation(one)}", "late")
        for n, one in enumerate(page.deviating, 1)
        if _within(one.t, stretch)
    ]
    happened = "; ".join(f"{clock(t)} {each.says}" for t, each in told if _within(t, stretch))
    quiet = tr("{clock}: nothing on record", clock=clock(stretch.start)) + (
        tr(" for {span}", span=span(stretch.end - stretch.start)) if stretch.folded else ""
    )
    drawn: list[Line] = []
    for words, job in [*deviating, (happened, "ink")] if happened or deviating else [(quiet, "soft")]:
        if words and len(drawn) < rows:
            drawn += wrap(words, cells, job, most=rows - len(drawn))
    return [*drawn, *[EMPTY] * (rows - len(drawn))]
