"""The moulds: what is remembered of each, and what is said of one in one line."""

from __future__ import annotations

from typing import ClassVar

from pourday.guide.advice.queries import Failed, Query
from pourday.language import tr
from pourday.moulds.line import read_mould_line
from pourday.store.memories import Memories
from pourday.store.moulds import MouldNotes
from pourday.tui.drawing.lines import Line
from pourday.tui.line_list.screen import LineListScreen
from pourday.tui.moulds.controller import MouldsController, MouldsDoing
from pourday.tui.moulds.layout import draw_moulds
from pourday.tui.moulds.query import MouldsAnswer, MouldsQuery


class MouldsScreen(LineListScreen):
    """The page of the moulds."""

    HELP: ClassVar[str] = "moulds"

    def __init__(self) -> None:
        super().__init__()
        self._page: MouldsController | None = None

    @property
    def page(self) -> MouldsController:
        if self._page is None:
            notes = MouldNotes(self.pourday.folder)
            units = self.pourday.settings.units

            def tell(line: str) -> str:
                name, note = read_mould_line(line, units, notes.notes(), self.clock.now())
                notes.keep(name, note)
                return name

            names = Memories(self.pourday.folder).wax_names()
            self._page = MouldsController(units, names, MouldsDoing(notes.notes, tell))
            self._page.message = " ".join(notes.remarks)
        return self._page

    def on_mount(self) -> None:
        super().on_mount()
        query: Query[MouldsAnswer] = MouldsQuery(self.pourday.folder, self.clock.now())
        self.pourday.worker.ask(query, self._learn)

    def _learn(self, answer: MouldsAnswer | Failed) -> None:
        if isinstance(answer, MouldsAnswer):
            self.page.learn(answer.uses, answer.walls, answer.done, answer.of)
        else:
            self.page.message = tr("The records could not be read: only what you said of moulds stands here.")
        self.draw()

    def lines(self, cells: int, rows: int) -> list[Line]:
        return draw_moulds(self.page, cells, rows)
