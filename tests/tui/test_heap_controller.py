"""The run with unknown wax by keys alone: through all its steps, resumed, taken back, at every size of window."""

from __future__ import annotations

import random
from functools import cache

import numpy as np
import pytest

from pourday import language
from pourday.plan.model import Plan
from pourday.session import events as ev
from pourday.store.heaps import begin_heap, keep_heap
from pourday.store.live import LiveSession
from pourday.store.memories import Memories
from pourday.store.stock import Stock
from pourday.times import clock
from pourday.tui.drawing.help_text import PAGES
from pourday.tui.drawing.lines import text_of, width
from pourday.tui.heap.chart import draw_curve
from pourday.tui.heap.controller import HeapController
from pourday.tui.heap.layout import draw_heap
from pourday.tui.home.controller import HomeController
from pourday.tui.home.next_act import NextActsQuery
from tests.accented import accented, plain
from tests.curve.tin import made, run

NOON = 1_795_608_000.0
SIZES = [(40, 12), (80, 24), (120, 40), (200, 60)]
NAMED = {" ": "space", "\r": "enter"}


class Person:
    """Somebody at the keys, a second a key."""

    def __init__(self, folder, units="metric") -> None:
        self.folder, self.now = folder, NOON
        self.live = begin_heap(folder, Plan(units=units), now=NOON)
        self._at_the_screen()

    def _at_the_screen(self) -> None:
        self.heap = HeapController(self.live, self.now, lambda wax, lot: keep_heap(self.folder, wax, lot))

    def reopen(self) -> None:
        """As after a kill: nothing is closed but the lock."""
        self.live.close()
        self.live = LiveSession.open(self.folder, self.live.session, now=self.now)
        self._at_the_screen()

    def keys(self, *keys: str) -> None:
        """Named keys, or texts typed sign by sign."""
        for key in keys:
            named = key in ("up", "down", "escape", "backspace")
            for sign in [key] if named else key:
                self.now += 1
                self.heap.look(self.now)
                self.heap.press(NAMED.get(sign, sign), None if named or sign == "\r" else sign, self.now)

    def to(self, step: str) -> None:
        assert self.heap.step.id == step, (self.heap.step.id, self.heap.message)

    def shown(self, cells=80, rows=24) -> str:
        return "\n".join(text_of(each) for each in draw_heap(self.heap, self.now, cells, rows))


@cache
def tin():
    """A tin of paraffin read every 15 s with a probe of 0.1 °C, and where its wax sets by the standard."""
    case = next(c for c in made(640)[600:] if c.kind == "plateau" and c.resolution == 0.1 and c.every == 15)
    ((_seconds, celsius, truth),) = run([case])
    return celsius, truth


def molten(person: Person) -> None:
    for keys, step in (
        ("1", "sort"), (" ", "weigh"), ("1340\r", "light"), (" ", "molten"), ("79.5\r", "molten"), (" ", "wicks"),
        (" ", "settle"), (" ", "strain"), (" ", "warm"), (" ", "water"), ("1", "off"), (" ", "clean"), ("1.2 kg\r", "colour"),
        ("brown\r", "smell"), ("2", "melted"), ("1\r", "sample"),
    ):  # fmt: skip
        person.keys(keys)
        person.to(step)


def cooled(person: Person, most: int = 1000) -> None:
    """The tin, read at each beat until enough is seen, or so often."""
    person.keys("60\r", "20\r")
    person.to("cool")
    person.keys(" ")
    person.to("curve")
    begun = person.now
    for n, celsius in enumerate(tin()[0][::2]):
        person.now = begun + 30.0 * n
        person.heap.paste(f"{celsius:.1f}", person.now)
        person.keys("\r")
        if n == most or "Enough is seen" in person.heap.word(person.now)[1]:
            return
    raise AssertionError("enough was never seen")


def test_a_heap_goes_to_the_shelf_by_keys_alone(tmp_path):
    person = Person(tmp_path)
    molten(person)
    cooled(person)
    person.keys(" ")
    person.to("surface")
    assert "It sets at" in person.shown()
    person.keys("1", "2", "45\r", "50\r", "Ends, November\r")
    person.to("end")
    person.keys(" ")
    assert person.heap.leaving
    assert person.live.state.finished_at is not None
    (wax,) = Memories(tmp_path).own_waxes().values()
    assert wax.name == "Ends, November"
    assert wax.congealing_c == pytest.approx(tin()[1], abs=0.3)
    assert wax.density_solid == pytest.approx(898, abs=1)
    (lot,) = Stock(tmp_path).lots()
    assert (lot.product, lot.counted) == (wax.id, 1.2)
    assert lot.reclaimed is not None
    assert lot.reclaimed.cleaned == ("sorted", "heated to 80 °C", "wicks out", "settled", "strained", "dry")
    home = HomeController(tmp_path)
    home.read()
    command = home.press("c", "c")
    assert command is not None
    assert command.plan is not None
    assert command.plan.blend[0].wax == wax.id


def test_nothing_that_was_confirmed_is_lost_and_the_same_is_asked_again(tmp_path):
    person = Person(tmp_path)
    molten(person)
    person.keys("60\r", "20\r", " ", "74.5\r", "73.8\r")
    before = person.live.state.heap
    person.reopen()
    assert person.live.state.heap == before
    person.to("curve")
    person.keys("73.1\r")
    assert person.live.state.heap is not None
    assert [c for _, c in person.live.state.heap.curves[-1].readings] == [74.5, 73.8, 73.1]


def test_what_is_said_of_a_tin_is_on_record_before_its_curve_begins(tmp_path):
    """Killed after each answer: the next one is asked, and the curve begins with all of them. Of a second tin, too."""
    person = Person(tmp_path)
    molten(person)
    for curves, (weight, around) in enumerate((("60\r", "20\r"), ("50\r", "\r")), 1):
        person.keys(weight)
        person.reopen()
        person.to("around")
        person.keys(around)
        person.reopen()
        person.to("cool")
        person.keys(" ", "74.5\r", " ", " ")
        assert person.live.state.heap is not None
        assert len(person.live.state.heap.curves) == curves
        if curves == 1:
            person.keys("a")
    said = [(curve.fact.kg, curve.fact.around_c) for curve in person.heap.heap.curves]
    assert said == [(0.06, 20.0), (0.05, None)]
    person.keys("a", "40\r")
    person.reopen()
    person.to("around")
    person.keys("escape")
    assert "No further curve" in person.heap.message
    person.reopen()
    person.to("surface")
    person.keys("a")
    person.to("sample")


def test_what_was_left_out_is_not_asked_again_after_a_kill(tmp_path):
    person = Person(tmp_path)
    person.keys("1", " ", "\r")
    person.to("light")
    person.reopen()
    person.to("light")
    while person.heap.step.id != "sample":
        person.keys("x" if person.heap.step.kind in ("confirm", "wait") else "\r")
    person.keys("60\r", "2\r")
    assert "around a tin of cooling wax" in person.heap.message
    person.keys("escape", "\r")
    person.reopen()
    person.to("cool")


def test_a_density_that_no_wax_has_is_asked_about_before_it_is_filed(tmp_path):
    person = Person(tmp_path)
    person.keys("2")
    while person.heap.step.id != "dry":
        person.keys("x" if person.heap.step.kind in ("confirm", "wait", "weight") else "\r")
    person.keys("110\r", "300\r")
    assert "no wax" in person.heap.message
    assert person.heap.heap.water_kg is None
    person.keys("escape", "122\r")
    assert person.heap.heap.water_kg == 0.122


def test_a_liquid_to_float_in_is_on_record_before_the_piece_is_in_it(tmp_path):
    person = Person(tmp_path)
    person.keys("2", *"xxx")
    while person.heap.step.id != "liquid":
        person.keys("x" if person.heap.step.kind in ("confirm", "wait") else "\r")
    person.keys("930\r")
    person.reopen()
    while person.heap.step.id != "liquid":
        person.keys("x" if person.heap.step.kind in ("confirm", "wait") else "\r")
    assert "930" in person.heap.step.says
    person.keys("2")
    assert (person.heap.heap.seen.liquid, person.heap.heap.seen.floats) == (930.0, False)


def test_a_reading_is_of_the_moment_its_first_digit_was_typed(tmp_path):
    person = Person(tmp_path)
    person.keys("2", "x", "x")
    while person.heap.step.id != "sample":
        person.keys("x" if person.heap.step.kind in ("confirm", "wait") else "\r")
    person.keys("60\r", "\r", " ")
    begun = person.now
    person.now = begun + 29
    person.keys("7", "4", ".", "5", "\r")
    assert person.heap.cooling is not None
    assert person.heap.cooling.readings[0][0] == pytest.approx(begun + 30, abs=0.01)


def test_a_curve_ends_at_the_second_space_while_too_little_is_seen_and_can_be_taken_again(tmp_path):
    person = Person(tmp_path)
    molten(person)
    person.keys("60\r", "20\r", " ", "74.5\r", " ")
    assert "Too little" in person.heap.message
    person.keys(" ")
    person.to("surface")
    assert "Too few readings" in person.shown()
    person.keys("a")
    person.to("sample")
    person.keys("50\r", "\r", " ", "80\r")
    assert person.live.state.heap is not None
    assert len(person.live.state.heap.curves) == 2


def test_smooth_cooling_is_told_as_no_plateau(tmp_path):
    person = Person(tmp_path)
    molten(person)
    person.keys("60\r", "20\r", " ")
    begun = person.now
    for n in range(160):
        person.now = begun + 15.0 * n
        person.keys(f"{20 + 55 * 0.5 ** (n / 60):.1f}", "\r")
    person.keys(" ", " ")
    assert "No plateau" in " ".join(person.heap.result) or "came to rest" in " ".join(person.heap.result)


def test_any_step_can_be_gone_to_and_left_out(tmp_path):
    person = Person(tmp_path)
    person.keys("1", "down", "down")
    person.to("light")
    person.keys("escape")
    person.to("sort")
    for _ in range(60):
        if person.heap.step.id == "name":
            break
        person.keys("x" if person.heap.step.kind in ("confirm", "wait", "beat") else "\r")
    person.keys("Sack\r", " ")
    assert person.heap.leaving
    (wax,) = Memories(tmp_path).own_waxes().values()
    assert wax.congealing_max_c - wax.congealing_min_c > 10
    assert Stock(tmp_path).lots() == []


def test_what_was_said_last_is_taken_back_with_its_reason_and_brought_back(tmp_path):
    person = Person(tmp_path)
    person.keys("1", " ", "1340\r", "z")
    person.to("weigh")
    assert "Taken back: weighed the wax as it came: 1340 g." in person.heap.message
    person.keys("m", "u")
    person.to("light")


def test_a_wrong_figure_is_answered_with_what_to_type(tmp_path):
    person = Person(tmp_path)
    person.keys("1", " ", "12x\r")
    person.to("weigh")
    assert person.heap.message
    person.keys("backspace", "backspace", "backspace", "900\r")
    person.to("light")
    person.keys("450\r")
    assert "temperature" in person.heap.message
    molten_too = Person(tmp_path / "b", units="us") if (tmp_path / "b").mkdir() is None else person
    molten_too.keys("1", " ", "2 lb\r", " ", "80\r")
    assert "C or F" in molten_too.heap.message


def test_a_tin_that_is_too_small_or_far_too_large_is_not_taken(tmp_path):
    person = Person(tmp_path)
    molten(person)
    person.keys("5\r")
    person.to("sample")
    assert "25 g to 100 g" in person.heap.message


@pytest.mark.parametrize("said", [str, accented])
def test_hot_wax_rings_and_a_watch_is_answered_by_any_key_whatever_the_language(tmp_path, said, monkeypatch):
    monkeypatch.setattr(language, "_text", said)
    person = Person(tmp_path)
    person.keys("1", " ", "1340\r", " ", "91\r")
    assert person.heap.word(person.now)[0] == "FLAME DOWN"
    person.keys("79\r")
    person.now += 700
    person.heap.look(person.now)
    assert person.heap.word(person.now)[0] == "THERE?"
    person.keys(" ")
    assert "somebody is there" in plain(person.heap.message)
    person.to("molten")


def test_the_end_waits_for_the_burner(tmp_path):
    person = Person(tmp_path)
    person.keys("1", " ", "1340\r", " ")
    while person.heap.step.id != "name":
        person.keys("x" if person.heap.step.kind in ("confirm", "wait") else "\r")
    person.keys("Ends\r", " ")
    assert not person.heap.leaving
    assert "burner" in person.heap.message
    person.keys("h", " ")
    assert person.heap.leaving


@pytest.mark.parametrize(("cells", "rows"), SIZES)
def test_every_step_is_drawn_whole_in_every_window(tmp_path, cells, rows):
    person = Person(tmp_path)
    seen = set()
    chance = random.Random(cells)
    for _ in range(70):
        seen.add(person.heap.step.id)
        drawn = draw_heap(person.heap, person.now, cells, rows)
        assert len(drawn) == rows
        assert all(width(each) <= cells for each in drawn)
        text = " ".join(text_of(each).strip() for each in drawn)
        if person.heap.step.kind == "choice":
            assert all(choice.split()[0] in text for choice in person.heap.step.choices)
        if rows >= 24:
            assert person.heap.word(person.now)[1].split(". ")[-1].split()[-1] in text
        if person.heap.step.id == "end":
            break
        match person.heap.step.kind:
            case "choice":
                person.keys("1")
            case "confirm" | "wait":
                person.keys(" ")
            case "beat":
                person.keys(*(f"{70 - n}\r" for n in range(20)), " ", " ")
            case "words":
                person.keys("name\r")
            case _:
                person.keys(f"{chance.choice([50, 60])}\r")
    assert {"what", "sort", "curve", "aside", "end"} <= seen


def test_the_curve_is_drawn_as_it_grows(tmp_path):
    person = Person(tmp_path)
    molten(person)
    cooled(person, most=40)
    big = person.shown(120, 40)
    assert "READ" not in big  # it stands there in block letters
    assert "░" not in big
    assert any("⠤" <= sign <= "⣿" for sign in big)
    assert person.heap.cooling is not None
    assert draw_curve(person.heap.cooling, person.heap.reading, 10, 10, "metric") == []
    for cells, rows in ((30, 5), (60, 12), (100, 30)):
        drawn = draw_curve(person.heap.cooling, person.heap.reading, cells, rows, "us", "blocks")
        assert len(drawn) == rows
        assert all(width(each) <= cells for each in drawn)
        assert "°F" in text_of(drawn[0])


def test_any_keys_leave_a_run_that_can_be_drawn_and_read_again(tmp_path):
    chance = random.Random(5)
    person = Person(tmp_path)
    keys = [*"123450. xahnzu", "\r", "up", "down", "escape", "backspace"]
    for _ in range(400):
        person.keys(chance.choice(keys))
        person.heap.leaving = False
        if chance.random() < 0.05:
            draw_heap(person.heap, person.now, *chance.choice(SIZES))
    person.reopen()
    person.shown()


def test_what_comes_next_stands_in_the_list_and_in_help(tmp_path):
    person = Person(tmp_path)
    person.keys("1", " ", "1340\r", " ")
    person.live.close()
    query = NextActsQuery(tmp_path, (person.live.session,), person.now)
    (upcoming,) = [answer for answer in query.answers(None) if answer]  # type: ignore[arg-type]
    assert upcoming[person.live.session].says == "melt it, burner lit"
    assert {"digits", "Space", "x", "a", "h"} <= {key for key, _ in PAGES["heap"].keys}


def test_a_probe_s_reading_goes_into_the_curve_that_is_taken(tmp_path):
    person = Person(tmp_path)
    molten(person)
    person.heap.hear("tin", 70.0, person.now, person.now)
    person.keys("60\r", "20\r", " ")
    person.heap.hear("tin", 69.0, person.now, person.now)
    assert person.heap.cooling is not None
    assert [c for _, c in person.heap.cooling.readings] == [69.0]
    assert isinstance(person.live.entries[-1].fact, ev.CoolingRead)
    assert np.isclose(person.live.entries[-1].t, person.now, atol=0.01)


def test_a_reading_far_from_the_last_one_is_asked_about_once(tmp_path):
    person = Person(tmp_path)
    molten(person)
    person.keys("60\r", "20\r", " ", "68.1\r", "6.8\r")
    assert "6.8 °C after 68.1 °C: is that right?" in person.heap.message
    person.keys("backspace", "backspace", "backspace", "66.8\r")
    assert person.heap.cooling is not None
    assert [c for _, c in person.heap.cooling.readings] == [68.1, 66.8]
    person.keys("40\r", "\r")
    assert person.heap.cooling is not None
    assert person.heap.cooling.readings[-1][1] == 40.0


def test_a_lit_burner_is_not_left_without_a_word_and_is_turned_low_by_a_key(tmp_path):
    person = Person(tmp_path)
    person.keys("1", " ", "1340\r", " ", "q")
    assert not person.heap.leaving
    assert "The burner is lit" in person.heap.message
    person.keys("d")
    assert person.live.state.burner == "low"
    person.keys("q")
    assert not person.heap.leaving
    person.keys("q")
    assert person.heap.leaving


@pytest.mark.parametrize("size", [(40, 12), (60, 20), (80, 24)])
def test_burner_and_clock_are_there_at_every_size_and_answers_are_read_whole(tmp_path, size):
    person = Person(tmp_path)
    shown = person.shown(*size)
    assert "burner OFF" in shown
    assert clock(person.now) in shown
    assert "old candles, ends and drips, to be melted and cleaned" in " ".join(shown.split())
    person.keys("1", " ", "1340\r", " ")
    assert "burner ON" in person.shown(*size)
