"""One process beside the screens that answers what takes longer than a frame: both ends of the line between them.

A thread would do but for Python's one lock: the many short sweeps of the heat hold up every key. When the
screens' process ends, however it ends, the line closes and the other goes with it.
"""

from __future__ import annotations

import asyncio
import os
import pickle
import socket
import struct
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import replace
from multiprocessing.connection import Connection
from queue import SimpleQueue
from typing import Any, TypeVar, cast

from pourday.guide.advice.queries import AtOnce, Failed, Forecast, ForecastQuery, Memory, Query, nothing
from pourday.language import tr
from pourday.session.state import ReadingAt
from pourday.tui.terminal.clocks import awake

T = TypeVar("T")
Readings = tuple[ReadingAt, ...]
Asked = tuple[int, Query[Any] | None, int]
"""Number of the question; the question, without as many readings as are known, or None to drop it; how many."""
Part = tuple[int, object]
"""Number of the question, and a part of its answer; None where that was the last."""

MOST_STARTS = 3
"""How often the process is started before the screens answer for themselves."""
PATIENCE = 30.0
"""Seconds without a word after which a process that was asked something counts as stuck."""
NICE = 5
"""On a machine with one core the keys come first."""
STARTED_AGAIN = tr("The forecasts stopped and were started again; what you file is kept all the same.")
NO_MORE = tr("The forecasts keep stopping: from now on keys wait while they are worked out.")
IN_ONE_PIECE = 1 << 20
"""Bytes of an answer that may be on their way at once: each piece it comes in is a turn of the screen's loop. Chosen: most answers
have fewer."""
_LENGTH = struct.Struct("!i")
"""Goes before every message, as `multiprocessing.connection` has it."""


class _Incoming:
    """The message that is on its way in, put straight where it is read from: gathered and cut, it was copied three times
    over while keys waited."""

    def __init__(self) -> None:
        self._room = bytearray(_LENGTH.size)
        """For the length of a message, then for what it says."""
        self._there = 0
        self._says_length = True

    def take(self, line: socket.socket) -> bytearray | None:
        """Take in what has come; the message, once it is whole.

        Raises `BlockingIOError` where nothing has come, another `OSError`, `EOFError` or `ValueError` where the line is
        broken or closed.
        """
        while True:
            more = line.recv_into(memoryview(self._room)[self._there :])
            if not more:
                raise EOFError
            self._there += more
            if self._there < len(self._room):
                return None
            whole, self._there, self._says_length = self._room, 0, not self._says_length
            if self._says_length:
                self._room = bytearray(_LENGTH.size)
                return whole
            self._room = bytearray(*_LENGTH.unpack(whole))


class ForecastWorker:
    """The screens' end; to be used inside a running event loop, which hands on the answers.

    The process is started with the first question. When it ends or is stuck, all it was asked is over, and
    everybody who listens is told so in a sentence: whoever still wants an answer asks again, which starts it anew.
    """

    def __init__(self) -> None:
        self._process: subprocess.Popen[bytes] | None = None
        self._socket: socket.socket | None = None
        self._loop: asyncio.AbstractEventLoop | None = None
        self._incoming, self._outgoing = _Incoming(), bytearray()
        self._waiting: dict[int, tuple[Callable[[Any], None], Callable[[], None]]] = {}
        self._number = 0
        self._starts = 0
        self._known: Readings = ()
        """Readings that the other end has."""
        self._heard_at = 0.0
        self._here = AtOnce()
        self._listeners: list[Callable[[str], None]] = []

    def ask(
        self, question: Query[T], then: Callable[[T | Failed], None], over: Callable[[], None] = nothing
    ) -> int:
        """Have a question answered: each part is given to `then`, and `over` follows. Its number, to drop it by."""
        if self._socket is None and not self._start():
            here: Query[Any] = question
            if isinstance(question, ForecastQuery):
                # Nothing better will follow, so it is no rough one: a flame would never be told to be lit by that.
                here = replace(question, known=None, known_pot=None)
            return self._here.ask(here, then, over)
        self._number += 1
        if not self._waiting:
            self._heard_at = awake()
        self._waiting[self._number] = then, over
        known = 0
        sent: Query[Any] = question
        if isinstance(question, ForecastQuery):
            state = question.state
            known = _same(self._known, state.readings)
            sent = replace(question, state=replace(state, readings=state.readings[known:]))
            self._known = state.readings
        self._send((self._number, sent, known))
        return self._number

    def drop(self, number: int) -> None:
        """The answer to a question is no longer wanted."""
        if self._waiting.pop(number, None) is not None:
            self._send((number, None, 0))

    def listen(self, lost: Callable[[str], None]) -> Callable[[], None]:
        """Have `lost` called when questions are forgotten; what to call to hear no more of it."""
        self._listeners.append(lost)
        return lambda: self._listeners.remove(lost)

    @property
    def busy(self) -> bool:
        """Whether something was asked that is not wholly answered."""
        return bool(self._waiting)

    def watch(self) -> None:
        """To be called about once a second: a process that says nothing any more is replaced."""
        if self.busy and awake() - self._heard_at > PATIENCE:
            self._lost()

    def close(self) -> None:
        """Let go of the process for good; what it is working out is dropped."""
        self._starts = MOST_STARTS
        self._stop()

    def _stop(self) -> None:
        """End the process and forget all that was asked of it; the next question may start another."""
        if self._socket is not None and self._loop is not None:
            self._loop.remove_reader(self._socket)
            self._loop.remove_writer(self._socket)
            self._socket.close()
        if self._process is not None:
            self._process.kill()
            self._process.wait()
        self._socket = self._process = None
        self._incoming, self._outgoing, self._waiting, self._known = _Incoming(), bytearray(), {}, ()

    # -- the line -----------------------------------------------------------------------------------

    def _start(self) -> bool:
        """Start the process and listen to it. False where that failed, or it was started too often already."""
        if self._starts >= MOST_STARTS or not sys.executable:
            return False
        self._starts += 1
        ours, theirs = socket.socketpair()
        with suppress(OSError):  # As much of it as the system gives.
            theirs.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, IN_ONE_PIECE)
        try:
            with theirs:
                self._process = _started(theirs.fileno())
        except OSError:
            ours.close()
            return False
        ours.setblocking(False)
        self._socket, self._loop = ours, asyncio.get_running_loop()
        self._loop.add_reader(ours, self._receive)
        return True

    def _send(self, asked: Asked) -> None:
        data = pickle.dumps(asked, pickle.HIGHEST_PROTOCOL)
        self._outgoing += _LENGTH.pack(len(data)) + data
        self._write()

    def _write(self) -> None:
        """As much as the line takes; the rest once it takes more, so that asking never waits."""
        assert self._socket is not None
        assert self._loop is not None
        with suppress(OSError):  # full, or closed: that is seen where it is read
            del self._outgoing[: self._socket.send(self._outgoing)]
        if self._outgoing:
            self._loop.add_writer(self._socket, self._write)
        else:
            self._loop.remove_writer(self._socket)

    def _receive(self) -> None:
        """Called by the event loop when bytes have come: hand an answer that is whole to whoever asked.

        One at a time: what else has come is for the loop's next turn, after a key that was pressed meanwhile.
        """
        assert self._socket is not None
        self._heard_at = awake()
        try:
            whole = self._incoming.take(self._socket)
        except BlockingIOError:
            return
        except (OSError, EOFError, ValueError):
            self._lost()
            return
        if whole is None:
            return
        try:
            number, part = pickle.loads(whole)
        except (
            Exception
        ):  # What cannot be read is as good as lost; a traceback would be written over the screen.
            self._lost()
            return
        if number not in self._waiting:
            return
        then, over = self._waiting[number]
        if part is None:
            del self._waiting[number]
            over()
        else:
            then(part)

    def _lost(self) -> None:
        """The process has ended or is silent: tell everyone who waits for it, and whoever shows such things."""
        unanswered = self._waiting.values()
        self._stop()
        for _, over in unanswered:
            over()
        for lost in tuple(self._listeners):
            lost(STARTED_AGAIN if self._starts < MOST_STARTS else NO_MORE)


def _same(known: Readings, readings: Readings) -> int:
    """How many readings from the first on the other end has: all it knows, or none."""
    many = len(known)
    same = 0 < many <= len(readings) and known[0] is readings[0] and known[-1] is readings[many - 1]
    return many if same else 0


def _started(fd: int) -> subprocess.Popen[bytes]:
    """A new process that answers on this end of a socket pair."""
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


# -- the other end ------------------------------------------------------------------------------------


class _AnswersInWork:
    """Questions on their way: first answers by urgency, then what makes them finer."""

    def __init__(self, send: Callable[[Part], None]) -> None:
        self._send = send
        self._memory = Memory()
        self._readings: Readings = ()
        self._answers: dict[int, Iterator[object]] = {}
        self._order: dict[int, tuple[bool, int]] = {}
        """Whether it had an answer that stands, and its urgency."""

    def take(self, asked: Asked) -> None:
        """Begin a question; one without content takes an earlier question back."""
        number, question, known = asked
        if question is None:
            self._done(number)
            return
        if isinstance(question, ForecastQuery):
            self._readings = (*self._readings[:known], *question.state.readings)
            question = replace(question, state=replace(question.state, readings=self._readings))
        self._answers[number] = question.answers(self._memory)
        self._order[number] = False, question.urgency

    @property
    def idle(self) -> bool:
        """Whether nothing is left to work out."""
        return not self._answers

    def step(self) -> None:
        """One part of one answer."""
        number = min(self._order, key=lambda n: (self._order[n], n))
        try:
            part = next(self._answers[number])
        except StopIteration:
            self._done(number)
            self._send((number, None))
            return
        except Exception as broken:
            part = Failed(str(broken))
        if part is not None:
            stands = not (isinstance(part, Forecast) and part.provisional)
            self._order[number] = stands, self._order[number][1]
            self._send((number, part))

    def _done(self, number: int) -> None:
        self._answers.pop(number, None)
        self._order.pop(number, None)


def serve(fd: int) -> None:
    """Answers what comes through the line until it closes."""
    os.nice(NICE)
    line = Connection(fd)
    asked: SimpleQueue[Asked] = SimpleQueue()
    threading.Thread(target=_take_questions, args=(line, asked), daemon=True).start()
    in_work = _AnswersInWork(lambda part: line.send_bytes(pickle.dumps(part, pickle.HIGHEST_PROTOCOL)))
    while True:
        while in_work.idle or not asked.empty():
            in_work.take(asked.get())
        in_work.step()


def _take_questions(line: Connection, asked: SimpleQueue[Asked]) -> None:
    """Reads on while an answer is worked out; ends the process with the line."""
    with suppress(EOFError, OSError):
        while True:
            asked.put(cast("Asked", pickle.loads(line.recv_bytes())))
    os._exit(0)


if __name__ == "__main__":
    serve(int(sys.argv[1]))
