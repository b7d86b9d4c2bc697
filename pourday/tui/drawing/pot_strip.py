"""The pot strip: readings, the range they should be in, what is likely next, when the burner was lit.

Every meaning has a shape of its own, so the strip reads without colour; the legend says in words what is drawn.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from pourday.guide.outlook.outlook import READY_WITHIN, Outlook
from pourday.language import tr, word
from pourday.plan.jug_names import jug_name
from pourday.session.state import LIT, ReadingAt, State
from pourday.times import clock
from pourday.tui.drawing.cells import Cells, Dots, Floats, Ints, Raster, between, trace
from pourday.tui.drawing.lines import Line, Piece, fit, joined, line, width
from pourday.units import show_temperature

BACK = 45 * 60.0
AHEAD = 30 * 60.0
"""Seconds before and after now that the strip shows."""
JOIN = 15 * 60.0
"""Readings further apart than this, s, are not joined by a line: nobody knows what was between."""
STEP_C = 5.0
"""The scale ends on multiples of this, so that it stands still while the forecast moves, K."""
ROOM_C = 15.0
"""Least that is shown below the target range, K."""

POT, SOME_JUG = 0, 1
"""Numbers of the places: the pot, a jug that nobody named; the jug of layer 0 is the next, and so on."""
SIGNS = {"pot": ("●", "ink bold"), "jug": ("J", "calm bold"), "doubted": ("?", "late bold")}
NEAR_C = 10.0
"""The ceiling is drawn once the wax is as near to it as this, K: before, it only takes room."""
LATELY = 10 * 60.0
"""Seconds before now from which the ceiling is drawn: it is for what comes."""
MARK = 4
"""Cells from one dot of the target, or one upright of the forecast, to the next."""
WITH_LEGEND = 4
"""Rows from which the legend has one to itself."""


@dataclass(frozen=True, slots=True)
class Seen:
    """Readings of pot and jug as arrays of one length, in order of time."""

    t: Floats
    celsius: Floats
    place: Ints
    """Number of its place; see `POT`."""
    doubted: Dots

    def of(self, which: Dots | Ints) -> Seen:
        """Some of the readings, by a mask or by their numbers."""
        return Seen(self.t[which], self.celsius[which], self.place[which], self.doubted[which])


@dataclass(frozen=True, slots=True)
class StripForecast:
    """What is forecast for the columns of dots that lie ahead, arrays of one length."""

    column: Ints
    """Their numbers."""
    low: Floats
    """°C that one time in ten it is below; then the likely one, and the one that one time in ten it is above."""
    likely: Floats
    high: Floats


@dataclass(frozen=True, slots=True)
class StripFrame:
    """Which time and which temperatures the picture spans."""

    edges: Floats
    """Start of each column and end of the last, s."""
    now: float
    top: float
    bottom: float
    """°C at the upper and lower edge."""

    def levels(self, celsius: Floats, count: int) -> Ints:
        """Which of `count` rows, counted from the top, each temperature lies on; what is outside is on the edge."""
        share = (self.top - celsius) / (self.top - self.bottom)
        return np.clip(np.floor(np.clip(share, -1.0, 2.0) * count), 0, count - 1).astype(np.int64)

    def columns(self, t: Floats) -> Ints:
        """Which column each time lies in; what is outside is in the first or last."""
        return np.clip(np.searchsorted(self.edges, t, side="right") - 1, 0, self.edges.size - 2)


class PotStripCache:
    """The last strip and the last readings as arrays: most looks at the screen change neither, nor do most new outlooks, which
    come several times after each fact and mostly have the same forecast of the pot."""

    def __init__(self) -> None:
        self.key: tuple[object, ...] = ()
        self.drawn: list[Line] = []
        self.readings: tuple[ReadingAt, ...] = ()
        self.seen = _arrays(())


def draw_pot(
    state: State,
    outlook: Outlook,
    now: float,
    across: int,
    rows: int,
    cells: Cells = "braille",
    cache: PotStripCache | None = None,
) -> list[Line]:
    """Temperatures over the last 45 and the next 30 minutes, `rows` + 1 lines of `across` cells at most.

    The lines: temperature, the burner, and from 4 rows on the legend; below that the legend shares the
    burner's line. Empty where there is no room for a picture (`rows` < 2 or `across` < 20).
    """
    if rows < 2 or across < 20:
        return []
    cache = cache or PotStripCache()
    gutter = 8 if across >= 40 else 5
    columns = across - gutter
    wide = (BACK + AHEAD) / columns
    # The picture moves on by whole columns: nothing on it shivers between two of them.
    moment = np.floor(now / wide) * wide
    key = (
        state.readings,
        state.jugs,
        state.burner_spans,
        state.additions,
        state.plan,
        outlook.pot,
        outlook.pour_c,
        outlook.melt_c,
        outlook.ceiling_c,
        moment,
        across,
        rows,
        cells,
    )
    if len(cache.key) == len(key) and all(_same(a, b) for a, b in zip(key, cache.key, strict=True)):
        return cache.drawn
    cache.key = key
    cache.drawn = _draw(state, outlook, float(moment), gutter, columns, rows, cells, cache)
    return cache.drawn


def _same(a: object, b: object) -> bool:
    """Whether two parts of a key are the same: parts of a state by identity, for to compare them costs more."""
    return a is b or (isinstance(a, (int, float, str)) and a == b)


def _draw(
    state: State,
    outlook: Outlook,
    now: float,
    gutter: int,
    columns: int,
    rows: int,
    cells: Cells,
    cache: PotStripCache,
) -> list[Line]:
    """The strip: temperatures with their scale, then burner and times; the legend where there are rows for it."""
    seen = _recent(state.readings, now, cache)
    edges = now + np.linspace(-BACK, AHEAD, columns + 1)
    high = rows - 1 if rows >= WITH_LEGEND else rows
    raster = Raster(columns, high, cells)
    course = _course(outlook, edges, now, raster.across)
    near = _near_ceiling(outlook, seen, course, now)
    frame = _frame(outlook, seen, edges, now, course, near)
    legend: dict[str, Piece] = {}
    _haze(raster, frame, course, legend)
    _target(raster, frame, outlook, legend)
    if near:
        _ceiling(raster, frame, outlook, legend)
    _likely(raster, frame, course)
    jugs = _jug_signs(state)
    _readings(raster, frame, seen, legend, jugs)
    names = _scale(frame, high, state, gutter)
    picture = [(names[row], *pieces) for row, pieces in enumerate(raster.lines())]
    burner = _burner(state, frame, legend)
    words = _legend(legend, outlook, state, jugs)
    name = line(tr("burner ") if gutter > 6 else tr("heat "), "soft")
    ahead = int(frame.columns(np.array([now]))[0]) + 2
    if rows >= WITH_LEGEND:
        return [
            *picture,
            (*fit(name, gutter), *_times(burner, ahead, columns, now)),
            _fitting(words, gutter + columns),
        ]
    return [*picture, (*fit(name, gutter), *joined(burner[:ahead]), *_fitting(words, columns - ahead))]


# -- what there is to draw ---------------------------------------------------------------------------


def _arrays(readings: tuple[ReadingAt, ...]) -> Seen:
    """Readings of pot and jug as arrays."""
    shown = [r for r in readings if r.place in ("pot", "jug")]
    t = np.array([r.t for r in shown], dtype=np.float64)
    seen = Seen(
        t,
        np.array([r.celsius for r in shown], dtype=np.float64),
        np.array([_number(r) for r in shown], dtype=np.int64),
        np.array([bool(r.doubt) for r in shown], dtype=bool),
    )
    return seen.of(np.argsort(t, kind="stable"))


def _number(reading: ReadingAt) -> int:
    """The number of the place that was read."""
    if reading.place == "pot":
        return POT
    return SOME_JUG if reading.jug is None else SOME_JUG + 1 + reading.jug


def _jug_signs(state: State) -> dict[int, tuple[str, str]]:
    """(sign, name) of each jug by its number: with several, the first letter of its name, or its number where two begin
    alike."""
    names = {layer: jug_name(state.plan, layer) for layer in state.jugs}
    if len(names) < 2:
        return {}
    first = [name[0].upper() for name in names.values()]
    return {
        SOME_JUG + 1 + layer: (
            name[0].upper() if first.count(name[0].upper()) == 1 and name[0].isascii() else str(layer + 1),
            name,
        )
        for layer, name in names.items()
    }


def _and(one: Seen, other: Seen) -> Seen:
    """Both, in order of time."""
    t = np.concatenate([one.t, other.t])
    both = Seen(
        t,
        np.concatenate([one.celsius, other.celsius]),
        np.concatenate([one.place, other.place]),
        np.concatenate([one.doubted, other.doubted]),
    )
    return both.of(np.argsort(t, kind="stable"))


def _recent(readings: tuple[ReadingAt, ...], now: float, cache: PotStripCache) -> Seen:
    """Those that can be in the picture, and the pot's last one before it: its line comes in from the left.

    A state grows by one reading at its end; one that was put together anew has readings of its own.
    """
    known, seen = cache.readings, cache.seen
    if readings is not known:
        grown = known and len(readings) > len(known) and readings[len(known) - 1] is known[-1]
        seen = _and(seen, _arrays(readings[len(known) :])) if grown else _arrays(readings)
        cache.readings, cache.seen = readings, seen
    return seen.of((seen.t > now - BACK - JOIN) & (seen.t <= now + AHEAD))


def _course(outlook: Outlook, edges: Floats, now: float, across: int) -> StripForecast:
    """The forecast of the pot for each column of dots after now.

    It is asked for at the edges of cells only; the `across` columns of dots in a cell lie on straight lines between.
    """
    cell = edges[edges >= now]
    if outlook.pot is None or cell.size < 2:
        return StripForecast(np.zeros(0, dtype=np.int64), *[np.zeros(0)] * 3)
    columns = edges.size - 1
    dots = np.linspace(edges[0], edges[-1], columns * across + 1)
    middle = (dots[:-1] + dots[1:]) / 2
    column = np.flatnonzero(middle > now)
    band = outlook.pot.band(cell)
    return StripForecast(column, *(np.interp(middle[column], cell, row) for row in band))


def _near_ceiling(outlook: Outlook, seen: Seen, course: StripForecast, now: float) -> bool:
    """Whether the wax is near what it must never pass, as read or as likely, or is likely to come there."""
    read = seen.celsius[seen.t <= now][-1:].tolist()
    likely = [float(outlook.pot.at(now)[1])] if outlook.pot is not None else []
    ahead = bool((course.likely >= outlook.ceiling_c).any())
    return ahead or max([*read, *likely], default=-np.inf) >= outlook.ceiling_c - NEAR_C


def _frame(
    outlook: Outlook, seen: Seen, edges: Floats, now: float, course: StripForecast, ceiling: bool
) -> StripFrame:
    """The temperatures the picture has to span: readings, likely course, target, and the ceiling where it is drawn.

    A reading in doubt stretches nothing; it is drawn at the edge.
    """
    shown = seen.celsius[(seen.t >= edges[0]) & ~seen.doubted]
    ends = [max(outlook.pour_c, outlook.melt_c), outlook.pour_c - READY_WITHIN - ROOM_C]
    ends += [outlook.ceiling_c + 1.0] if ceiling else []
    values = np.concatenate([shown, course.likely, ends])
    top = np.ceil((values.max() + 0.5) / STEP_C) * STEP_C
    bottom = np.floor((values.min() - 0.5) / STEP_C) * STEP_C
    return StripFrame(edges, now, float(top), float(bottom))


# -- layers, from the back to the front --------------------------------------------------------------


def _target(raster: Raster, frame: StripFrame, outlook: Outlook, legend: dict[str, Piece]) -> None:
    """The lower edge of the range to be in: a few dots that an eye can follow, and no more."""
    column = np.arange(raster.shape[1])
    dashes = column[column % (MARK * raster.across) == 0]
    _marks(raster, frame, min(outlook.pour_c - READY_WITHIN, outlook.melt_c), dashes, "┄┄", "calm")
    legend["target"] = ("⠂" if raster.cells == "braille" else "┄", "calm")


def _ceiling(raster: Raster, frame: StripFrame, outlook: Outlook, legend: dict[str, Piece]) -> None:
    """What the wax must never pass, as short dashes far from each other."""
    column = np.arange(raster.shape[1])
    first = int(frame.columns(np.array([frame.now - LATELY]))[0]) * raster.across
    # Where no dot of the target is, which may lie in the same row of cells.
    dots = column[(column // raster.across % (2 * MARK) == MARK // 2) & (column >= first)]
    _marks(raster, frame, outlook.ceiling_c, dots, "▔▁", "late")
    legend["ceiling"] = ("⠒" if raster.cells == "braille" else "▔", "late")


def _marks(raster: Raster, frame: StripFrame, celsius: float, some: Ints, signs: str, job: str) -> None:
    """Marks at one temperature in `some` columns: dots in braille; in half blocks one of two `signs`, for the upper
    or the lower half of a cell."""
    at = int(frame.levels(np.array([celsius]), raster.shape[0])[0])
    if raster.cells == "braille":
        dots = np.zeros(raster.shape, dtype=bool)
        dots[at, some] = True
        raster.add(dots, job)
    else:
        raster.put(np.full(some.size, at // raster.down), some, signs[at % raster.down], job)


def _haze(raster: Raster, frame: StripFrame, course: StripForecast, legend: dict[str, Piece]) -> None:
    """Where the pot may be: a thin upright every few cells, from the earliest to the latest."""
    if course.column.size == 0:
        return
    down, across = raster.shape
    inside = (course.high > frame.bottom) & (course.low < frame.top)
    haze = np.zeros(raster.shape, dtype=bool)
    first, last = frame.levels(course.high[inside], down), frame.levels(course.low[inside], down)
    haze[:, course.column[inside]] = between(first, last, down)
    thin = haze & (np.arange(across)[None, :] % (MARK * raster.across) == 0)
    if raster.cells == "braille":
        raster.add(thin, "soft")
    else:
        where = np.nonzero(raster.touched(thin))
        raster.put(where[0], where[1], "░", "soft")
    legend["forecast"] = ("⡗⠒" if raster.cells == "braille" else "░▄", "soft")


def _likely(raster: Raster, frame: StripFrame, course: StripForecast) -> None:
    """The likely course, a line through the haze."""
    if course.column.size == 0:
        return
    low, high = np.full(raster.shape[1], np.inf), np.full(raster.shape[1], -np.inf)
    before = np.concatenate([course.likely[:1], course.likely[:-1]])
    low[course.column] = np.minimum(before, course.likely)
    high[course.column] = np.maximum(before, course.likely)
    raster.add(_column_dots(frame, low, high, raster), "soft bold")


def _column_dots(frame: StripFrame, low: Floats, high: Floats, raster: Raster) -> Dots:
    """Dots from the lowest to the highest value of each column; none where there is no value."""
    down = raster.shape[0]
    any_ = low <= high
    first = np.where(any_, frame.levels(np.where(any_, high, 0.0), down), down)
    last = np.where(any_, frame.levels(np.where(any_, low, 0.0), down), -1)
    return between(first, last, down)


def _readings(
    raster: Raster,
    frame: StripFrame,
    seen: Seen,
    legend: dict[str, Piece],
    jugs: Mapping[int, tuple[str, str]],
) -> None:
    """The pot's as marks on a line, or as the line alone where they are many; the jug's and doubted ones as letters."""
    edges = np.linspace(frame.edges[0], frame.edges[-1], raster.shape[1] + 1)
    pot = seen.of((seen.place == POT) & ~seen.doubted)
    if pot.t.size:
        dots = _column_dots(frame, *trace(pot.t, pot.celsius, edges, JOIN), raster)
        raster.add(dots, "ink")
    inside = seen.t >= frame.edges[0]
    shown = pot.of(pot.t >= frame.edges[0])
    if shown.t.size > raster.columns // 3:
        shown = shown.of(np.arange(shown.t.size) == shown.t.size - 1)
    groups = [("pot", SIGNS["pot"], shown), ("doubted", SIGNS["doubted"], seen.of(seen.doubted & inside))]
    for number in sorted(set(seen.place[seen.place != POT].tolist())):
        sign, name = jugs.get(number, (SIGNS["jug"][0], "jug"))
        jug = seen.of((seen.place == number) & ~seen.doubted & inside)
        groups.insert(-1, (tr("jug {name}", name=name), (sign, SIGNS["jug"][1]), jug))
    for name, sign_of, some in groups:
        if some.t.size:
            raster.put(frame.levels(some.celsius, raster.rows), frame.columns(some.t), *sign_of)
            legend[name] = sign_of


# -- around the picture ------------------------------------------------------------------------------


def _scale(frame: StripFrame, rows: int, state: State, gutter: int) -> list[Piece]:
    """What stands left of each row: the temperature of its middle, in the first and the last row, and from five
    rows on in the middle one."""
    step = (frame.top - frame.bottom) / rows
    wanted = {0, rows - 1} | ({rows // 2} if rows >= 5 else set())
    names = []
    for row in range(rows):
        text = show_temperature(frame.top - step * (row + 0.5), state.plan.units) if row in wanted else ""
        if gutter < 8:
            text = text.split(" ")[0] + ("°" if text else "")
        names.append((text.rjust(gutter - 1) + " ", "soft"))
    return names


def _burner(state: State, frame: StripFrame, legend: dict[str, Piece]) -> list[Piece]:
    """One piece a column: lit full or low, not known, blank while off; wax put in; now. Nothing after now."""
    here = int(frame.columns(np.array([frame.now]))[0])
    pieces: list[Piece] = [(" ", "soft")] * (frame.edges.size - 1)
    for span in state.burner_spans:
        end = frame.now if span.end is None else min(span.end, frame.now)
        if end < frame.edges[0] or span.start > frame.now:
            continue
        first, last = frame.columns(np.array([span.start, end])).tolist()
        lit = span.what in LIT
        piece = ("▬" if span.what == "on" else "▂", "glow") if lit else ("?", "late")
        if not lit:
            legend["unknown"] = piece
        for column in range(first, min(max(first, last - (span.end is None)), here - 1) + 1):
            pieces[column] = piece
    added = [t for t, _ in state.additions if frame.edges[0] <= t <= frame.now]
    for column in frame.columns(np.array(added)).tolist() if added else []:
        pieces[min(column, here - 1)] = legend["added"] = ("+", "ink bold")
    pieces[here] = ("╵", "soft")
    return pieces


def _times(burner: list[Piece], ahead: int, columns: int, now: float) -> Line:
    """The burner's line with the clock after now, and at its end."""
    says, end = clock(now), clock(now + AHEAD)
    room = columns - ahead - len(says)
    text = says + (end.rjust(room) if room > len(end) + 2 else "")
    return (*joined(burner[: ahead - 1]), *line(text[: columns - ahead + 1], "soft"))


def _legend(
    drawn: dict[str, Piece], outlook: Outlook, state: State, jugs: Mapping[int, tuple[str, str]]
) -> list[tuple[Piece, str]]:
    """Sign and words of all that is in the picture, the most needed first."""
    units = state.plan.units
    low, high = sorted((outlook.pour_c - READY_WITHIN, outlook.melt_c))
    span = f"{show_temperature(low, units).split(' ')[0]}-{show_temperature(high, units)}"
    words = {
        "doubted": tr("in doubt"),
        "unknown": word("burner?"),
        "jug jug": word("jug"),
        **{tr("jug {name}", name=name): name for _, name in jugs.values()},
        "target": span,
        "pot": word("pot"),
        "ceiling": tr("never above {temperature}", temperature=show_temperature(outlook.ceiling_c, units)),
        "added": tr("wax in"),
        "forecast": tr("likely, early to late"),
    }
    return [(drawn[what], said) for what, said in words.items() if what in drawn]


def _fitting(said: list[tuple[Piece, str]], room: int) -> Line:
    """As many of the legend's words as there is room for, each whole."""
    pieces: list[Piece] = []
    for sign, words in said:
        more: list[Piece] = [*([("  ", "soft")] if pieces else []), sign, (f" {words}", "soft")]
        if width((*pieces, *more)) <= room:
            pieces += more
    return tuple(pieces)
