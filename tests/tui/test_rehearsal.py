"""A rehearsal on screen: its keys, its clock, its picture at every size, and how it begins and ends."""

from __future__ import annotations

import random
import re
import time
from collections.abc import Iterator
from dataclasses import replace

import pytest

from pourday.demo.scenario import START, two_pillars
from pourday.guide.ahead.alternatives import Shorter
from pourday.guide.ahead.day import DayForecast, ahead_of_plan
from pourday.times import clock
from pourday.tui.drawing.lines import text_of, width
from pourday.tui.rehearse.controller import LONGEST_WAIT, SPEEDS, RehearsalController
from pourday.tui.rehearse.layout import draw_rehearsal, pictures_at

SIZES = [(40, 12), (60, 20), (50, 40), (72, 18), (80, 24), (120, 40), (200, 60)]
KEYS = (
    "space", "left", "right", "up", "down", "pageup", "pagedown", "home", "end", "enter", "tab", "w", "v", "[", "]", "x",
)  # fmt: skip


@pytest.fixture(autouse=True)
def _in_greenwich(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The words on screen are in local time."""
    with monkeypatch.context() as patched:
        patched.setenv("TZ", "UTC")
        time.tzset()
        yield
    time.tzset()


@pytest.fixture(scope="module")
def found() -> DayForecast:
    return ahead_of_plan(two_pillars(), START)


@pytest.fixture
def desk(found: DayForecast) -> RehearsalController:
    made = RehearsalController("Two pillars")
    made.arrived(found)
    return made


def press(desk: RehearsalController, *keys: str) -> None:
    for key in keys:
        desk.press(key, key if len(key) == 1 else None)


def shown(desk: RehearsalController, cells: int = 80, rows: int = 24) -> str:
    return "\n".join(text_of(row) for row in draw_rehearsal(desk, cells, rows))


# -- keys and clock -----------------------------------------------------------------------------------


def test_right_and_left_step_from_act_to_act_and_back(desk: RehearsalController) -> None:
    times = [step.at.likely for step in desk.steps]
    for expected in times[:5]:
        press(desk, "right")
        assert desk.t == expected
    for expected in reversed(times[:4]):
        press(desk, "left")
        assert desk.t == expected
    press(desk, "left")
    assert (desk.t, desk.at) == (START, -1)


def test_between_two_acts_left_goes_to_the_one_before(desk: RehearsalController) -> None:
    press(desk, "right", "right")
    before = desk.t
    desk.t += 1.0
    press(desk, "left")
    assert desk.t == before


def test_home_and_end_are_the_ends_of_the_day(desk: RehearsalController) -> None:
    press(desk, "end")
    assert desk.t == desk.steps[-1].at.likely
    press(desk, "right")
    assert desk.t == desk.steps[-1].at.likely
    press(desk, "home")
    assert desk.t == START


def test_up_and_down_read_the_list_while_the_clock_stands(desk: RehearsalController) -> None:
    press(desk, "right", "down", "down")
    assert desk.t == desk.steps[0].at.likely
    assert desk.shown == 2
    assert desk.steps[2].says[:20] in shown(desk)
    press(desk, "enter")
    assert desk.t == desk.steps[2].at.likely
    press(desk, "down", "escape")
    assert (desk.cursor, desk.leaving) == (None, False)
    press(desk, "escape")
    assert desk.leaving


def test_play_stops_at_no_act_but_passes_none_unseen(desk: RehearsalController) -> None:
    press(desk, "space")
    seen = set()
    for _ in range(5000):
        desk.tick(0.25)
        if desk.on_act:
            seen.add(desk.at)
        if not desk.playing:
            break
    # Acts at the very same instant are passed together.
    times = {step.at.likely for step in desk.steps}
    assert {desk.steps[i].at.likely for i in seen} == times
    assert desk.t == desk.steps[-1].at.likely
    assert not desk.playing


def test_play_goes_as_fast_as_it_is_told_and_no_wait_lasts_long(desk: RehearsalController) -> None:
    press(desk, "space")
    desk.tick(0.1)
    assert desk.t == pytest.approx(START + 0.1 * max(SPEEDS[2], 0.0), abs=40.0)
    press(desk, "space", "]", "]", "]", "]")
    assert desk.rate >= SPEEDS[-1]
    for _ in range(9):
        press(desk, "[")
    assert desk.speed == 0
    for here, then in zip(desk.steps, desk.steps[1:], strict=False):
        desk.t = here.at.likely
        gap = then.at.likely - here.at.likely
        assert gap / desk.rate <= max(LONGEST_WAIT, gap / SPEEDS[0]) + 1e-6


def test_a_pause_keeps_the_clock_and_space_at_the_end_begins_again(desk: RehearsalController) -> None:
    press(desk, "space", "space")
    at = desk.t
    desk.tick(1.0)
    assert desk.t == at
    press(desk, "end", "space")
    assert (desk.t, desk.playing) == (START, True)


def test_random_keys_and_ticks_never_break_anything_and_escape_leads_out(desk: RehearsalController) -> None:
    dice = random.Random(6)
    for n in range(1500):
        press(desk, dice.choice(KEYS))
        desk.tick(dice.uniform(0, 0.5))
        assert START <= desk.t <= desk.end
        assert 0 <= desk.shown < len(desk.steps)
        if n % 50 == 0:
            shown(desk, *dice.choice(SIZES))
    for _ in range(3):
        press(desk, "escape")
    assert desk.leaving


def test_keys_before_the_day_is_worked_out_do_no_harm() -> None:
    desk = RehearsalController("Two pillars")
    press(desk, *KEYS)
    desk.tick(1.0)
    assert "Working out the day" in shown(desk)
    desk.trouble = "The mould has no height."
    assert "The mould has no height." in shown(desk)


# -- what is drawn ------------------------------------------------------------------------------------


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_every_size_is_filled_exactly_and_shows_the_end_the_word_and_the_keys(
    desk: RehearsalController, size
) -> None:
    assert desk.day_ahead is not None
    for keys in ((), ("right",) * 7, ("end",), ("w",)):
        press(desk, *keys)
        rows = draw_rehearsal(desk, *size)
        assert len(rows) == size[1]
        assert max(width(row) for row in rows) <= size[0]
        text = shown(desk, *size)
        assert "keep you here" in text
        assert "estimate" in text
        assert "Esc back" in text


def test_it_is_marked_as_an_estimate_of_which_nothing_is_recorded(desk: RehearsalController) -> None:
    assert "an estimate; nothing is recorded" in shown(desk)
    # Loading the pot and lighting the burner are sure; when the pot is hot enough for the first jug is not.
    press(desk, "right", "right", "right")
    step = desk.steps[2]
    assert step.at.early < step.at.likely < step.at.late
    assert f"{clock(step.at.early)}-{clock(step.at.late)}" in shown(desk)


def test_the_picture_fills_layer_by_layer_and_sets(desk: RehearsalController, found: DayForecast) -> None:
    first, last = pictures_at(found, START), pictures_at(found, found.steps[-1].at.likely)
    assert [p.bands for p in first] == [(), ()]
    assert all(p.next_line is not None for p in first)
    assert all({b.looks.texture for b in p.bands} == {"cold"} for p in last)
    assert all(len(p.bands) == 2 and p.next_line is None for p in last)
    pour = next(s for s in found.steps if s.kind == "pour" and s.layer == 0)
    after = pictures_at(found, pour.end + 60)
    assert [p.bands[0].looks.texture for p in after] == ["liquid", "liquid"]
    desk.t = pour.end + 60
    assert "░" in shown(desk)
    assert "~wet" in shown(desk, 120, 40)


def test_what_goes_wrong_with_an_act_is_said_at_it(found: DayForecast) -> None:
    note = "pour A comes 12 min after its window closed at 10:00; expect a weak join."
    steps = tuple(replace(s, caution=note) if s.kind == "pour" else s for s in found.steps)
    desk = RehearsalController("Two pillars")
    desk.arrived(replace(found, steps=steps))
    number = next(i for i, s in enumerate(steps) if s.caution)
    press(desk, *["right"] * (number + 1))
    assert "expect a weak join" in shown(desk)
    press(desk, "left", "left")
    assert "! " in shown(desk)


def test_ways_to_a_shorter_day_come_in_as_they_are_found_with_their_price(
    desk: RehearsalController,
) -> None:
    press(desk, "w")
    assert "Trying ways to a shorter day" in shown(desk)
    desk.ways = [
        Shorter("Thinner bands", -600.0, 0.0, "Candles lower."),
        Shorter("One band fewer", 3600.0, 600.0, "No cream in the candle."),
    ]
    desk.trying = False
    text = shown(desk)
    assert "One band fewer: about 60 min shorter. No cream in the candle." in text
    assert "No shorter by: thinner bands." in text


def test_a_longer_day_that_fits_one_pair_of_hands_is_told_before_a_shorter_one(
    desk: RehearsalController,
) -> None:
    press(desk, "w")
    desk.ways = [
        Shorter("One band fewer", 3600.0, 600.0, "No cream in the candle."),
        Shorter("One mould after the other", -1800.0, 0.0, "Heat twice.", eases=True),
        Shorter("Thinner bands", -600.0, 0.0, "Candles lower."),
    ]
    desk.trying = False
    text = shown(desk)
    assert text.index("One mould after the other: 30 min longer. Heat twice.") < text.index("One band fewer")
    assert "No shorter by: thinner bands." in text


# -- the program --------------------------------------------------------------------------------------


def test_from_home_the_rehearsal_opens_plays_and_leaves_no_record(kitchen) -> None:
    home = kitchen.run()
    home.wait_for("rehearse")
    home.type("r")
    home.wait_for("REHEARSAL", "nothing is recorded")
    home.wait_for("keep you here until about", "HEAT ON")
    home.type("\x1b[C" * 7)
    home.wait_for("› ", "POUR A B")
    home.type(" ")
    home.wait_for("playing")
    home.type("w")
    home.wait_for("What would shorten or ease it")
    home.resize(40, 12)
    home.wait_for("What this day comes to")
    home.type("\x1b")
    home.wait_for("REHEARSAL", "keep you here")
    home.resize(80, 24)
    home.type("\x1b")
    home.wait_gone("REHEARSAL")
    home.wait_for("rehearse")
    home.type("q")
    assert home.ended() == 0
    assert list(kitchen.folder.iterdir()) == []


def test_leaving_while_the_day_is_worked_out_ends_at_once(kitchen) -> None:
    home = kitchen.run()
    home.wait_for("rehearse")
    home.type("r")
    home.wait_for("REHEARSAL")
    home.type("\x1b")
    home.wait_gone("REHEARSAL")
    home.type("q")
    assert home.ended() == 0
    assert home.restored()


# -- another time -------------------------------------------------------------------------------------


def test_a_start_or_an_end_is_typed_and_asks_for_the_day_anew(desk: RehearsalController) -> None:
    desk.movable = True
    assert "b begin at" in shown(desk, 120, 40)
    press(desk, "d")
    for key in "18:30":
        desk.press(key, key, START)
    assert "Done at the stove by: 18:30▏" in shown(desk)
    desk.press("enter", "\r", START)
    assert desk.asked
    assert desk.day_ahead is None
    assert (desk.begins_at, clock(desk.done_at or 0)) == (None, "18:30")
    assert "Working out the day" in shown(desk)
    press(desk, "b")
    for key in "soon":
        desk.press(key, key, START)
    desk.press("enter", "\r", START)
    assert "not a time of day" in shown(desk)
    assert desk.typed == "soon"
    press(desk, "escape")
    assert (desk.typed, desk.leaving) == (None, False)


def test_what_is_left_of_a_day_cannot_be_begun_at_another_time(desk: RehearsalController) -> None:
    press(desk, "b")
    assert desk.typed is None
    assert "b begin at" not in shown(desk, 120, 40)


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_that_a_day_was_put_to_another_time_is_said_at_every_size_and_no_range_is_cut(
    desk: RehearsalController, size: tuple[int, int]
) -> None:
    desk.begins = "Begun Mon 07:00: begun now it would run into the night."
    for _ in range(12):
        text = shown(desk, *size)
        assert "Begun Mon 07:00" in text
        assert "keep you here until about" in " ".join(text.split()) or "Keeps you here until" in text
        assert not [row for row in text.split("\n") if re.search(r"\d\d:\d…|\d\d:…|\d-\d?\d?…", row)]
        press(desk, "right")
