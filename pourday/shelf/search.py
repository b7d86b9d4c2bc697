"""Words that somebody types to find a day again, understood: `violet palm`, `not tested`, `older than spring`.

Every word has to begin some word of the card. `not` turns the next one round. `older than`, `newer than`, `before`,
`after`, `since` and `in` take a time: a year, a month, a season, a day, or so many days, weeks, months, years ago.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from pourday.errors import Trouble
from pourday.language import tr, typed_words
from pourday.shelf.card import SEASONS, DayCard, hay, words_in
from pourday.text import plain
from pourday.times import local

MONTHS = ("january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december")  # fmt: skip
_MONTHS = typed_words("january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december")  # fmt: skip
_SEASONS = typed_words("winter", "spring", "summer", "autumn", "fall")
_KEYWORDS = typed_words(
    "older", "before", "newer", "younger", "after", "since", "than", "in", "last", "this", "not", "ago", "today", "yesterday",
    "day", "days", "week", "weeks", "month", "months", "year", "years",
)  # fmt: skip
_SPANS = {"day": 1.0, "week": 7.0, "month": 30.44, "year": 365.25}
"""Days; months and years as long as they are on average."""
_OLDER, _NEWER = ("older", "before"), ("newer", "younger", "after", "since")
_SHORT_MONTH = 3
"""Letters by which a month can be told."""
_DAY = re.compile(r"(\d{4})-(\d{1,2})(?:-(\d{1,2}))?")


@dataclass(frozen=True, slots=True)
class Search:
    """What is looked for; times in s since the epoch, UTC."""

    wanted: tuple[str, ...] = ()
    """Each a word with a space before it, as it stands in `hay`."""
    unwanted: tuple[str, ...] = ()
    begins: float = float("-inf")
    """Days begun from here on,"""
    ends: float = float("inf")
    """and before this."""
    no_time: str = ""
    """What was typed where a time is meant, and is none as yet; nothing is looked for by it."""

    def covers(self, started: float | None) -> bool:
        """Whether a day begun then lies in the stretch that is looked for."""
        return started is not None and self.begins <= started < self.ends

    @property
    def by_time(self) -> bool:
        """Whether when it was matters."""
        return self.begins > float("-inf") or self.ends < float("inf")


def help_line() -> str:
    """What can be typed, while nothing is."""
    return tr(
        "Type what you remember: violet, palm, leak, windows missed, not tested, older than spring, in may 2026, since 3 weeks."
    )


def understood(text: str, now: float, *, typing: bool = False) -> Search:
    """What these words look for at `now`.

    `typing`: more may come, so that `older than` without its time asks nothing yet. Raises `Trouble` for a time that
    cannot be understood.
    """
    words = [_KEYWORDS.get(token, token) for token in _tokens(text)]
    wanted: list[str] = []
    unwanted: list[str] = []
    begins, ends, at = float("-inf"), float("inf"), 0
    while at < len(words):
        word, rest = words[at], words[at + 1 :]
        if word in (*_OLDER, *_NEWER, "in", "last", "this"):
            skip = 1 if rest[:1] == ["than"] else 0
            stretch, used = _stretch(words[at:] if word in ("last", "this") else rest[skip:], now)
            if stretch is None and word not in ("in", "last", "this"):
                if not typing:
                    _refuse(word, rest[skip:])
                return Search(tuple(wanted), tuple(unwanted), begins, ends, " ".join(rest[skip:]))
            if stretch is not None:
                start, end = stretch
                if word in _OLDER:
                    ends = min(ends, start)
                elif word in _NEWER:
                    begins = max(begins, start if word == "since" else end)
                else:
                    begins, ends = max(begins, start), min(ends, end)
                at += used + (0 if word in ("last", "this") else 1 + skip)
                continue
        # A season or month with its year needs no "in" before it.
        stretch, used = _stretch(words[at:], now) if rest and _is_year(rest[0]) else (None, 0)
        if stretch is not None and used > 1:
            begins, ends = max(begins, stretch[0]), min(ends, stretch[1])
            at += used
            continue
        if word == "not" and rest:
            unwanted += [f" {part}" for part in _stems(rest[0])]
            at += 2
            continue
        if word != "not" and not (word == "in" and not rest):
            wanted += [f" {part}" for part in _stems(word)]
        at += 1
    return Search(tuple(wanted), tuple(unwanted), begins, ends)


def matches(search: Search, card: DayCard, words: str | None = None) -> bool:
    """Whether a card is what is looked for; `words` is its `hay`, where that is known already."""
    if search.by_time and not search.covers(card.started):
        return False
    words = hay(card) if words is None else words
    return all(word in words for word in search.wanted) and not any(word in words for word in search.unwanted)


def _tokens(text: str) -> list[str]:
    """Words as they were typed, small; what holds a date stays in one piece, and `autumn's` is autumn."""
    tokens = (token.strip(",.;:“”\"'") for token in plain(text, 200).casefold().split())
    return [re.sub(r"['’]s$", "", token) for token in tokens if token]


def _stems(word: str) -> list[str]:
    """The parts of a typed word as they stand in `hay`; of a plural its stem, so that `windows` finds a window.

    >>> _stems("windows"), _stems("glass"), _stems("wall-gap")
    (['window'], ['glass'], ['wall', 'gap'])
    """
    parts = words_in(word)
    return [p[:-1] if len(p) > 3 and p.endswith("s") and not p.endswith("ss") else p for p in parts]


def _stretch(words: Sequence[str], now: float) -> tuple[tuple[float, float] | None, int]:
    """The stretch of time that these words begin with, and how many they are; None and 0 where they name none."""
    last = 1 if words[:1] in (["last"], ["this"]) else 0
    if len(words) <= last:
        return None, 0
    word, then = words[last], words[last + 1] if len(words) > last + 1 else ""
    here = local(now)
    over = words[0] == "last"
    if word in ("today", "yesterday"):
        day = here.replace(hour=0, minute=0, second=0, microsecond=0) - timedelta(days=word == "yesterday")
        return _between(day, day + timedelta(days=1)), last + 1
    if word.isdigit() and len(word) < 4 and then.rstrip("s") in _SPANS:
        begin = now - int(word) * _SPANS[then.rstrip("s")] * 86_400
        return (begin, begin), last + 2 + (words[last + 2 : last + 3] == ["ago"])
    if last and word in _SPANS:
        return (now - _SPANS[word] * 86_400, now), last + 1
    named = _day(word)
    if named is not None:
        return named, last + 1
    year = int(then) if _is_year(then) else None
    used = last + 1 + (year is not None)
    if _is_year(word):
        return _between(_first(int(word), 1), _first(int(word) + 1, 1)), last + 1
    season = _SEASONS.get(word)
    if season is not None:
        return _season(SEASONS.index(season) if season in SEASONS else 3, year, here, over=over), used
    month = next((MONTHS.index(of) + 1 for name, of in _MONTHS.items() if len(word) >= _SHORT_MONTH and name.startswith(word)), None)  # fmt: skip
    if month is None:
        return None, 0
    if year is None:
        year = here.year if month < here.month + (not over) else here.year - 1
    return _between(_first(year, month), _first(year + month // 12, month % 12 + 1)), used


def _season(number: int, year: int | None, here: datetime, *, over: bool) -> tuple[float, float]:
    """(from, to) of the season of a year; without a year of the newest one that has begun, or, with `over`, is over.
    Winter belongs to the year it ends in."""
    first = (number * 3 - 1) % 12 + 1
    candidates = [year] if year is not None else [here.year + 1, here.year, here.year - 1, here.year - 2]
    for each in candidates:
        start = _first(each - (number == 0), first)
        end = _first(start.year + (first + 2) // 12, (first + 2) % 12 + 1)
        if year is not None or (end if over else start) <= here:
            break
    return _between(start, end)


def _day(word: str) -> tuple[float, float] | None:
    """A day or a month that is written with hyphens; None for what is none."""
    written = _DAY.fullmatch(word)
    if written is None:
        return None
    year, month, day = (int(part) if part else 0 for part in written.groups())
    try:
        start = datetime(year, month, day or 1)
        end = start + timedelta(days=1) if day else _first(year + month // 12, month % 12 + 1)
    except (ValueError, OverflowError, OSError):
        return None
    return _between(start, end)


def _is_year(word: str) -> bool:
    """Whether a word is a year."""
    return len(word) == 4 and word.isascii() and word.isdigit() and 1900 <= int(word) < 2200


def _first(year: int, month: int) -> datetime:
    """Midnight before the first of a month, on the clock of the place."""
    return datetime(year, month, 1)


def _between(start: datetime, end: datetime) -> tuple[float, float]:
    """A stretch of time in seconds since the epoch."""
    return start.timestamp(), end.timestamp()


def _refuse(word: str, rest: Sequence[str]) -> None:
    """Raises `Trouble`: what follows is no time."""
    typed = plain(" ".join(rest[:2]), 40)
    raise Trouble(
        tr("“{typed}” is no time after “{word}”.", typed=typed, word=word)
        if rest
        else tr("A time is missing after “{word}”.", word=word),
        instead=tr("Say a year, a month, a season, a day like 2026-05-03, or 3 weeks: “older than spring”."),
    )
