"""What keys do in a row of a form, the same in the form of a plan and in that of the settings."""

from __future__ import annotations

from collections.abc import Sequence

from pourday.language import word
from pourday.text import plain
from pourday.tui.terminal.rubbing import rubbed


class FormTyping:
    """The text that is typed into the row the cursor is on."""

    def __init__(self, longest: int) -> None:
        self.text: str | None = None
        """What is being typed into the row; None while it stands as it was."""
        self._refused = False
        """What is typed was not taken: the next letter begins anew, Backspace mends it."""
        self._longest = longest
        """Characters that fit."""

    def type_into(self, value: str, key: str, character: str | None) -> None:
        """A key in a row that reads `value`: Backspace begins with that, a letter begins with nothing."""
        refused, self._refused = self._refused, False
        left = rubbed(value if self.text is None else self.text, key)
        if left is not None:
            self.text = left
        elif character is not None and character.isprintable():
            self.text = (("" if refused else self.text or "") + character)[: self._longest]

    def add_pasted(self, text: str) -> bool:
        """Text of one line from the clipboard goes behind what is typed; whether some of it had no room."""
        refused, self._refused = self._refused, False
        whole = ("" if refused else self.text or "") + plain(text, 2 * self._longest)
        self.text = whole[: self._longest]
        return len(whole) > self._longest

    def put_away(self) -> None:
        """Let the row stand as it was."""
        self.text, self._refused = None, False


def next_choice(choices: Sequence[str], value: str, key: str, character: str | None) -> str:
    """Which choice a key leads to from `value`: Left the one before, Right and Space the next, a letter the next that
    begins with it, as the person reads them; `value` where none does."""
    here = choices.index(value) if value in choices else 0
    if key in ("left", "right", "space"):
        return choices[(here + (-1 if key == "left" else 1)) % len(choices)]
    letter = (character or "").lower()
    after = [*choices[here + 1 :], *choices[: here + 1]]
    return next((choice for choice in after if word(choice).lower().startswith(letter)), value)
