"""Words typed at the first screen and the sessions they leave in sight. It reads no file and no clock."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from pourday.language import tr
from pourday.tui.terminal.rubbing import rubbed

if TYPE_CHECKING:
    from pourday.shelf.card import DayCard
    from pourday.shelf.index import Progress
    from pourday.shelf.search import Search
    from pourday.store.library import Summary

LONGEST = 120
SHORTEST, SLIPS = 4, 2
"""Letters from which on a word can be misspelt, and by how many the meant one may be longer or shorter."""
MOST_LIKE = 2_000
"""Words that a misspelt one is held against, so that a key costs no more in a long life."""


@dataclass(slots=True)
class Finder:
    """What is looked for, and what is known of every session."""

    text: str = ""
    typing: bool = False
    """Whether keys go into the words."""
    read: tuple[int, int] = (0, 0)
    """Sessions whose record was looked into, and how many there are."""
    _search: Search | None = None
    """What is looked for, as it was understood last."""
    _vocabulary: set[str] = field(default_factory=set)
    """All words of all cards."""
    _cards: dict[str, DayCard] = field(default_factory=dict)
    _words: dict[str, str] = field(default_factory=dict)
    """All words of each card; made once, for every key asks all of them."""

    @property
    def looks(self) -> bool:
        """Whether anything is looked for."""
        return bool(self.text.strip())

    @property
    def cards(self) -> dict[str, DayCard]:
        """By session, as far as they are known."""
        return self._cards

    def begin(self) -> None:
        """Have keys go into the words."""
        self.typing = True

    def learn(self, progress: Progress) -> None:
        """Take in cards as they become known."""
        from pourday.shelf.card import hay

        self.read = progress.done, progress.of
        self._cards |= progress.fresh
        words = {name: hay(card) for name, card in progress.fresh.items()}
        self._words |= words
        for each in words.values():
            self._vocabulary.update(each.split())

    def type(self, key: str, sign: str) -> bool:
        """Whether a key was part of the words."""
        if (left := rubbed(self.text, key)) is not None:
            self.text = left
        elif key == "space":
            self.text = (self.text + " ")[:LONGEST]
        elif len(sign) == 1:
            self.text = (self.text + sign)[:LONGEST]
        else:
            return False
        return True

    def left(self, sessions: list[Summary], now: float) -> list[Summary]:
        """Those of the sessions that have the words, in their order; all where nothing is looked for.

        A session that was not looked into yet is found by its name, title and verdict.
        """
        # Here and below: loaded when somebody looks for something, for the first paint needs none of it.
        from pourday.shelf.search import understood

        self._search = search = understood(self.text, now, typing=True)
        rows = sessions
        if search.by_time:
            rows = [each for each in rows if search.covers(self._started(each))]
        words = {each.session: self._words.get(each.session) or self._listed(each) for each in rows}
        # A word at a time over all sessions: ten thousand are narrowed between two keys.
        for typed in search.wanted:
            rows = [each for each in rows if typed in words[each.session]]
        for typed in search.unwanted:
            rows = [each for each in rows if typed not in words[each.session]]
        return rows

    def _started(self, session: Summary) -> float | None:
        card = self._cards.get(session.session)
        return session.started if card is None else card.started

    def _listed(self, session: Summary) -> str:
        """All words of a session of which no more is known than the list says."""
        from pourday.shelf.card import DayCard, hay

        told = DayCard(
            session=session.session, title=session.title, stage=session.stage, finished=session.finished, demo=session.demo,
            started=session.started, verdict=session.verdict, notes=(session.trouble,),
        )  # fmt: skip
        return hay(told)

    def says(self, found: int) -> str:
        """How many were found, and how far the reading has come."""
        done, of = self.read
        reading = tr(" Looked into {done} of {of} so far.", done=done, of=of) if done < of else ""
        if not self.looks:
            from pourday.shelf.search import help_line

            return help_line() + reading
        if self._search is not None and self._search.no_time:
            return (
                tr(
                    "“{words}” is no time as yet: a year, a month, a season, 2026-05-03, or 3 weeks.",
                    words=self._search.no_time,
                )
                + reading
            )
        if found:
            return tr("{found} found.", found=found) + reading
        return (self._misspelt() or tr("None has all of that; Backspace takes a letter back.")) + reading

    def _misspelt(self) -> str:
        """Which typed word no session has at all, and the nearest one that some have; empty where that cannot be said."""
        from difflib import get_close_matches

        for typed in self._search.wanted if self._search is not None else ():
            word = typed.strip()
            if len(word) < SHORTEST or any(typed in words for words in self._words.values()):
                continue
            like = [w for w in self._vocabulary if w[:1] == word[:1] and abs(len(w) - len(word)) <= SLIPS]
            near = get_close_matches(word, like[:MOST_LIKE], n=1, cutoff=0.7)
            if near:
                whole = next((t for t in self.text.split() if t.casefold().startswith(word)), word)
                return tr("None has “{word}”. Is “{near}” meant?", word=whole, near=near[0])
        return ""
