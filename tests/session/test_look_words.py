"""One word a state: every look of the record has its words, and no two share one."""

from __future__ import annotations

from typing import get_args

from pourday.session.events import Cue
from pourday.session.looks import FIRM_THROUGH, LOOK_SHORT, LOOK_WORDS


def test_every_look_has_one_word_of_its_own():
    assert set(LOOK_WORDS) == set(LOOK_SHORT) == set(get_args(Cue))
    for words in (LOOK_WORDS, LOOK_SHORT):
        assert len({*words.values(), FIRM_THROUGH}) == len(words) + 1
