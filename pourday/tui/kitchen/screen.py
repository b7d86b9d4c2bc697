"""What the days taught of the kitchen, over the first screen; see `KitchenController` for what it knows."""

from __future__ import annotations

from typing import Any, ClassVar

from pourday.errors import Trouble
from pourday.guide.advice.queries import Failed, Query
from pourday.language import tr, word
from pourday.store.memories import Memories
from pourday.tui.base import LineScreen
from pourday.tui.drawing.lines import Line
from pourday.tui.kitchen.controller import KitchenController, KitchenDoing
from pourday.tui.kitchen.layout import draw_kitchen
from pourday.tui.kitchen.query import KitchenPageQuery
from pourday.tui.terminal.clocks import WallClock


class KitchenScreen(LineScreen):
    """The page of what the days taught of the kitchen."""

    HELP: ClassVar[str] = "kitchen"

    def __init__(self) -> None:
        super().__init__()
        self.clock = WallClock()
        self.page = KitchenController(
            KitchenDoing(
                lambda session, forget: self._memories().forget_day(session, self.clock.now(), forget=forget),
                lambda: self._memories().forget_all_days(self.clock.now()),
                lambda none: self._memories().use_no_days(self.clock.now(), none=none),
                self._ask,
            )
        )

    def _memories(self) -> Memories:
        return Memories(self.pourday.folder)

    def on_mount(self) -> None:
        super().on_mount()
        self._ask()

    def _ask(self) -> None:
        query: Query[dict[str, Any] | Trouble | None] = KitchenPageQuery(
            self.pourday.folder, self.clock.now()
        )
        self.pourday.worker.ask(query, self._take)

    def _take(self, answer: dict[str, Any] | Trouble | Failed | None) -> None:
        if isinstance(answer, Failed):
            self.page.arrived(tr("What the days taught could not be worked out: {why}", why=word(answer.why)))
        elif answer is not None:
            self.page.arrived(answer)
        self.draw()

    def lines(self, cells: int, rows: int) -> list[Line]:
        return draw_kitchen(self.page, cells, rows)

    def words(self) -> str:
        return tr("pourday: what your days taught of your kitchen")

    def pressed(self, key: str, character: str | None) -> None:
        self.page.press(key, character)
        if self.page.leaving:
            self.leave()

    def pointed(self, row: int) -> bool:
        self.page.point(row)
        return False

    def leave(self) -> None:
        """Back to where it was opened from."""
        self.app.pop_screen()
