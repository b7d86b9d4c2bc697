"""Where everything stands on the stove screen, from 40x12 up: pure, from advice to lines."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from pourday.guide.advice.adviser import Advice
from pourday.guide.advice.now import Now
from pourday.guide.outlook.jugs import jugs_now
from pourday.language import tr, word
from pourday.session.act_id import BACK
from pourday.session.alarm_words import alarms_short
from pourday.session.state import State
from pourday.times import clock, mould_key, span
from pourday.tui.drawing.block_letters import block_width
from pourday.tui.drawing.cells import Cells
from pourday.tui.drawing.jugs import draw_jugs
from pourday.tui.drawing.lines import (
    EMPTY,
    Line,
    Piece,
    beside,
    clickable,
    fit,
    line,
    sentences,
    width,
    wrap,
)
from pourday.tui.drawing.moulds import cells_wanted, draw_moulds, pictures, standing_words
from pourday.tui.drawing.pot_strip import PotStripCache, draw_pot
from pourday.tui.stove.agenda import agenda_block, agenda_rows, open_on_return, return_rows
from pourday.tui.stove.header import header
from pourday.tui.stove.large import (
    DONE,
    HEAT,
    Block,
    alarm_bar,
    burner_job,
    number_rows,
    numbers_beside,
    numbers_line,
    word_job,
    word_rows,
)

KEEP = 5.0
"""Seconds for which a drawing of picture and agenda is used again."""
SPARE = 3
"""Rows that picture and agenda give up for a long caution,"""
LEAST_BODY = 4
"""and rows that they keep in any case."""
AGENDA = 36
"""Cells the agenda needs beside the picture."""


@dataclass(frozen=True, slots=True)
class Foot:
    """The entry line and the key line."""

    entry: tuple[Line, ...]
    """What is typed, asked or said: one line, or as many as the sentence takes."""
    keys: Line


@dataclass(frozen=True, slots=True)
class Look:
    """What the person chose to see."""

    chosen: int | None = None
    """Agenda entry under the cursor."""
    finished: bool = False
    """Moulds as finished candles."""
    strip: str = ""
    """A line of the simulated kitchen, in a demo."""
    cells: Cells = "braille"
    """What the pot strip is drawn with."""
    follows: bool = False
    """A second screen: all word, numbers and moulds, without agenda and strip."""


class DrawingCache:
    """The picture and the agenda as they were last drawn: they say the same for a few seconds."""

    def __init__(self) -> None:
        self._key: tuple[object, ...] = ()
        self._body: Block = []
        self.pot_strip = PotStripCache()
        self._jugs_key: tuple[object, ...] = ()
        self._jugs: Block = []

    def jugs(self, advice: Advice, now: float, cells: int) -> Block:
        """The row of the jugs, while anything is still poured; no row where there is none."""
        key = (id(advice.outlook), id(advice.state), int(now // KEEP), cells)
        if key != self._jugs_key:
            here = advice.outlook is not None and advice.state.stage in ("melt", "pour")
            jugs = jugs_now(advice.state, advice.outlook, now) if here and advice.outlook else ()
            row = draw_jugs(advice.state, jugs, now, cells)
            self._jugs_key, self._jugs = key, [row] if row else []
        return self._jugs

    def body(self, advice: Advice, now: float, cells: int, rooms: tuple[int, int], look: Look) -> Block:
        """Picture and agenda, drawn anew where what they show has changed."""
        key = (id(advice.acts), id(advice.outlook), int(now // KEEP), cells, rooms, look)
        if key != self._key:
            self._key, self._body = key, _body(advice, now, cells, rooms, look)
        return self._body


def draw_stove(
    advice: Advice,
    now: float,
    cells: int,
    rows: int,
    foot: Foot,
    look: Look,
    cache: DrawingCache | None = None,
) -> Block:
    """The whole screen, exactly what fits into `cells` by `rows`; `cache` spares drawing the same again."""
    if advice.now is None or advice.outlook is None:
        return [line(tr("Nothing to show yet."), "soft")]
    if cells < 40 or rows < 10:
        return _tiny(advice, advice.now, now, cells, rows)
    if cells < 72 or rows < 20:
        return _small(advice, advice.now, now, cells, rows, foot)
    return _whole(advice, advice.now, now, cells, rows, foot, look, cache or DrawingCache())


def _tiny(advice: Advice, first: Now, now: float, cells: int, rows: int) -> Block:
    """A window for one word: what to do, what can hurt, the time left."""
    word = fit(line(first.word, "glow bold"), cells)
    time_left = fit(line(f"{first.time.text} {first.time.label}".strip(), "ink"), cells)
    return [
        word,
        *_danger(advice, now, cells),
        time_left,
        fit(line(tr("Make the window larger."), "soft"), cells),
    ][:rows]


def _small(advice: Advice, first: Now, now: float, cells: int, rows: int, foot: Foot) -> Block:
    """A window of some 40 by 10 and up: the sentence whole, the rest as far as it has room."""
    late = f"{first.time.label.capitalize()}. " if first.time.late else ""
    says, caution = wrap(late + first.says, cells, "ink"), wrap(first.act.caution, cells, "late")
    under = [*foot.entry, foot.keys]
    top: Block = []
    # The sentence and what can hurt are read whole; agenda, numbers and word give way to them in this order.
    for top in _tops(advice, first, now, cells):
        if len(top) + len(says) + len(caution) + len(under) <= rows:
            break
    room = max(0, rows - len(top) - len(under))
    caution = sentences(first.act.caution, cells, "late", room)
    says = wrap(late + first.says, cells, "ink", most=max(0, room - len(caution)))
    middle = [*says, *caution, *_coming(advice, now, cells)][:room]
    middle += _moulds_below(advice, now, cells, room - len(middle))
    if len(middle) < room and first.act.why:
        middle += sentences(tr("Why: {why}", why=word(first.act.why)), cells, "soft", room - len(middle))
    if len(middle) < room and first.act.kind != "wait":
        middle += _moulds_in_words(advice, now, cells, room - len(middle))
    return [*top, *middle, *[EMPTY] * (room - len(middle)), *under][-rows:]


def _moulds_below(advice: Advice, now: float, cells: int, rows: int) -> Block:
    """The moulds in the rows that are left over, and nothing where those are too few."""
    if rows < LEAST_BODY or advice.outlook is None or open_on_return(advice, now) is not None:
        return []
    there = sorted(advice.state.moulds)
    ways = {letter: f":look+{mould_key(letter)}" if len(there) > 1 else ":look" for letter in there}
    return draw_moulds(pictures(advice.state, advice.outlook, now), cells, rows, ways=ways)


def _moulds_in_words(advice: Advice, now: float, cells: int, rows: int) -> Block:
    """How each mould stands, in words, in the rows that nothing else needs: what lies on top in it, and its room."""
    if advice.outlook is None:
        return []
    says = [standing_words(mould) for mould in pictures(advice.state, advice.outlook, now)]
    return [fit(line(row, "soft"), cells) for row in (says if len(says) <= rows else ["; ".join(says)])]


def _tops(advice: Advice, first: Now, now: float, cells: int) -> Iterator[Block]:
    """What can stand above the sentence: word, alarms and numbers, the largest version first."""
    danger = _danger(advice, now, cells)
    word = first.word if block_width(first.word, 3) <= cells else first.act.word
    big = [row for row in word_rows(replace(first, word=word), advice, 3, cells) if row]
    small = [clickable(fit(line(first.word, word_job(first.act)), cells), DONE)]
    job = "late bold" if first.time.late else "ink bold"
    numbers = _with_danger(numbers_line(first, cells, job), danger, cells)
    if open_on_return(advice, now) is not None and first.act.id.what.startswith(BACK):
        # Whoever comes back needs what is open first; it has the pot's numbers in words.
        numbers = danger
    elif large := numbers_beside(first, cells):
        yield [*big, *danger, *large]
    yield [*big, *numbers]
    yield [*small, *numbers]
    yield [*small, *danger]


def _with_danger(numbers: Line, danger: Block, cells: int) -> Block:
    """Numbers and alarms in one row where both have room, else in two."""
    if danger and width(numbers) + 3 + width(danger[0]) <= cells:
        return [(*numbers, ("   ", "ink"), *danger[0])]
    return [numbers, *danger]


def _coming(advice: Advice, now: float, cells: int) -> Block:
    """What is open for somebody who comes back; the agenda for anybody else."""
    back = open_on_return(advice, now)
    if back is not None:
        # The burner has a row of its own above.
        return [row for said in back.short[1:] for row in wrap(said, cells, "soft")]
    ahead = [act for act in advice.acts if act.due > now]
    return [line(row, "soft") for row in agenda_rows(ahead, now, cells, advice.state.burner)]


def _danger(advice: Advice, now: float, cells: int) -> Block:
    """A row with the burner, alarms and the clock, for windows without the header."""
    state = advice.state
    alarms: Line = ((f"▲ {alarms_short(state.alarms)}  ", "alarm bold @:ack"),) if state.alarms else EMPTY
    since = f" {span(now - state.burner_since)}" if state.burner != "off" else ""
    burner: Piece = (
        tr("burner {burner}{since}", burner=word(state.burner).upper(), since=since),
        f"{burner_job(state.burner)} @{HEAT}",
    )
    drawn: Line = (*alarms, burner, (f"   {clock(now)}", "ink"))
    return [fit(drawn, min(cells, width(drawn)))]


def _whole(
    advice: Advice, first: Now, now: float, cells: int, rows: int, foot: Foot, look: Look, cache: DrawingCache
) -> Block:
    """A window of 72 by 20 and up, with the moulds and the pot drawn; larger letters from 100 by 34."""
    large = rows >= 34 and cells >= 100
    size = 5 if large else 3
    gap = [EMPTY] if large and not look.follows else []
    head = [header(advice, now, cells), *gap]
    word = word_rows(first, advice, size, cells)
    word += [alarm_bar(advice, now, cells, word)] if rows >= 24 else []
    numbers = [*number_rows(first, size, cells), *gap]
    strip_rows = 4 if large else 2
    strip = (
        draw_pot(advice.state, advice.outlook, now, cells, strip_rows, look.cells, cache.pot_strip)
        if advice.outlook and not look.follows and not _is_cold(advice.state)
        else []
    )
    jugs = [] if look.follows else cache.jugs(advice, now, cells)
    # Which jug is how warm is seen nowhere else.
    demo = wrap(look.strip, cells, "soft", most=2)
    most = 5 if large else 4 if rows >= 24 else 3
    least = 3 if large else 2
    rows_left = rows - len(head) - len(word) - len(numbers) - 1 - len(foot.entry) - 1
    wanted = max(least, _rows_wanted(first, look, cells))
    # What is said with all its amounts, and the moulds, come before the pot's strip; a long question before the jugs as well.
    # How it looks in a demo's moulds is what a question asks, and is seen nowhere else.
    for above in ([*jugs, *strip, *demo], [*jugs, *demo], *([demo] if demo else []), []):
        # Of three jugs it takes two rows, for one of which picture and agenda stand back.
        body_rows = LEAST_BODY - 1 if above and above is demo else LEAST_BODY
        if rows_left - len(above) >= min(wanted, most + SPARE) + body_rows:
            break
    else:
        above = [*jugs, *demo] if rows_left - len(jugs) - len(demo) >= most else []
    rows_left -= len(above)
    tail = [*above, *foot.entry, foot.keys]
    spare = max(0, min(SPARE, rows_left - most - LEAST_BODY))
    says = _sentence(first, advice, look, cells, (least, most + spare))
    # As many rows as there are beside a short sentence and a short message.
    usual = rows - len(head) - len(word) - len(numbers) - 3 - len(jugs) - len(strip) - len(demo) - least
    body = cache.body(advice, now, cells, (rows_left - len(says), usual), look)
    return [*head, *word, *numbers, *says, line("─" * cells, "rule"), *body, *tail]


def _rows_wanted(first: Now, look: Look, cells: int) -> int:
    """Rows that the sentence takes with all its amounts and its whole caution; of a chosen entry whatever there is."""
    if look.chosen is not None:
        return 0
    return len(wrap(_said_now(first), cells, "ink")) + len(wrap(first.act.caution, cells, "late"))


def _said_now(first: Now) -> str:
    """The sentence, and what is due after it."""
    if not first.then:
        return first.says
    then = ", ".join(first.then)
    if first.others > len(first.then):
        return tr("{says} Then: {then}, …", says=first.says, then=then)
    return tr("{says} Then: {then}.", says=first.says, then=then)


def _is_cold(state: State) -> bool:
    """Whether nothing is at the stove any more: the candles cure, and the burner is off."""
    return state.stage in ("cure", "finished") and state.burner == "off"


def _sentence(first: Now, advice: Advice, look: Look, cells: int, rows_for: tuple[int, int]) -> Block:
    """The sentence with its amounts, then the caution; the why of a chosen entry instead, when one is.

    `rows_for` says how many rows it takes at least and at most. Of a caution that has no room whole at least the first
    sentence stands; the sentence is cut only where even that leaves it too few rows.
    """
    least, most = rows_for
    if look.chosen is not None and look.chosen < len(advice.acts):
        act = advice.acts[look.chosen]
        rows = wrap(tr("{says} Why: {why}", says=act.says, why=act.why), cells, "ink", most=most)
    else:
        whole = len(wrap(_said_now(first), cells, "ink bold"))
        caution = sentences(first.act.caution, cells, "late", max(1, most - whole))
        caution = caution or sentences(first.act.caution, cells, "late", most - 1)
        says = wrap(_said_now(first), cells, "ink bold", most=most - len(caution))
        rows = [*says, *caution]
    return rows + [EMPTY] * (least - len(rows))


def _body(advice: Advice, now: float, cells: int, rooms: tuple[int, int], look: Look) -> Block:
    """Agenda and picture in the rows there are.

    `rooms` is (the rows there are now, the rows beside a short sentence): the picture always has the place it needs for
    the second, so that it stands still while sentences come and go.
    """
    rows, usual = rooms
    if rows < 1:
        return []
    assert advice.outlook is not None
    moulds = pictures(advice.state, advice.outlook, now)
    if look.follows:
        return draw_moulds(moulds, cells, rows, finished=look.finished, usual=usual)
    wanted = min(cells - AGENDA - 2, max(22, cells_wanted(moulds, usual)))
    left = cells - wanted - 2
    there = sorted(advice.state.moulds)
    ways = {letter: f":look+{mould_key(letter)}" if len(there) > 1 else ":look" for letter in there}
    picture = draw_moulds(moulds, wanted, rows, finished=look.finished, ways=ways, usual=usual)
    agenda = return_rows(advice, now, left, rows) or agenda_block(advice, now, left, rows, look.chosen)
    return beside(agenda + [EMPTY] * (rows - len(agenda)), picture, left)
