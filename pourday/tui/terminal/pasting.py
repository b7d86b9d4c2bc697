"""What a terminal hands over as one paste, made harmless before anybody reads keys from it.

A key that is pressed and a key that is pasted look alike once the marks around a paste are read wrongly, and
here every letter is a command. So nothing of a paste may look like the end of it, or like a key of its own.
"""

from __future__ import annotations

from collections.abc import Callable

from pourday.text import plain

BEGIN, END = "\x1b[200~", "\x1b[201~"
"""The marks around a paste (xterm control sequences, "Bracketed Paste Mode")."""
MOST = 2000
"""Characters of a paste that are read; nothing here takes more."""
GIVEN_UP = 3.0
"""Seconds without a character after which a paste whose end never came is over."""


class Pasting:
    """Goes through what the terminal sends, piece by piece; `clock` only measures how fast pieces follow each other."""

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock = clock
        self._paste: str | None = None
        """What came of the paste that is open; None outside one."""
        self._seen = ""
        """The last characters outside pastes, which may be the beginning of a mark."""
        self._last = 0.0

    def clean(self, data: str) -> str:
        """The same with pastes as lines of harmless text, each paste at most `MOST` characters and in one piece."""
        now, out = self._clock(), ""
        if self._paste is not None and now - self._last > GIVEN_UP:
            out = self._ended(self._paste)
        self._last = now
        while data:
            part, data = self._of_keys(data) if self._paste is None else self._of_paste(self._paste + data)
            out += part
        return out

    def _of_keys(self, data: str) -> tuple[str, str]:
        """Up to where a paste begins. A key is never held back: what may be the start of a mark is only
        remembered, and the mark then comes whole, so that a pause in the middle of it does not hide it."""
        seen, data = len(self._seen), self._seen + data
        at = data.find(BEGIN)
        if at < 0:
            self._seen = data[-(len(BEGIN) - 1) :]
            return data[seen:], ""
        self._seen, self._paste = "", ""
        return data[seen:at] + BEGIN, data[at + len(BEGIN) :]

    def _of_paste(self, data: str) -> tuple[str, str]:
        """Up to where it ends, or nothing yet."""
        at = data.find(END)
        if at >= 0:
            return self._ended(data[:at]), data[at + len(END) :]
        # What is too much is forgotten at once, but for what may be the start of the end.
        self._paste = data if len(data) <= MOST else data[: MOST - len(END)] + data[-len(END) :]
        return "", ""

    def _ended(self, text: str) -> str:
        self._paste = None
        return "\n".join(plain(line, MOST) for line in text[:MOST].splitlines()) + END
