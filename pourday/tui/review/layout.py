"""How a record is laid out on the screen, from 40x12 up: pure, from the review to lines."""

from __future__ import annotations

from pourday.language import dated, tr, word
from pourday.reports.story import Happening
from pourday.session.alarm_words import ALARM_WORDS
from pourday.session.state import State
from pourday.times import clock, local
from pourday.tui.drawing.lines import EMPTY, Line, beside, clickable, fit, key_lines, line, text_of, wrap
from pourday.tui.drawing.moulds import draw_moulds
from pourday.tui.review.controller import SPEEDS, ReviewController
from pourday.tui.review.ledger_layout import draw_ledger
from pourday.units import show_temperature

BESIDE = 100
"""Cells from which the story stands beside the picture, not under it."""
NUMBERED = 56
"""Cells from which a line of the story has its seconds and its number."""


def draw_review(review: ReviewController, cells: int, rows: int, remark: str = "") -> list[Line]:
    """The whole screen, exactly what fits into `cells` by `rows`."""
    said = [
        *wrap(review.message, cells, "ink", most=3),
        *wrap(remark, cells, "late", most=2 if rows >= 16 else 1),
    ]
    foot = [*said, _keys(review, cells)]
    if review.ledger is not None:
        title = review.end.plan.title or review.end.session
        return [*draw_ledger(review.ledger, title, review.told, cells, rows - len(foot)), *foot][:rows]
    if review.papers:
        return [*_papers(review, cells, rows - len(foot)), *foot][:rows]
    state = review.state()
    head = _head(review, state, cells, rows)
    room = max(0, rows - len(head) - len(foot))
    return [*head, *_body(review, state, cells, room), *foot][:rows]


def _papers(review: ReviewController, cells: int, room: int) -> list[Line]:
    """Planned beside actual, scrolled; a long line hangs under its own indent."""
    drawn: list[Line] = []
    for number, text in enumerate(review.comparison):
        indent = len(text) - len(text.lstrip())
        rows = [line(text)] if len(text) <= cells else wrap(text, cells - indent - 2)
        hung: list[Line] = [
            ((" " * (indent + 2 * (n > 0)), "ink"), *row) if len(text) > cells else row
            for n, row in enumerate(rows)
        ]
        drawn += [line(text, "glow bold")] if number == 0 and len(text) <= cells else hung or [EMPTY]
    review.top = max(0, min(review.top, len(drawn) - room))
    shown = [fit(row, cells) for row in drawn[review.top : review.top + room]]
    return [*shown, *[EMPTY] * (room - len(shown))]


# -- the head ---------------------------------------------------------------------------------------


def _head(review: ReviewController, state: State, cells: int, rows: int) -> list[Line]:
    title = review.end.plan.title or review.end.session
    when = (
        f"{dated(local(review.now), '%a %d %b %Y %H:%M:%S')}"
        if cells >= 72
        else f"{dated(local(review.now), '%d %b %H:%M')}"
    )
    name = fit(line(title, "glow bold"), max(1, cells - len(when) - 2))
    drawn: list[Line] = [(*name, ("  ", "ink"), (when, "ink bold"))]
    if rows >= 16:
        drawn += [_thread(review, cells), fit(_then(review, state), cells), *([EMPTY] if rows >= 30 else [])]
    return drawn


def _thread(review: ReviewController, cells: int) -> Line:
    """The day as one line of cells, each event a mark at its time and the one looked at a dot."""
    label = tr(" {at} of {count}", at=review.at + 1, count=len(review.stops))
    play = tr("{speeds:g} a second", speeds=SPEEDS[review.speed]) if review.playing else tr("still")
    right = f"{label}, {play}"
    room = max(4, cells - len(right) - 1)
    times = review.times
    first, last = times[0], max(times[-1], times[0] + 1.0)
    cell = [min(room - 1, int((t - first) / (last - first) * (room - 1))) for t in times]
    here = cell[review.at] if times else 0
    marked = set(cell)
    before = "".join("╪" if n in marked else "═" for n in range(here))
    after = "".join("┼" if n in marked else "─" for n in range(here + 1, room))
    return ((before, "glow"), ("●", "glow bold"), (after, "rule"), (right, "soft"))


def _then(review: ReviewController, state: State) -> Line:
    """Stage, burner, pot and alarms as they were known at the event, and the word the program told then."""
    parts = [
        word(state.stage),
        tr("burner {burner}", burner=word(state.burner)) if state.fixed_plan else tr("being planned"),
    ]
    pot = state.last_reading("pot")
    if pot is not None:
        parts.append(
            tr(
                "pot {temperature} read {clock}",
                temperature=show_temperature(pot.celsius, state.plan.units, 1),
                clock=clock(pot.t, review.now),
            )
        )
    if state.away_since is not None:
        parts.append(tr("away"))
    parts += [tr("ALARM {name}", name=ALARM_WORDS.get(name, name)) for name in state.alarms]
    drawn: Line = line("   ".join(parts), "soft")
    if state.told is not None and state.finished_at is None:
        drawn = (*drawn, (tr("   on screen: "), "soft"), (state.told.word, "ink bold"))
    return drawn


# -- picture and story ------------------------------------------------------------------------------


def _body(review: ReviewController, state: State, cells: int, room: int) -> list[Line]:
    if cells >= BESIDE:
        left = min(72, cells // 2)
        moulds = _picture(review, state, left, min(room, 30))
        story = _story(review, cells - left - 3, room)
        return beside(moulds + [EMPTY] * (room - len(moulds)), story, left, gap=3)[:room]
    high = max(5, room * 3 // 5) if room >= 9 else room // 2
    moulds = _picture(review, state, cells, high)
    return [*moulds, *_story(review, cells, room - len(moulds))]


def _picture(review: ReviewController, state: State, cells: int, rows: int) -> list[Line]:
    moulds = review.moulds(state)
    if not moulds:
        return wrap(
            tr("The moulds cannot be drawn: the plan cannot be weighed out as it stands."),
            cells,
            "soft",
            most=rows,
        )
    head = []
    if rows >= 9:
        head = [
            line(tr("as the finished candles stand") if review.finished_view else tr("as poured"), "soft")
        ]
    drawn = draw_moulds(moulds, cells, rows - len(head), finished=review.finished_view)
    # What is not needed of the height stays below the moulds, not above them.
    while drawn and not text_of(drawn[0]).strip():
        drawn = [*drawn[1:], EMPTY]
    return [*head, *drawn]


def _story(review: ReviewController, cells: int, room: int) -> list[Line]:
    """The story around the event, which stands in the middle; what came after it in soft."""
    if room < 1:
        return []
    here, middle = review.row, review.row + review.scroll
    drawn: list[Line] = []
    focus = 0
    for number in range(max(0, middle - room), min(len(review.story), middle + room)):
        chosen = number == here
        if number == middle:
            focus = len(drawn)
        job = "glow bold" if chosen else "ink" if number < here else "soft"
        told = _told(review.story[number], cells, chosen, job)
        drawn += [clickable(fit(row, cells), f"#{number}") for row in told]
    start = max(0, min(focus - room // 2, len(drawn) - room))
    shown = [fit(row, cells) for row in drawn[start : start + room]]
    return [*shown, *[EMPTY] * (room - len(shown))]


def _told(happening: Happening, cells: int, chosen: bool, job: str) -> list[Line]:
    """One entry of the story, its sentence hanging beside its time."""
    if happening.seq is None:
        return [line(happening.says, "soft")]
    mark = "› " if chosen else "  "
    when = f"{happening.clock} {happening.seq:>4}  " if cells >= NUMBERED else f"{happening.clock[:5]} "
    rows = wrap(happening.says, cells - len(mark) - len(when), job)
    blank = " " * (len(mark) + len(when))
    return [((mark + when if n == 0 else blank, job), *row) for n, row in enumerate(rows)]


def _keys(review: ReviewController, cells: int) -> Line:
    if review.ledger is not None:
        keys = [
            ("Up Down", tr("move")),
            ("Enter", tr("to that moment")),
            ("Esc", tr("back")),
            ("e", tr("FIRE")),
        ]
        keys += [("Tab", tr("not as planned")), ("[ ]", tr("coarser, finer")), ("/", tr("help"))]
    elif review.papers:
        keys = [
            ("Up Down", tr("move")),
            ("Esc", tr("back")),
            ("p", tr("picture")),
            ("e", tr("FIRE")),
            ("/", tr("help")),
        ]
    else:
        play = tr("stop") if review.playing else tr("play")
        keys = [("Left Right", tr("event")), ("Space", play), ("Esc", tr("back")), ("e", tr("FIRE"))]
        keys += [
            ("t", tr("whole day")),
            ("p", tr("plan beside actual")),
            ("i", tr("faults")),
            ("v", tr("turn over")),
            ("[ ]", tr("speed")),
            ("/", tr("help")),
            ("Up Down", tr("story")),
        ]
    return key_lines(tuple(keys), cells)[0]
