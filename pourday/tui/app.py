"""The full-screen program: which screen comes first, and how everything ends."""

from __future__ import annotations

from pathlib import Path

from textual.app import App
from textual.screen import Screen

from pourday.demo.opening import begin_demo, reopen
from pourday.demo.station import Station
from pourday.store.live import LiveSession
from pourday.tui import terminal
from pourday.tui.base import LineScreen
from pourday.tui.clocks import Clock, WallClock, real
from pourday.tui.home_screen import HomeScreen
from pourday.tui.review_screen import ReviewScreen
from pourday.tui.setup_screen import SetupScreen
from pourday.tui.stove_screen import StoveScreen
from pourday.tui.theme import DARK, Palette


class StationClock:
    """The clock of a simulated kitchen."""

    def __init__(self, station: Station) -> None:
        self._station = station

    def now(self) -> float:
        return self._station.now(real())


class PourdayApp(App[None]):
    ENABLE_COMMAND_PALETTE = False
    CSS = "Screen { layout: vertical; overflow: hidden; }"

    def __init__(
        self, folder: Path, first: LiveSession | None = None, station: Station | None = None
    ) -> None:
        super().__init__()
        self.folder = folder
        self.palette: Palette = DARK
        self._first = first
        self._station = station
        self._live: LiveSession | None = None

    def on_mount(self) -> None:
        self.screen.styles.background = self.palette.ground
        terminal.on_ending(self._note_ending, self._leave_with)
        self.set_interval(1.0, self._look_for_terminal)
        if self._first is None:
            self.push_screen(HomeScreen())
        else:
            self.open_session(self._first, self._station)

    def open_session(self, live: LiveSession, station: Station | None = None) -> None:
        """Show a session on the screen that fits its stage."""
        self._live, self._station = live, station
        self.push_screen(screen_for(live, station))

    def resume(self, session: str) -> None:
        """Open a session of the folder. Raises `Trouble` where it cannot be read."""
        live, station = reopen(self.folder, session, WallClock().now())
        self.open_session(live, station)

    def begin_demo(self) -> None:
        """A new demo day that plays itself. Raises `Trouble` where it cannot be stored."""
        self.open_session(*begin_demo(self.folder, WallClock().now()))

    def _note_ending(self, how: terminal.How) -> None:
        if self._live is not None and not self._live.readonly:
            clock: Clock = WallClock() if self._station is None else StationClock(self._station)
            self._live.end(how, now=clock.now())

    def _leave_with(self, status: int) -> None:
        if self._loop is not None:
            self._loop.call_soon_threadsafe(lambda: self.exit(return_code=status))

    def _look_for_terminal(self) -> None:
        if not self.is_headless and terminal.is_gone():
            self._note_ending("hangup")
            self.exit(return_code=129)

    async def action_quit(self) -> None:
        self._ask_to_leave()

    def action_help_quit(self) -> None:
        self._ask_to_leave()

    def _ask_to_leave(self) -> None:
        screen = self.screen
        if isinstance(screen, LineScreen):
            screen.leave()
        else:
            self.exit()


def screen_for(live: LiveSession, station: Station | None) -> Screen[None]:
    """The screen of a session: setup, stove, or the record of one that is finished."""
    clock: Clock = WallClock() if station is None else StationClock(station)
    state = live.state
    if state.stage == "setup" and not live.readonly:
        return SetupScreen(live, clock, station)
    if state.stage in ("finished", "setup"):
        return ReviewScreen(live)
    return StoveScreen(live, clock, station)
