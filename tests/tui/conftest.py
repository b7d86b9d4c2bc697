"""A terminal to run the program in: keys in, a screen of text out, and every way a terminal can end."""

from __future__ import annotations

import fcntl
import os
import pty
import re
import select
import signal
import struct
import subprocess
import sys
import termios
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import psutil
import pyte
import pytest

from pourday.demo.scenario import two_pillars
from pourday.session import events as ev
from pourday.session.events import Entry
from pourday.store.live import LiveSession
from pourday.store.names import JOURNAL
from pourday.store.reading import read_session
from pourday.tui import worker
from tests.heat_once import heat_once
from tests.tui.forked import ForkedProgram, ForkedWorker, ready, run_forked

PATIENCE = 60.0
"""Seconds until a test gives up; far more than anything here takes on a busy machine."""
UNKNOWN_TO_PYTE = re.compile(
    rb"\x1b\[[<>=?][0-9;]*(?:\$[a-z]|u)|\x1b\[[0-9;]*\$[a-z]|\x1b\[[<>=][0-9;]*[a-z]"
)
"""Questions and modes of newer terminals that pyte would print as letters."""
CUT = re.compile(rb"\x1b(?:\[[0-?$]*)?\Z")
ASKS, ANSWER = b"\x1b[?2026$p", b"\x1b[?2026;2$y"
"""Whether whole pictures can be told from their parts (synchronized output), and that they can."""
BEGINS, ENDS = b"\x1b[?2026h", b"\x1b[?2026l"
"""Of one picture: a half is never looked at."""


def zone_of_morning() -> str:
    """A time zone in which it is between ten and eleven in the morning now.

    A program at a pseudo-terminal lives by the machine's own clock: whoever runs the tests late in the evening would
    else see a stove that sends everybody to bed. The sign is POSIX's: hours west of Greenwich.
    """
    return f"MORNING{time.gmtime().tm_hour - 10:+d}"


class Quiet:
    """Nobody who thinks beside the screen: for tests in which only what is filed matters."""

    busy = False

    def ask(self, *_: Any) -> int:
        return 1

    def listen(self, _: Any) -> Any:
        return lambda: None

    def drop(self, _: int) -> None: ...

    watch = close = lambda _: None


class Terminal:
    """`python -m pourday ...` at a pseudo-terminal. Nothing is read but by `pump` and what calls it."""

    def __init__(
        self,
        arguments: Sequence[str],
        env: dict[str, str],
        size: tuple[int, int],
        command: Sequence[str] = (),
        before: str = "",
    ) -> None:
        """A process of this command before the arguments; without one it is forked, and runs `before` first."""
        self.master, slave = pty.openpty()
        self.raw = b""
        self._tail = b""
        self._answered = False
        self._screen = pyte.Screen(*size)
        self._rows: dict[int, str] = {}
        """The text of each row as it was last read, by its number."""
        self._stream = pyte.ByteStream(self._screen)
        self.window(*size)
        # A read of ours must never wait for a program that says nothing.
        os.set_blocking(self.master, False)
        self.process: subprocess.Popen[bytes] | ForkedProgram
        if command:
            self.process = subprocess.Popen(
                [*command, *arguments],
                stdin=slave,
                stdout=slave,
                stderr=slave,
                env=env,
                start_new_session=True,
                preexec_fn=lambda: fcntl.ioctl(0, termios.TIOCSCTTY, 0),
            )
        else:
            self.process = ForkedProgram(list(arguments), env, slave, before)
        os.close(slave)

    # -- keys and sizes -----------------------------------------------------------------------------

    def type(self, keys: str | bytes) -> None:
        """Keys as a keyboard sends them, all in one write."""
        data = keys.encode() if isinstance(keys, str) else keys
        assert os.write(self.master, data) == len(data)

    def resize(self, columns: int, rows: int) -> None:
        self.pump(0)
        self._screen.resize(rows, columns)
        self.window(columns, rows)

    def window(self, columns: int, rows: int) -> None:
        """Tell the program of another size, and nobody reads what it draws."""
        fcntl.ioctl(self.master, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))

    # -- the screen ---------------------------------------------------------------------------------

    def pump(self, seconds: float = 0.05) -> None:
        """Read what the program says, for so long."""
        until = time.monotonic() + seconds
        while self.master >= 0:
            ready, _, _ = select.select([self.master], [], [], max(0.0, until - time.monotonic()))
            if not ready:
                return
            try:
                data = os.read(self.master, 1 << 16)
            except OSError:  # EIO: nobody holds the other end any more.
                return
            if not data:
                return
            self._feed(data)

    def _feed(self, data: bytes) -> None:
        self.raw += data
        if ASKS in self.raw and not self._answered:
            self._answered = True
            os.write(self.master, ANSWER)
        data = self._tail + data
        cut = CUT.search(data)
        ends = cut.start() if cut else len(data)
        if (begins := data.rfind(BEGINS)) > data.rfind(ENDS):
            ends = begins
        whole, self._tail = data[:ends], data[ends:]
        self._stream.feed(UNKNOWN_TO_PYTE.sub(b"", whole))

    def rows(self) -> list[str]:
        """The screen, row by row."""
        # Only rows that were written to are read anew: asked for at every look, that was most of what a test cost.
        for y in self._screen.dirty & set(range(self._screen.lines)):
            cells = self._screen.buffer[y]
            self._rows[y] = "".join(cells[x].data for x in range(self._screen.columns)).rstrip()
        self._screen.dirty.clear()
        return [self._rows[y] for y in range(self._screen.lines)]

    def text(self) -> str:
        return "\n".join(self.rows())

    def until(self, holds: Callable[[str], object], timeout: float = PATIENCE) -> str:
        """Read until `holds` of the screen text; the text."""
        limit = time.monotonic() + timeout
        while not holds(self.text()):
            if time.monotonic() > limit:
                raise AssertionError(f"not on screen within {timeout:g} s:\n{self.text()}")
            if self.process.poll() is not None:
                self.pump(0)
                if holds(self.text()):
                    break
                raise AssertionError(f"ended with {self.process.returncode}:\n{self.raw[-3000:].decode()}")
            self.pump(0.02)
        return self.text()

    def wait_for(self, *wanted: str, timeout: float = PATIENCE) -> str:
        """Read until every one of these stands on the screen; the whole screen text."""
        return self.until(lambda text: all(w in text for w in wanted), timeout)

    def wait_gone(self, unwanted: str, timeout: float = PATIENCE) -> str:
        return self.until(lambda text: unwanted not in text, timeout)

    # -- ends ---------------------------------------------------------------------------------------

    def kill(self, number: int = signal.SIGKILL) -> None:
        self.process.send_signal(number)

    def hang_up(self) -> None:
        """Close the terminal window."""
        os.close(self.master)
        self.master = -1

    def ended(self, timeout: float = PATIENCE, *, reading: bool = True) -> int:
        """The exit status, read on meanwhile as a living terminal would."""
        limit = time.monotonic() + timeout
        while self.process.poll() is None:
            assert time.monotonic() < limit, f"still running after {timeout:g} s:\n{self.text()}"
            if reading and self.master >= 0:
                self.pump(0.01)
            else:
                time.sleep(0.01)
        if reading:
            self.pump(0)
        return self.process.returncode

    def restored(self) -> bool:
        """Whether the last the terminal heard was: leave the alternate screen, show the cursor."""
        return all(
            self.raw.rfind(on) < self.raw.rfind(off)
            for on, off in ((b"\x1b[?1049h", b"\x1b[?1049l"), (b"\x1b[?25l", b"\x1b[?25h"))
        )

    def cpu(self, seconds: float) -> float:
        """Share of one processor over that many seconds; 0 once it has ended."""
        try:
            return psutil.Process(self.process.pid).cpu_percent(seconds) / 100
        except psutil.NoSuchProcess:
            return 0.0

    def close(self) -> None:
        """Whatever the test left running."""
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait()
        if self.master >= 0:
            self.hang_up()


class Kitchen:
    """A folder of sessions, and the programs a test runs on it."""

    def __init__(self, folder: Path, home: Path) -> None:
        self.folder = folder
        self.fresh = False
        """Every program in an interpreter of its own, as from a shell."""
        self.env = {
            **{
                k: v
                for k, v in os.environ.items()
                if not k.startswith(("TEXTUAL", "COLOR", "NO_COLOR", "COLUMNS", "LINES"))
            },
            "TERM": "xterm-256color",
            "HOME": str(home),
            "XDG_DATA_HOME": str(home / "data"),
            "POURDAY_SESSIONS": str(folder),
            "TZ": zone_of_morning(),
            "PYTHONUNBUFFERED": "1",
            "PYTHONWARNINGS": "",
        }
        self.running: list[Terminal] = []

    def run(
        self,
        *arguments: str,
        size: tuple[int, int] = (80, 24),
        command: Sequence[str] = (),
        before: str = "",
    ) -> Terminal:
        if self.fresh:
            command = command or (sys.executable, "-m", "pourday")
        self.running.append(Terminal(arguments, self.env, size, command, before))
        return self.running[-1]

    def plain(self, *arguments: str, **more: object) -> subprocess.CompletedProcess[str]:
        """The program without a terminal: its exit status and all it printed."""
        if not self.fresh:
            return run_forked(list(arguments), self.env, **more)
        options = {"stdin": subprocess.DEVNULL, "timeout": 60, **more}
        command = [sys.executable, "-m", "pourday", *arguments]
        return subprocess.run(command, env=self.env, capture_output=True, text=True, check=False, **options)

    # -- the record ---------------------------------------------------------------------------------

    def begin(self, *facts: ev.Fact, session: str = "2026-11-25-a", ago: float = 600.0) -> str:
        """A session whose day has begun with two moulds, then `facts`, so many seconds ago; its name."""
        now = time.time() - ago
        live = LiveSession.create(self.folder, session, now=now)
        plan = two_pillars()
        for fact in (ev.PlanDrafted(plan=plan), ev.PlanFixed(plan=plan), *facts):
            live.file(fact, now=now)
        assert not live.unsaved
        live.close()
        return session

    def at_the_stove(self, *facts: ev.Fact, size: tuple[int, int] = (80, 24)) -> Terminal:
        """A program at the stove of a new session, its burner seen to be off."""
        terminal = self.run("resume", self.begin(*facts), size=size)
        terminal.wait_for("is it lit?")
        terminal.type(" ")
        terminal.wait_for("The burner is:")
        terminal.type("o")
        terminal.wait_for("Filed: burner off.")
        terminal.type("\x7f")  # The same key pressed next is then another one, and not a held one.
        return terminal

    def cold_at_the_stove(self, size: tuple[int, int] = (80, 24)) -> Terminal:
        """The same with the pot read as cold as the room: what comes next is to light the burner."""
        terminal = self.at_the_stove(size=size)
        terminal.type("20\r")
        terminal.wait_for("20.0 °C filed", "Light the burner")
        return terminal

    def session(self) -> str:
        """The one session of the folder."""
        names = {p.stem for p in self.folder.iterdir() if p.suffix in (JOURNAL, ".json") and p.name[0] != "."}
        assert len(names) == 1, names
        return names.pop()

    def entries(self, session: str = "") -> tuple[Entry, ...]:
        return read_session(self.folder, session or self.session()).entries

    def facts(self, kind: type, session: str = "") -> list[ev.Fact]:
        return [e.fact for e in self.entries(session) if isinstance(e.fact, kind)]


@pytest.fixture(autouse=True, scope="module")
def in_utc() -> Iterator[None]:
    """The clock on the wall, and so where night is, is the same on every machine."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("TZ", "UTC")
        time.tzset()
        yield
    time.tzset()


@pytest.fixture(autouse=True)
def _heat_computed_once(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """See tests/heat_once.py; test_worker.py is about the computing itself and goes without."""
    if not request.module.__name__.endswith("test_worker"):
        heat_once(monkeypatch)


@pytest.fixture
def worker_of_its_own() -> None:
    """For a test of how the process beside the screens is started or leaves nothing behind: in an interpreter of its own."""


@pytest.fixture(autouse=True)
def _worker_forked(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Else it is forked from one that has its imports already: what it answers, and how it is missed, is the same."""
    if "worker_of_its_own" not in request.fixturenames:
        ready()
        monkeypatch.setattr(worker, "_started", ForkedWorker)


def opened(base: Path) -> Iterator[Kitchen]:
    folder, home = base / "sessions", base / "home"
    folder.mkdir()
    home.mkdir()
    made = Kitchen(folder, home)
    yield made
    for terminal in made.running:
        terminal.close()


@pytest.fixture
def kitchen(tmp_path: Path) -> Iterator[Kitchen]:
    yield from opened(tmp_path)


@pytest.fixture(scope="module")
def module_kitchen(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Kitchen]:
    """One for all the tests of a file, where starting a program for each would only cost time."""
    yield from opened(tmp_path_factory.mktemp("kitchen"))
