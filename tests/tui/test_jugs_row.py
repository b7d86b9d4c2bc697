"""The row of the jugs: each by its name, how warm, where it stands."""

from __future__ import annotations

from pourday.demo.scenario import two_pillars
from pourday.guide.outlook.jugs import JugNow
from pourday.session.state import ReadingAt, State
from pourday.tui.drawing.jugs import draw_jugs
from pourday.tui.drawing.lines import text_of, width

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
    assert row.split() == ["jug", "▐", "rust", "set", "bath"]
    assert draw_jugs(STATE, [jug(1, 78.0, kg=0.0)], 1000.0, 80) == ()


def test_what_has_no_room_is_left_out_whole():
    for cells in range(20, 60):
        row = draw_jugs(STATE, [jug(0, 84.2, at=970.0), jug(1, 78.4, at=300.0)], 1000.0, cells)
        assert width(row) <= cells
        assert ("cream" in text_of(row)) == ("~78 °C bath" in text_of(row))
