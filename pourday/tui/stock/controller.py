"""The stock on the screen: lots to stand on, and one line to type. It knows no Textual, no files and no clock."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from pourday.errors import Trouble
from pourday.language import tr
from pourday.stock.balance import DayTook, LotBalance, StockNow, stock_now
from pourday.stock.line import StockLine, read_stock_line
from pourday.stock.lot import KINDS, LotKey, StockLot
from pourday.units import Units

LONGEST = 160


@dataclass(frozen=True, slots=True)
class StockDoing:
    """What is done for the controller."""

    lots: Callable[[], Sequence[StockLot]]
    tell: Callable[[StockLine], LotKey]
    """Do what a line says, and about which lot. Raises `Trouble`."""


class StockController:
    """What is there, which lot one stands on, and what is typed."""

    def __init__(self, units: Units, names: Mapping[str, str], doing: StockDoing) -> None:
        self.units, self.names = units, names
        """`names` of waxes by id."""
        self.text = ""
        self.at = 0
        """The lot one stands on, by its place in `rows`."""
        self.message = ""
        self.leaving = False
        self.read = (0, 0)
        """Records that were read for it, and how many there are."""
        self._doing = doing
        self._days: tuple[DayTook, ...] = ()
        self.stock = StockNow()
        self.look()

    @property
    def rows(self) -> list[LotBalance]:
        """All lots, waxes first."""
        return [each for kind in KINDS for each in self.stock.lots if each.lot.kind == kind]

    @property
    def chosen(self) -> LotBalance | None:
        rows = self.rows
        return rows[min(self.at, len(rows) - 1)] if rows else None

    def look(self) -> None:
        """Read the lots as they are now."""
        self.stock = stock_now(self._doing.lots(), self._days)
        self.at = max(0, min(self.at, len(self.stock.lots) - 1))

    def learn(self, days: tuple[DayTook, ...], done: int, of: int) -> None:
        """Take in what more days took."""
        self._days, self.read = days, (done, of)
        self.look()

    def press(self, key: str, character: str | None) -> None:
        """A key: move, type, Enter tells the line, Escape puts it away or leaves."""
        self.message = ""
        last = max(0, len(self.rows) - 1)
        steps = {"up": -1, "down": 1, "pageup": -10, "pagedown": 10}
        if key in steps:
            self.at = max(0, min(last, self.at + steps[key]))
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
        """Stand on a lot; on the one that one stands on, begin to correct it."""
        if row == self.at and not self.text:
            self._enter()
        self.at = max(0, min(len(self.rows) - 1, row))

    def _enter(self) -> None:
        """Tell the line; without one, begin the line that corrects the chosen lot."""
        if not self.text.strip():
            chosen = self.chosen
            if chosen is not None:
                lot = tr(" lot {lot}", lot=chosen.lot.lot) if chosen.lot.lot else ""
                self.text = tr(
                    "{kind} {product}{lot} is ", kind=chosen.lot.kind, product=chosen.lot.product, lot=lot
                )
            return
        try:
            key = self._doing.tell(read_stock_line(self.text, self.units))
        except Trouble as trouble:
            self.message = str(trouble)
            return
        self.text = ""
        self.look()
        self.at = next((n for n, each in enumerate(self.rows) if each.lot.key == key), self.at)
