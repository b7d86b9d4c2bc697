"""Keys of the person's own: two never share one, weighty ones are warned about, numbers and answers stay what they are."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from textual.keys import _character_to_key

from pourday.errors import Trouble
from pourday.guide.acts.act import Choice
from pourday.tui.drawing.help import Moment, draw_help, help_leaves, working
from pourday.tui.drawing.help_text import PAGES
from pourday.tui.drawing.lines import text_of, width
from pourday.tui.terminal.keys import (
    BINDINGS,
    BY_ID,
    FIXED,
    ROWS,
    KeyMap,
    canonical,
    ill_placed,
    keymap,
    neighbours,
    spoken,
    usable,
)

USUAL = KeyMap()
COMMON = set("1234567890.,-") | {"space", "enter", "backspace", "tab"}


@given(
    st.dictionaries(
        st.sampled_from([b.id for b in BINDINGS]) | st.text(max_size=5),
        st.sampled_from([*"abcdefghijklmnopqrstuvwxyz1;'/[=", "f1", "f5", "space", "tab"])
        | st.text(max_size=4),
        max_size=8,
    )
)
def test_whatever_a_file_asks_for_no_two_bindings_share_a_key(own):
    keys, said = keymap(own)
    pressed = [keys.key(b) for b in BINDINGS]
    assert len(set(pressed)) == len(pressed)
    assert all(sentence for _, sentence in said)
    assert all(keys.key(BY_ID[name]) == BY_ID[name].key for name in FIXED)


def test_two_may_change_places():
    keys, said = keymap({"heat": "l", "look": "h"})
    assert (keys.key(BY_ID["heat"]), keys.key(BY_ID["look"])) == ("l", "h")
    assert [name for name, _ in said] == ["heat"]  # l lies beside the comma
    assert keys.usual("l", "l") == ("h", "h")
    assert keys.usual("h", "h") == ("l", "l")


def test_a_key_that_was_given_up_means_nothing():
    keys, said = keymap({"heat": "j"})
    assert said == []
    assert keys.usual("j", "j") == ("h", "h")
    assert keys.usual("h", "h") == ("unbound", "h")
    assert keys.usual("g", "g") == ("g", "g")


@pytest.mark.parametrize(
    ("name", "key", "says"),
    [
        ("heat", "g", "taken: got it"),
        ("heat", "5", "belongs to numbers"),
        ("heat", "c", "belongs to numbers"),
        ("heat", "comma", "belongs to numbers"),
        ("heat", "enter", "has to stay"),
        ("heat", "escape", "has to stay"),
        ("heat", "H", "two keys at once"),
        ("heat", "ctrl+h", "two keys at once"),
        ("heat", "?", "two keys at once"),
        ("heat", "p", "pauses the demo"),
        ("fire", "x", "answered with letters"),
        ("back", "x", "stays where it is"),
        ("nothing", "x", "Nothing here is called"),
    ],
)
def test_a_key_that_cannot_be_had_is_refused_in_words(name, key, says):
    with pytest.raises(Trouble, match=says):
        usable(name, key, USUAL)


@pytest.mark.parametrize("weighty", [b.id for b in BINDINGS if b.weighty])
def test_a_weighty_key_beside_a_common_one_is_warned_about_wherever_it_is_put(weighty):
    """Every key that can be had: there is a warning just where a key that is touched all day long is its neighbour."""
    for sign in {c for row in ROWS for c in row} - set("py[]"):
        try:
            chosen = usable(weighty, sign, USUAL)
        except Trouble:
            continue
        assert bool(ill_placed(weighty, chosen, USUAL)) == bool(neighbours(chosen) & COMMON), sign


def test_a_common_key_put_beside_a_weighty_one_is_warned_about_too():
    assert "heat" in ill_placed("done", "j", USUAL)
    assert ill_placed("done", "f5", USUAL) == ""
    keys, _ = keymap({"done": "x"})
    assert "x" in ill_placed("heat", "s", keys)


@pytest.mark.parametrize("sign", [*"abz;'[]=/\\`.,-ö#+@_?", "5"])
def test_keys_are_called_as_the_screen_calls_them(sign):
    assert canonical(sign) == _character_to_key(sign)
    assert spoken(canonical(sign)) == sign or not sign.isascii() or sign in "#+@_?"


# -- help ----------------------------------------------------------------------------------------------


def shown(moment: Moment, keys: KeyMap = USUAL) -> dict[str, str]:
    return {key.shows: key.says for key in working(moment, keys)}


def test_help_shows_the_keys_of_the_person_and_only_those_that_work_now():
    idle = shown(Moment())
    assert {"Space", "h", "0-9", "/", "e"} <= set(idle)
    assert "g" not in idle, "no alarm waits"
    assert "Enter" not in idle, "nothing is typed"
    assert "y" not in idle
    assert shown(Moment(), keymap({"heat": "j"})[0])["j"] == BY_ID["heat"].says


def test_help_follows_what_is_typed_asked_written_and_sounding():
    assert next(iter(shown(Moment(alarm=True)))) == "0-9"
    assert list(shown(Moment(alarm=True)))[1] == "g"
    assert set(shown(Moment(pending=True))) == {
        "Enter",
        "Esc",
        "p j s w b r",
        "Tab",
        "c  f",
        "Backspace",
        "0-9 . ,",
        "e",
        "/",
    }
    asked = shown(Moment(choices=(Choice("y", "yes"), Choice("n", "no"))))
    assert (asked["y"], asked["n"]) == ("yes", "no")
    assert {"h", "g", "s", "z", "e"} <= set(asked), "these work over a question"
    assert "v" not in asked
    assert set(shown(Moment(writing=True))) == {"letters", "Enter", "Backspace", "Esc", "F1"}
    assert "y" in shown(Moment(demo=True))
    assert "h" not in shown(Moment(looking=True))
    assert "Up" not in shown(Moment(agenda=False))


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize(("cells", "rows"), [(40, 12), (80, 24), (120, 40), (200, 60)])
def test_every_word_of_every_help_page_can_be_turned_to_at_every_size(name, cells, rows):
    page = PAGES[name]
    keys = working(Moment(alarm=True, demo=True), USUAL)
    leaves = help_leaves(page, "Keys", keys, cells, rows)
    read = " ".join(" ".join(text_of(row) for row in leaf) for leaf in leaves).split()
    for heading, text in page.parts:
        words = f"{heading} {text}".split()
        assert any(read[i : i + len(words)] == words for i in range(len(read))), heading
    for key in keys:
        assert key.shows.split()[0] in read
    for at in range(len(leaves) + 1):
        drawn = draw_help(page, "Keys", keys, cells, rows, at)
        assert len(drawn) == rows
        assert max(width(row) for row in drawn) <= cells
        assert "Esc puts this away" in text_of(drawn[-1])


def test_each_screen_has_a_page_and_the_stove_gives_the_reasons_of_the_trade():
    assert set(PAGES) == {
        *(
            "home",
            "setup",
            "stove",
            "review",
            "rehearsal",
            "settings",
            "burn",
            "faults",
            "follow",
            "stock",
            "moulds",
            "heap",
            "kitchen",
        )
    }
    stove = " ".join(f"{h} {t}" for h, t in PAGES["stove"].parts).lower()
    for reason in (
        "plug",
        "window opens",
        "window closes",
        "relief holes",
        "inside the layer",
        "top-up",
        "cure",
    ):
        assert reason in stove
    assert "kept back" in " ".join(h for h, _ in PAGES["setup"].parts)


def test_no_question_of_the_guide_uses_a_fixed_or_moved_fire_key():
    """What moves the fire card may only be a key that types nothing, so no answer can ever be in its way."""
    source = "".join(
        p.read_text(encoding="utf-8") for p in (Path(__file__).parents[2] / "pourday/guide").rglob("*.py")
    )
    assert 'Choice("e"' not in source
    for sign in "abxz;":
        with pytest.raises(Trouble):
            usable("fire", sign, USUAL)
    assert usable("fire", "F1", USUAL) == "f1"
