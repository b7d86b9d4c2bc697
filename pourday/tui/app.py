"""The full-screen program: which screen comes first, and how everything ends.

The first screen is there before the heavy parts (forecasts, kitchen, NumPy) are loaded: what only the
later screens need is imported inside the functions that open them.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from textual.app import App
from textual.screen import Screen

from pourday.tui import terminal
from pourday.tui.base import LineScreen
from pourday.tui.clocks import Clock, WallClock, real
from pourday.tui.theme import DARK, Palette

if TYPE_CHECKING:
    from pourday.demo.station import Station
    from pourday.store.live import LiveSession

WARM_UP_AFTER = 0.2
"""Seconds after the first screen until the rest is loaded beside it."""


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
        self.warm = False
        """Whether what the later screens need is loaded."""

    def on_mount(self) -> None:
        self.screen.styles.background = self.palette.ground
        terminal.on_ending(self._note_ending, self._leave_with)
        self.set_interval(1.0, self._look_for_terminal)
        if self._first is None:
            from pourday.tui.home_screen import HomeScreen

            self.push_screen(HomeScreen())
            self.set_timer(WARM_UP_AFTER, lambda: self.run_worker(self._load_the_rest, thread=True))
        else:
            self.open_session(self._first, self._station)

    def open_session(self, live: LiveSession, station: Station | None = None) -> None:
        """Show a session on the screen that fits its stage."""
        self._live, self._station = live, station
        self.push_screen(screen_for(live, station))

    def resume(self, session: str) -> None:
        """Open a session of the folder. Raises `Trouble` where it cannot be read."""
        from pourday.demo.opening import reopen

        live, station = reopen(self.folder, session, WallClock().now())
        self.open_session(live, station)

    def begin_demo(self) -> None:
        """A new demo day that plays itself. Raises `Trouble` where it cannot be stored."""
        from pourday.demo.opening import begin_demo

        self.open_session(*begin_demo(self.folder, WallClock().now()))

    def _load_the_rest(self) -> None:
        """Beside the first screen: nobody shall wait for it at the first key."""
        import pourday.demo.opening
        import pourday.tui.stove_screen  # noqa: F401

        self.warm = True

    def left_session(self) -> None:
        """The session on screen was let go of."""
        self._live = self._station = None

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
    from pourday.tui.review_screen import ReviewScreen
    from pourday.tui.setup_screen import SetupScreen
    from pourday.tui.stove_screen import StoveScreen

    clock: Clock = WallClock() if station is None else StationClock(station)
    state = live.state
    if state.stage == "setup" and not live.readonly:
        return SetupScreen(live, clock, station)
    if state.stage in ("finished", "setup"):
        return ReviewScreen(live)
    return StoveScreen(live, clock, station)
