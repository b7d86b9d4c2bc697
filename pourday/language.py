"""The door that all visible text goes through: a language is a catalogue beside this file, and no code.

The language is the one that the person's environment names (`LANGUAGE`, `LC_ALL`, `LC_MESSAGES`, `LANG`, in that order, as
GNU gettext reads them), read once when the program starts; English is what the code itself says. Figures and dates follow
the same catalogue: their decimal mark, the names of days and months and the order of a date are messages like any other.

What goes on record, into files, tables and JSON as data does not go through here; where such a word is shown, `word` is.
"""

from __future__ import annotations

import gettext
import os
import re
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path

FOLDER = Path(__file__).parent / "languages"
"""A folder a language, `nl/LC_MESSAGES/pourday.po` with what `msgfmt` made of it beside it."""
DOMAIN = "pourday"
_VARIABLES = ("LANGUAGE", "LC_ALL", "LC_MESSAGES", "LANG")


def asked_for(environment: dict[str, str] | None = None) -> tuple[str, ...]:
    """The languages the environment asks for, the dearest first, up to English, which needs no catalogue.

    >>> asked_for({"LANGUAGE": "nl:en:de", "LANG": "de_DE.UTF-8"})
    ('nl',)
    >>> asked_for({"LANG": "nl_BE.UTF-8"})
    ('nl_BE.UTF-8',)
    >>> asked_for({"LC_ALL": "C.UTF-8", "LANG": "nl_NL.UTF-8"})
    ()
    """
    known = os.environ if environment is None else environment
    named = next((value for name in _VARIABLES if (value := known.get(name))), "")
    languages: list[str] = []
    for each in named.split(":"):
        if each.partition(".")[0].partition("_")[0] in ("en", "C", "POSIX"):
            break
        languages.append(each)
    return tuple(each for each in languages if each)


def _opened() -> gettext.NullTranslations:
    """The catalogue of the first language that has one; an empty one where none does."""
    languages = asked_for()
    if not languages:
        return gettext.NullTranslations()
    return gettext.translation(DOMAIN, FOLDER, languages, fallback=True)


_CATALOGUE = _opened()
_text = _CATALOGUE.gettext
_of_number = _CATALOGUE.ngettext
_in_context = _CATALOGUE.pgettext


class _Figure(float):
    """A number that is written with the language's decimal mark."""

    def __format__(self, form: str) -> str:
        return super().__format__(form).replace(".", DECIMAL_MARK)


def tr(text: str, /, **values: object) -> str:
    """The text in the person's language, its `{places}` filled in; without values it is taken as it stands."""
    said = _text(text) if text else ""
    return _filled(said, values) if values else said


def ntr(one: str, many: str, count: float, /, **values: object) -> str:
    """The text that fits the number: `one` of them, or `many`."""
    return _filled(_of_number(one, many, round(count)), values)


def word(data: str | None) -> str:
    """How a word that is data (a stage, a look, a material, a choice of the form) is said; itself where it has no other."""
    return _in_context("word", data) if data else ""


def typed_words(*english: str) -> dict[str, str]:
    """What a person may type for each of these words, small, to the English word that is meant: that one itself, and
    those of their language, of which a catalogue may give several, parted by `|`."""
    known = {each: each for each in english}
    for each in english:
        for other in _in_context("typed", each).split("|"):
            known.setdefault(other.strip().casefold(), each)
    return known


def in_english(text: str, known: Mapping[str, str]) -> str:
    """A text as it was typed, with each word of `typed_words` put as the English one; all else as it stands.

    >>> in_english("Ongeveer 60", {"about": "about", "ongeveer": "about"})
    'about 60'
    """
    return re.sub(r"[^\W\d_]+", lambda word: _meant(word[0], known), text)


def _meant(word: str, known: Mapping[str, str]) -> str:
    small = word.casefold()
    return word if known.get(small, small) == small else known[small]


def any_of(known: Mapping[str, str]) -> str:
    """The words of `typed_words` as a pattern's alternatives, longer ones first."""
    return "|".join(map(re.escape, sorted(known, key=len, reverse=True)))


def figures(text: str, /, **values: object) -> str:
    """A text of figures and signs alone: nothing to translate in it but the decimal mark."""
    return _filled(text, values)


def _filled(text: str, values: dict[str, object]) -> str:
    if DECIMAL_MARK != ".":
        values = {name: _Figure(each) if isinstance(each, float) else each for name, each in values.items()}
    return text.format(**values)


DECIMAL_MARK = _in_context("decimal mark", ".")
"""Between a whole number and its decimals, as it is written; both point and comma are read."""
_DAYS = tr("Monday Tuesday Wednesday Thursday Friday Saturday Sunday").split()
_SHORT_DAYS = tr("Mon Tue Wed Thu Fri Sat Sun").split()
_MONTHS = tr("January February March April May June July August September October November December").split()
_SHORT_MONTHS = tr("Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec").split()


def dated(when: datetime, form: str) -> str:
    """A date or time by a form of `strftime`, which a language may put into another order, with its names of days and months.

    >>> dated(datetime(2026, 11, 30, 9, 5), "%a %d %b, %H:%M")
    'Mon 30 Nov, 09:05'
    """
    said = _in_context("date", form)
    for sign, name in (
        ("%A", _DAYS[when.weekday()]),
        ("%a", _SHORT_DAYS[when.weekday()]),
        ("%B", _MONTHS[when.month - 1]),
        ("%b", _SHORT_MONTHS[when.month - 1]),
    ):
        said = said.replace(sign, name)
    return when.strftime(said)
