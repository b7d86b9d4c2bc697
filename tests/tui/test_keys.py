"""The key table: one meaning a key, no shift, and weighty keys out of reach of common ones."""

from __future__ import annotations

import re
from pathlib import Path
from string import ascii_uppercase

import pytest

from pourday.guide.acts.act import NO_ANSWER, Choice
from pourday.times import mould_key
from pourday.tui.drawing.help import Moment, working
from pourday.tui.stove.controller import StoveController
from pourday.tui.terminal.keys import BINDINGS, BY_ID, HINTS, OVER_QUESTIONS, KeyMap

GUIDE = Path(__file__).parents[2] / "pourday" / "guide"

# A standard keyboard in quarter-key offsets: row, position. Space lies under these letters of the bottom row.
ROWS = ("1234567890-=", "qwertyuiop[]", "asdfghjkl;'", "zxcvbnm,./")
OFFSET = (0.0, 0.5, 0.75, 1.25)
OVER_SPACE = set("xcvbnm,")
COMMON = set("1234567890.,-") | {"space", "enter", "backspace", "tab"}
BESIDE_ENTER, BESIDE_BACKSPACE, BESIDE_TAB = set("'];"), set("=]"), set("q1")


def spot(key: str) -> tuple[float, float]:
    row = next(i for i, keys in enumerate(ROWS) if key in keys)
    return row, ROWS[row].index(key) + OFFSET[row]


def neighbours(key: str) -> set[str]:
    row, column = spot(key)
    near = {
        other
        for keys in ROWS
        for other in keys
        if other != key and abs(spot(other)[0] - row) <= 1 and abs(spot(other)[1] - column) <= 1.0
    }
    for beside, name in (
        (OVER_SPACE, "space"),
        (BESIDE_ENTER, "enter"),
        (BESIDE_BACKSPACE, "backspace"),
        (BESIDE_TAB, "tab"),
    ):
        if key in beside:
            near.add(name)
    return near


def test_the_keyboard_of_this_test_is_a_keyboard():
    assert neighbours("h") == set("gjyubn")
    assert "space" in neighbours("b")


def test_ids_and_keys_are_unique_and_every_one_has_a_sentence():
    assert len({b.id for b in BINDINGS}) == len(BINDINGS) == len({b.key for b in BINDINGS})
    assert all(b.says and b.short for b in BINDINGS)


@pytest.mark.parametrize("binding", [b for b in BINDINGS if b.weighty], ids=lambda b: b.id)
def test_a_weighty_key_touches_no_common_key(binding):
    assert not neighbours(binding.key) & COMMON


def test_no_key_needs_shift_or_a_chord():
    for binding in BINDINGS:
        assert "+" not in binding.key
        assert binding.shows == binding.shows.lower() or len(binding.shows) > 1


def test_help_fire_and_done_are_among_the_first_hints():
    assert {"done", "fire", "heat", "help"} == set(HINTS[:4])


def test_no_question_of_the_guide_takes_a_key_that_works_at_all_times():
    """The fire card, the burner, the alarm's key, away and taking back are one key away whatever is being asked."""
    source = "".join(path.read_text(encoding="utf-8") for path in GUIDE.rglob("*.py"))
    keys = re.findall(r'Choice\(\s*"(.)"', source)
    keys += [mould_key(letter) for letter in ascii_uppercase]
    assert len({mould_key(letter) for letter in ascii_uppercase}) == 26
    assert {b.key for b in BINDINGS if b.id in ("fire", *OVER_QUESTIONS)} == NO_ANSWER
    assert NO_ANSWER.isdisjoint(keys)


def test_every_key_does_something_at_the_stove():
    """A binding that nobody acts on would stand in help and in the README and be dead."""
    of_the_entry = {"file", "rub"}  # what is typed takes them, in tui/stove/entry.py
    of_the_screen = {"fire", "ahead", "faults", "settings"}  # pages over the stove, in tui/stove/screen.py
    assert BY_ID.keys() == StoveController._commands.keys() | of_the_entry | of_the_screen


def test_help_over_a_question_lists_all_that_works_there():
    question = Moment(choices=(Choice("y", "yes", ()),))
    listed = {key.shows for key in working(question, KeyMap())}
    assert {BY_ID[name].shows for name in ("fire", *OVER_QUESTIONS)} <= listed
