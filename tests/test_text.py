"""The one cleaner of text."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourday.text import plain, steerless


@pytest.mark.parametrize(
    ("raw", "clean"),
    [
        ("Sage  and\tsalt\n", "Sage and salt"),
        ("\x1b[31mred\x1b[0m", "red"),
        ("\x1b]0;title\x07after", "after"),
        ("\x1b]8;;http://x\x1b\\link\x1b]8;;\x1b\\", "link"),
        ("\x1bP1$r0m\x1b\\dcs", "dcs"),
        ("\x1b(Bcharset\x1bc", "charset"),
        ("\x9b2Jeight bit", "eight bit"),
        ("cut \x1b[3", "cut"),
        ("\x1b\u200b[31mshielded", "shielded"),
        ("a\u202eb\u2066c", "abc"),
        ("no\u200bwidth\ufeff", "nowidth"),
        ("lone\ud800 half", "lone half"),
        ("private\ue000use", "privateuse"),
        ("cafe\u0301", "café"),
        ("bell\x07null\x00del\x7f", "bellnulldel"),
        ("line\u2028break", "line break"),
        ("", ""),
    ],
)
def test_what_could_steer_a_terminal_is_gone_and_the_words_stay(raw: str, clean: str) -> None:
    assert plain(raw) == clean


def test_length_is_cut_without_a_trailing_space() -> None:
    assert plain("candle wax", limit=7) == "candle"
    assert plain("candle", limit=0) == ""
    assert len(plain("x" * 1000)) == 200


_NASTY = st.text(
    st.one_of(st.characters(), st.sampled_from("\x1b[]();0m\x07\x9b\x9d\u200b\u202e \n\u0301\\PX"))
)


@given(_NASTY, st.integers(0, 40))
def test_cleaning_twice_is_cleaning_once_and_nothing_hidden_is_left(raw: str, limit: int) -> None:
    clean = plain(raw, limit)
    assert plain(clean, limit) == clean
    assert len(clean) <= limit
    assert unicodedata.is_normalized("NFC", clean)
    assert not {unicodedata.category(c) for c in clean} & {"Cc", "Cf", "Cs", "Co", "Zl", "Zp"}


def test_lines_for_a_terminal_keep_their_spaces_and_lose_what_could_steer_it():
    """ECMA-48's sequences in seven and eight bits, and the signs that turn letters round (Unicode UAX 9)."""
    hostile = "a   b\x1b]2;title\x07c\x9b31md\u202ee\u2066f\x85g\r\nnext   line\x08"
    assert steerless(hostile) == "a   bcdefg\nnext   line"
    assert steerless("20 °C\n  ~ 3 g") == "20 °C\n  ~ 3 g"
