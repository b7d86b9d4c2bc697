"""The full-screen program: which screen comes first, and how everything ends.

The first screen is there before the heavy parts (forecasts, kitchen, NumPy) are loaded: what only the
later screens need is imported inside the functions that open them.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, cast

import msgspec
from textual._ansi_sequences import ANSI_SEQUENCES_KEYS
from textual.screen import Screen

from pourday.errors import Trouble
from pourday.language import tr
from pourday.store.settings import Loaded, Settings, load, settings_path
from pourday.tui.base import LineScreen
from pourday.tui.program import Program
from pourday.tui.terminal import endings as terminal
from pourday.tui.terminal.clocks import Clock, WallClock, real
from pourday.tui.terminal.driver import KeyboardDriver
from pourday.tui.terminal.held import HeldKey
from pourday.tui.terminal.keys import keymap
from pourday.tui.terminal.signals import GIVE_TITLE_BACK, KEEP_TITLE, Kind, Signals
from pourday.tui.terminal.theme import palette_for

if TYPE_CHECKING:
    from collections.abc import Callable

    from pourday.demo.station import Station
    from pourday.plan.model import Plan
    from pourday.probes.source import SourceSpec
    from pourday.session.events import SeenWhen
    from pourday.session.state import State
    from pourday.store.live import LiveSession
    from pourday.tui.terminal.cast import CastFile
    from pourday.tui.worker import ForecastWorker

# The comma of a keypad in application mode: unknown to Textual, and 74,5 without it is 745.
cast("dict[str, object]", ANSI_SEQUENCES_KEYS).setdefault("\x1bOl", ",")

WARM_UP_AFTER = 0.2
"""Seconds after the first screen until the rest is loaded beside it."""


class StationClock:
    """The clock of a simulated kitchen."""

    def __init__(self, station: Station) -> None:
        self._station = station

    def now(self) -> float:
        """The kitchen's time, in seconds since 1970."""
        return self._station.now(real())


class PourdayApp(Program):
    """The program at the terminal: the screens, and what all of them share: settings, keys, signals, the worker."""

    ENABLE_COMMAND_PALETTE = False
    CSS = "Screen { layout: vertical; overflow: hidden; }"

    def __init__(
        self,
        folder: Path,
        first: LiveSession | None = None,
        station: Station | None = None,
        config: Path | None = None,
        probe_sources: Mapping[str, SourceSpec] | None = None,
        follows: bool = False,
        cast: CastFile | None = None,
        served: bool = False,
    ) -> None:
        """`first` is opened at once, only to look on where `follows`; what is drawn goes into `cast`, too.

        `served`: it is drawn for a browser, and no terminal is there.
        """
        # Colours go to the terminal as they are: our palettes for 16 and for none are picked by hand.
        super().__init__(driver_class=None if served else KeyboardDriver, ansi_color=True)
        self.served = served
        self.folder = folder
        self.probe_sources = probe_sources
        self._worker: ForecastWorker | None = None
        self.held, self.clicked = HeldKey(), HeldKey()
        self.click_acted = False
        self.signals = Signals(self._to_terminal, self.bell, real)
        self.loaded = load(config or _usual_config())
        self._use(self.loaded.settings)
        self._remark = _remark_on(self.loaded)
        self._first = first
        self._follows = follows
        self.cast = cast
        self._station = station
        self._live: LiveSession | None = None
        self.warm = False
        self.ending = False

    def get_default_screen(self) -> Screen[None]:
        """The first screen is the lowest one: an empty one under it would be laid out and styled before it."""
        if self._first is not None:
            return super().get_default_screen()
        from pourday.tui.home.screen import HomeScreen

        return HomeScreen()

    def on_mount(self) -> None:
        self._to_terminal(KEEP_TITLE)
        if not self.served:
            terminal.on_ending(self._note_ending, self._leave_with)
        self.set_interval(1.0, self._look_after)
        if self._first is None:
            self.set_timer(WARM_UP_AFTER, lambda: self.run_worker(self._load_the_rest, thread=True))
        else:
            self._open_first(self._first)

    def _open_first(self, first: LiveSession) -> None:
        """The session that the program was started for."""
        if self._follows:
            from pourday.tui.stove.follow_screen import FollowScreen

            self.push_screen(FollowScreen(first, served=self.served))
        else:
            self.open_session(first, self._station)

    # -- settings and signals -----------------------------------------------------------------------

    @property
    def settings(self) -> Settings:
        """The settings; which cells a picture is drawn in goes by the terminal unless the file says."""
        settings = self.loaded.settings
        if "cells" in self.loaded.texts:
            return settings
        return msgspec.structs.replace(settings, cells=terminal.usual_cells(os.environ))

    def _use(self, settings: Settings) -> None:
        """Let settings count; screens already drawn are for `apply`."""
        self.palette = palette_for(settings.theme, self.console.color_system, self.no_color)
        self.keys = keymap(settings.keys)[0]
        self.signals.sound = settings.sound
        self.signals.notify = settings.notify
        self.signals.command = settings.alarm_command

    def apply(self, loaded: Loaded) -> None:
        """Let changed settings count everywhere at once."""
        self.loaded = loaded
        self._use(loaded.settings)
        self._name_equipment()
        for screen in self.screen_stack:
            if isinstance(screen, LineScreen) and screen.is_attached:
                screen.repaint(self.palette)

    def remark(self) -> str:
        """What was wrong in the settings at the start, once."""
        said, self._remark = self._remark, ""
        return said

    def open_settings(self) -> None:
        from pourday.tui.settings.screen import SettingsScreen

        self.push_screen(SettingsScreen())

    @property
    def worker(self) -> ForecastWorker:
        """The process that answers queries, started by the first question."""
        if self._worker is None:
            from pourday.tui.worker import ForecastWorker

            self._worker = ForecastWorker()
        return self._worker

    def ring(self, kind: Kind = "alarm") -> bool:
        return self.signals.ring(kind)

    def _to_terminal(self, sequence: str) -> None:
        """Through the driver that draws the screen, so that nothing is torn."""
        if self._driver is not None and not self.is_headless:
            self._driver.write(sequence)

    def on_unmount(self) -> None:
        if self._worker is not None:
            self._worker.close()
        self.signals.leave()
        self._to_terminal(GIVE_TITLE_BACK)
        if self.cast is not None:
            self.cast.close()

    # -- sessions -----------------------------------------------------------------------------------

    def open_session(self, live: LiveSession, station: Station | None = None) -> None:
        self._live, self._station = live, station
        self._name_equipment()
        self.push_screen(screen_for(live, station))

    def _name_equipment(self) -> None:
        """Who is at the stove and with what, as the settings have it now."""
        from pourday.store.equipment import put_on_record

        if self._live is not None:
            put_on_record(self._live, self.settings, now=WallClock().now())

    def begin_day(self, live: LiveSession, station: Station | None) -> None:
        self.switch_screen(screen_for(live, station))

    def open_kitchen(self) -> None:
        from pourday.tui.kitchen.screen import KitchenScreen

        self.push_screen(KitchenScreen())

    def open_stock(self) -> None:
        from pourday.tui.stock.screen import StockScreen

        self.push_screen(StockScreen())

    def open_moulds(self) -> None:
        from pourday.tui.moulds.screen import MouldsScreen

        self.push_screen(MouldsScreen())

    def open_rehearsal(self, plan: Plan | None, begins_at: float, state: State | None = None) -> None:
        from pourday.tui.rehearse.screen import RehearsalScreen

        self.push_screen(RehearsalScreen(plan, begins_at, state))

    def open_faults(
        self,
        batch: State,
        letters: tuple[str, ...],
        when: SeenWhen,
        now: Callable[[], float],
        live: LiveSession | None = None,
        first: str = "",
    ) -> None:
        from pourday.tui.faults.screen import FaultsScreen

        self.push_screen(FaultsScreen(self.folder, batch, letters, when, now, live, first))

    def resume(self, session: str) -> None:
        from pourday.demo.opening import reopen

        live, station = reopen(self.folder, session, WallClock().now())
        self.open_session(live, station)

    def open_candles(self, session: str) -> None:
        from pourday.store.candles import open_log
        from pourday.store.reading import read_session

        now = WallClock().now()
        self.open_session(open_log(self.folder, read_session(self.folder, session).state, now=now))

    def open_heap(self) -> None:
        from pourday.store.heaps import begin_heap
        from pourday.tui.home.new_plan import empty_plan

        now = WallClock().now()
        self.open_session(begin_heap(self.folder, empty_plan(self.settings), now=now))

    def begin_demo(self) -> None:
        from pourday.demo.opening import begin_demo

        self.open_session(*begin_demo(self.folder))

    def _load_the_rest(self) -> None:
        """Beside the first screen: nobody shall wait for it at the first key."""
        import pourday.demo.opening
        import pourday.tui.stove.screen  # noqa: F401

        self.warm = True

    def left_session(self) -> None:
        self._live = self._station = None
        self.signals.leave()

    def _note_ending(self, how: terminal.How) -> None:
        """File that the program is about to be ended from outside."""
        if self._live is not None and not self._live.readonly:
            clock: Clock = WallClock() if self._station is None else StationClock(self._station)
            self.ending = True
            self._live.end(how, now=clock.now())

    def _leave_with(self, status: int) -> None:
        """Leave with this exit status, from whatever thread noticed the end."""
        if self._loop is not None:
            self._loop.call_soon_threadsafe(lambda: self.exit(return_code=status))

    def _look_after(self) -> None:
        """Each second: is the worker still well, and the terminal still there?"""
        if self._worker is not None:
            self._worker.watch()
        if not self.is_headless and not self.served and terminal.is_gone():
            self._note_ending("hangup")
            self.exit(return_code=129)

    async def action_quit(self) -> None:
        self._ask_to_leave()

    def action_help_quit(self) -> None:
        self._ask_to_leave()

    def _ask_to_leave(self) -> None:
        """Leave by way of the screen, which may have something to file or ask first."""
        screen = self.screen
        if isinstance(screen, LineScreen):
            screen.leave()
        else:
            self.exit()


def _candle_screen(live: LiveSession) -> Screen[None]:
    """The screen of a record of candles; only its story, where the batch they came from cannot be read."""
    from pourday.store.reading import read_session
    from pourday.tui.burn.screen import BurnScreen
    from pourday.tui.review.screen import ReviewScreen

    try:
        return BurnScreen(live, read_session(live.folder, live.state.batch).state)
    except Trouble as trouble:
        live.remarks.append(str(trouble))
        return ReviewScreen(live)


def _remark_on(loaded: Loaded) -> str:
    """What is wrong in the settings, in a sentence for the first screen; empty where nothing is."""
    if not loaded.complaints and not loaded.settings.keys:
        return ""
    from pourday.tui.settings.controller import said_of

    wrong = said_of(loaded, tr("in the settings"))
    return tr("Settings: {wrong}", wrong=wrong) if wrong else ""


def _usual_config() -> Path:
    try:
        return settings_path(None, os.environ)
    except Trouble:
        return Path("settings.toml").absolute()


def screen_for(live: LiveSession, station: Station | None) -> Screen[None]:
    """The screen of a session: setup, stove, or the record of one that is finished."""
    from pourday.tui.review.screen import ReviewScreen
    from pourday.tui.setup.screen import SetupScreen
    from pourday.tui.stove.record_clock import looked_on_clock
    from pourday.tui.stove.screen import StoveScreen

    state = live.state
    if state.batch:
        return _candle_screen(live)
    if state.heap is not None:
        from pourday.tui.heap.screen import HeapScreen

        return HeapScreen(live)
    clock: Clock = WallClock() if station is None else StationClock(station)
    if live.readonly:
        clock = looked_on_clock(live)
    if state.stage == "setup" and not live.readonly:
        return SetupScreen(live, clock, station)
    if state.stage in ("finished", "setup"):
        return ReviewScreen(live)
    return StoveScreen(live, clock, station)
