"""The screen of a list with one typed line beneath it."""

from __future__ import annotations

from abc import abstractmethod
from typing import Any

from pourday.tui.base import LineScreen
from pourday.tui.line_list.controller import LineListController
from pourday.tui.terminal.clocks import WallClock


class LineListScreen(LineScreen):
    """Every sign is typed into the line; what the list is of stands in the subclass."""

    def __init__(self) -> None:
        super().__init__()
        self.clock = WallClock()

    @property
    @abstractmethod
    def page(self) -> LineListController[Any]:
        """What the list knows, made when it is first asked for: it needs the folder and the settings of the app."""

    def typing(self) -> bool:
        return True

    def pressed(self, key: str, character: str | None) -> None:
        self.page.press(key, character)
        if self.page.leaving:
            self.leave()

    def pasted(self, text: str) -> None:
        self.page.paste(text)

    def pointed(self, row: int) -> bool:
        self.page.point(row)
        return False

    def leave(self) -> None:
        """Back to where it was opened from."""
        self.app.pop_screen()
