"""A wax of which only words are known: “about 60”, “58-62”, “unknown paraffin”, “half candle ends”.

What such words leave open stays open: the congealing range of the own wax is as wide as they are.
"""

from __future__ import annotations

import re

from pourday.errors import Trouble
from pourday.language import any_of, tr, typed_words
from pourday.plan import form_read as read
from pourday.plan.model import Units
from pourday.units import show_temperature
from pourday.wax.materials import WORDS, Wax, families
from pourday.wax.supplier import from_sheet

ABOUT = 3.0
"""± K that “about” leaves open, where two lots of one wax already differ by 1.5. Estimate, no source."""
WIDE = 4.0
"""K from end to end of a congealing range from which on a cooling curve is worth its hour. Estimate."""
COLDEST_C, HOTTEST_C = 30.0, 95.0
"""°C between which candle waxes set, with room to spare: soft coconut blends from 34, hard microcrystalline to 76 (the
wax table)."""
_ABOUT = typed_words(
    "about", "around", "roughly", "approx", "approximately", "ca", "circa", "maybe", "perhaps"
)  # fmt: skip
_UNKNOWN = typed_words(
    "unknown", "unmarked", "unlabelled", "unlabeled", "reclaimed", "leftover", "leftovers", "scrap", "ends", "heap",
    "mixed", "old", "burnt",
)  # fmt: skip
_FILLING = typed_words(
    "wax", "waxes", "candle", "candles", "half", "some", "of", "a", "and", "mix", "from", "church", "tealight",
    "tealights", "white", "coloured",
)  # fmt: skip
_SOFT, _HARD = typed_words("soft"), typed_words("hard")
_FAMILIES = {
    "paraffin": ("paraffin_low", "paraffin_pillar"),
    "soy": ("soy_container", "soy_pillar"),
    "beeswax": ("beeswax",),
    "stearin": ("stearic_commercial",),
    "stearic": ("stearic_commercial",),
    "palm": ("palm",),
    "rapeseed": ("rapeseed",),
    "coconut": ("coconut_blend",),
    "microcrystalline": ("microcrystalline",),
}
"""Families of the wax table that a word may mean,"""
_CALLED = typed_words(
    "paraffin", "soy", "beeswax", "stearin", "stearic", "palm", "rapeseed", "coconut", "microcrystalline"
)  # fmt: skip
"""and what they are called."""
_KNOWN = {**_FILLING, **_SOFT, **_HARD, **_CALLED, **_UNKNOWN, **_ABOUT}
_BEES_WAX = re.compile(r"\bbees[' ]+wax\b", re.IGNORECASE)
_ANY = "reclaimed_unknown"
"""The family of the wax table that stands for wax that nobody knows."""
_AS_SOFT, _AS_HARD = ("coconut_blend", _ANY), (_ANY, "beeswax")
"""From where to where wax sets that is only called soft, or hard: between the ends of these families. Estimate."""
_NUMBER = r"[0-9]{1,3}(?:[.,][0-9]+)?"
_UNIT = r"(?:\s*°?\s*[cf]\b)?"
_FIGURE = re.compile(rf"(~|≈)?\s*({_NUMBER}{_UNIT}(?:\s*{read.TO}\s*{_NUMBER}{_UNIT})?)", re.IGNORECASE)


def from_words(text: str, units: Units) -> Wax | None:
    """The own wax that such words mean, named as they were typed; None where they are the name of a wax.

    A figure counts with “about”, a unit or as a range; a bare one with a name (“White 60”) is part of the name. A
    question mark says as much as “unknown”.
    Raises `Trouble` for a temperature that no wax of a kitchen has, or that may be C or F.
    """
    figure = _FIGURE.search(text)
    rest = text[: figure.start()] + " " + text[figure.end() :] if figure else text
    typed = re.findall(r"\w+", _BEES_WAX.sub("beeswax", rest).casefold())
    if any(word not in _KNOWN for word in typed):
        return None
    words = {_KNOWN[word] for word in typed}
    meant = [name for word in typed for name in _FAMILIES.get(_KNOWN[word], ())]
    if figure is None:
        if not words & _UNKNOWN.keys() and not ("?" in text and words):
            return None
        return _made(text, meant or [_ANY], None if meant else _only_called(words), units)
    about = bool(figure[1]) or bool(words & _ABOUT.keys())
    if not about and not re.search(rf"(?<=[0-9])\s*(?:{read.TO}|°|[cf]\b)", figure[2], re.IGNORECASE):
        return None
    # One figure is about that, whether anybody said so or not: what is known are words.
    span = span_of(text[figure.start() : figure.end()], units, about=True)
    return _made(text, meant or [_ANY], span, units)


def _only_called(words: set[str]) -> tuple[float, float] | None:
    """°C from and to of a wax that is only called soft, or hard; None where it is called neither, or both."""
    soft, hard = bool(words & _SOFT.keys()), bool(words & _HARD.keys())
    if soft == hard:
        return None
    softest, hardest = (families()[name] for name in (_AS_SOFT if soft else _AS_HARD))
    return softest.congealing_min_c, hardest.congealing_max_c


def span_of(
    text: str, units: Units, about: bool = False, field: str = "where it sets"
) -> tuple[float, float]:
    """°C from and to of `58-62`, `60`, `about 60 C`, `~140 F`: one temperature “about” is wide, a range is as said.

    >>> span_of("about 60 C", "metric"), span_of("58-62", "metric")
    ((57.0, 63.0), (58.0, 62.0))
    """
    text = text.strip()
    figure = re.sub(rf"^(?:[~≈]|(?:{any_of(_ABOUT)})\b\.?)\s*", "", text, flags=re.IGNORECASE)
    low, high = read.span(figure, units, field)
    wide = low == high and (about or figure != text)
    return (low - ABOUT, high + ABOUT) if wide else (low, high)


def _made(text: str, meant: list[str], span: tuple[float, float] | None, units: Units) -> Wax:
    """The wax: figures of the nearest family meant, its congealing range as said, or over all that are meant."""
    waxes = [families()[name] for name in meant]
    if span is None:
        span = min(wax.congealing_min_c for wax in waxes), max(wax.congealing_max_c for wax in waxes)
    middle = sum(span) / 2
    if not COLDEST_C <= middle <= HOTTEST_C:
        low, high = (show_temperature(end, units) for end in (COLDEST_C, HOTTEST_C))
        raise Trouble(
            tr(
                "“{typed}”: no candle wax sets there; they do between {low} and {high}.",
                typed=text,
                low=low,
                high=high,
            ),
            instead=tr("Type it like: about 60 C, or about 140 F."),
        )
    nearest = min(waxes, key=lambda wax: abs(wax.congealing_c - middle))
    figures = {"congealing_min_c": span[0], "congealing_max_c": span[1]}
    return from_sheet(text, nearest.id, figures, confidence=WORDS)


def is_wide(wax: Wax) -> bool:
    """Whether so little is known of where an own wax sets that its cooling curve should be taken."""
    return dict(wax.given).keys() >= {"congealing_min_c", "congealing_max_c"} and (
        wax.congealing_max_c - wax.congealing_min_c >= WIDE
    )
