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
from dataclasses import replace
from multiprocessing.connection import Connection, Pipe
from queue import SimpleQueue
from typing import Literal

from pourday.guide.heat import HeatBook
from pourday.guide.persons_clock import PersonsClock
from pourday.guide.rescue_options import answerable
from pourday.guide.thinking import Found, Thinker, key_of
from pourday.session.state import State

About = Literal["state", "acts", "rest"]
Question = tuple[About, State | None, float]
"""What is asked about, the state where it is a new one, and the moment."""
MOST_STARTS = 3
"""How often the process is started before the screen goes on by itself."""
NICE = 5
"""On a machine with one core the keys come first."""


class Beside:
    """The screen's end. Every answer is handed to `answered`, in a thread of its own."""

    def __init__(self, answered: Callable[[Found], None], clock: PersonsClock) -> None:
        self._answered = answered
        self._clock = clock
        self._process: subprocess.Popen[bytes] | None = None
        self._pipe: Connection | None = None
        self._starts = 0
        self._state = State()

    def ask(self, state: State, now: float) -> bool:
        self._state = state
        while self._pipe is not None or self._start():
            if self._send(("state", state, now)):
                return True
        return False

    def ask_acts(self, now: float) -> bool:
        return self._send(("acts", None, now))

    def ask_rest(self, now: float) -> bool:
        return self._send(("rest", None, now))

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
            self._pipe.send_bytes(pickle.dumps(question, pickle.HIGHEST_PROTOCOL))
        except OSError:
            self.stop()
            return False
        return True

    def _start(self) -> bool:
        if self._starts >= MOST_STARTS:
            return False
        self._starts += 1
        try:
            ours, theirs = Pipe()
            with theirs:
                self._process = _started(theirs.fileno())
        except OSError:
            return False
        self._pipe = ours
        # Only this thread closes the pipe, so that it cannot read what has been opened in its place.
        threading.Thread(target=self._listen, args=(ours,), daemon=True, name="beside").start()
        return self._send(self._clock)

    def _listen(self, pipe: Connection) -> None:
        with pipe:
            for data in iter(lambda: _received(pipe), None):
                found: Found = pickle.loads(data)
                state = self._state
                if found.key == key_of(state) and pipe is self._pipe:
                    self._answered(_with_state(found, state))


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


def _light(found: Found) -> Found:
    """Without what the other side has anyhow, or cannot use."""
    outlook = found.outlook
    if outlook is None:
        return found
    book = outlook.book.foreseen() if isinstance(outlook.book, HeatBook) else None
    return replace(found, outlook=replace(outlook, state=State(), book=book))


def _with_state(found: Found, state: State) -> Found:
    if found.outlook is None:
        return found
    outlook = replace(found.outlook, state=state)
    acts = tuple(answerable(act, state, outlook) for act in found.acts)
    return replace(found, outlook=outlook, acts=acts)


# -- the other end ------------------------------------------------------------------------------------


def think(fd: int) -> None:
    """Answers what comes through the pipe, the newest question first, until it closes."""
    os.nice(NICE)
    pipe = Connection(fd)
    clock: PersonsClock = pickle.loads(pipe.recv_bytes())
    thinker = Thinker(clock, beside=True)
    questions: SimpleQueue[Question] = SimpleQueue()
    threading.Thread(target=_take_questions, args=(pipe, questions), daemon=True).start()
    while True:
        while not questions.empty() or not thinker.pending:
            _put(thinker, questions.get())
        found = thinker.step()
        if found is not None:
            pipe.send_bytes(pickle.dumps(_light(found), pickle.HIGHEST_PROTOCOL))


def _take_questions(pipe: Connection, questions: SimpleQueue[Question]) -> None:
    """Reads on while an answer is worked out, so that asking never waits; ends the process with the pipe."""
    for data in iter(lambda: _received(pipe), None):
        questions.put(pickle.loads(data))
    os._exit(0)


def _put(thinker: Thinker, question: Question) -> None:
    about, state, now = question
    if about == "state" and state is not None:
        thinker.ask(state, now)
    elif about == "acts":
        thinker.ask_acts(now)
    else:
        thinker.ask_rest(now)


if __name__ == "__main__":
    think(int(sys.argv[1]))
