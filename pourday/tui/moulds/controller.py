"""The moulds on the screen: one to stand on, and one line to type. It knows no Textual, no files and no clock."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from pourday.errors import Trouble
from pourday.language import tr
from pourday.moulds.memory import MouldMemory, MouldNote, remembered
from pourday.moulds.use import MouldUse
from pourday.text import plain
from pourday.units import Units

LONGEST = 200


@dataclass(frozen=True, slots=True)
class MouldsDoing:
    """What is done for the controller."""

    notes: Callable[[], Sequence[MouldNote]]
    tell: Callable[[str], str]
    """Do what a line says; the name of the mould that it is about. Raises `Trouble`."""


class MouldsController:
    """What is remembered of each mould, which one one stands on, and what is typed."""

    def __init__(self, units: Units, names: Mapping[str, str], doing: MouldsDoing) -> None:
        self.units, self.names = units, names
        """`names` of waxes by id."""
        self.text = ""
        self.at = 0
        """The mould one stands on, by its place in `rows`."""
        self.message = ""
        self.leaving = False
        self.read = (0, 0)
        """Records that were read for it, and how many there are."""
        self._doing = doing
        self._uses: tuple[MouldUse, ...] = ()
        self._walls: Mapping[str, tuple[float, int]] = {}
        self.rows: list[MouldMemory] = []
        self.look()

    @property
    def chosen(self) -> MouldMemory | None:
        return self.rows[self.at] if self.rows else None

    def look(self) -> None:
        """Put uses and notes together as they are now; who stood on a mould goes on standing on it."""
        before = self.chosen
        self.rows = list(remembered(self._uses, self._doing.notes(), self._walls).values())
        keys = [memory.key for memory in self.rows]
        if before is not None and before.key in keys:
            self.at = keys.index(before.key)
        self.at = max(0, min(self.at, len(self.rows) - 1))

    def learn(
        self, uses: tuple[MouldUse, ...], walls: Mapping[str, tuple[float, int]], done: int, of: int
    ) -> None:
        """Take in what more days say."""
        self._uses, self._walls, self.read = uses, walls, (done, of)
        self.look()

    def press(self, key: str, character: str | None) -> None:
        """A key: move, type, Enter tells the line, Escape puts it away or leaves."""
        self.message = ""
        steps = {"up": -1, "down": 1, "pageup": -10, "pagedown": 10}
        if key in steps:
            self.at = max(0, min(max(0, len(self.rows) - 1), self.at + steps[key]))
        elif key == "escape":
            self.leaving = not self.text
            self.text = ""
        elif key == "enter":
            self._enter()
        elif key == "backspace":
            self.text = self.text[:-1]
        elif character and character.isprintable() and len(self.text) < LONGEST:
            self.text += character

    def paste(self, text: str) -> None:
        """Text from the clipboard goes into the line."""
        self.text = (self.text + " ".join(text.split()))[:LONGEST]

    def point(self, row: int) -> None:
        """Stand on a mould; on the one that one stands on, begin to say something of it."""
        if row == self.at and not self.text:
            self._enter()
        self.at = max(0, min(len(self.rows) - 1, row))

    def _enter(self) -> None:
        """Tell the line; without one, begin a line about the chosen mould."""
        chosen = self.chosen
        if not self.text.strip():
            if chosen is not None and chosen.name:
                self.text = f"{chosen.name} "
            elif chosen is not None:
                self.message = tr(
                    "This mould has no name: give it one in the form of a plan, then it can be told apart."
                )
            return
        try:
            name = plain(self._doing.tell(self.text)).casefold()
        except Trouble as trouble:
            self.message = str(trouble)
            return
        self.text = ""
        self.look()
        at = next((n for n, each in enumerate(self.rows) if plain(each.name).casefold() == name), None)
        if at is None:
            return
        self.at = at
        if not self.rows[at].uses:
            self.message = tr("Kept. No record names a mould like that as yet.")
