"""The stove in a window of 40 by 12 and 60 by 20: burner and clock are there, temperatures say of what, no row is wasted."""

from __future__ import annotations

from functools import cache

import pytest

from pourday.demo.scenario import START, two_pillars
from pourday.guide.advice.adviser import Advice, Adviser
from pourday.session import events as ev
from pourday.session.events import Entry, Fact, moment
from pourday.session.fold import fold
from pourday.times import clock
from pourday.tui.drawing.lines import text_of, width
from pourday.tui.stove.header import header
from pourday.tui.stove.large import numbers_line, word_rows
from pourday.tui.stove.layout import Foot, Look, draw_stove

FOOT = Foot(((("Digits", "soft"),),), (("Space done", "ink bold"),))
NOW = START + 1200.0
FACTS: dict[str, tuple[tuple[float, Fact], ...]] = {
    "to be read": (
        (0, ev.PlanFixed(plan=two_pillars())),
        (1, ev.BurnerSet(state="off")),
        (2, ev.BurnerSet(state="on")),
        (60, ev.Reading(place="pot", celsius=40.0)),
    ),
    "too hot": (
        (0, ev.PlanFixed(plan=two_pillars())),
        (2, ev.BurnerSet(state="on")),
        (1100, ev.Reading(place="pot", celsius=97.0)),
        (1101, ev.AlarmRaised(alarm="ceiling", says="Too hot.", value=97.0, limit=93.0)),
    ),
    "poured": (
        (0, ev.PlanFixed(plan=two_pillars())),
        (2, ev.BurnerSet(state="on")),
        (1000, ev.Reading(place="pot", celsius=88.0)),
        (1050, ev.JugMade(layer=0, kg=0.5)),
        (1080, ev.Poured(mould="A", layer=0, part="plug", kg=0.04)),
        (1090, ev.Poured(mould="B", layer=0, part="plug", kg=0.04)),
        (1100, ev.BurnerSet(state="off")),
    ),
}


@cache
def advice(which: str) -> Advice:
    facts = ((0.0, ev.Opened(session="s", program="0")), *FACTS[which])
    entries = [
        Entry(seq=n, at=moment(START + t), logged_at=moment(START + t), by="person", fact=fact)
        for n, (t, fact) in enumerate(facts, 1)
    ]
    return Adviser().advise(fold(entries), NOW)


@pytest.mark.parametrize("size", [(40, 12), (60, 20), (50, 16)], ids=str)
@pytest.mark.parametrize("which", FACTS)
def test_burner_clock_and_what_the_temperature_is_of_are_there_and_no_row_is_wasted(
    which: str, size: tuple[int, int]
) -> None:
    given = advice(which)
    first = given.now
    assert first is not None
    drawn = draw_stove(given, NOW, *size, FOOT, Look())
    rows = [text_of(row).rstrip() for row in drawn]
    assert len(rows) == size[1]
    assert all(width(row) <= size[0] for row in drawn)
    text = "\n".join(rows)
    state = given.state
    assert f"burner {state.burner.upper()}" in text
    assert clock(NOW) in text
    # Numbers give way only where not even the sentence has room.
    if first.degrees.text and first.degrees.label and "…" not in text:
        assert first.degrees.label.split()[0].rstrip(",") in text, first.degrees
    if first.act.kind != "wait":
        # Where words and agenda end the moulds stand, or why it is to be done, or how each mould stands in words.
        assert all(rows), text
    if first.act.caution and size == (60, 20):
        assert " ".join(first.act.caution.split())[:60] in " ".join(text.split())


@pytest.mark.parametrize("cells", [72, 80, 120])
@pytest.mark.parametrize("which", FACTS)
def test_the_top_row_ends_in_the_time_and_gives_the_title_up_before_an_alarm(which: str, cells: int) -> None:
    row = header(advice(which), NOW, cells)
    assert width(row) <= cells
    assert text_of(row).endswith(clock(NOW))
    assert ("▲" in text_of(row)) == bool(advice(which).state.alarms)


@pytest.mark.parametrize("cells", range(20, 130, 7))
@pytest.mark.parametrize("which", FACTS)
def test_large_letters_keep_their_rows_and_stay_inside_the_window(which: str, cells: int) -> None:
    first = advice(which).now
    assert first is not None
    for size in (3, 5):
        rows = word_rows(first, advice(which), size, cells)
        assert len(rows) == size
        assert all(width(row) <= cells for row in rows)
    assert width(numbers_line(first, cells, "ink")) <= max(
        cells, len(first.degrees.text + first.time.text) + 3
    )
