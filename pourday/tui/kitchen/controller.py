"""What the days taught of the kitchen, and the switches of a person: a day forgotten, all forgotten, nothing used.

It knows nothing of Textual and no clock; what is kept goes through the functions it is given.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Literal

from pourday.errors import Trouble
from pourday.language import tr
from pourday.tui.terminal.cursor import moved

Leaf = Literal["factors", "days", "forecasts"]
LEAVES: tuple[Leaf, ...] = ("factors", "days", "forecasts")


@dataclass
class KitchenDoing:
    """What the controller has done for it. Each raises `Trouble` where it cannot be kept."""

    forget_day: Callable[[str, bool], None]
    """Let a day teach nothing (True), or teach again."""
    forget_all: Callable[[], None]
    use_none: Callable[[bool], None]
    ask: Callable[[], None]
    """Have the page worked out anew; the answer comes to `arrived`."""


@dataclass
class KitchenController:
    """The page of the kitchen; `data` is that of `kitchen_data`, None while it is worked out."""

    doing: KitchenDoing
    data: dict[str, Any] | None = None
    leaf: Leaf = "factors"
    at: int = 0
    """The day that the cursor is on, by its place."""
    tops: dict[Leaf, int] = field(default_factory=lambda: dict.fromkeys(LEAVES, 0))
    """First line in sight of each leaf."""
    asks: bool = False
    """Whether it stands there: really forget all days?"""
    message: str = ""
    leaving: bool = False

    @property
    def days(self) -> list[dict[str, Any]]:
        return self.data["days"] if self.data is not None else []

    @property
    def day(self) -> dict[str, Any] | None:
        """The day that the cursor is on."""
        return self.days[self.at] if self.days else None

    def arrived(self, answer: dict[str, Any] | Trouble | str) -> None:
        """Take in the page, or why there is none."""
        if isinstance(answer, dict):
            self.data = answer
            self.at = max(0, min(self.at, len(self.days) - 1))
        else:
            self.message = str(answer)

    def point(self, row: int) -> None:
        """Stand on a day."""
        self.leaf, self.at = "days", max(0, min(len(self.days) - 1, row))

    def press(self, key: str, character: str | None) -> None:
        """A key, by its name and the character it types."""
        self.message = ""
        sign = character if character and character.isprintable() else key
        try:
            if self.asks:
                self._answer(key, sign)
            elif not self._moves(key):
                self._switch(key, sign)
        except Trouble as trouble:
            self.message = str(trouble)

    def _answer(self, key: str, sign: str) -> None:
        if sign == "y":
            self.doing.forget_all()
            self.message = tr("Forgotten. Days from now on teach.")
            self.doing.ask()
        self.asks = not (sign in ("y", "n", "q") or key == "escape")

    def _moves(self, key: str) -> bool:
        """Whether the key turned a leaf or moved on it."""
        turns = {"tab": 1, "right": 1, "left": -1, "shift+tab": -1}
        if key in turns:
            self.leaf = LEAVES[(LEAVES.index(self.leaf) + turns[key]) % len(LEAVES)]
            return True
        on_days = self.leaf == "days"
        row = moved(self.at, key, len(self.days)) if on_days else moved(self.tops[self.leaf], key)
        if row is None:
            return False
        if on_days:
            self.at = row
        else:
            self.tops[self.leaf] = row
        return True

    def _switch(self, key: str, sign: str) -> None:
        match sign if len(sign) == 1 else key:
            case "f" | "space" | " " | "enter" if self.leaf == "days" and self.day is not None:
                forgets = self.day["counts"]
                self.doing.forget_day(self.day["session"], forgets)
                self.message = f"{self.day['session']} {(tr('teaches nothing now') if forgets else tr('teaches again'))}."
                self.doing.ask()
            case "f":
                self.leaf = "days"
            case "a" if self.days:
                self.asks = True
            case "u" if self.data is not None:
                none = bool(self.data["use"])
                self.doing.use_none(none)
                self.message = (
                    tr("Nothing that was learned is used now; u uses it again.")
                    if none
                    else tr("It is used again.")
                )
                self.doing.ask()
            case "q" | "escape" | "l":
                self.leaving = True
