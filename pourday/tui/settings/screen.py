"""The settings screen: hands keys to its controller, draws what that says, and shows an alarm of the stove too."""

from __future__ import annotations

import os

from pourday.tui.base import LineScreen
from pourday.tui.drawing.lines import Line
from pourday.tui.settings.controller import SettingsController
from pourday.tui.settings.layout import draw_settings
from pourday.tui.terminal import endings as terminal
from pourday.tui.terminal.clocks import real
from pourday.tui.terminal.keys import BY_ID


class SettingsScreen(LineScreen):
    """The settings, over whatever screen they were opened from."""

    HELP = "settings"

    def on_mount(self) -> None:
        usual = {"cells": terminal.usual_cells(os.environ)}
        self.controller = SettingsController(
            self.pourday.loaded, self.pourday.apply, self.pourday.ring, usual
        )

    def lines(self, cells: int, rows: int) -> list[Line]:
        return draw_settings(self.controller, cells, rows, self.pourday.signals.alarm)

    def typing(self) -> bool:
        if self.controller.goes_on(self.pourday.keys.key(BY_ID["fire"]), real()):
            return True
        return self.controller.catching or self.controller.row.kind == "text"

    def may_repeat(self, key: str, character: str | None) -> bool:
        row = self.controller.row
        if row.kind == "choice" and key in ("left", "right"):
            return False
        return (key == "enter" and row.kind != "act") or super().may_repeat(key, character)

    def may_tap(self, key: str) -> bool:
        return self.controller.row.kind == "choice" and key in ("left", "right")

    def pressed(self, key: str, character: str | None) -> None:
        self.controller.press(key, character, real())
        if self.controller.leaving:
            self.back()

    def pointed(self, row: int) -> bool:
        acts = self.controller.point(row)
        if acts:
            self._act_on("right" if self.controller.row.kind == "choice" else "enter", None)
        return acts

    def tick(self) -> None:
        # An alarm of the stove behind this screen has to show here too.
        trouble = self.pourday.signals.program.trouble()
        if trouble:
            self.controller.message = trouble
        self.draw()

    def pasted(self, text: str) -> None:
        self.controller.paste(text)

    def leave(self) -> None:
        """Asked to end the whole program: what is typed is saved if it can be, and the screen below is asked."""
        self.controller.commit()
        self.back()

    def back(self) -> None:
        """To the screen below."""
        self.app.pop_screen()
