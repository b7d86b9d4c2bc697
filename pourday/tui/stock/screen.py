"""The stock: what is there of wax, scent, dye and wick, put right or added to in one line."""

from __future__ import annotations

from typing import ClassVar

from pourday.guide.advice.queries import Failed, Query
from pourday.language import tr
from pourday.shelf.questions import DaysTookAnswer, DaysTookQuery
from pourday.stock.line import StockLine
from pourday.stock.lot import LotKey
from pourday.store.memories import Memories
from pourday.store.stock import Stock
from pourday.tui.drawing.lines import Line
from pourday.tui.line_list.screen import LineListScreen
from pourday.tui.stock.controller import StockController, StockDoing
from pourday.tui.stock.layout import draw_stock


class StockScreen(LineListScreen):
    """The page of the stock."""

    HELP: ClassVar[str] = "stock"

    def __init__(self) -> None:
        super().__init__()
        self._page: StockController | None = None

    @property
    def page(self) -> StockController:
        if self._page is None:
            stock = Stock(self.pourday.folder)
            names = Memories(self.pourday.folder).wax_names()

            def tell(told: StockLine) -> LotKey:
                return stock.tell(told, names, self.clock.now())

            self._page = StockController(self.pourday.settings.units, names, StockDoing(stock.lots, tell))
            self._page.message = " ".join(stock.remarks)
        return self._page

    def on_mount(self) -> None:
        super().on_mount()
        query: Query[DaysTookAnswer] = DaysTookQuery(self.pourday.folder)
        self.pourday.worker.ask(query, self._learn)

    def _learn(self, answer: DaysTookAnswer | Failed) -> None:
        if isinstance(answer, DaysTookAnswer):
            self.page.learn(answer.days, answer.done, answer.of)
        else:
            self.page.message = tr("The records could not be read, so what days took is not taken off here.")
        self.draw()

    def lines(self, cells: int, rows: int) -> list[Line]:
        return draw_stock(self.page, cells, rows)
