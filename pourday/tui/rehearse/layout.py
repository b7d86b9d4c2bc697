"""Where everything stands in a rehearsal: pure, from the imagined day and its clock to lines."""

from __future__ import annotations

from pourday.columns import padded
from pourday.guide.ahead.alternatives import briefly, keeps_you, summary
from pourday.guide.ahead.day import DayForecast, Step
from pourday.guide.ahead.picture import bands_at, inside_at
from pourday.language import tr
from pourday.plan.bench import bench
from pourday.plan.check import height_of
from pourday.plan.volumes import width_of
from pourday.times import clock, shorter
from pourday.tui.drawing.block_letters import block_rows, block_width
from pourday.tui.drawing.lines import (
    EMPTY,
    Line,
    Piece,
    beside,
    block,
    clickable,
    fit,
    hint,
    joined,
    key_lines,
    line,
    sentences,
    width,
    wrap,
)
from pourday.tui.drawing.moulds import Picture, cells_wanted, draw_moulds
from pourday.tui.rehearse.controller import SPEEDS, RehearsalController, at_stove

ESTIMATE = tr("an estimate; nothing is recorded")
ESTIMATE_SHORT = tr("estimate, not recorded")
KEYS = (
    ("Space", tr("play")),
    ("Left Right", tr("act")),
    ("Esc", tr("back")),
    ("e", tr("FIRE")),
    ("b", tr("begin at")),
    ("d", tr("done by")),
    ("w", tr("shorter?")),
    ("[ ]", tr("speed")),
    ("Up Down", tr("read")),
    ("/", tr("help")),
)
LIST = 36
"""Cells that the list of acts needs beside the moulds."""
DAY = 42
"""Cells from which a row has room for the name of its day."""
SAME_DAY = len("08:30")
"""Letters of a time without one."""
SOON = 120.0
"""s within which the first act of a day is what stands there, and not a wait for it. An estimate of ours."""
LOWEST = 6
"""Rows that moulds in section need."""
POURS = ("plug", "pour", "top-up")
DASHES = {"lit": "━", "off": "─", "pour": "●", "now": "▼"}


def draw_rehearsal(rehearsal: RehearsalController, cells: int, rows: int) -> list[Line]:
    """The whole screen, exactly what fits into `cells` by `rows`."""
    foot = [*_asked(rehearsal, cells), _keys(rehearsal, cells)]
    if rehearsal.day_ahead is None:
        return _filled([*_head(rehearsal, cells, rows), EMPTY, *_waiting(rehearsal, cells)], foot, rows)
    if rehearsal.whole:
        page = whole_page(rehearsal, rehearsal.day_ahead, cells)
        top = max(0, min(rehearsal.top, len(page) - rows + len(foot)))
        return _filled(page[top : top + rows - len(foot)], foot, rows)
    air = [EMPTY] if rows >= 24 and cells >= 72 else []
    head = [*_head(rehearsal, cells, rows), *air]
    small = cells < 72 or rows < 18
    now = _now(rehearsal, rehearsal.day_ahead, cells, 5 if rows >= 34 and cells >= 100 else 1 if small else 3)
    strip = [*_strip(rehearsal, rehearsal.day_ahead, cells), *air]
    said = _said(rehearsal, cells, 2 if small else 3)
    room = rows - len(head) - len(now) - len(strip) - len(said) - len(foot)
    body = _body(rehearsal, rehearsal.day_ahead, cells, room)
    return _filled([*head, *now, *strip, *body, *said], foot, rows)


def _asked(rehearsal: RehearsalController, cells: int) -> list[Line]:
    """The time that is being typed, and what it is for."""
    if rehearsal.typed is None:
        return []
    asks = tr("Begin at") if rehearsal.typing_of == "begin" else tr("Done at the stove by")
    said = wrap(rehearsal.message, cells, "late", most=2)
    like = tr("  like 9:30, 14 or 2 pm; empty: as soon as it fits a day") if not rehearsal.typed else ""
    typed: Line = ((f"{asks}: ", "soft"), (f"{rehearsal.typed}▏", "glow bold"), (like, "soft"))
    return [*said, fit(typed, cells)]


def _filled(top: list[Line], foot: list[Line], rows: int) -> list[Line]:
    """Exactly `rows` lines, the foot at the bottom; what does not fit above it is cut."""
    room = max(0, rows - len(foot))
    return [*top[:room], *[EMPTY] * (room - len(top)), *foot][-rows:]


def _head(rehearsal: RehearsalController, cells: int, rows: int) -> list[Line]:
    """What this is, then how long the day is."""
    title = tr("REHEARSAL  {title}", title=rehearsal.title) if cells >= 60 else tr("REHEARSAL")
    right = ESTIMATE if cells >= 60 else ESTIMATE_SHORT
    first = (*fit(line(title, "glow bold"), cells - len(right) - 1), (" ", "ink"), (right, "soft"))
    if rehearsal.day_ahead is None:
        return [first]
    # The end of the day is what a rehearsal is for: it stays whole where there is hardly room.
    said = keeps_you(rehearsal.day_ahead)
    end = wrap(
        said if len(wrap(said, cells)) <= 2 else briefly(rehearsal.day_ahead), cells, "ink bold", most=2
    )
    # A day that was put to another time says so before all else.
    begins = sentences(rehearsal.begins, cells, "late", 2) if rehearsal.begins else []
    remark = wrap(rehearsal.remark, cells, "soft", most=1) if rehearsal.remark and rows >= 20 else []
    return [first, *begins, *end, *remark]


def _waiting(rehearsal: RehearsalController, cells: int) -> list[Line]:
    if rehearsal.trouble:
        return wrap(rehearsal.trouble, cells, "late")
    return [line(tr("Working out the day ..."), "ink")]


# -- the clock and what is done now -----------------------------------------------------------------------


def _now(rehearsal: RehearsalController, day_ahead: DayForecast, cells: int, size: int) -> list[Line]:
    """The imagined time and the act's word, big."""
    time = clock(rehearsal.t, day_ahead.now)
    # Before it plays, the day stands at the first thing to do, and waits for nothing.
    first = rehearsal.steps and rehearsal.steps[0].at.likely <= rehearsal.t + SOON
    step = rehearsal.steps[max(0, rehearsal.at)] if rehearsal.at >= 0 or first else None
    if step is not None and rehearsal.t <= max(step.end, step.at.likely + 60.0):
        word, short, job = _name(step), step.word, "glow"
    else:
        word, short, job = tr("WAIT"), tr("WAIT"), "soft"
    gap, gap_below = 4, [EMPTY] if size == 5 else []
    for text in (word, short):
        wide = block_width(f"{time[-5:]}", size) + gap + block_width(text, size)
        if size > 1 and wide + _day(time) <= cells:
            big = block(block_rows(time[-5:], size), "ink")
            words = block(block_rows(text, size), job)
            drawn = beside(big, words, block_width(time[-5:], size), gap)
            return [_with_day(row, time, i, size) for i, row in enumerate(drawn)] + gap_below
    return [fit(((f"~{time}  ", "ink bold"), (word, f"{job} bold"), (_pace(rehearsal), "soft")), cells)]


def _day(time: str) -> int:
    """Cells for what stands before the big digits of a time."""
    return len(time) - 4 if len(time) > 5 else 2


def _with_day(row: Line, time: str, index: int, size: int) -> Line:
    """The day's name, or the sign of an estimate, small before the big digits."""
    label = time[:-6] if len(time) > 5 else "~"
    return ((f"{label if index == size // 2 else '':<{len(label)}} ", "soft"), *row)


def _name(step: Step) -> str:
    return f"{step.word} {' '.join(step.moulds)}".strip()


def _pace(rehearsal: RehearsalController) -> str:
    return tr(
        "   {playing} {speeds:.0f} x",
        playing=tr("playing") if rehearsal.playing else tr("paused"),
        speeds=SPEEDS[rehearsal.speed],
    )


# -- the day as one line ---------------------------------------------------------------------------------


def _strip(rehearsal: RehearsalController, day_ahead: DayForecast, cells: int) -> list[Line]:
    """The day at the stove from left to right: burner, pours, where the clock stands."""
    if day_ahead.end is None:
        return []
    left, right = f"{clock(day_ahead.now, day_ahead.now)} ", f" {clock(day_ahead.end.likely, day_ahead.now)}"
    room = cells - len(left) - len(right)
    if room < 12:
        return []
    whole = max(60.0, day_ahead.end.likely - day_ahead.now)
    place = [min(room - 1, max(0, int((t - day_ahead.now) / whole * (room - 1)))) for t in _pours(day_ahead)]
    lit = [
        any(s.on <= day_ahead.now + (i + 0.5) / room * whole < s.off for s in day_ahead.lit)
        for i in range(room)
    ]
    at = min(room - 1, max(0, int((rehearsal.t - day_ahead.now) / whole * (room - 1))))
    pieces: list[Piece] = [(left, "soft")]
    for i in range(room):
        sign = DASHES["pour"] if i in place else DASHES["lit"] if lit[i] else DASHES["off"]
        job = "glow" if i in place else "late" if lit[i] else "rule"
        pieces.append((DASHES["now"], "ink bold") if i == at else (sign, job))
    pieces.append((right, "soft"))
    legend = tr("▼ now   ● pour   ━ burner lit")
    speed = tr(
        "{playing}, {speeds:.0f} x ",
        playing=tr("playing") if rehearsal.playing else tr("paused"),
        speeds=SPEEDS[rehearsal.speed],
    )
    words = (*fit(line(f"{' ' * len(left)}{legend}", "soft"), cells - len(speed) - 1), (speed, "soft"))
    return [joined(pieces), words] if cells >= 60 else [joined(pieces)]


def _pours(day_ahead: DayForecast) -> list[float]:
    return [s.at.likely for s in day_ahead.steps if s.kind in POURS]


# -- moulds and list -------------------------------------------------------------------------------------


def pictures_at(day_ahead: DayForecast, t: float) -> list[Picture]:
    """Every mould as it is computed to stand at a time."""
    drawn = []
    for standing in bench(day_ahead.state.plan):
        letter, mould = standing.letter, standing.mould
        course = day_ahead.course(letter)
        coming = next((p for p in course.pours if p.t > t and p.part != "top-up"), None) if course else None
        sheet = day_ahead.outlook.sheet.mould(letter)
        level = below = None
        name = ""
        if coming is not None:
            name = "plug" if coming.part == "plug" else day_ahead.outlook.colour(coming.layer)
            planned = sheet.plug if coming.part == "plug" and sheet.plug else sheet.pours[coming.layer]
            level, below = planned.level, planned.below_rim
        drawn.append(
            Picture(
                letter=letter,
                width=width_of(mould.shape),
                height=height_of(mould.shape),
                bands=bands_at(day_ahead, letter, t),
                next_line=level,
                next_words="" if below is None else day_ahead.outlook.length(below),
                upside_down=mould.inverted,
                remark=(mould.name or "")[:14],
                inside=inside_at(day_ahead, letter, t),
                next_name=name,
            )
        )
    return drawn


def _body(rehearsal: RehearsalController, day_ahead: DayForecast, cells: int, rows: int) -> list[Line]:
    moulds = pictures_at(day_ahead, rehearsal.t)
    if cells < 72 or rows < LOWEST:
        return _stacked(rehearsal, day_ahead, moulds, cells, rows)
    wanted = min(cells - LIST - 2, max(24, cells_wanted(moulds, rows)))
    left = cells - wanted - 2
    picture = draw_moulds(moulds, wanted, rows, finished=rehearsal.finished)
    drawn = _list(rehearsal, day_ahead, left, rows)
    return beside(drawn + [EMPTY] * (rows - len(drawn)), picture, left)


def _stacked(
    rehearsal: RehearsalController, day_ahead: DayForecast, moulds: list[Picture], cells: int, rows: int
) -> list[Line]:
    """The moulds under the list where there is no room beside it; the list alone where there is none at all."""
    if cells < 24 * len(moulds) or rows < 2 * LOWEST:
        return _list(rehearsal, day_ahead, cells, rows)
    drawn = _list(rehearsal, day_ahead, cells, rows // 3)
    return [*drawn, *draw_moulds(moulds, cells, rows - len(drawn), finished=rehearsal.finished)]


def _list(rehearsal: RehearsalController, day_ahead: DayForecast, cells: int, rows: int) -> list[Line]:
    """The acts of the day around the one that is shown."""
    if rows < 1:
        return []
    steps, shown = rehearsal.steps, rehearsal.shown
    start = max(0, min(shown - rows // 3, len(steps) - rows))
    shown_rows = steps[start : start + rows]
    # Two mornings look alike: where a row is of another day, all have room for its name.
    day = cells >= DAY or any(len(clock(step.at.likely, day_ahead.now)) > SAME_DAY for step in shown_rows)
    drawn: list[Line] = []
    for index, step in enumerate(shown_rows, start):
        drawn.append(clickable(_row(rehearsal, day_ahead, step, index, cells, day), f"#{index}"))
    return drawn


def _row(
    rehearsal: RehearsalController, day_ahead: DayForecast, step: Step, index: int, cells: int, day: bool
) -> Line:
    """One act: when, with the name of its day where `day`, what, and how sure its time is where that has room."""
    done = index <= rehearsal.at
    job = "ink bold" if index == rehearsal.shown else "soft" if done or not at_stove(step) else "ink"
    mark = "›" if index == rehearsal.shown else "▼" if index == rehearsal.at else "!" if step.caution else " "
    when = f"{clock(step.at.likely, day_ahead.now):>9}" if day else f"{clock(step.at.likely):>5}"
    name = _name(step)
    colour = (
        f" {day_ahead.outlook.colour(step.layer)}" if step.layer is not None and step.kind in POURS else ""
    )
    pieces: Line = ((f"{mark} ", "late" if mark == "!" else job), (f"{when}  {padded(name, 12)}", job))
    if cells >= 56:
        pieces = (*pieces, (padded(colour, 12), job))
    # A range that has no room is said more shortly, never cut.
    room = cells - width(pieces) - 1
    ways = shorter(step.at.early, step.at.late, day_ahead.now, when.strip() if day else clock(step.at.likely))
    spread = next((said for said in ways if len(said) <= room), "")
    return fit((*pieces, (f" {spread}", "soft")), cells)


def _said(rehearsal: RehearsalController, cells: int, most: int) -> list[Line]:
    """The sentence of the act that is shown, why it is there, and what goes wrong with it."""
    if not rehearsal.steps:
        return [EMPTY] * most
    step = rehearsal.steps[rehearsal.shown]
    if step.caution:
        caution = sentences(step.caution, cells, "late", most)
        said = [*wrap(step.says, cells, "ink", most=most - len(caution)), *caution]
    else:
        said = wrap(f"{step.says} {step.why}", cells, "ink", most=most)
    return said + [EMPTY] * (most - len(said))


# -- what the day comes to ---------------------------------------------------------------------------------


def whole_page(rehearsal: RehearsalController, day_ahead: DayForecast, cells: int) -> list[Line]:
    """How long, how much burner, what collides, and what would shorten or ease it at what price."""
    wide = min(cells, 96)
    drawn: list[Line] = [line(tr("What this day comes to: an estimate"), "glow bold"), EMPTY]
    for said in summary(day_ahead):
        drawn += wrap(said, wide, "ink")
    drawn += [EMPTY, line(tr("What would shorten or ease it, and at what price"), "glow bold"), EMPTY]
    useful = sorted((w for w in rehearsal.ways if w.tells), key=lambda w: (not w.eases, -w.saves))
    for way in useful:
        drawn += wrap(way.says, wide, "ink")
    none = [w.name[:1].lower() + w.name[1:] for w in rehearsal.ways if not w.tells]
    if rehearsal.trying:
        drawn.append(line(tr("Trying ways to a shorter day ..."), "soft"))
    elif none:
        drawn += wrap(tr("No shorter by: {none}.", none=", ".join(none)), wide, "soft")
    elif not useful:
        drawn += wrap(tr("Nothing to try: the day has begun."), wide, "soft")
    return drawn


def _keys(rehearsal: RehearsalController, cells: int) -> Line:
    if rehearsal.typed is not None:
        return fit(
            key_lines((("Enter", tr("works it out")), ("Esc", tr("drops")), ("F1", tr("FIRE"))), cells)[0],
            cells,
        )
    keys = (
        (
            ("w", tr("the day")),
            ("Up Down", tr("move")),
            ("Esc", tr("back")),
            ("e", tr("FIRE")),
            ("/", tr("help")),
        )
        if rehearsal.whole
        else KEYS
    )
    pieces: Line = ()
    for key, short in keys:
        if key in ("b", "d") and not rehearsal.movable:
            continue
        if key == "Space" and rehearsal.playing:
            short = "pause"
        gap: Line = (("   ", "soft"),) if pieces else EMPTY
        more: Line = (*pieces, *gap, *hint(key, short))
        if width(more) > cells:
            continue
        pieces = more
    return fit(pieces, cells)
