"""What every screen shares: one canvas, one path for keys, a heartbeat."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import events
from textual.app import ComposeResult
from textual.screen import Screen

from pourday.tui.canvas import Canvas
from pourday.tui.lines import Line

if TYPE_CHECKING:
    from pourday.tui.app import PourdayApp

HEARTBEAT = 0.25


class LineScreen(Screen[None]):
    """A screen that is all lines. Keys come to `pressed` one after another, in the order they were typed."""

    AUTO_FOCUS = None

    @property
    def pourday(self) -> PourdayApp:
        from pourday.tui.app import PourdayApp

        assert isinstance(self.app, PourdayApp)
        return self.app

    def compose(self) -> ComposeResult:
        self.canvas = Canvas(self.pourday.palette)
        yield self.canvas

    def on_mount(self) -> None:
        self.set_interval(HEARTBEAT, self.tick)
        self.call_after_refresh(self.draw)

    def on_resize(self) -> None:
        self.call_after_refresh(self.draw)

    def on_screen_resume(self) -> None:
        self.call_after_refresh(self.draw)

    def on_key(self, event: events.Key) -> None:
        event.stop()
        event.prevent_default()
        if event.key == "ctrl+c":
            self.leave()
            return
        self.pressed(event.key, event.character)
        self.draw()

    def go_back(self) -> None:
        """To the screen this one was opened from, or out of the program."""
        if len(self.app.screen_stack) > 2:
            self.pourday.left_session()
            self.app.pop_screen()
        else:
            self.pourday.exit()

    def draw(self) -> None:
        if not self.is_attached:
            return
        size = self.canvas.size
        if size.width and size.height:
            self.canvas.show(self.lines(size.width, size.height))

    # -- for each screen to say ---------------------------------------------------------------------

    def lines(self, cells: int, rows: int) -> list[Line]:
        raise NotImplementedError

    def pressed(self, key: str, character: str | None) -> None:
        raise NotImplementedError

    def tick(self) -> None:
        """A quarter of a second has passed."""

    def leave(self) -> None:
        """Somebody asked the whole program to end (ctrl+q, ctrl+c)."""
        self.pourday.exit()
