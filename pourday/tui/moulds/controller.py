"""The moulds on the screen: one to stand on, and one line to type. It knows no Textual, no files and no clock."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from pourday.errors import Trouble
from pourday.language import tr
from pourday.moulds.memory import MouldMemory, MouldNote, remembered
from pourday.moulds.use import MouldUse
from pourday.text import plain
from pourday.tui.line_list.controller import LineListController
from pourday.units import Units


@dataclass(frozen=True, slots=True)
class MouldsDoing:
    """What is done for the controller."""

    notes: Callable[[], Sequence[MouldNote]]
    tell: Callable[[str], str]
    """Do what a line says; the name of the mould that it is about. Raises `Trouble`."""


class MouldsController(LineListController[MouldMemory]):
    """What is remembered of each mould, which one is chosen, and what is typed."""

    def __init__(self, units: Units, names: Mapping[str, str], doing: MouldsDoing) -> None:
        super().__init__()
        self.units, self.names = units, names
        """`names` of waxes by id."""
        self._doing = doing
        self._uses: tuple[MouldUse, ...] = ()
        self._walls: Mapping[str, tuple[float, int]] = {}
        self._rows: list[MouldMemory] = []
        self.look()

    @property
    def rows(self) -> list[MouldMemory]:
        return self._rows

    def look(self) -> None:
        """Put uses and notes together as they are now; the chosen mould stays chosen wherever its row has gone."""
        before = self.chosen
        self._rows = list(remembered(self._uses, self._doing.notes(), self._walls).values())
        keys = [memory.key for memory in self._rows]
        if before is not None and before.key in keys:
            self.at = keys.index(before.key)
        self.at = max(0, min(self.at, len(self._rows) - 1))

    def learn(
        self, uses: tuple[MouldUse, ...], walls: Mapping[str, tuple[float, int]], done: int, of: int
    ) -> None:
        """Take in what more days say: `done` of `of` records are read by now."""
        self._uses, self._walls, self.read = uses, walls, (done, of)
        self.look()

    def enter(self) -> None:
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
