"""Every key at the stove, as data: what it is called, what it does, where help lists it.

No key needs shift or a chord. The weighty ones (heat, away, acknowledge) lie on the middle row of the
keyboard, where no common key touches them; a test keeps that.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Binding:
    id: str
    key: str
    """As Textual names it."""
    shows: str
    """As a person reads it on the keyboard."""
    short: str
    """One or two words, for the bottom line and small screens."""
    says: str
    weighty: bool = False
    common: bool = False


BINDINGS: tuple[Binding, ...] = (
    Binding("done", "space", "Space", "done", "done: I did what the sentence says", common=True),
    Binding("file", "enter", "Enter", "file", "file the typed reading", common=True),
    Binding("rub", "backspace", "Backspace", "rub out", "take the last digit away", common=True),
    Binding("place", "tab", "Tab", "place", "where the reading was taken", common=True),
    Binding("back", "escape", "Esc", "back", "one step back"),
    Binding("heat", "h", "h", "heat", "the burner: on or off", weighty=True),
    Binding("ack", "g", "g", "got it", "got it: acknowledge the alarm", weighty=True),
    Binding("away", "s", "s", "away", "step away from the stove", weighty=True),
    Binding("other", "o", "o", "other", "something else happened: poured, looked, water, leave out ..."),
    Binding("look", "l", "l", "look", "say what a mould looks like"),
    Binding("undo", "z", "z", "undo", "take back the last thing said"),
    Binding("note", "n", "n", "note", "write a note"),
    Binding("timer", "t", "t", "timer", "a timer of your own"),
    Binding("view", "v", "v", "view", "moulds as poured, or as the finished candles stand"),
    Binding("up", "up", "Up", "before", "agenda: the entry before"),
    Binding("down", "down", "Down", "after", "agenda: the entry after, and why it is there"),
    Binding("fire", "e", "e", "FIRE", "emergency: the fire card"),
    Binding("help", "slash", "/", "keys", "the keys that work now"),
    Binding("leave", "q", "q", "leave", "leave; the session stays open"),
)

BY_KEY = {binding.key: binding for binding in BINDINGS}
HINTS = ("done", "fire", "heat", "help", "other", "undo", "leave")
"""What the bottom line shows, the most needed first: a narrow screen cuts the rest."""
