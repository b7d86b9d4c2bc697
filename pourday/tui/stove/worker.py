"""Thinking beside the screen, in a process of its own: both ends of the pipe between them.

A thread would do but for Python's one lock: the many short sweeps of the heat hold up every key. When the
screen's process ends, however it ends, the pipe closes and the other goes with it.
"""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from multiprocessing.connection import Connection, Pipe
from queue import SimpleQueue
from typing import Literal, cast

from pourday.guide.advice.steps import AdviceSnapshot, AdviceSteps, key_of
from pourday.session.quiet_hours import PersonsClock
from pourday.session.state import ReadingAt, State
from pourday.tui.stove.answers import Packing, Unpacking

About = Literal["state", "acts", "rest"]
Readings = tuple[ReadingAt, ...]
Question = tuple[About, State | None, int, float]
"""What is asked about; the state where it is a new one, without so many readings that are known; the moment."""


MOST_STARTS = 3
"""How often the process is started before the screen goes on by itself."""
NICE = 5
"""On a machine with one core the keys come first."""


class ForecastWorker:
    """The screen's end. `answered` is called with every answer, `lost` when none will come, in a thread of its own."""

    def __init__(
        self,
        answered: Callable[[AdviceSnapshot], None],
        clock: PersonsClock,
        lost: Callable[[], None] = lambda: None,
    ) -> None:
        self._answered, self._lost = answered, lost
        self._clock = clock
        self._process: subprocess.Popen[bytes] | None = None
        self._pipe: Connection | None = None
        self._sending = threading.Lock()
        """A pipe is not closed while it is written to: its number may belong to another file by then."""
        self._starts = 0
        self._state = State()
        self._known: Readings = ()
        """Readings that the other end has."""

    def ask(self, state: State, now: float) -> bool:
        self._state = state
        while self._pipe is not None or self._start():
            known = _same(self._known, state.readings)
            if self._send(("state", replace(state, readings=state.readings[known:]), known, now)):
                self._known = state.readings
                return True
        return False

    def ask_acts(self, now: float) -> bool:
        return self._send(("acts", None, 0, now))

    def ask_rest(self, now: float) -> bool:
        return self._send(("rest", None, 0, now))

    def close(self) -> None:
        """Let go of the process for good."""
        self._starts = MOST_STARTS
        self.stop()

    def stop(self) -> None:
        """Let go of the process; what it is working out is dropped."""
        self._pipe = None
        if self._process is not None:
            self._process.kill()
            self._process.wait()
            self._process = None

    def _send(self, question: Question | PersonsClock) -> bool:
        if self._pipe is None:
            return False
        try:
            with self._sending:
                self._pipe.send_bytes(pickle.dumps(question, pickle.HIGHEST_PROTOCOL))
        except OSError:
            self.stop()
            return False
        return True

    def _start(self) -> bool:
        if self._starts >= MOST_STARTS or not sys.executable:
            return False
        self._starts += 1
        ours, theirs = Pipe()
        try:
            with theirs:
                self._process = _started(theirs.fileno())
        except OSError:
            ours.close()
            return False
        self._pipe, self._known = ours, ()
        # Only this thread closes the pipe, so that it cannot read what has been opened in its place.
        threading.Thread(target=self._listen, args=(ours,), daemon=True, name="beside").start()
        return self._send(self._clock)

    def _listen(self, pipe: Connection) -> None:
        unpack = Unpacking()
        # What cannot be read is as good as lost; a traceback would be written over the screen.
        with suppress(Exception):
            for data in iter(lambda: _received(pipe), None):
                # Taken out whole even where it comes too late: the next answer builds on it.
                found = unpack(pickle.loads(data), state := self._state)
                if found.key == key_of(state) and pipe is self._pipe:
                    self._answered(found)
        with self._sending:
            pipe.close()
        if pipe is self._pipe:
            self._lost()


def _same(known: Readings, readings: Readings) -> int:
    """How many readings from the first on the other end has: all it knows, or none."""
    many = len(known)
    same = 0 < many <= len(readings) and known[0] is readings[0] and known[-1] is readings[many - 1]
    return many if same else 0


def _started(fd: int) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-m", __name__, str(fd)],
        pass_fds=[fd],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        # Out of the terminal's reach: Ctrl-C and a closed window are for the screen to answer.
        start_new_session=True,
        env=os.environ | {"OPENBLAS_NUM_THREADS": "1"},
    )


def _received(pipe: Connection) -> bytes | None:
    """The next message; None once the other end is gone."""
    try:
        return pipe.recv_bytes()
    except (EOFError, OSError):
        return None


# -- the other end ------------------------------------------------------------------------------------


def think(fd: int) -> None:
    """Answers what comes through the pipe, the newest question first, until it closes."""
    os.nice(NICE)
    pipe = Connection(fd)
    clock: PersonsClock = pickle.loads(pipe.recv_bytes())
    thinker = AdviceSteps(clock, beside=True)
    questions: SimpleQueue[Question] = SimpleQueue()
    threading.Thread(target=_take_questions, args=(pipe, questions), daemon=True).start()
    pack, readings = Packing(), cast("Readings", ())
    while True:
        while not questions.empty() or not thinker.pending:
            readings = _put(thinker, questions.get(), readings)
        found = thinker.step()
        if found is not None:
            pipe.send_bytes(pickle.dumps(pack(found), pickle.HIGHEST_PROTOCOL))


def _take_questions(pipe: Connection, questions: SimpleQueue[Question]) -> None:
    """Reads on while an answer is worked out, so that asking never waits; ends the process with the pipe."""
    for data in iter(lambda: _received(pipe), None):
        questions.put(pickle.loads(data))
    os._exit(0)


def _put(thinker: AdviceSteps, question: Question, readings: Readings) -> Readings:
    """Puts a question; the readings that are known from now on."""
    about, state, known, now = question
    if state is not None:
        readings = (*readings[:known], *state.readings)
        thinker.ask(replace(state, readings=readings), now)
    elif about == "acts":
        thinker.ask_acts(now)
    else:
        thinker.ask_rest(now)
    return readings


if __name__ == "__main__":
    think(int(sys.argv[1]))
