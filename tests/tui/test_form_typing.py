"""Keys in a row of a form: a letter begins anew, Backspace mends, a choice turns round."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from pourday.tui.form_typing import PAUSE, FormTyping, WordTyped, next_choice


def typed(form: FormTyping, value: str, *keys: str) -> str | None:
    for key in keys:
        form.type_into(value, key, key if len(key) == 1 else None)
    return form.text


def test_a_letter_begins_anew_and_backspace_begins_with_what_stands_there():
    assert typed(FormTyping(20), "12 cm", "8") == "8"
    assert typed(FormTyping(20), "12 cm", "backspace", "m") == "12 cm"


def test_what_was_refused_is_typed_over_and_put_away_it_is_gone():
    form = FormTyping(20)
    typed(form, "", "8", "x")
    form._refused = True
    assert typed(form, "", "7") == "7"
    form.put_away()
    assert form.text is None


@given(st.text(max_size=60), st.text(max_size=60))
def test_pasted_text_never_grows_over_its_length_and_says_when_it_was_cut(first, second):
    form = FormTyping(20)
    form.add_pasted(first)
    before = len(form.text or "")
    cut = form.add_pasted(second)
    assert before <= len(form.text or "") <= 20
    assert not cut or len(form.text or "") == 20


@given(st.lists(st.sampled_from(["on", "off", "low", "auto"]), min_size=1, unique=True), st.data())
def test_right_and_left_undo_each_other_and_every_choice_is_reached(choices, data):
    value = data.draw(st.sampled_from(choices))
    right = next_choice(choices, value, "right", None)
    assert next_choice(choices, right, "left", None) == value
    seen, at = set(), value
    for _ in choices:
        at = next_choice(choices, at, "space", " ")
        seen.add(at)
    assert seen == set(choices)


def test_a_letter_goes_to_the_next_choice_that_begins_with_it_and_another_letter_moves_nothing():
    assert next_choice(["off", "on", "low"], "off", "o", "o") == "on"
    assert next_choice(["off", "on", "low"], "on", "o", "o") == "off"
    assert next_choice(["off", "on", "low"], "on", "x", "x") == "on"


SHAPES = ["cylinder", "tapered round", "square", "rectangle", "hexagon"]


def test_a_word_typed_letter_by_letter_leads_to_the_choice_it_begins():
    """By its first letter alone `square` ended at rectangle, by its r, and its e opened the fire card."""
    word_typed, value = WordTyped(), "cylinder"
    for at, letter in enumerate("square"):
        assert letter == "s" or word_typed.goes_on("shape", SHAPES, letter, 0.1 * at)
        value = word_typed.choice("shape", SHAPES, value, letter, 0.1 * at)
    assert value == "square"


def test_the_same_letter_turns_on_and_a_pause_or_another_row_begins_anew():
    word_typed = WordTyped()
    choices = ["off", "on", "low"]
    assert word_typed.choice("a", choices, "off", "o", 0.0) == "on"
    assert word_typed.choice("a", choices, "on", "o", 0.1) == "off"
    assert word_typed.choice("a", choices, "off", "l", PAUSE + 0.2) == "low"
    assert not word_typed.goes_on("b", choices, "o", PAUSE + 0.3), (
        "a letter is a key of its own in another row"
    )


def test_letters_that_begin_no_choice_move_nothing_even_where_a_later_one_would():
    word_typed = WordTyped()
    assert [word_typed.choice("a", SHAPES, "square", x, 0.0) for x in "art"] == [None, None, None]
