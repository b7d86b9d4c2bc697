"""How the run with unknown wax is laid out, from 40x12 up: pure, from what its controller knows to lines."""

from __future__ import annotations

from pourday.language import tr, word
from pourday.times import clock
from pourday.tui.drawing.block_letters import block_rows, block_width
from pourday.tui.drawing.cells import Cells
from pourday.tui.drawing.lines import (
    EMPTY,
    Line,
    answer_key,
    beside,
    clickable,
    fit,
    hint,
    key_lines,
    line,
    width,
    wrap,
)
from pourday.tui.heap.chart import draw_curve
from pourday.tui.heap.controller import TYPED, HeapController
from pourday.tui.live_controller import reason_keys
from pourday.units import show_temperature

LIST = 27
"""Cells of the list of steps, where there is room beside it."""
DRAWN = 18
"""Rows from which there is room for large letters and a title."""
WIDE = 72


def draw_heap(heap: HeapController, now: float, cells: int, rows: int, remark: str = "", how: Cells = "braille") -> list[Line]:  # fmt: skip
    """The whole screen, exactly what fits into `cells` by `rows`."""
    foot = _foot(heap, cells, rows, remark)
    head = _head(heap, now, cells, rows, max(2, rows - len(foot) - 2))
    room = max(0, rows - len(head) - len(foot))
    body = _body(heap, now, cells, room, how)[:room]
    return [*head, *body, *[EMPTY] * (room - len(body)), *foot][:rows]


def _head(heap: HeapController, now: float, cells: int, rows: int, most: int) -> list[Line]:
    """Title, the word large with the time that runs, the sentence, and where one types or chooses."""
    word, says = heap.word(now)
    stands = _stands(heap, now)
    drawn: list[Line] = []
    if rows >= DRAWN:
        title = tr("Wax that nobody knows{name}", name=f": {heap.heap.name}" if heap.heap.name else "")
        drawn.append((*fit(line(title, "soft"), cells - width(stands)), *stands))
    job = "alarm bold" if heap.alarms(now) else "soft bold" if heap.waiting(now) else "glow bold"
    right = heap.clock_left(now) or _hot(heap)
    beat = heap.step.kind == "beat" and heap.cooling is not None
    tall = 5 if rows >= 36 or (beat and rows >= 20) else 3
    wide = block_width(word, tall) + block_width(right, tall) + 2
    if rows >= DRAWN and wide > cells and tall == 5:
        tall, wide = 3, block_width(word, 3) + block_width(right, 3) + 2
    if rows >= DRAWN and wide <= cells:
        rights = block_rows(right, tall) if right else [""] * tall
        for a, b in zip(block_rows(word, tall), rights, strict=True):
            drawn.append(
                ((a, job), (" " * (cells - len(a) - len(b)), "ink"), (b, "glow bold" if beat else "ink"))
            )
    else:
        small = ((f" {right}" if right else "", "ink bold"), *(stands if rows < DRAWN else ()))
        drawn.append((*fit(line(word, job), cells - width(small)), *small))
    drawn += wrap(says, cells, "ink", most=max(2, most - len(drawn) - 2))
    step = heap.step
    if step.kind == "choice" and not heap.noting:
        for n, words in enumerate(step.choices, 1):
            key = hint(answer_key(str(n), words))
            first, *others = wrap(words, cells - width(key) - 1, "ink", most=2)
            drawn.append(clickable((*key, (" ", "ink"), *first), str(n)))
            drawn += [clickable(((" " * (width(key) + 1), "ink"), *row), str(n)) for row in others]
    elif heap.noting or step.kind in TYPED or heap.text:
        drawn.append((("  ", "ink"), (f"{heap.text}▏", "glow bold")))
    return drawn


def _stands(heap: HeapController, now: float) -> Line:
    """How the burner stands, and the time."""
    burner = heap.live.state.burner
    lit = tr("burner {burner}{since}", burner=word(burner).upper(), since="")
    return (f"  {lit}", "soft" if burner == "off" else "glow bold"), (f"  {clock(now)}", "soft")


def _hot(heap: HeapController) -> str:
    """The pot as last read, while it matters."""
    read = heap.live.state.last_reading("pot")
    if read is None or heap.step.id not in ("molten", "wicks", "settle", "strain", "off"):
        return ""
    return (
        show_temperature(read.celsius, heap.plan.units, 1)
        .replace(" ", "")
        .removesuffix("C")
        .removesuffix("F")
    )


def _body(heap: HeapController, now: float, cells: int, room: int, how: Cells) -> list[Line]:
    """The steps, and beside them the curve, or what is known by now."""
    if room < 1:
        return []
    if cells < WIDE:
        shown = _right(heap, cells, room, how)
        return shown or _steps(heap, now, cells, room)
    right = _right(heap, cells - LIST - 2, room - 1, how)
    return [EMPTY, *beside(_steps(heap, now, LIST, room - 1), right, LIST)]


def _right(heap: HeapController, cells: int, room: int, how: Cells) -> list[Line]:
    """The curve that is being taken, or the last one with what it says."""
    cooling = heap.cooling
    if cooling is not None and heap.step.kind == "beat":
        return draw_curve(cooling, heap.reading, cells, room, heap.plan.units, how)
    says: list[Line] = []
    for text in heap.result:
        says += wrap(text, cells, "ink")
    if heap.heap.curve is None:
        return says[:room]
    return [
        *draw_curve(heap.heap.curve, heap.reading, cells, room - len(says) - 1, heap.plan.units, how),
        *says,
    ][:room]


def _steps(heap: HeapController, now: float, cells: int, room: int) -> list[Line]:
    """A row a step, that on the screen among them."""
    rows = []
    for n, step in enumerate(heap.steps):
        here = n == heap.at
        mark = "✓" if step.done else "›" if here else " "
        running = (
            ""
            if step.done or step.until is None or step.until <= now
            else tr(" until {clock}", clock=clock(step.until, now))
        )
        tells = f" {step.tells}" if step.tells and step.done else running
        job = "glow bold" if here else "soft" if step.done else "ink"
        rows.append(clickable(fit(((f"{mark} {step.row}", job), (tells, "soft")), cells), f"#{n}"))
    first = max(0, min(heap.at - room // 2, len(rows) - room))
    return rows[first : first + room]


def _foot(heap: HeapController, cells: int, rows: int, remark: str) -> list[Line]:
    """What there is to say, then the keys that work now."""
    said = heap.message or remark
    drawn = wrap(said, cells, "late", most=3 if rows >= DRAWN else 1)
    return [*drawn, *key_lines(_keys(heap), cells, most=2 if rows >= DRAWN else 1)]


def _keys(heap: HeapController) -> tuple[tuple[str, str], ...]:
    step = heap.step
    if heap.live.state.finished_at is not None:
        return (("e", tr("FIRE")), ("/", tr("help")), ("q", tr("leave")))
    if heap.took_back is not None and not heap.typing():
        return reason_keys()
    if heap.noting:
        return (("Enter", tr("file")), ("Esc", tr("back")))
    fire = ("e", tr("FIRE"))
    if step.kind == "words":
        return (("Enter", tr("file")), ("F1", tr("FIRE")), ("Esc", tr("back")))
    first: tuple[tuple[str, str], ...]
    match step.kind:
        case "beat":
            first = (("Enter", tr("file")), ("Space", tr("enough")))
        case "choice":
            first = (("Enter", tr("leave out")),) if step.can_leave else ()
        case "weight" | "temperature" | "number":
            first = (("Enter", tr("files; empty: leaves out")),)
        case _:
            first = (("Space", tr("done")), *((("x", tr("leave out")),) if step.can_leave else ()))
    again = (("a", tr("curve again")),) if heap.heap.curve is not None and heap.cooling is None else ()
    return (
        *first, fire, ("h", tr('heat')), ("d", tr('low')), ("z", tr('take back')), ("Up Down", tr('other step')), *again, ("n", tr('note')), ("/", tr('help')),
        ("q", tr('leave')),
    )  # fmt: skip
