"""What a person types in words is understood in English and in their language; what it means is the same in both."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from functools import cache
from typing import Any

import pytest

from pourday.language import any_of, in_english, typed_words

PAIRS = {
    "colours": ("dark green to pale in three bands", "donkergroen naar bleek in drie banden"),
    "colour list": ("rust, pink", "roest, roze"),
    "wax": ("about 60 C", "ongeveer 60 C"),
    "wax of a range": ("58 to 62 C", "58 tot 62 C"),
    "wax of a family": ("unknown paraffin", "onbekende paraffine"),
    "search": ("violet not tested older than spring", "violet niet tested ouder dan lente"),
    "search of a month": ("since 3 weeks in may 2026", "sinds 3 weken in mei 2026"),
    "stock": ("add wax palm 10 kg lot A12 paid 64", "erbij was palm 10 kg partij A12 betaald 64"),
    "stock counted": ("wick 30 ply 20 pieces", "lont 30 ply 20 stuks"),
    "mould": ("tall clean every 5 candles", "tall schoonmaken elke 5 kaarsen"),
    "change": ("pour at 78C because of rings", "pour at 78C vanwege of rings"),
}
READER = """
import json, sys
from pourday.demo.scenario import two_pillars
from pourday.moulds.line import read_mould_line
from pourday.plan.colours import read_colours
from pourday.plan.wax_words import from_words
from pourday.session.repeat import with_change
from pourday.shelf.search import understood
from pourday.stock.line import read_stock_line

def wax(text):
    made = from_words(text, "metric")
    return [made.based_on, made.congealing_min_c, made.congealing_max_c]

def changed(text):
    tried = with_change(two_pillars(), text).tried
    return [tried.says, tried.cause]

READ = {
    "colours": lambda text: [swatch for _, swatch in read_colours(text, 3, 8)],
    "wax": wax,
    "search": lambda text: repr(understood(text, 1.79e9)),
    "stock": lambda text: repr(read_stock_line(text, "metric")),
    "mould": lambda text: repr(read_mould_line(text, "metric", [], 0.0)[1]),
    "change": changed,
}
READ["colour"] = READ["colours"]
print(json.dumps([READ[what.split()[0]](text) for what, text in json.load(sys.stdin)]))
"""


@cache
def meant(language: str) -> list[Any]:
    """What every text of `PAIRS` means to a program in this language: all the English ones, then all the others."""
    texts = [
        (what, pair[which])
        for which in (0, 1)
        for what, pair in PAIRS.items()
        if which == 0 or language == "nl"
    ]
    env = {k: v for k, v in os.environ.items() if k not in ("LANG", "LC_ALL", "LC_MESSAGES")}
    said = subprocess.run(
        [sys.executable, "-c", READER], input=json.dumps(texts), env={**env, "LANGUAGE": language, "TZ": "UTC"},
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    read: list[Any] = json.loads(said.stdout)
    return read


@pytest.mark.parametrize("what", PAIRS)
def test_words_of_the_language_mean_what_the_english_ones_do_and_those_stay(what: str) -> None:
    at = list(PAIRS).index(what)
    english = meant("en")[at]
    assert meant("nl")[at] == english
    assert meant("nl")[len(PAIRS) + at] == english


def test_english_has_only_its_own_words() -> None:
    assert typed_words("about", "to") == {"about": "about", "to": "to"}
    assert any_of(typed_words("in", "inch")) == "inch|in"


def test_only_whole_words_are_put_into_english() -> None:
    known = {"about": "about", "ongeveer": "about", "was": "wax"}
    assert in_english("Ongeveer 60 was, wasbeer", known) == "about 60 wax, wasbeer"
    assert in_english("About that", known) == "About that"
