"""A language that nobody speaks: English with an accent on every small letter of a word (of three letters or more: units stay). What is still plain on a screen went past the
door of `pourday.language`; a decision that reads a sentence goes wrong in it, as it would in any other language.

`speak()` has to come before anything else of the program is imported.
"""

from __future__ import annotations

import re

from pourday import language

_PLAIN = "abcdefghijklmnopqrstuvwxyz"
_ACCENTED = "áƀćďéƒǵĥíĵķĺḿńóṕɋŕśţúṽŵẋýź"
_OTHER = str.maketrans(_PLAIN, _ACCENTED)
_BACK = str.maketrans(_ACCENTED, _PLAIN)
_CAPITALS = str.maketrans(
    {c.upper(): p.upper() for c, p in zip(_ACCENTED, _PLAIN, strict=True) if len(c.upper()) == 1}
)
_PLACE = re.compile(r"\{(?:[^{}]|\{[^{}]*\})*\}|%\([a-z_]+\)s")
_WORD = re.compile(r"[A-Za-z]{3,}")


def accented(text: str) -> str:
    """The text with other letters; its `{places}`, capitals and figures as they are."""
    if not text:
        return text
    parts = _PLACE.split(text)
    places = [*_PLACE.findall(text), ""]
    return "".join(f"{_WORD.sub(_other, part)}{place}" for part, place in zip(parts, places, strict=True))


def _other(word: re.Match[str]) -> str:
    return word[0].translate(_OTHER)


def plain(text: str) -> str:
    """What was accented, in English."""
    return text.translate(_BACK).translate(_CAPITALS)


def speak() -> None:
    """Let the program speak it from now on."""
    usual = language._in_context
    language._text = accented
    language._of_number = lambda one, many, n: accented(one if n == 1 else many)
    language._in_context = lambda context, text: accented(text) if context == "word" else usual(context, text)
