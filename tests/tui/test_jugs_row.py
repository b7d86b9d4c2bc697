"""The row of the jugs: each by its name, how warm, where it stands."""

from __future__ import annotations

from pourday.demo.scenario import two_pillars
from pourday.guide.acts.wording import jug_word
from pourday.guide.outlook.jugs import JugNow
from pourday.guide.outlook.outlook import look_ahead
from pourday.plan.form import set_field
from pourday.session import events as ev
from pourday.session.fold import fold
from pourday.session.state import ReadingAt, State
from pourday.tui.drawing.jugs import draw_jugs
from pourday.tui.drawing.lines import text_of, width
from pourday.tui.drawing.pot_strip import draw_pot

STATE = State(plan=two_pillars())


def jug(layer: int, celsius: float, *, at: float | None = None, **changes) -> JugNow:
    read = None if at is None else ReadingAt(1, at, "jug", celsius, "", "probe", "", jug=layer)
    given = {"where": "bath", "kg": 0.3, "has_set": False, **changes}
    name = STATE.plan.layers[layer].colour
    return JugNow(layer, name, read=read, celsius=(celsius - 3, celsius, celsius + 3), **given)


def test_what_was_just_read_is_a_figure_and_what_was_not_an_estimate():
    row = text_of(
        draw_jugs(STATE, [jug(0, 84.2, at=970.0), jug(1, 78.4, at=300.0, where="bench")], 1000.0, 80)
    )
    assert row.split() == ["jugs", "▐", "rust", "84.2", "°C", "bath", "▐", "cream", "~78", "°C", "bench"]


def test_a_jug_that_set_says_so_and_an_empty_one_is_not_there():
    row = text_of(draw_jugs(STATE, [jug(0, 50.0, has_set=True), jug(1, 78.0, kg=0.004)], 1000.0, 80))
    assert row.split() == ["jug", "▐", "rust", "set", "hard", "bath"]
    assert draw_jugs(STATE, [jug(1, 78.0, kg=0.0)], 1000.0, 80) == ()


def test_jugs_that_large_words_call_by_number_have_it_in_their_row():
    long = State(plan=set_field(STATE.plan, "layers.1.colour", "navy to pale blue"))
    assert jug_word("read", long.plan, 0) == "READ JUG 1"
    row = text_of(draw_jugs(long, [jug(0, 84.2, at=970.0)], 1000.0, 80))
    assert row.split() == ["jug", "▐", "1", "rust", "84.2", "°C", "bath"]


def test_what_has_no_room_is_left_out_whole():
    for cells in range(20, 60):
        row = draw_jugs(STATE, [jug(0, 84.2, at=970.0), jug(1, 78.4, at=300.0)], 1000.0, cells)
        assert width(row) <= cells
        assert ("cream" in text_of(row)) == ("~78 °C bath" in text_of(row))


def strip_of(*readings: tuple[float, float, int | None], jugs: tuple[int, ...]) -> str:
    """The strip, 80 wide with its legend, after (minute, °C, jug) were read."""
    start, entries = 1_792_911_600.0, []
    facts: list[tuple[float, ev.Fact]] = [
        (0, ev.Opened(session="a", program="0")),
        (0, ev.PlanFixed(plan=STATE.plan)),
    ]
    facts += [(5 + layer, ev.JugMade(layer=layer)) for layer in jugs]
    facts += [(m, ev.Reading(place="jug", celsius=c, jug=jug)) for m, c, jug in readings]
    for seq, (minute, fact) in enumerate(facts, 1):
        when = ev.moment(start + 60 * minute)
        entries.append(ev.Entry(seq=seq, at=when, logged_at=when, by="person", fact=fact))
    state = fold(entries)
    lines = draw_pot(state, look_ahead(state, start + 30 * 60), start + 30 * 60, 80, 5)
    return "\n".join(text_of(row) for row in lines)


def test_in_the_strip_each_jug_has_a_sign_and_its_name():
    drawn = strip_of((10, 84.0, 0), (20, 76.0, 1), jugs=(0, 1))
    assert "R rust" in drawn
    assert "C cream" in drawn
    assert drawn.count("R") == 2, "in the picture and in the legend"
    assert "J" not in drawn
    one = strip_of((10, 84.0, 0), jugs=(0,))
    assert "J jug" in one
    assert "J jug" in strip_of((10, 84.0, None), jugs=(0, 1)), "an old record that names none"
