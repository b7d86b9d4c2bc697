"""Where everything stands on the stove screen, from 40x12 up: pure, from advice to lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from rich.cells import cell_len

from pourday.guide.acts.act import Act
from pourday.guide.advice.adviser import Advice
from pourday.guide.advice.now import Now, Number, late_by
from pourday.guide.outlook.jugs import jugs_now
from pourday.guide.rescue import on_return as coming_back
from pourday.guide.rescue.on_return import OnReturn
from pourday.language import tr, word
from pourday.session.act_id import BACK, ActId
from pourday.session.alarm_words import ALARM_WORDS, alarms_short
from pourday.session.state import State
from pourday.times import between, clock, letters_short, mould_key, span
from pourday.tui.drawing.block_letters import block_rows, block_width
from pourday.tui.drawing.cells import Cells
from pourday.tui.drawing.jugs import draw_jugs
from pourday.tui.drawing.lines import (
    EMPTY,
    Line,
    Piece,
    beside,
    block,
    clickable,
    fit,
    line,
    sentences,
    text_of,
    width,
    wrap,
)
from pourday.tui.drawing.moulds import cells_wanted, draw_moulds, pictures, standing_words
from pourday.tui.drawing.pot_strip import PotStripCache, draw_pot
from pourday.units import show_temperature

Block = list[Line]
KEEP = 5.0
"""Seconds for which one drawing of picture and agenda serves."""
SPARE = 3
"""Rows that picture and agenda give up to a long caution."""
LEAST_WORDS = 9
"""Cells from which there is room for words beside a big number."""
LEAST_BODY = 4
"""Rows that they keep in any case."""
AGENDA = 36
"""Cells the agenda needs beside the picture."""
NEXT_GAP, BURNER_GAP = 4, 3
"""Cells between WAIT and what it waits for, and before the burner."""
DONE, HEAT = ":done", ":heat"
"""What a click on the word does, and one on the burner."""
MOST_PROBES = 3
"""Probes in the header beside the one that stands large."""
BURNER_LETTERS = {"unknown": "?"}
"""What stands in block letters for a burner, where that is not its state."""


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
    """The moulds in the rows that are left over, where there are enough of them; nothing else."""
    if rows < LEAST_BODY or advice.outlook is None or _returned(advice, now) is not None:
        return []
    there = sorted(advice.state.moulds)
    ways = {letter: f":look+{mould_key(letter)}" if len(there) > 1 else ":look" for letter in there}
    return draw_moulds(pictures(advice.state, advice.outlook, now), cells, rows, ways=ways)


def _moulds_in_words(advice: Advice, now: float, cells: int, rows: int) -> Block:
    """How each mould stands, in the few rows that nothing else has a use for: what lies on top in it, and its room."""
    if advice.outlook is None:
        return []
    says = [standing_words(mould) for mould in pictures(advice.state, advice.outlook, now)]
    return [fit(line(row, "soft"), cells) for row in (says if len(says) <= rows else ["; ".join(says)])]


def _tops(advice: Advice, first: Now, now: float, cells: int) -> Iterator[Block]:
    """The word, what can hurt and the numbers: as large as can be, then smaller."""
    danger = _danger(advice, now, cells)
    word = first.word if block_width(first.word, 3) <= cells else first.act.word
    big = [row for row in _head_row(replace(first, word=word), advice, 3, cells) if row]
    small = [clickable(fit(line(first.word, _job(first.act)), cells), DONE)]
    job = "late bold" if first.time.late else "ink bold"
    numbers = _with_danger(_numbers_told(first, cells, job), danger, cells)
    if _returned(advice, now) is not None and first.act.id.what.startswith(BACK):
        # Whoever comes back needs what is open first; it has the pot's numbers in words.
        numbers = danger
    elif large := _numbers_big(first, cells):
        yield [*big, *danger, *large]
    yield [*big, *numbers]
    yield [*small, *numbers]
    yield [*small, *danger]


def _with_danger(numbers: Line, danger: Block, cells: int) -> Block:
    """Numbers and what can hurt in one row where there is room."""
    if danger and width(numbers) + 3 + width(danger[0]) <= cells:
        return [(*numbers, ("   ", "ink"), *danger[0])]
    return [numbers, *danger]


def _coming(advice: Advice, now: float, cells: int) -> Block:
    """What is open for somebody who comes back; the agenda for anybody else."""
    back = _returned(advice, now)
    if back is not None:
        # The burner has a row of its own above.
        return [row for said in back.short[1:] for row in wrap(said, cells, "soft")]
    ahead = [act for act in advice.acts if act.due > now]
    return [line(row, "soft") for row in _agenda_rows(ahead, now, cells, advice.state.burner)]


def _danger(advice: Advice, now: float, cells: int) -> Block:
    """How the burner stands, alarms and the clock, where there is no room for the header."""
    state = advice.state
    alarms: Line = ((f"▲ {alarms_short(state.alarms)}  ", "alarm bold @:ack"),) if state.alarms else EMPTY
    since = f" {span(now - state.burner_since)}" if state.burner != "off" else ""
    burner: Piece = (
        tr("burner {burner}{since}", burner=word(state.burner).upper(), since=since),
        f"{_burner_job(state.burner)} @{HEAT}",
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
    word = _head_row(first, advice, size, cells)
    word += [_bar(advice, now, cells, word)] if rows >= 24 else []
    numbers = [*_numbers(first, size, cells), *gap]
    strip_rows = 4 if large else 2
    strip = (
        draw_pot(advice.state, advice.outlook, now, cells, strip_rows, look.cells, cache.pot_strip)
        if advice.outlook and not look.follows and not _is_cold(advice.state)
        else []
    )
    strip = strip if look.follows else [*cache.jugs(advice, now, cells), *strip]
    demo = [fit(line(look.strip, "soft"), cells)] if look.strip else []
    most = 5 if large else 4 if rows >= 24 else 3
    rows_left = rows - len(head) - len(word) - len(numbers) - 1 - len(foot.entry) - 1
    # A long question has the rows of the strip as well.
    above = [*strip, *demo] if rows_left - len(strip) - len(demo) >= most else []
    rows_left -= len(above)
    tail = [*above, *foot.entry, foot.keys]
    spare = max(0, min(SPARE, rows_left - most - LEAST_BODY))
    least = 3 if large else 2
    says = _sentence(first, advice, look, cells, (least, most, spare))
    # As many rows as there are beside a short sentence and a short message.
    usual = rows - len(head) - len(word) - len(numbers) - 3 - len(strip) - len(demo) - least
    body = cache.body(advice, now, cells, (rows_left - len(says), usual), look)
    return [*head, *word, *numbers, *says, line("─" * cells, "rule"), *body, *tail]


def _is_cold(state: State) -> bool:
    """Whether nothing is at the stove any more: the candles cure, and the burner is off."""
    return state.stage in ("cure", "finished") and state.burner == "off"


def header(advice: Advice, now: float, cells: int) -> Line:
    """Session and stage, and at the right what can hurt and the time."""
    state = advice.state
    end = advice.rest.end if advice.rest is not None else None
    until = (
        tr(" · stove till ~{clock}", clock=clock(end.likely, now))
        if end is not None and end.likely > now
        else ""
    )
    rest = f" · {word(state.stage)}{(tr(' · demo') if state.demo else '')}"
    since = f" {span(now - state.burner_since)}" if state.burner != "off" else ""
    burner: Piece = (tr("burner {burner}{since}", burner=word(state.burner).upper(), since=since), "soft")
    if state.burner != "off":
        burner = (burner[0], "late bold" if state.burner == "unknown" else "glow bold")
    alarm: tuple[Piece, ...] = ()
    if state.alarms:
        alarm = ((f"▲ {alarms_short(state.alarms)}  ", "alarm bold"),)
    right: Line = (*alarm, *_probes(advice, now), burner, (f"   {clock(now)}", "ink"))
    room = cells - width(right) - 2
    title = line(state.plan.title or state.session, "soft")
    # Where there is no room the end of the day gives way, then the title; never what says that this is a demo.
    if width((*title, (rest + until, "soft"))) <= room:
        rest += until
    title = fit(title, min(width(title), max(8, room - width(line(rest)))))
    return (*fit((*title, (rest, "soft")), room), ("  ", "ink"), *right)


def _probes(advice: Advice, now: float) -> tuple[Piece, ...]:
    """What the probes say that do not stand large below, each with its place; the ones that are silent or in doubt, too."""
    large = advice.now.probe if advice.now is not None else ""
    pieces: list[Piece] = []
    for probe in advice.probes:
        if probe.place is None or probe.name == large:
            continue
        place = probe.where
        if probe.counts(now) and probe.counted is not None:
            figure = show_temperature(probe.counted, advice.state.plan.units, 1).split()[0]
            pieces.append((f"{word(place)} {figure}°  ", "ink"))
        elif probe.is_lost(now) or probe.doubt:
            pieces.append((f"{word(place)} ?  ", "late bold"))
    return tuple(pieces[:MOST_PROBES])


def _head_row(first: Now, advice: Advice, size: int, cells: int) -> Block:
    """The word, what it waits for, and how the burner stands, all in block letters as far as there is room.

    What is waited for is said by its first word alone where the whole has no room. A lit burner comes before it, for it
    stands in the sentence as well; it comes before a burner that is off.
    """
    burner = _burner_big(advice)
    off = advice.state.burner == "off"
    what = first.next.partition(" ")[0]
    some = ((first.next, []), (what, []), ("", burner)) if off else (("", burner), (first.next, []))
    for next_word, at_right in ((first.next, burner), (what, burner), *some):
        left = cells - (width(at_right[0]) + BURNER_GAP if at_right else 0)
        for letters in sorted({size, 3}, reverse=True):
            behind = NEXT_GAP + block_width(next_word, letters) if next_word else 0
            if block_width(first.word, letters) + behind <= left:
                word = [clickable(row, DONE) for row in _big(first.word, letters, _job(first.act).split()[0])]
                return _beside_word(word, next_word, at_right, cells, size)
    return [clickable(row, DONE) for row in _word(first.word, first.act, size, cells)]


def _beside_word(word: Sequence[Line], next_word: str, burner: Block, cells: int, size: int) -> Block:
    """The word with what it waits for behind it and the burner at the right, `size` rows in all."""
    letters = len(word)
    rows = list(word)
    if next_word:
        rows = beside(rows, _big(next_word, letters, "soft"), max(map(width, rows)), gap=NEXT_GAP)
    if burner:
        rows = beside(rows, burner, cells - width(burner[0]), gap=0)
    return [*rows, *[EMPTY] * (size - len(rows))]


def _burner_big(advice: Advice) -> Block:
    """How the burner stands, in letters read across the kitchen, behind a bar of its own; nothing before it was lit, and once candles only cure."""
    state = advice.state.burner
    if state == "off" and (not advice.state.burner_spans or advice.state.stage in ("cure", "finished")):
        return []
    job = _burner_job(state)
    rows = _big(_burner_letters(state), 3, job.split()[0])
    label = tr("burner ")
    named = [line(label if at == len(rows) // 2 else " " * len(label), "soft") for at in range(len(rows))]
    return [clickable((*name, ("▌ ", job), *row), HEAT) for name, row in zip(named, rows, strict=True)]


def _burner_letters(state: str) -> str:
    """What stands in block letters beside the burner."""
    return BURNER_LETTERS.get(state, word(state).upper())


def _burner_job(state: str) -> str:
    """How a state of the burner is drawn: any but off is heat."""
    return {"off": "soft", "unknown": "late bold"}.get(state, "glow bold")


def _bar(advice: Advice, now: float, cells: int, word: Block) -> Line:
    """A row all across, for what has to be seen from far: alarms, else a burner whose letters had no room; else empty."""
    state = advice.state
    if state.alarms:
        names = ", ".join(ALARM_WORDS.get(name, name) for name in sorted(state.alarms))
        return clickable(_across(tr("ALARM: {names}", names=names), "▲", cells, "alarm bold"), ":ack")
    if state.burner == "off" or any("burner" in text for row in word for text, _ in row):
        return EMPTY
    says = tr(
        "burner {get} {span}",
        get=_burner_letters(state.burner),
        span=span(now - state.burner_since),
    )
    return clickable(_across(says, "▀", cells, _burner_job(state.burner)), HEAT)


def _across(says: str, sign: str, cells: int, job: str) -> Line:
    """A row of signs with words in its middle."""
    sides = max(0, cells - cell_len(says) - 2)
    return fit(line(f"{sign * (sides // 2)} {says} {sign * (sides - sides // 2)}", job), cells)


def _word(word: str, act: Act, size: int, cells: int) -> Block:
    """The word alone, as large as there is room; in the small letters of a line where there is none, `size` rows in all."""
    job = _job(act)
    wanted = size
    if block_width(word, size) > cells:
        size = 3
    if block_width(word, size) > cells:
        return [fit(line(word, job), cells)] + [EMPTY] * (wanted - 1)
    return list(_big(word, size, job.split()[0]))


def _job(act: Act) -> str:
    """How a word stands that is not in block letters."""
    return f"{'alarm' if act.kind == 'alarm' else 'ink' if act.kind == 'wait' else 'glow'} bold"


def _big(text: str, size: int, job: str) -> tuple[Line, ...]:
    """Text in block letters."""
    return tuple(block(block_rows(text, size), job))


def _numbers(first: Now, size: int, cells: int) -> Block:
    half = cells // 2
    left = _number(first.degrees, size, half - 1, "ink")
    right = _number(first.time, size, cells - half - 1, "late" if first.time.late else "ink")
    return beside(left, right, half - 1)


def _number(number: Number, size: int, cells: int, job: str) -> Block:
    """Big digits with their small words to the right."""
    wide = block_width(number.text, size) if number.text else 0
    if wide + 8 > cells and size == 5:
        return [*_number(number, 3, cells, job)]
    words = wrap(number.label, cells - wide - 2, "soft", most=size)
    words = [EMPTY] * ((size - len(words)) // 2) + words
    big = _big(number.text, size, job) if number.text else ()
    return beside(big, words, wide)


def _numbers_told(first: Now, cells: int, job: str) -> Line:
    """The two numbers in a line, each with its words as far as there is room: a temperature says of what."""
    degrees, time = (f"{each.text} {each.label}".strip() for each in (first.degrees, first.time))
    short = f"{first.degrees.text} {first.degrees.label.partition(',')[0]}".strip()
    for left, right in (
        (degrees, time),
        (short, time),
        (short, first.time.text),
        (first.degrees.text, first.time.text),
    ):
        if cell_len(f"{left}   {right}") <= cells:
            return line(f"{left}   {right}".strip(), job)
    return line(f"{first.degrees.text}   {first.time.text}".strip(), job)


def _numbers_big(first: Now, cells: int) -> Block:
    """The two numbers with as much of their small words as there is room for; none where it is not said of what."""
    wide = [block_width(each.text, 3) if each.text else 0 for each in (first.degrees, first.time)]
    spare = cells - sum(wide) - 3
    # The words of the temperature come first; what they leave is for those of the time.
    words = _words_beside(first.degrees.label, max(spare // 2, min(spare, LEAST_WORDS)) - 1)
    if first.degrees.text and not words:
        return []
    spare -= max((width(row) + 1 for row in words), default=0)
    left = beside(_big(first.degrees.text, 3, "ink") if first.degrees.text else (), words, wide[0], gap=1)
    job = "late" if first.time.late else "ink"
    right = beside(
        _big(first.time.text, 3, job) if first.time.text else (),
        _words_beside(first.time.label, spare - 1),
        wide[1],
        gap=1,
    )
    return beside(left, right, max((width(row) for row in left), default=0), gap=3)


def _words_beside(label: str, cells: int) -> Block:
    """The words of a big number beside its three rows: whole, else up to the first comma, else the first of them."""
    for words in (label, label.partition(",")[0], label.split(" ")[0]):
        rows = wrap(words, cells, "soft") if words and cells > 0 else []
        if rows and len(rows) <= 3 and "…" not in "".join(map(text_of, rows)):
            return rows
    return []


def _sentence(first: Now, advice: Advice, look: Look, cells: int, rows_for: tuple[int, int, int]) -> Block:
    """The sentence with its amounts, then the caution; the why of a chosen entry instead, when one is.

    `rows_for` says how many rows it takes at least and at most, and how many more a long caution may have.
    """
    least, most, spare = rows_for
    if look.chosen is not None and look.chosen < len(advice.acts):
        act = advice.acts[look.chosen]
        rows = wrap(tr("{says} Why: {why}", says=act.says, why=act.why), cells, "ink", most=most)
    else:
        more = tr(" ({others} more due)", others=first.others) if first.others else ""
        caution = sentences(first.act.caution, cells, "late", most + spare - 1)
        says = wrap(first.says + more, cells, "ink bold", most=min(most, most + spare - len(caution)))
        rows = [*says, *caution]
    return rows + [EMPTY] * (least - len(rows))


def _body(advice: Advice, now: float, cells: int, rooms: tuple[int, int], look: Look) -> Block:
    """Agenda and picture in so many rows; the second of `rooms` says how many there are beside a short sentence.

    The picture has the place it needs there, so that it stands still while sentences come and go.
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
    agenda = _on_return(advice, now, left, rows) or _agenda(advice, now, left, rows, look)
    return beside(agenda + [EMPTY] * (rows - len(agenda)), picture, left)


def _on_return(advice: Advice, now: float, cells: int, rows: int) -> Block:
    """Where everything stands, for somebody who was away and has not said that they have read it."""
    back = _returned(advice, now)
    if back is None:
        return []
    for lines in (back.lines, back.short):
        drawn = [line(tr("What is open"), "glow")]
        for said in lines:
            drawn += wrap(said, cells, "ink")
        if len(drawn) <= rows:
            return drawn
    return [*drawn[: rows - 1], fit(line(tr("… w shows all of it"), "soft"), cells)]


def _returned(advice: Advice, now: float) -> OnReturn | None:
    """What is open, as long as nobody said that they have read it."""
    state, outlook = advice.state, advice.outlook
    if outlook is None or not coming_back.acts(state, outlook, now):
        return None
    return coming_back.what_is_open(state, outlook, now, advice.acts)


def _agenda(advice: Advice, now: float, cells: int, rows: int, look: Look) -> Block:
    """The acts to come, scrolled so that the chosen one shows; the last row says how many more there are."""
    acts = advice.acts
    start = 0 if look.chosen is None else max(0, min(look.chosen - rows + 2, len(acts) - rows))
    more = len(acts) > start + rows
    shown = acts[start : start + rows - more]
    drawn: Block = []
    large = advice.now.act.id if advice.now is not None else None
    burner = advice.state.burner
    for index, (act, said) in enumerate(
        zip(shown, _agenda_rows(shown, now, cells - 2, burner, large), strict=True), start
    ):
        late = late_by(act, now, burner) is not None and act.id != large
        job = "late" if late else "soft" if act.due > now else "ink"
        mark = "›" if index == look.chosen else "!" if late else "•" if act.due <= now else " "
        drawn.append(clickable(fit(line(f"{mark} {said}", job), cells), f"#{index}"))
    if more:
        drawn.append(
            fit(line(tr("  … and {count} more", count=len(acts) - start - len(shown)), "soft"), cells)
        )
    return drawn


def _agenda_rows(
    acts: Sequence[Act], now: float, cells: int, burner: str, large: ActId | None = None
) -> list[str]:
    """When, what, and until when or how late, which is left out where it has no room; in columns.

    How late the act is that stands `large` above is said there.
    """
    times = ["later" if act.due == float("inf") else clock(act.due, now) for act in acts]
    names = [f"{act.word} {letters_short(act.moulds)}".strip() for act in acts]
    broad, long = max(map(len, times), default=0), max([9, *map(len, names)])
    rows = []
    for act, time, name in zip(acts, times, names, strict=True):
        late = late_by(act, now, burner)
        said = "" if act.id == large and late is not None else _spread(act, now, late)
        row = f"{time:>{broad}}  {name:<{long}}  {said}".rstrip()
        rows.append(row if len(row) <= cells else f"{time:>{broad}}  {name}")
    return rows


def _spread(act: Act, now: float, late: float | None = None) -> str:
    """Until when an act can be done, how `late` it is (s), or how sure its time is."""
    if act.closes is not None and act.due == float("inf") and late is not None:
        return tr("closed {clock}", clock=clock(act.closes, now))
    if late is not None:
        return tr("late {span}", span=span(late))
    if act.closes is not None:
        closes = clock(act.closes, now)
        return tr(
            "until {closes}",
            closes=closes if act.due == float("inf") else closes.removeprefix(clock(act.due, now)[:-5]),
        )
    if act.window is not None and act.due > now and act.window.late < float("inf"):
        spread = between(act.window.early, act.window.late, now, clock(act.due, now))
        # A reading is due before the wax is hot: its range says when that will be, not when to read.
        return tr("hot {spread}", spread=spread) if spread and act.kind == "read" else spread
    return ""
