"""Where everything stands on the stove screen, from 40x12 up: pure, from advice to lines."""

from __future__ import annotations

from dataclasses import dataclass

from pourday.guide.absence import absence
from pourday.guide.act import Act
from pourday.guide.adviser import Advice
from pourday.guide.coming_back import what_is_open
from pourday.guide.now import Now, Number
from pourday.guide.words import clock, span
from pourday.tui.block_letters import block_rows, block_width
from pourday.tui.cells import Cells
from pourday.tui.draw_moulds import draw_moulds, pictures
from pourday.tui.draw_pot import draw_pot
from pourday.tui.lines import EMPTY, Line, Piece, beside, block, fit, line, wrap

Block = list[Line]
KEEP = 5.0
"""Seconds for which one drawing of picture and agenda serves."""


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


class Kept:
    """The picture and the agenda as they were last drawn: they say the same for a few seconds."""

    def __init__(self) -> None:
        self._key: tuple[object, ...] = ()
        self._body: Block = []

    def body(self, advice: Advice, now: float, cells: int, room: int, look: Look) -> Block:
        key = (id(advice.acts), id(advice.outlook), int(now // KEEP), cells, room, look)
        if key != self._key:
            self._key, self._body = key, _body(advice, now, cells, room, look)
        return self._body


def draw_stove(
    advice: Advice, now: float, cells: int, rows: int, foot: Foot, look: Look, kept: Kept | None = None
) -> Block:
    """The whole screen, exactly what fits into `cells` by `rows`; `kept` spares drawing the same again."""
    if advice.now is None or advice.outlook is None:
        return [line("Nothing to show yet.", "soft")]
    if cells < 40 or rows < 10:
        return _tiny(advice, advice.now, now, cells, rows)
    if cells < 72 or rows < 20:
        return _small(advice, advice.now, now, cells, rows, foot)
    return _whole(advice, advice.now, now, cells, rows, foot, look, kept or Kept())


def _tiny(advice: Advice, first: Now, now: float, cells: int, rows: int) -> Block:
    word = fit(line(first.word, "glow bold"), cells)
    left = fit(line(f"{first.time.text} {first.time.label}".strip(), "ink"), cells)
    return [word, *_danger(advice, now, cells), left, fit(line("Make the window larger.", "soft"), cells)][
        :rows
    ]


def _small(advice: Advice, first: Now, now: float, cells: int, rows: int, foot: Foot) -> Block:
    word = first.word if block_width(first.word, 3) <= cells else first.act.word
    top = _word(word, first.act, 3, cells)
    numbers = _numbers_bare(first, cells)
    danger = _danger(advice, now, cells)
    room = rows - len(top) - len(numbers) - 1 - len(foot.entry)
    # What can hurt keeps a row of its own, however long the sentence above it is.
    left = max(1, room - len(danger) - (1 if first.act.caution else 0))
    says = wrap(first.says, cells, "ink", most=left)
    caution = wrap(first.act.caution, cells, "late", most=max(1, left + 1 - len(says)))
    coming = [line(_agenda_row(act, now), "soft") for act in advice.acts if act.due > now]
    middle = [*danger, *says, *caution, *coming][:room]
    middle += [EMPTY] * (room - len(middle))
    return [*top, *numbers, *middle, *foot.entry, foot.keys]


def _danger(advice: Advice, now: float, cells: int) -> Block:
    """A burner that may be lit, and alarms, where there is no room for the header."""
    state = advice.state
    if state.burner == "off" and not state.alarms:
        return []
    alarms = f"▲ {', '.join(sorted(state.alarms))}  " if state.alarms else ""
    burner = (
        f"burner {state.burner.upper()} {span(now - state.burner_since)}" if state.burner != "off" else ""
    )
    return [fit(((alarms, "alarm bold"), (burner, "glow bold")), cells)]


def _whole(
    advice: Advice, first: Now, now: float, cells: int, rows: int, foot: Foot, look: Look, kept: Kept
) -> Block:
    large = rows >= 34 and cells >= 100
    size = 5 if large else 3
    gap = [EMPTY] if large else []
    head = [header(advice, now, cells), *gap]
    word = [*_word(first.word, first.act, size, cells), *gap]
    numbers = [*_numbers(first, size, cells), *gap]
    says = _sentence(first, advice, look, cells, 4 if large else 3)
    rule = [line("─" * cells, "rule")]
    strip_rows = 5 if large else 2
    strip = (
        draw_pot(advice.state, advice.outlook, now, cells, strip_rows, look.cells) if advice.outlook else []
    )
    demo = [fit(line(look.strip, "soft"), cells)] if look.strip else []
    tail = [*strip, *demo, *foot.entry, foot.keys]
    room = rows - len(head) - len(word) - len(numbers) - len(says) - 1 - len(tail)
    body = kept.body(advice, now, cells, room, look)
    return [*head, *word, *numbers, *says, *rule, *body, *tail]


def header(advice: Advice, now: float, cells: int) -> Line:
    """Session and stage, and at the right what can hurt and the time."""
    state = advice.state
    demo = " · demo" if state.demo else ""
    end = advice.rest.end if advice.rest is not None else None
    until = f" · stove until about {clock(end.likely, now)}" if end is not None and end.likely > now else ""
    left = f"{state.plan.title or state.session} · {state.stage}{until}{demo}"
    since = f" {span(now - state.burner_since)}" if state.burner != "off" else ""
    burner: Piece = (f"burner {state.burner.upper()}{since}", "soft")
    if state.burner != "off":
        burner = (burner[0], "late bold" if state.burner == "unknown" else "glow bold")
    alarm: tuple[Piece, ...] = ()
    if state.alarms:
        alarm = ((f"▲ {', '.join(sorted(state.alarms))}  ", "alarm bold"),)
    right: Line = (*alarm, burner, (f"   {clock(now)}", "ink"))
    room = cells - sum(len(text) for text, _ in right) - 1
    return (*fit(line(left, "soft"), room), (" ", "ink"), *right)


def _word(word: str, act: Act, size: int, cells: int) -> Block:
    job = "alarm" if act.kind == "alarm" else "soft" if act.word == "WAIT" else "glow"
    if block_width(word, size) > cells:
        size = 3
    if block_width(word, size) > cells:
        return [fit(line(word, f"{job} bold"), cells)] + [EMPTY] * (size - 1)
    return block(block_rows(word, size), job)


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
    big = block(block_rows(number.text, size), job) if number.text else []
    return beside(big, words, wide)


def _numbers_bare(first: Now, cells: int) -> Block:
    both = block_width(first.degrees.text, 3) + block_width(first.time.text, 3) + 3
    if both > cells:
        return [fit(line(f"{first.degrees.text}   {first.time.text}", "ink bold"), cells)]
    left = block(block_rows(first.degrees.text, 3), "ink")
    right = block(block_rows(first.time.text, 3), "late" if first.time.late else "ink")
    return beside(left, right, block_width(first.degrees.text, 3), gap=3)


def _sentence(first: Now, advice: Advice, look: Look, cells: int, most: int) -> Block:
    """The sentence with its amounts, then the caution; the why of a chosen entry instead, when one is."""
    if look.chosen is not None and look.chosen < len(advice.acts):
        act = advice.acts[look.chosen]
        rows = wrap(f"{act.says} Why: {act.why}", cells, "ink", most=most)
    else:
        more = f" ({first.others} more due)" if first.others else ""
        keep = 1 if first.act.caution else 0
        rows = wrap(first.says + more, cells, "ink bold", most=most - keep)
        if first.act.caution:
            rows += wrap(first.act.caution, cells, "late", most=most - len(rows))
    return rows + [EMPTY] * (most - len(rows))


def _body(advice: Advice, now: float, cells: int, rows: int, look: Look) -> Block:
    if rows < 1:
        return []
    assert advice.outlook is not None
    moulds = pictures(advice.state, advice.outlook, now)
    wanted = min(cells * 11 // 20, max(22, (28 if cells >= 100 else 18) * len(moulds)))
    left = cells - wanted - 2
    picture = draw_moulds(moulds, wanted, rows, finished=look.finished)
    agenda = _on_return(advice, now, left, rows) or _agenda(advice, now, left, rows, look)
    return beside(agenda + [EMPTY] * (rows - len(agenda)), picture, left)


def _on_return(advice: Advice, now: float, cells: int, rows: int) -> Block:
    """Where everything stands, for somebody who was away and has not said that they have read it."""
    state, outlook = advice.state, advice.outlook
    if outlook is None or state.away_since is not None or absence(state, now) is None:
        return []
    drawn = [line("What is open", "glow")]
    for said in what_is_open(state, outlook, now).lines:
        drawn += wrap(said, cells, "ink")
    return drawn[:rows]


def _agenda(advice: Advice, now: float, cells: int, rows: int, look: Look) -> Block:
    acts = advice.acts
    start = 0 if look.chosen is None else max(0, min(look.chosen - rows + 2, len(acts) - rows))
    drawn: Block = []
    for index, act in enumerate(acts[start : start + rows], start):
        job = "soft" if act.due > now else "ink"
        mark = "›" if index == look.chosen else "•" if act.due <= now else " "
        drawn.append(fit(line(f"{mark} {_agenda_row(act, now)}", job), cells))
    if len(acts) > start + rows and drawn:
        drawn[-1] = fit(line(f"  … and {len(acts) - start - rows + 1} more", "soft"), cells)
    return drawn


def _agenda_row(act: Act, now: float) -> str:
    name = f"{act.word} {' '.join(act.moulds)}".strip()
    if act.due == float("inf"):
        return f"{'later':>9}  {name}"
    spread = ""
    if act.window is not None and act.due > now and act.window.late < float("inf"):
        spread = f"{clock(act.window.early, now)}-{clock(act.window.late, now)}"
    if act.closes is not None:
        spread = f"late {span(now - act.closes)}" if act.closes < now else f"until {clock(act.closes, now)}"
    return f"{clock(act.due, now):>9}  {name:<12} {spread}"
