"""The pot strip says what was read, what is likely and what the burner did, at any size and without colour."""

from __future__ import annotations

import random
import unicodedata
from dataclasses import replace

import numpy as np
import pytest
from msgspec.structs import replace as with_
from rich.cells import cell_len

from pourday.demo.scenario import START, two_pillars
from pourday.guide.outlook.outlook import Outlook, look_ahead
from pourday.session import events as ev
from pourday.session.events import Entry, Fact
from pourday.session.fold import fold
from pourday.session.state import State
from pourday.tui.drawing import pot_strip
from pourday.tui.drawing.cells import Raster, between, trace
from pourday.tui.drawing.lines import Line, text_of, width
from pourday.tui.drawing.pot_strip import AHEAD, BACK, PotStripCache

CACHE = PotStripCache()
"""One for all tests, as a screen has one for a whole day: what was drawn before must never show."""
CELLS = ("braille", "blocks")


def draw_pot(
    state: State, outlook: Outlook, now: float, across: int, rows: int, cells="braille"
) -> list[Line]:
    return pot_strip.draw_pot(state, outlook, now, across, rows, cells, CACHE)


def read(celsius: float, place: ev.Place = "pot", doubt: str = "") -> ev.Reading:
    return ev.Reading(place=place, celsius=celsius, doubt=doubt)


HEATED = (
    (0, ev.BurnerSet(state="on")),
    (5, read(35)),
    (15, read(57)),
    (20, ev.WaxAdded(kg=0.1)),
    (26, read(62)),
    (33, read(12, doubt="cannot be")),
    (36, read(86)),
    (37, ev.BurnerSet(state="off")),
    (40, ev.JugMade(layer=0)),
    (41, read(83, "jug")),
    (46, read(80)),
)
STORIES: dict[str, tuple[tuple[float, Fact], ...]] = {
    "nothing": (),
    "one": ((1, read(21)),),
    "one, lit": ((0, ev.BurnerSet(state="on")), (1, read(21))),
    "whole": HEATED,
    "not known": (*HEATED, (44, ev.BurnerSet(state="on")), (45, ev.Reopened(program="0", away=60))),
    "only doubted": ((1, read(399, doubt="cannot be")),),
}


def told(*facts: tuple[float, Fact], units: str = "metric") -> State:
    plan = with_(two_pillars(), units=units)
    opening = ((0, ev.Opened(session="a", program="0")), (0, ev.PlanFixed(plan=plan)))
    entries = []
    for number, (minute, fact) in enumerate([*opening, *facts], 1):
        when = ev.moment(START + 60 * minute)
        entries.append(Entry(seq=number, at=when, logged_at=when, by="person", fact=fact))
    return fold(entries)


def at(minute: float) -> float:
    return START + 60 * minute


def ahead_of(state: State, minute: float) -> Outlook:
    return look_ahead(state, at(minute))


def strip(minute: float, *facts: tuple[float, Fact], size=(80, 4), cells="braille") -> list[Line]:
    state = told(*facts)
    return draw_pot(state, ahead_of(state, minute), at(minute), *size, cells)


def texts(rows: list[Line]) -> list[str]:
    return [text_of(row) for row in rows]


# -- size --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("cells", CELLS)
@pytest.mark.parametrize("story", STORIES)
def test_it_keeps_to_its_place_at_any_size(story: str, cells: str) -> None:
    state = told(*STORIES[story])
    outlook = ahead_of(state, 47)
    for across in (20, 21, 22, 27, 33, 39, 40, 41, 60, 79, 80, 100, 120, 133, 180):
        for rows in range(2, 9):
            block = draw_pot(state, outlook, at(47), across, rows, cells)
            assert len(block) == rows + 1
            for row in block:
                assert width(row) <= across, (across, rows, text_of(row))
                assert text_of(row).isprintable()
                assert cell_len(text_of(row)) == len(text_of(row))


@pytest.mark.parametrize(("across", "rows"), [(19, 5), (80, 1), (0, 0), (1, 8)])
def test_without_room_for_a_picture_there_is_none(across: int, rows: int) -> None:
    assert strip(47, *HEATED, size=(across, rows)) == []


def test_before_the_day_begins_there_is_no_forecast_and_no_crash() -> None:
    state = told(*HEATED)
    outlook = replace(ahead_of(state, 47), pot=None)
    said = "\n".join(texts(draw_pot(state, outlook, at(47), 100, 5)))
    assert "●" in said
    assert "likely" not in said


def test_readings_at_random_never_break_it() -> None:
    """Any place, any temperature the record allows, times out of order, equal and in the future."""
    rng = random.Random(7)
    outlook = ahead_of(told(), 30)
    for _ in range(150):
        facts = [
            (
                rng.uniform(0, 60),
                read(rng.uniform(-60, 400), rng.choice(["pot", "jug", "room"]), rng.choice(["", "x"])),
            )
            for _ in range(rng.choice([1, 2, 3, 40]))
        ]
        state = told(*facts)
        size = rng.randint(20, 180), rng.randint(2, 8)
        block = draw_pot(state, outlook, at(rng.uniform(0, 90)), *size, rng.choice(CELLS))
        assert len(block) == size[1] + 1
        assert all(width(row) <= size[0] for row in block)


# -- readings ----------------------------------------------------------------------------------------


def mark_rows(block: list[Line], sign: str) -> list[int]:
    """Row of each such sign in the picture, left to right."""
    rows = texts(block)[:-2]
    return [y for x in range(max(map(len, rows))) for y, row in enumerate(rows) if row[x : x + 1] == sign]


@pytest.mark.parametrize("cells", CELLS)
def test_each_reading_stands_in_the_row_of_its_temperature(cells: str) -> None:
    """The scale on the left is linear, so the row follows from its first and last label alone."""
    values = (30.0, 45.0, 60.0, 75.0, 88.0)
    facts = [(5 + 8 * i, read(c)) for i, c in enumerate(values)]
    block = strip(44, *facts, size=(120, 8), cells=cells)
    rows = texts(block)[:-2]
    top, bottom = (float(rows[i].split(" °")[0]) for i in (0, -1))
    found = mark_rows(block, "●")
    assert len(found) == len(values)
    step = (top - bottom) / (len(rows) - 1)
    for row, celsius in zip(found, values, strict=True):
        assert abs(top - step * row - celsius) <= step / 2 + 0.5


def test_a_reading_stands_in_the_column_of_its_time() -> None:
    """75 minutes across: what was read 30 minutes ago is a fifth of the way from the left edge."""
    block = strip(40, (10, read(50)), size=(158, 4))
    (column,) = {row.index("●") - 8 for row in texts(block)[:-2] if "●" in row}
    assert column == pytest.approx(150 * (BACK - 30 * 60) / (BACK + AHEAD), abs=1)


@pytest.mark.parametrize("cells", CELLS)
def test_pot_jug_and_doubt_are_told_apart_without_colour(cells: str) -> None:
    block = strip(47, *HEATED, size=(120, 5), cells=cells)
    rows = texts(block)
    picture = "".join(rows[:-2])
    assert picture.count("J") == 1
    assert picture.count("?") == 1
    assert picture.count("●") == 5
    for words in ("● pot", "J jug", "? in doubt"):
        assert words in rows[-1]


def test_a_doubted_reading_does_not_stretch_the_scale_and_is_no_part_of_the_line() -> None:
    sure = tuple(x for x in HEATED if not getattr(x[1], "doubt", ""))
    with_doubt, without = strip(47, *HEATED, size=(120, 6)), strip(47, *sure, size=(120, 6))
    assert [row[:8] for row in texts(with_doubt)[:-2]] == [row[:8] for row in texts(without)[:-2]]
    differ = [
        (x, a)
        for one, other in zip(texts(with_doubt)[:-2], texts(without)[:-2], strict=True)
        for x, (a, b) in enumerate(zip(one, other, strict=True))
        if a != b
    ]
    assert [a for _, a in differ] == ["?"]


def inked(block: list[Line]) -> set[int]:
    """Columns in which the line of past readings is drawn."""
    columns = set()
    for row in block[:-2]:
        x = 0
        for text, job in row:
            columns |= {x + i for i, c in enumerate(text) if job.startswith("ink") and c != " "}
            x += len(text)
    return columns


def test_readings_close_in_time_are_joined_and_those_far_apart_are_not() -> None:
    near = inked(strip(45, (30, read(60)), (40, read(70)), size=(158, 8)))
    assert len(near) == pytest.approx(20, abs=3)
    far = inked(strip(45, (10, read(60)), (40, read(70)), size=(158, 8)))
    assert len(far) == 2


def test_five_thousand_readings_are_a_line_with_one_mark_that_touches_every_extreme() -> None:
    t = np.linspace(2, 46, 5000)
    celsius = 60 + 15 * np.sin(t / 3)
    facts = [(float(a), read(float(c))) for a, c in zip(t, celsius, strict=True)]
    state = told(*facts)
    block = draw_pot(state, ahead_of(told(), 47), at(47), 120, 8)
    assert sum(row.count("●") for row in texts(block)[:-2]) == 1
    shown = inked(block)
    assert len(shown) >= 64
    rows = [y for y, row in enumerate(block[:-2]) if any(j == "ink" and x.strip() for x, j in row)]
    top, bottom = (float(texts(block)[i].split(" °")[0]) for i in (0, 6))
    step = (top - bottom) / 6
    assert top - step * rows[0] == pytest.approx(75, abs=step)
    assert top - step * rows[-1] == pytest.approx(45, abs=step)


# -- target, forecast --------------------------------------------------------------------------------


def test_the_legend_says_range_and_ceiling_in_the_units_of_the_plan() -> None:
    hot = (0.9, read(85))
    metric = texts(strip(1, hot, size=(120, 5)))[-1]
    state = told(hot, units="us")
    outlook = ahead_of(state, 1)
    us = texts(draw_pot(state, outlook, at(1), 120, 5))[-1]
    assert f"never above {outlook.ceiling_c:.0f} °C" in metric
    assert f"never above {outlook.ceiling_c * 1.8 + 32:.0f} °F" in us
    assert f"{outlook.pour_c - 2:.0f}-{outlook.melt_c:.0f} °C" in metric


@pytest.mark.parametrize("cells", CELLS)
def test_the_ceiling_is_drawn_once_the_wax_is_within_ten_kelvin_of_it(cells: str) -> None:
    ceiling = ahead_of(told(), 1).ceiling_c
    for celsius, drawn in ((ceiling - 20, False), (ceiling - 5, True), (ceiling + 3, True)):
        block = strip(1, (0.9, read(celsius)), size=(120, 5), cells=cells)
        assert ("never above" in texts(block)[-1]) is drawn
        assert bool(cells_of(block[:-2], "late")) is drawn


@pytest.mark.parametrize("cells", CELLS)
def test_nothing_but_the_target_is_drawn_before_the_first_reading_and_that_is_sparse(cells: str) -> None:
    """An eye that looks for readings finds an empty picture: one mark in four cells at most, on one row."""
    state = told()
    block = draw_pot(state, replace(ahead_of(state, 1), pot=None), at(1), 158, 8, cells)
    marks = {c for job in ("calm", "late", "soft", "ink") for c in cells_of(block[:-2], job) if c[1] >= 8}
    assert len({y for y, _ in marks}) == 1
    assert 10 < len(marks) <= 150 // 4 + 1


def cells_of(block: list[Line], job: str) -> set[tuple[int, int]]:
    """(row, column) of what is drawn in one job."""
    found = set()
    for y, row in enumerate(block):
        x = 0
        for text, name in row:
            found |= {(y, x + i) for i, c in enumerate(text) if name == job and c != " "}
            x += len(text)
    return found


@pytest.mark.parametrize("cells", CELLS)
def test_the_forecast_lies_ahead_of_now_and_its_likely_course_within_early_and_late(cells: str) -> None:
    facts = ((0, ev.BurnerSet(state="on")), (2, read(30)), (8, read(41)))
    state = told(*facts)
    outlook = ahead_of(state, 10)
    block = draw_pot(state, outlook, at(10), 158, 8, cells)
    now_column = texts(block)[-2].index("╵")
    haze = {c for c in cells_of(block[:-2], "soft") if c[1] >= 8}
    likely = cells_of(block[:-2], "soft bold")
    assert haze
    assert likely
    assert min(x for _, x in haze | likely) >= now_column
    assert max(x for _, x in likely) == 157
    rows = texts(block)
    top, bottom = (float(rows[i].split(" °")[0]) for i in (0, 6))
    step = (top - bottom) / 6
    for minutes in (10, 20, 29):
        low, middle, high = outlook.pot.at(at(10 + minutes))
        column = now_column + round(minutes / 75 * 150)
        drawn = [y for y, x in likely if x == column]
        assert any(abs(top - step * y - middle) <= step for y in drawn)
        # Ceiling and target lie over the haze in some cells, never in six neighbours.
        shaded = [y for y, x in haze | likely if abs(x - column) <= 3]
        assert top - step * min(shaded) == pytest.approx(high, abs=step)
        assert top - step * max(shaded) == pytest.approx(low, abs=step)


# -- burner, additions, time -------------------------------------------------------------------------


def burner_row(*facts: tuple[float, Fact], minute: float = 47, across: int = 158) -> str:
    return texts(strip(minute, *facts, size=(across, 5)))[-2]


def test_burner_periods_are_as_long_as_they_were() -> None:
    row = burner_row((10, ev.BurnerSet(state="on")), (30, ev.BurnerSet(state="off")))
    assert row.startswith("burner ")
    assert row.count("▬") == pytest.approx(20 / 75 * 150, abs=1)
    assert row.index("▬") - 8 == pytest.approx((10 - 2) / 75 * 150, abs=1)


def test_a_burner_lit_for_seconds_is_seen_and_nothing_is_drawn_after_now() -> None:
    assert "▬" in burner_row((20, ev.BurnerSet(state="on")), (20.1, ev.BurnerSet(state="off")), across=40)
    lit = burner_row((20, ev.BurnerSet(state="on")))
    assert "▬" not in lit[lit.index("╵") :]


def test_a_burner_nobody_knows_of_is_a_question_mark_and_said_in_words() -> None:
    facts = ((10, ev.BurnerSet(state="on")), (20, ev.Reopened(program="0", away=60)))
    block = texts(strip(47, *facts, size=(120, 5)))
    assert "??" in block[-2]
    assert "? burner?" in block[-1]


def test_wax_put_in_is_a_plus_at_its_time() -> None:
    row = burner_row((10, ev.BurnerSet(state="on")), (32, ev.WaxAdded(kg=0.2)))
    assert row.index("+") - 8 == pytest.approx((32 - 2) / 75 * 150, abs=1)


def test_the_legend_tells_of_what_is_drawn_and_of_nothing_else() -> None:
    empty = texts(strip(1, size=(180, 6)))[-1]
    for word in ("pot", "jug", "in doubt", "wax in", "never above"):
        assert word not in empty
    full = texts(strip(47, *HEATED, size=(180, 6)))[-1]
    for word in ("pot", "jug", "in doubt", "wax in", "early to late", "likely"):
        assert word in full


def test_where_rows_are_few_the_legend_stands_after_now_in_the_burners_row() -> None:
    block = texts(strip(20, *HEATED[:3], size=(80, 2)))
    assert "● pot" in block[-1].split("╵")[1]


# -- what is kept between looks ----------------------------------------------------------------------


def test_the_picture_stands_still_between_two_columns_and_moves_with_a_new_reading() -> None:
    """No shiver: a column of 80 cells is about a minute wide."""
    state = told(*HEATED)
    outlook = ahead_of(state, 47)
    wide = (BACK + AHEAD) / 72
    start = float(np.ceil(at(47) / wide) * wide)
    looks = [draw_pot(state, outlook, start + s, 80, 2) for s in (0, 5, wide / 2, wide - 1)]
    assert all(look == looks[0] for look in looks)
    assert draw_pot(state, outlook, start + wide + 1, 80, 2) != looks[0]
    more = told(*HEATED, (46.5, read(40)))
    assert draw_pot(more, outlook, start, 80, 2) != looks[0]
    assert draw_pot(state, outlook, start, 80, 2) == looks[0]
    assert draw_pot(state, outlook, start, 80, 2, "blocks") != looks[0]
    assert draw_pot(state, replace(outlook, pot=None), start, 80, 2) != looks[0]


# -- dots --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("row", "column", "dot"),
    [(0, 0, 1), (1, 0, 2), (2, 0, 3), (0, 1, 4), (1, 1, 5), (2, 1, 6), (3, 0, 7), (3, 1, 8)],
)
def test_braille_dots_are_where_unicode_numbers_them(row: int, column: int, dot: int) -> None:
    """Names of the Unicode Character Database; dot numbers 1-3, 7 down the left and 4-6, 8 down the right."""
    raster = Raster(1, 1, "braille")
    dots = np.zeros((4, 2), dtype=bool)
    dots[row, column] = True
    raster.add(dots, "ink")
    assert unicodedata.name(text_of(raster.lines()[0])) == f"BRAILLE PATTERN DOTS-{dot}"


@pytest.mark.parametrize(
    ("dots", "name"), [((1, 0), "UPPER HALF BLOCK"), ((0, 1), "LOWER HALF BLOCK"), ((1, 1), "FULL BLOCK")]
)
def test_blocks_show_the_half_they_hold(dots: tuple[int, int], name: str) -> None:
    raster = Raster(1, 1, "blocks")
    raster.add(np.array(dots, dtype=bool)[:, None], "ink")
    assert unicodedata.name(text_of(raster.lines()[0])) == name


def test_what_comes_later_has_the_cell_for_itself() -> None:
    raster = Raster(2, 1, "braille")
    raster.add(np.ones(raster.shape, dtype=bool), "soft")
    dots = np.zeros(raster.shape, dtype=bool)
    dots[0, 0] = True
    raster.add(dots, "ink")
    assert raster.lines() == [(("⠁", "ink"), ("⣿", "soft"))]
    raster.put(np.array([0]), np.array([1]), "J", "ink")
    assert raster.lines() == [(("⠁J", "ink"),)]


@pytest.mark.parametrize("count", [0, 1, 2, 5, 40, 3000])
def test_a_traced_line_has_the_extremes_of_the_line_drawn_densely(count: int) -> None:
    """Against plain linear interpolation at 400 places a column."""
    rng = np.random.default_rng(count)
    t, y = np.sort(rng.uniform(0, 10, count)), rng.normal(size=count)
    edges = np.linspace(-1, 11, 37)
    low, high = trace(t, y, edges, np.inf)
    assert not np.isnan(low).any()
    for k in range(36):
        dense = np.union1d(np.linspace(edges[k], edges[k + 1], 400), t[(t >= edges[k]) & (t < edges[k + 1])])
        dense = dense[(dense >= t[0]) & (dense <= t[-1])] if count else dense[:0]
        if dense.size:
            values = np.interp(dense, t, y)
            assert low[k] == pytest.approx(values.min(), abs=0.02)
            assert high[k] == pytest.approx(values.max(), abs=0.02)
        else:
            assert low[k] > high[k]


def test_dots_between_two_rows_are_counted_in_and_an_empty_column_has_none() -> None:
    dots = between(np.array([1, 4]), np.array([2, -1]), 4)
    assert dots[:, 0].tolist() == [False, True, True, False]
    assert not dots[:, 1].any()


def test_a_new_outlook_draws_the_strip_anew_only_where_its_pot_is_another() -> None:
    """An outlook comes several times after each fact, mostly with the same forecast of the pot."""
    state = told(*HEATED)
    outlook, now = ahead_of(state, 47), at(47)
    before = draw_pot(state, outlook, now, 80, 8)
    assert draw_pot(state, replace(outlook, moulds={}), now, 80, 8) is before
    assert draw_pot(state, replace(outlook, pot=None), now, 80, 8) != before
