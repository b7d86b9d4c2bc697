"""Listens to the sources of probes beside the screen: a thread a source, for a port, a broker or a sensor may make it wait.

What came is fetched by whoever asked for it; nothing is opened before `start`, and what is gone is opened again after a
pause that grows.
"""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from pourday.errors import Trouble
from pourday.language import tr
from pourday.probes.line_buffer import MOST
from pourday.probes.source import ProbeSource, SourceSpec
from pourday.text import plain

POLL = 0.02
"""s between two looks at a source that had nothing to say."""
PAUSES = (0.5, 1.0, 2.0, 5.0, 10.0)
"""s before a source that is gone is opened again; the last one from then on."""
MOST_WAITING = 200
"""Pieces of news that wait to be fetched; a screen that stands still gets the newest."""
LONGEST_END = 1.0
"""s that all sources have to end."""


@dataclass(frozen=True, slots=True)
class FromProbe:
    """What came from one source at one moment, s since the epoch."""

    source: str
    t: float
    lines: tuple[bytes, ...] = ()
    dropped: int = 0
    """Lines before these that were too many."""
    trouble: str = ""
    """Why it gives nothing any more."""


class ProbeReader:
    """Threads that read, one a source. `clock` gives s since the epoch; `news` is called, from any thread, when something came."""

    def __init__(
        self, specs: Mapping[str, SourceSpec], clock: Callable[[], float], news: Callable[[], None]
    ) -> None:
        self._specs = dict(specs)
        self._clock = clock
        self._news = news
        self._came: deque[FromProbe] = deque(maxlen=MOST_WAITING)
        self._stop = threading.Event()
        self._threads: list[threading.Thread] = []

    def start(self) -> None:
        """Open the sources, each in its own thread."""
        for name, spec in self._specs.items():
            thread = threading.Thread(
                target=self._listen, args=(name, spec), daemon=True, name=f"probe {name}"
            )
            self._threads.append(thread)
            thread.start()

    def fetch(self) -> list[FromProbe]:
        """What came since the last call, oldest first."""
        came = []
        while self._came:
            came.append(self._came.popleft())
        return came

    def close(self) -> None:
        """End all of it; a source that does not end is left behind."""
        self._stop.set()
        for thread in self._threads:
            thread.join(LONGEST_END / max(1, len(self._threads)))

    def _listen(self, name: str, spec: SourceSpec) -> None:
        """Open a source and read it, again and again."""
        failures = 0
        source = spec.make()
        while not self._stop.is_set():
            came, why = self._read_through(name, source)
            failures = 0 if came else failures + 1
            if self._stop.is_set():
                return
            self._put(FromProbe(name, self._clock(), trouble=why))
            if source.once:
                return
            self._stop.wait(PAUSES[min(failures, len(PAUSES) - 1)])

    def _read_through(self, name: str, source: ProbeSource) -> tuple[bool, str]:
        """Read a source until it is gone: whether anything came, and why it is gone."""
        came = False
        try:
            source.open(self._clock())
            while not self._stop.is_set():
                lines = source.read(self._clock())
                if not lines:
                    self._stop.wait(POLL)
                    continue
                came = True
                newest = tuple(lines[-MOST:])
                self._put(FromProbe(name, self._clock(), newest, len(lines) - len(newest)))
                if len(lines) >= MOST:
                    # A flood is looked at no more often than anything else.
                    self._stop.wait(POLL)
        except Trouble as trouble:
            return came, str(trouble)
        except Exception as broken:
            # Whatever a driver throws, the other probes and the screen go on.
            return came, tr(
                "It cannot be read: {broken}.", broken=plain(str(broken) or type(broken).__name__, 120)
            )
        finally:
            source.close()
        return came, ""

    def _put(self, news: FromProbe) -> None:
        self._came.append(news)
        self._news()
