"""Every language is whole: each message of the code is translated, with the same places, and fits where it is drawn."""

from __future__ import annotations

import gettext
import io
import re
from functools import cache

import pytest
from babel.messages.mofile import write_mo

from pourday.tui.drawing.block_letters import _FONT
from tests.languages import ARGPARSE, catalogue, languages, path_of, places, said, template

LANGUAGES = languages()


@cache
def ids() -> frozenset[tuple[str | None, object]]:
    return frozenset((each.context, each.id) for each in template() if each.id)


def test_a_second_language_is_shipped():
    assert "nl" in LANGUAGES


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_message_is_translated_and_none_is_left_over(language):
    there = {(each.context, each.id) for each in catalogue(language) if each.id}
    assert sorted(map(str, ids() - there)) == [], "run: python -m tests.languages"
    assert sorted(map(str, there - ids())) == [], "run: python -m tests.languages"
    assert [each.id for each in catalogue(language) if each.id and not said(each)] == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_translation_has_the_places_and_edges_of_its_message(language):
    for each in catalogue(language):
        if not each.id or each.id in ARGPARSE:
            continue
        ours = (each.id,) if isinstance(each.id, str) else each.id
        theirs = (each.string,) if isinstance(each.string, str) else each.string
        for one, other in zip(ours, theirs, strict=True):
            assert places(one) == places(other), one
            assert one[:1].isspace() == other[:1].isspace(), one
            assert one[-1:].isspace() == other[-1:].isspace(), one


def test_a_place_in_a_message_is_called_what_it_is():
    """`{degrees2}` tells a translator nothing; `{ceiling}` does."""
    numbered = [
        (text, place)
        for _, message in ids()
        for text in ((message,) if isinstance(message, str) else message)
        if text not in ARGPARSE
        for place in places(text)
        if re.search(r"\d$", place)
    ]
    assert numbered == [], (
        "call each place by what stands there: `{least} to {most}`, not `{degrees} to {degrees2}`"
    )


@pytest.mark.parametrize("language", LANGUAGES)
def test_words_in_block_letters_are_no_longer_than_ours_and_have_letters_there(language):
    big = [
        each
        for each in catalogue(language)
        if isinstance(each.id, str) and re.fullmatch(r"(?=.*[A-Z]{2})[A-Z? ]+", each.id)
    ]
    assert len(big) > 40
    longest = max(len(each.id) for each in big)
    for each in big:
        assert len(each.string) <= longest, each.string
        assert set(each.string) <= set(_FONT), each.string


def messages_of(compiled: bytes) -> dict[object, str]:
    known: dict[object, str] = gettext.GNUTranslations(io.BytesIO(compiled))._catalog  # type: ignore[attr-defined]
    return {key: text for key, text in known.items() if key}


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_is_compiled_is_what_is_written(language):
    compiled = io.BytesIO()
    write_mo(compiled, catalogue(language))
    kept = path_of(language).with_suffix(".mo").read_bytes()
    assert messages_of(kept) == messages_of(compiled.getvalue())
