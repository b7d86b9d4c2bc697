"""What a terminal sends, made into keys that can be trusted: pastes made harmless, sequences whole or not at all.

Here every letter is a command. A key that is pressed and a key that is pasted look alike once the marks around a
paste are read wrongly, so nothing of a paste may look like the end of it, or like a key of its own (`Pasting`).
A terminal answers, reports and names keys that nobody here knows; Textual's reader passes such a sequence on
letter by letter, so a sequence is read as one thing or not at all (`Sequences`).
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

ESC = "\x1b"
CUT_OFF = 1.0
"""Seconds after which a sequence whose end never came is given up; on a slow line it comes in pieces."""
LONGEST = 32
"""Characters of a sequence that can mean anything; Textual reads longer ones as keys."""
_STRINGS = "P]_^X"
"""Second letter of the sequences that hold text, up to BEL or ESC and a backslash."""


class Pasting:
    """Makes pastes harmless in what a terminal sends, which comes in pieces of any length.

    `clock` gives seconds and only measures how fast pieces follow each other.
    """

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock = clock
        self._paste: str | None = None
        """What came of the paste that is open; None outside one."""
        self._seen = ""
        """The last characters outside pastes, which may be the beginning of a mark."""
        self._last = 0.0

    def clean(self, data: str) -> str:
        """The piece with every paste as plain lines between its two marks, at most `MOST` characters of it.

        A paste that is still open is held back until its end comes, so that it is passed on whole.
        """
        now, out = self._clock(), ""
        if self._paste is not None and now - self._last > GIVEN_UP:
            out = self._ended(self._paste)
        self._last = now
        while data:
            part, data = self._of_keys(data) if self._paste is None else self._of_paste(self._paste + data)
            out += part
        return out

    def _of_keys(self, data: str) -> tuple[str, str]:
        """(what to pass on, what is still to be read) of text outside pastes: up to the mark that begins one.

        A key is never held back: what may be the start of a mark is passed on and remembered, and the mark is
        then passed on whole, so that a pause in the middle of it does not hide it.
        """
        seen, data = len(self._seen), self._seen + data
        at = data.find(BEGIN)
        if at < 0:
            self._seen = data[-(len(BEGIN) - 1) :]
            return data[seen:], ""
        self._seen, self._paste = "", ""
        return data[seen:at] + BEGIN, data[at + len(BEGIN) :]

    def _of_paste(self, data: str) -> tuple[str, str]:
        """(what to pass on, what is still to be read) of text inside a paste: nothing until its end has come."""
        at = data.find(END)
        if at >= 0:
            return self._ended(data[:at]), data[at + len(END) :]
        # What is too much is forgotten at once, but for what may be the start of the end.
        self._paste = data if len(data) <= MOST else data[: MOST - len(END)] + data[-len(END) :]
        return "", ""

    def _ended(self, text: str) -> str:
        """A paste as it is passed on: its lines cleaned, and the mark of its end."""
        self._paste = None
        return "\n".join(plain(line, MOST) for line in text[:MOST].splitlines()) + END


class Sequences:
    """Cuts what a terminal sends into single keys; holds back an escape sequence until it is whole."""

    def __init__(self) -> None:
        self._begun = ""
        """A sequence, or a paste, whose end has not come yet."""

    def whole(self, data: str) -> list[str]:
        """What is whole with this piece, in order: single characters, sequences, pastes with their marks."""
        out: list[str] = []
        for character in data:
            self._take(character, out)
        return out

    def nothing_more(self, seconds: float) -> list[str]:
        """What is whole because nothing followed it for so many seconds: a lone Esc, or Alt and a key.

        A longer sequence is forgotten after `CUT_OFF`; a paste is waited for.
        """
        begun = self._begun
        if begun.startswith(BEGIN) or (len(begun) > 2 and seconds < CUT_OFF):
            return []
        self._begun = ""
        return [begun] if 0 < len(begun) <= 2 else []

    def _take(self, character: str, out: list[str]) -> None:
        """Take in one character; what is whole with it goes to the end of `out`."""
        begun = self._begun
        if begun.startswith(BEGIN):
            self._begun += character
            if self._begun.endswith(END):
                out.append(self._begun)
                self._begun = ""
        elif not begun:
            if character == ESC:
                self._begun = ESC
            else:
                out.append(character)
        elif begun[1:2] and begun[1] in _STRINGS:
            self._of_string(character, out)
        elif character == ESC:
            # What was not finished is no key; but Esc pressed twice is Esc.
            if begun == ESC:
                out.append(ESC)
            self._begun = ESC
        elif _breaks(begun, character):
            self._begun = ""
            out.append(character)
        else:
            self._begun = (begun + character)[: LONGEST + 1]
            if self._begun == BEGIN:
                if out[-1:] == [ESC]:  # The first letter of this mark, sent on before it was known for one.
                    out.pop()
            elif _ends(begun, character):
                if len(self._begun) <= LONGEST:
                    out.append(self._begun)
                self._begun = ""

    def _of_string(self, character: str, out: list[str]) -> None:
        """Text for a terminal: none of it is for us, and none of it is kept."""
        if character == "\x07" or (self._begun.endswith(ESC) and character == "\\"):
            self._begun = ""
        elif self._begun.endswith(ESC):
            self._begun = ESC
            self._take(character, out)
        else:
            self._begun = self._begun[:2] + character


def _breaks(begun: str, character: str) -> bool:
    """Whether a character cannot belong to a sequence with parameters: what it is, it is by itself."""
    return begun[1:2] == "[" and begun[2:3] not in ("[", "M") and not " " <= character <= "~"


def _ends(begun: str, character: str) -> bool:
    """Whether a sequence is whole with this character (ECMA-48; two forms that are older than it)."""
    if begun == ESC:
        return character not in "[O" + _STRINGS
    if begun[1] == "O":
        return character not in "0123456789;"
    if begun[2:3] == "[":  # function keys of the Linux console
        return True
    if begun[2:3] == "M":  # a mouse, three characters
        return len(begun) == 5
    return "@" <= character <= "~" and not (len(begun) == 2 and character in "[M")
