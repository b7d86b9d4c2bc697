"""What a screen may ask of the program it is part of; `app.py` is the one that answers.

Screens know this and not the app, so that the app can know them all.
"""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from textual.app import App

from pourday.store.settings import Loaded, Settings
from pourday.tui.terminal.held import HeldKey
from pourday.tui.terminal.keys import KeyMap
from pourday.tui.terminal.signals import Kind, Signals
from pourday.tui.terminal.theme import Palette

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


class Program(App[None]):
    """The app as its screens see it."""

    folder: Path
    """Where the sessions are."""
    signals: Signals
    loaded: Loaded
    """The settings as they were read, with what is wrong with them."""
    palette: Palette
    keys: KeyMap
    held: HeldKey
    """One for all screens: a key stays held while one gives way to another."""
    clicked: HeldKey
    """The same of the place that is clicked: what stands there changes with what the click does."""
    click_acted: bool
    """Whether the last click did more than choose a row or move."""
    warm: bool
    """Whether what the later screens need is loaded."""
    cast: CastFile | None
    """Where what is drawn is kept, too."""
    ending: bool
    """The process was told to end: nothing more goes on record."""
    probe_sources: Mapping[str, SourceSpec] | None
    """Sources of readings for this run, by name, in place of those in the settings; None for those."""

    @property
    @abstractmethod
    def settings(self) -> Settings:
        """What counts now, on this terminal."""

    @property
    @abstractmethod
    def worker(self) -> ForecastWorker:
        """Where what takes longer than a frame is asked for."""

    @abstractmethod
    def apply(self, loaded: Loaded) -> None:
        """Let changed settings count at once, on every screen."""

    @abstractmethod
    def remark(self) -> str:
        """What of the settings file does not count, to be said on the first screen; once, then empty."""

    @abstractmethod
    def ring(self, kind: Kind = "alarm") -> bool:
        """Ring as a prompt or an alarm does, to be heard now; False where the bell is off in the settings."""

    @abstractmethod
    def open_settings(self) -> None:
        """The settings, over the screen that is there."""

    @abstractmethod
    def open_kitchen(self) -> None:
        """What the days taught of the kitchen, over the screen that is there."""

    @abstractmethod
    def open_stock(self) -> None:
        """What is there of materials, over the screen that is there."""

    @abstractmethod
    def open_moulds(self) -> None:
        """What is remembered of each mould, over the screen that is there."""

    @abstractmethod
    def open_rehearsal(self, plan: Plan | None, begins_at: float, state: State | None = None) -> None:
        """The day ahead (of a plan, or what is left of a day), over the screen that is there.

        `begins_at`: seconds since the epoch.
        """

    @abstractmethod
    def open_faults(
        self,
        batch: State,
        letters: tuple[str, ...],
        when: SeenWhen,
        now: Callable[[], float],
        live: LiveSession | None = None,
        first: str = "",
    ) -> None:
        """What is wrong with the candles of a batch, and why, over the screen that is there.

        What is said goes into `live`, or into the record of the batch's candles where that is None; `now` gives s since
        the epoch, `first` is the letter to begin with.
        """

    @abstractmethod
    def open_session(self, live: LiveSession, station: Station | None = None) -> None:
        """Show a session on the screen that fits its stage."""

    @abstractmethod
    def begin_day(self, live: LiveSession, station: Station | None) -> None:
        """Put the stove in the place of the form, the plan being fixed."""

    @abstractmethod
    def resume(self, session: str) -> None:
        """Open a session of the folder. Raises `Trouble` where it cannot be read."""

    @abstractmethod
    def open_candles(self, session: str) -> None:
        """Open what became of the candles of a session. Raises `Trouble` where it cannot be read."""

    @abstractmethod
    def open_heap(self) -> None:
        """Begin with wax that nobody knows. Raises `Trouble` where it cannot be stored."""

    @abstractmethod
    def begin_demo(self) -> None:
        """A new demo day that plays itself. Raises `Trouble` where it cannot be stored."""

    @abstractmethod
    def left_session(self) -> None:
        """The session on screen was let go of."""
