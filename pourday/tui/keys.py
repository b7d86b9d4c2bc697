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
    says: str
    weighty: bool = False
    common: bool = False


BINDINGS: tuple[Binding, ...] = (
    Binding("done", "space", "Space", "done: I did what the sentence says", common=True),
    Binding("file", "enter", "Enter", "file the typed reading", common=True),
    Binding("rub", "backspace", "Backspace", "take the last digit away", common=True),
    Binding("place", "tab", "Tab", "where the reading was taken", common=True),
    Binding("back", "escape", "Esc", "one step back"),
    Binding("heat", "h", "h", "the burner: on or off", weighty=True),
    Binding("ack", "g", "g", "got it: acknowledge the alarm", weighty=True),
    Binding("away", "s", "s", "step away from the stove", weighty=True),
    Binding("other", "o", "o", "something else happened: poured, looked, water, leave out ..."),
    Binding("look", "l", "l", "say what a mould looks like"),
    Binding("undo", "z", "z", "take back the last thing said"),
    Binding("note", "n", "n", "write a note"),
    Binding("timer", "t", "t", "a timer of your own"),
    Binding("view", "v", "v", "moulds as poured, or as the finished candles stand"),
    Binding("up", "up", "Up", "agenda: the entry before"),
    Binding("down", "down", "Down", "agenda: the entry after, and why it is there"),
    Binding("fire", "e", "e", "emergency: the fire card"),
    Binding("help", "slash", "/", "the keys that work now"),
    Binding("leave", "q", "q", "leave; the session stays open"),
)

BY_KEY = {binding.key: binding for binding in BINDINGS}
HINTS = ("done", "heat", "other", "undo", "fire", "help", "leave")
"""What the bottom line shows."""
