"""Whether a key can have been meant: nothing goes on record by one that came before its sentence could be read.

A key that is held down is told by its screen (`tui/terminal/held.py`); here is what the controller knows besides:
that nobody can have watched, that nobody pressed a key for long, that the sentence has only just come up.
"""

from __future__ import annotations

from pourday.language import tr

ASLEEP = 120.0
"""Seconds without a key after which the first "done" only shows the sentence: nobody has read it. Estimate."""
SETTLES = 1.5
"""Seconds a sentence has to stand before "done" counts for it: a hand that was on its way to Space had read the one
before. An estimate of ours."""
STARTLED = tr(
    "Nobody was looking for a while: that key only woke the screen. Press it again if you meant it."
)


class KeyGuard:
    """Whether a key can be meant, judged by the last keys and by what stood on the screen.

    `real` is always seconds of a clock that only goes on.
    """

    def __init__(self) -> None:
        self.last_key = float("-inf")
        self._startled = self._woken = False
        """Nobody can have watched since the last key: the machine slept, its clock was changed, the program stood
        still. And of the key pressed now: it is the first for a long time."""
        self._shown: tuple[str, str] | None = None
        """Which sentence stands there: its act and its word,"""
        self._changed = float("-inf")
        """and when it came to stand in the place of another."""

    def wake(self, real: float) -> None:
        """The screen has just opened: somebody is there."""
        self.last_key = real

    def startle(self) -> None:
        """A gap was seen: the next key may be one that only woke the machine, and files nothing."""
        self._startled = True

    def sees(self, act: str, word: str, real: float) -> bool:
        """Take in what the sentence on the screen is about, and when that changed; returns whether it is another
        one. The first is no change."""
        changed = self._shown not in (None, (act, word))
        if changed:
            self._changed = real
        self._shown = act, word
        return changed

    def pressed(self, real: float, *, light: bool) -> str:
        """Why the key pressed now does nothing at all, in a sentence; empty where it counts. A `light` key always
        counts."""
        self._woken, self.last_key = real - self.last_key > ASLEEP, real
        startled, self._startled = self._startled, False
        return STARTLED if startled and not light else ""

    def against_done(self, *, harmless: bool) -> str:
        """Why "done" only shows the sentence instead of filing its act; empty where it counts.

        `harmless`: doing it puts nothing on record.
        """
        if harmless:
            return ""
        if self._woken:
            return tr("That key only woke the screen. Space again says it is done.")
        if self.last_key - self._changed < SETTLES:
            word = self._shown[1] if self._shown else ""
            return tr("{word} has only just come up: read it. Space again says it is done.", word=word)
        return ""
