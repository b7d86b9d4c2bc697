"""What keys do in a row of a form, the same in the form of a plan and in that of the settings."""

from __future__ import annotations

from collections.abc import Sequence

from pourday.language import tr, word
from pourday.text import plain
from pourday.tui.terminal.rubbing import rubbed

PAUSE = 1.5
"""s between two letters after which the second begins another word. An estimate of ours."""


class WordTyped:
    """The beginning of a choice that is typed letter by letter: “square” goes to square, and not on to rectangle."""

    def __init__(self) -> None:
        self._row, self._typed, self._at = "", "", float("-inf")

    def goes_on(self, row: str, choices: Sequence[str], letter: str, now: float) -> bool:
        """Whether a letter is the next one of a choice that is being typed in that row; `now` in s."""
        before = self._before(row, now)
        return bool(before) and _beginning(choices, before + letter.lower()) is not None

    def choice(self, row: str, choices: Sequence[str], value: str, letter: str, now: float) -> str | None:
        """The choice that the letters typed so far lead to from `value`; None where none begins with them."""
        before, letter = self._before(row, now), letter.lower()
        self._row, self._at = row, now
        again = before.replace(letter, "") == ""
        self._typed = before + letter
        if before and (whole := _beginning(choices, self._typed)) is not None:
            return whole
        if not again:
            return None
        self._typed = letter
        turned = next_choice(choices, value, letter, letter)
        return turned if _beginning((turned,), letter) else None

    def _before(self, row: str, now: float) -> str:
        """What was typed in that row just before."""
        return self._typed if row == self._row and now - self._at <= PAUSE else ""


class FormTyping:
    """The text that is typed into the row the cursor is on."""

    def __init__(self, longest: int) -> None:
        self.message = ""
        """What is said below the form."""
        self.text: str | None = None
        """What is being typed into the row; None while it stands as it was."""
        self._refused = False
        """What is typed was not taken: the next letter begins anew, Backspace mends it."""
        self._longest = longest
        """Characters that fit."""
        self._word = WordTyped()

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

    def chosen(
        self, row: str, choices: Sequence[str], value: str, key: str, character: str | None, now: float
    ) -> str | None:
        """Which of its choices a key leads to from `value` in a row: by the arrows or Space, or by the letters typed so far;
        None, with a sentence, where no choice begins with them. `row` is its path, `now` in s."""
        if key in ("left", "right", "space"):
            return next_choice(choices, value, key, character)
        typed = self._word.choice(row, choices, value, character or "", now)
        if typed is None:
            self.message = tr(
                "No choice begins so. There is: {choices}.",
                choices=", ".join(word(choice) for choice in choices),
            )
        return typed

    def spells(self, row: str, choices: Sequence[str], letter: str, now: float) -> bool:
        """Whether a letter belongs to the choice that is being typed in a row, and is no key of its own; `now` in s."""
        return self._word.goes_on(row, choices, letter, now)


def _beginning(choices: Sequence[str], typed: str) -> str | None:
    """The first choice that begins with these letters, as the person reads them."""
    return next((choice for choice in choices if word(choice).lower().startswith(typed)), None)


def next_choice(choices: Sequence[str], value: str, key: str, character: str | None) -> str:
    """Which choice a key leads to from `value`: Left the one before, Right and Space the next, a letter the next that
    begins with it, as the person reads them; `value` where none does."""
    here = choices.index(value) if value in choices else 0
    if key in ("left", "right", "space"):
        return choices[(here + (-1 if key == "left" else 1)) % len(choices)]
    letter = (character or "").lower()
    after = [*choices[here + 1 :], *choices[: here + 1]]
    return next((choice for choice in after if word(choice).lower().startswith(letter)), value)
