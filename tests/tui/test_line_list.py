"""A list that one stands on with a typed line beneath it, and the keys that move through any list."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourday.tui.drawing.lines import text_of
from pourday.tui.line_list.controller import LineListController
from pourday.tui.line_list.layout import list_foot, list_row
from pourday.tui.terminal.cursor import STEPS, moved


class Names(LineListController[str]):
    """Some names; what is told is only remembered."""

    def __init__(self, *names: str) -> None:
        super().__init__()
        self.names, self.told = names, list[str]()

    @property
    def rows(self):
        return self.names

    def enter(self) -> None:
        if self.text:
            self.told.append(self.text)
            self.text = ""
        else:
            self.text = f"{self.chosen} "


@given(st.integers(0, 40), st.integers(0, 40), st.sampled_from(sorted(STEPS)))
def test_a_key_leads_to_a_row_that_is_there_and_never_away_from_where_it_points(count, at, key):
    at = min(at, max(0, count - 1))
    row = moved(at, key, count)
    assert 0 <= row <= max(0, count - 1)
    assert (row - at) * STEPS[key] >= 0


@pytest.mark.parametrize("key", ["x", "enter", "left", "tab"])
def test_another_key_moves_nothing(key):
    assert moved(3, key, 9) is None


def test_escape_puts_the_line_away_first_and_leaves_then():
    page = Names("tall", "wide")
    page.press("down", None)
    page.press("enter", None)
    assert page.text == "wide "
    page.press("escape", None)
    assert (page.text, page.leaving) == ("", False)
    page.press("escape", None)
    assert page.leaving


def test_a_line_grows_to_its_length_and_no_further_however_it_comes():
    page = Names("tall")
    page.paste("so\tmuch\n" * 60)
    page.press("x", "x")
    assert len(page.text) == page.LONGEST
    assert "\n" not in page.text


def test_a_click_chooses_and_one_on_the_chosen_row_begins_a_line():
    page = Names("tall", "wide")
    page.point(1)
    assert (page.at, page.text) == (1, "")
    page.point(1)
    assert page.text == "wide "
    page.point(0)
    assert (page.at, page.text) == (0, "wide ")


def test_an_empty_list_has_nothing_chosen():
    page = Names()
    page.press("down", None)
    assert (page.chosen, page.at) == (None, 0)


def test_the_right_of_a_row_is_whole_and_its_name_gives_way():
    row = text_of(list_row("a very long name of a mould", (("not poured yet", "soft"),), 30, chosen=True))
    assert row.endswith("not poured yet")
    assert len(row) == 30


def test_a_long_line_shows_its_end():
    page = Names("tall")
    page.text = "x" * 50 + "end"
    assert any("end▏" in text_of(row) and "…" in text_of(row) for row in list_foot(page, (), (), "say", 40))
