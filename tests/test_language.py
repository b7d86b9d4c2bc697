"""The door that visible text goes through: which language, its figures and its dates."""

from __future__ import annotations

from datetime import datetime

import pytest

from pourday import language
from pourday.language import asked_for, dated, figures, ntr, tr, word


@pytest.mark.parametrize(
    ("environment", "languages"),
    [
        ({}, ()),
        ({"LANG": "C.UTF-8"}, ()),
        ({"LANG": "en_GB.UTF-8", "LANGUAGE": ""}, ()),
        ({"LANG": "nl_NL.UTF-8"}, ("nl_NL.UTF-8",)),
        ({"LANG": "nl_NL.UTF-8", "LC_MESSAGES": "en_US.UTF-8"}, ()),
        ({"LANG": "en_US.UTF-8", "LANGUAGE": "de:nl:en:fr"}, ("de", "nl")),
    ],
)
def test_the_language_is_the_one_the_environment_asks_for_as_gettext_reads_it(environment, languages):
    assert asked_for(environment) == languages


def test_english_is_what_the_code_says():
    assert tr("Pour {mass} into {mould}.", mass="592 g", mould="A") == "Pour 592 g into A."
    assert [ntr("{n} hole", "{n} holes", n, n=n) for n in (0, 1, 2)] == ["0 holes", "1 hole", "2 holes"]
    assert word("pulled away") == "pulled away"
    assert tr("a {brace} without values stays") == "a {brace} without values stays"
    assert tr("") == word("") == ""


def test_figures_get_the_decimal_mark_of_the_language_and_nothing_else_changes(monkeypatch):
    monkeypatch.setattr(language, "DECIMAL_MARK", ",")
    assert figures("{x:.1f} - {n:>3} - {share:.1%} - {word}", x=74.5, n=3, share=0.125, word="1.5") == (
        "74,5 -   3 - 12,5% - 1.5"
    )
    assert tr("{kg:.{digits}f} g", kg=1.25, digits=2) == "1,25 g"


def test_dates_are_those_of_strftime_in_english():
    for day in range(1, 29):
        for month in range(1, 13):
            when = datetime(2026, month, day, 7, 5)
            for form in ("%a %d %b", "%A %d %B %Y, %H:%M", "%d %b %Y"):
                assert dated(when, form) == when.strftime(form)
