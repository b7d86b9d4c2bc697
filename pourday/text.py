"""The one cleaner of text that people type, paste or load: nothing in it can steer a terminal."""

from __future__ import annotations

import re
import unicodedata

LONGEST_TEXT = 2_000
"""Characters; the longest text that a fact may have."""
_STRING = r"(?:\x1b[\]PX^_]|[\x9d\x90\x98\x9e\x9f])[^\x07\x1b\x9c\n\r]*(?:\x07|\x1b\\|\x9c)?"
_CONTROL = r"(?:\x1b\[|\x9b)[0-?]*[ -/]*[@-~]?"
_OTHER = r"\x1b[ -/]*[0-~]?"
_ESCAPES = re.compile(f"{_STRING}|{_CONTROL}|{_OTHER}")
"""Terminal sequences of ECMA-48, seven and eight bit, also when they are cut short."""

_HIDDEN = frozenset({"Cf", "Cs", "Co"})
_BLANK_LETTERS = frozenset("\u034f\u115f\u1160\u17b4\u17b5\u2800\u3164\uffa0")
"""Invisible characters that Unicode does not file under formatting."""


def plain(text: str, limit: int = 200) -> str:
    """One line of harmless text, at most `limit` characters.

    Terminal sequences go whole; control, format (bidirectional and zero-width signs among them),
    surrogate and private-use characters go; the rest is in composed form (NFC) with every run of
    white space as one space. Cleaning twice is cleaning once.
    """
    if _is_plain(text):
        return text[: max(limit, 0)].rstrip()
    # Hidden characters go first: one of them inside an escape sequence would shield it.
    seen = "".join(c for c in text if unicodedata.category(c) not in _HIDDEN and c not in _BLANK_LETTERS)
    calm = _ESCAPES.sub("", seen)
    spaced = " ".join(calm.split())
    printable = "".join(c for c in spaced if unicodedata.category(c) != "Cc")
    composed = " ".join(unicodedata.normalize("NFC", printable).split())
    return composed[: max(limit, 0)].rstrip()


def _is_plain(text: str) -> bool:
    """Whether nothing of it would go or change but its length; what most texts are, told at a twentieth of the cost."""
    return (
        text.isprintable()  # No control, format, surrogate or private-use character, and no space but the common one.
        and "  " not in text
        and text[:1] != " " != text[-1:]
        and (text.isascii() or (_BLANK_LETTERS.isdisjoint(text) and unicodedata.is_normalized("NFC", text)))
    )


def steerless(text: str) -> str:
    """The same lines, spaces and all, without what could steer a terminal or turn its letters round.

    The last door before a terminal, for texts that were put together from others.
    """
    if text.isascii() and text.replace("\n", "").isprintable():
        return text
    seen = "".join(c for c in text if unicodedata.category(c) not in _HIDDEN)
    calm = _ESCAPES.sub("", seen)
    return "".join(c for c in calm if c == "\n" or unicodedata.category(c) != "Cc")
