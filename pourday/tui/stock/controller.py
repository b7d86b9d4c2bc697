"""The stock on the screen: lots to stand on, and one line to type. It knows no Textual, no files and no clock."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from pourday.errors import Trouble
from pourday.language import tr
from pourday.stock.balance import DayTook, LotBalance, StockNow, stock_now
from pourday.stock.line import StockLine, read_stock_line
from pourday.stock.lot import KINDS, LotKey, StockLot
from pourday.tui.line_list.controller import LineListController
from pourday.units import Units


@dataclass(frozen=True, slots=True)
class StockDoing:
    """What is done for the controller."""

    lots: Callable[[], Sequence[StockLot]]
    tell: Callable[[StockLine], LotKey]
    """Do what a line says, and about which lot. Raises `Trouble`."""


class StockController(LineListController[LotBalance]):
    """What is there, which lot is chosen, and what is typed."""

    LONGEST = 160

    def __init__(self, units: Units, names: Mapping[str, str], doing: StockDoing) -> None:
        super().__init__()
        self.units, self.names = units, names
        """`names` of waxes by id."""
        self._doing = doing
        self._days: tuple[DayTook, ...] = ()
        self.stock = StockNow()
        self.look()

    @property
    def rows(self) -> list[LotBalance]:
        """All lots, waxes first."""
        return [each for kind in KINDS for each in self.stock.lots if each.lot.kind == kind]

    def look(self) -> None:
        """Read the lots as they are now."""
        self.stock = stock_now(self._doing.lots(), self._days)
        self.at = max(0, min(self.at, len(self.stock.lots) - 1))

    def learn(self, days: tuple[DayTook, ...], done: int, of: int) -> None:
        """Take in what more days took: `done` of `of` records are read by now."""
        self._days, self.read = days, (done, of)
        self.look()

    def enter(self) -> None:
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
