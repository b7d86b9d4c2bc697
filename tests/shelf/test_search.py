"""Words that find a day again, held against a plain loop over what the days are made of."""

from __future__ import annotations

import random
from contextlib import suppress
from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pourday.errors import Trouble
from pourday.shelf.card import DayCard, hay
from pourday.shelf.search import Search, matches, understood
from pourday.text import plain
from pourday.times import local

NOW = datetime(2026, 11, 30, 12).timestamp()
COLOURS = ("violet", "pale green", "rust", "cream", "dark blue", "white")
WAXES = ("palm, feathering", "paraffin, pillar", "soy, pillar", "beeswax")
OFF = ("window missed", "ceiling passed", "hollow not filled", "weight off")
FAULTS = ("join split", "leak", "tunnelling", "frosting")


def library(count: int, seed: int = 1) -> list[DayCard]:
    """Cards of days that are known: each picked at random from the words above."""
    pick = random.Random(seed)
    days = 12 * 365 * 86_400

    def some(words: tuple[str, ...], most: int) -> tuple[str, ...]:
        return tuple(pick.sample(words, pick.randint(0, most)))

    return [
        DayCard(
            session=f"day-{number}",
            title=pick.choice(("Pillars", "For the market", "")),
            finished=pick.random() < 0.8,
            stage="finished",
            started=NOW - pick.random() * days,
            colours=some(COLOURS, 3),
            waxes=some(WAXES, 2),
            off=some(OFF, 2),
            faults=some(FAULTS, 2),
            tested=pick.random() < 0.4,
        )
        for number in range(count)
    ]


def names(words: str, cards: list[DayCard]) -> set[str]:
    search = understood(words, NOW)
    return {card.session for card in cards if matches(search, card)}


def begins_some_word(card: DayCard, typed: str) -> bool:
    """The oracle: whether any text on the card has a word that begins so."""
    texts = (*card.colours, *card.waxes, *card.off, *card.faults, card.title, card.session)
    words = " ".join(texts).replace(",", " ").replace("-", " ").lower().split()
    return any(word.startswith(typed) for word in words)


@pytest.mark.parametrize(
    "word", ["palm", "violet", "leak", "pale", "window", "join", "soy", "market", "tunn"]
)
def test_a_word_finds_exactly_what_has_it(word):
    cards = library(3_000)
    right = {card.session for card in cards if begins_some_word(card, word)}
    assert right
    assert names(word, cards) == right


def test_words_all_have_to_be_there_and_not_turns_one_round():
    cards = library(3_000, seed=2)
    right = {
        card.session
        for card in cards
        if "violet" in card.colours and "palm, feathering" in card.waxes and not card.tested
    }
    assert right
    assert names("violet palm not tested", cards) == right
    assert names("Violet, PALM  not tested", cards) == right
    assert names("windows missed", cards) == {c.session for c in cards if "window missed" in c.off}


SEASON_OF = {12: "winter", 1: "winter", 2: "winter", 3: "spring", 4: "spring", 5: "spring", 6: "summer", 7: "summer", 8: "summer", 9: "autumn", 10: "autumn", 11: "autumn"}  # fmt: skip


@pytest.mark.parametrize(
    ("words", "begins", "ends"),
    [
        ("older than spring", None, datetime(2026, 3, 1)),
        ("before spring 2025", None, datetime(2025, 3, 1)),
        ("newer than summer", datetime(2026, 9, 1), None),
        ("since autumn", datetime(2026, 9, 1), None),
        ("this autumn", datetime(2026, 9, 1), datetime(2026, 12, 1)),
        ("last autumn", datetime(2025, 9, 1), datetime(2025, 12, 1)),
        ("last autumn's", datetime(2025, 9, 1), datetime(2025, 12, 1)),
        ("last november", datetime(2025, 11, 1), datetime(2025, 12, 1)),
        ("in november", datetime(2026, 11, 1), datetime(2026, 12, 1)),
        ("last may", datetime(2026, 5, 1), datetime(2026, 6, 1)),
        ("autumn 2025", datetime(2025, 9, 1), datetime(2025, 12, 1)),
        ("may 2024", datetime(2024, 5, 1), datetime(2024, 6, 1)),
        ("in winter 2026", datetime(2025, 12, 1), datetime(2026, 3, 1)),
        ("last winter", datetime(2025, 12, 1), datetime(2026, 3, 1)),
        ("in 2024", datetime(2024, 1, 1), datetime(2025, 1, 1)),
        ("in may", datetime(2026, 5, 1), datetime(2026, 6, 1)),
        ("in dec", datetime(2025, 12, 1), datetime(2026, 1, 1)),
        ("in december 2024", datetime(2024, 12, 1), datetime(2025, 1, 1)),
        ("in 2026-05", datetime(2026, 5, 1), datetime(2026, 6, 1)),
        ("after 2026-05-03", datetime(2026, 5, 4), None),
        ("since 2026-05-03", datetime(2026, 5, 3), None),
        ("before 2026-05-03", None, datetime(2026, 5, 3)),
        ("older than 2 weeks", None, datetime(2026, 11, 16, 12)),
        ("since yesterday", datetime(2026, 11, 29), None),
        ("since 3 days ago", datetime(2026, 11, 27, 12), None),
        ("last week", datetime(2026, 11, 23, 12), datetime(2026, 11, 30, 12)),
    ],
)
def test_a_time_is_the_stretch_that_a_calendar_shows(words, begins, ends):
    """Seasons are those of meteorology in the northern half of the earth: whole months from March, June, September, December."""
    search = understood(words, NOW)
    assert search.begins == (begins.timestamp() if begins else float("-inf"))
    assert search.ends == (ends.timestamp() if ends else float("inf"))
    cards = library(2_000, seed=3)
    low, high = begins or datetime(1970, 1, 2), ends or datetime(2100, 1, 1)
    right = {card.session for card in cards if card.started and low <= local(card.started) < high}
    assert names(words, cards) == right


def test_the_season_of_a_day_can_be_typed_by_itself():
    cards = library(2_000, seed=4)
    right = {c.session for c in cards if c.started and SEASON_OF[local(c.started).month] == "spring"}
    assert names("spring", cards) == right


def test_what_is_no_time_is_said_with_what_to_type():
    with pytest.raises(Trouble, match=r"“soon” is no time after “older”.*a season") as told:
        understood("palm older than soon", NOW)
    assert "older than spring" in str(told.value)
    with pytest.raises(Trouble, match="A time is missing after “before”"):
        understood("before", NOW)


@pytest.mark.parametrize("text", ["older", "older than", "newer than", "since", "in", "not", "palm before"])
def test_half_a_sentence_asks_nothing_while_it_is_typed(text):
    search = understood(text, NOW, typing=True)
    assert search == Search(wanted=(" palm",) if "palm" in text else ())


@given(st.text(max_size=60))
def test_whatever_is_typed_is_understood_or_refused_with_a_sentence(text):
    understood(text, NOW, typing=True)
    with suppress(Trouble):
        understood(text, NOW)


@given(st.text(max_size=40))
def test_every_word_of_a_card_finds_it(title):
    card = DayCard(session="one", title=plain(title), started=NOW)
    for word in hay(card).split():
        if word not in ("not", "in", "last", "this", "older", "before", "newer", "younger", "after", "since"):
            assert matches(understood(word, NOW, typing=True), card)


def test_a_day_without_a_beginning_is_in_no_time():
    assert not matches(understood("in 2026", NOW), DayCard(session="one"))
