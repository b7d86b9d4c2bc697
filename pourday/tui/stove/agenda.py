"""The acts to come as rows beside the moulds, and what is open for somebody who comes back: pure, from advice to lines."""

from __future__ import annotations

from collections.abc import Sequence

from pourday.guide.acts.act import Act
from pourday.guide.advice.adviser import Advice
from pourday.guide.advice.now import late_by
from pourday.guide.rescue import on_return as coming_back
from pourday.guide.rescue.on_return import OnReturn
from pourday.language import figures, tr
from pourday.session.act_id import ActId
from pourday.times import between, clock, letters_short, span
from pourday.tui.drawing.lines import (
    clickable,
    fit,
    line,
    wrap,
)
from pourday.tui.stove.large import Block


def return_rows(advice: Advice, now: float, cells: int, rows: int) -> Block:
    """Where everything stands, for somebody who was away and has not said that they have read it."""
    back = open_on_return(advice, now)
    if back is None:
        return []
    for lines in (back.lines, back.short):
        drawn = [line(tr("What is open"), "glow")]
        for said in lines:
            drawn += wrap(said, cells, "ink")
        if len(drawn) <= rows:
            return drawn
    return [*drawn[: rows - 1], fit(line(tr("… w shows all of it"), "soft"), cells)]


def open_on_return(advice: Advice, now: float) -> OnReturn | None:
    """What is open for somebody who comes back, until they have said that they have read it; None else."""
    state, outlook = advice.state, advice.outlook
    if outlook is None or not coming_back.acts(state, outlook, now):
        return None
    return coming_back.what_is_open(state, outlook, now, advice.acts)


def agenda_block(advice: Advice, now: float, cells: int, rows: int, chosen: int | None) -> Block:
    """The acts to come, scrolled so that the chosen one shows; the last row says how many more there are."""
    acts = advice.acts
    start = 0 if chosen is None else max(0, min(chosen - rows + 2, len(acts) - rows))
    more = len(acts) > start + rows
    shown = acts[start : start + rows - more]
    drawn: Block = []
    large = advice.now.act.id if advice.now is not None else None
    burner = advice.state.burner
    for index, (act, said) in enumerate(
        zip(shown, agenda_rows(shown, now, cells - 2, burner, large), strict=True), start
    ):
        late = late_by(act, now, burner) is not None and act.id != large and act.due <= now
        job = "late" if late else "soft" if act.due > now else "ink"
        mark = "›" if index == chosen else "!" if late else "•" if act.due <= now else " "
        drawn.append(clickable(fit(line(f"{mark} {said}", job), cells), f"#{index}"))
    if more:
        drawn.append(
            fit(line(tr("  … and {count} more", count=len(acts) - start - len(shown)), "soft"), cells)
        )
    return drawn


def agenda_rows(
    acts: Sequence[Act], now: float, cells: int, burner: str, large: ActId | None = None
) -> list[str]:
    """The acts in columns: when, what, and until when or how late, which is left out where it has no room.

    Of the act that stands `large` above it is not said how late it is: that stands there.
    """
    times = ["later" if act.due == float("inf") else clock(act.due, now) for act in acts]
    names = [f"{act.word} {letters_short(act.moulds)}".strip() for act in acts]
    broad, long = max(map(len, times), default=0), max([9, *map(len, names)])
    rows = []
    for act, time, name in zip(acts, times, names, strict=True):
        late = late_by(act, now, burner)
        said = "" if act.id == large and late is not None else when_words(act, now, late)
        row = f"{time:>{broad}}  {name:<{long}}  {said}".rstrip()
        rows.append(row if len(row) <= cells else f"{time:>{broad}}  {name}")
    return rows


def when_words(act: Act, now: float, late: float | None = None) -> str:
    """Until when an act can be done, or how late it is (`late`, s), or how sure its time is; empty where there is
    nothing to say."""
    if act.closes is not None and act.due > now and late is not None:
        # It can only be done then: how late it is says nothing to do.
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
        if spread and act.kind == "read":
            return tr("hot {spread}", spread=spread)
        # A range of when it begins is an estimate; `until` is when its window closes.
        return figures("~{spread}", spread=spread) if spread else ""
    return ""
