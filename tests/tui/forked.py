"""The program at a terminal without a fresh interpreter: forked from a process that has imported it already.

Most of the processor time of a start is imports, and what is worked out once by a process (style sheets, tables of waxes),
the same for every test. What is forked runs the same `main` on the same arguments, in a session and at a terminal of its own;
only those are not its own (`loaded.py`). What a start loads and how a process ends are tested on real ones (`Kitchen.fresh`).
"""

from __future__ import annotations

import fcntl
import multiprocessing
import os
import signal
import socket
import subprocess
import sys
import tempfile
import termios
import time
from contextlib import ExitStack, suppress
from multiprocessing import forkserver, resource_tracker
from multiprocessing.reduction import DupFd
from typing import Any, NoReturn

_FORKS = multiprocessing.get_context("forkserver")
_FORKS.set_forkserver_preload(["tests.tui.loaded"])


def ready() -> None:
    """Have the process that is forked from, and what looks after it, running: inside an app neither can be started, for there
    standard error is no file."""
    forkserver.ensure_running()
    resource_tracker.ensure_running()


class ForkedProgram:
    """As much of `subprocess.Popen` as the tests use."""

    def __init__(self, arguments: list[str], env: dict[str, str], slave: int, before: str = "") -> None:
        """`before` is code that the new process runs first: what is otherwise in it than in the program."""
        self._process = _FORKS.Process(target=_started, args=(arguments, env, _Passed(slave), before))
        self._process.start()
        assert self._process.pid is not None
        self.pid = self._process.pid

    @property
    def returncode(self) -> int | None:
        return self._process.exitcode

    def poll(self) -> int | None:
        return self._process.exitcode

    def wait(self) -> int:
        self._process.join()
        assert self._process.exitcode is not None
        return self._process.exitcode

    def send_signal(self, number: int) -> None:
        # The server that forked it takes its end before this process hears of it.
        if self.poll() is None:
            with suppress(ProcessLookupError):
                os.kill(self.pid, number)

    def kill(self) -> None:
        self.send_signal(signal.SIGKILL)


def run_forked(
    arguments: list[str], env: dict[str, str], *, typed: str | None = None, timeout: float = 60.0
) -> subprocess.CompletedProcess[str]:
    """As `subprocess.run` of the program without a terminal, what it says taken as text: forked, not started anew.

    `typed` comes through a pipe to its standard input; None: there is nothing to be read.
    """
    with ExitStack() as stack:
        said, complained = (stack.enter_context(tempfile.TemporaryFile("w+b")) for _ in range(2))
        reading, writing = (os.open(os.devnull, os.O_RDONLY), None) if typed is None else os.pipe()
        stack.callback(os.close, reading)
        if writing is not None:
            # So little that a pipe takes it whole.
            os.write(writing, typed.encode())
            os.close(writing)
        fds = reading, said.fileno(), complained.fileno()
        process = _FORKS.Process(target=_ran, args=(arguments, env, *map(_Passed, fds)))
        process.start()
        process.join(timeout)
        if process.exitcode is None:
            process.kill()
            raise subprocess.TimeoutExpired(arguments, timeout)
        texts = []
        for file in (said, complained):
            file.seek(0)
            texts.append(file.read().decode())
        return subprocess.CompletedProcess(arguments, process.exitcode, *texts)


class ForkedWorker:
    """As much of `subprocess.Popen` as the program uses of the process that answers beside its screens."""

    def __init__(self, fd: int) -> None:
        self._process = _FORKS.Process(target=_served, args=(_Passed(fd),))
        self._process.start()
        assert self._process.pid is not None
        self.pid = self._process.pid

    def kill(self) -> None:
        self._process.kill()

    def wait(self) -> None:
        self._process.join()


def _served(fd: int) -> NoReturn:
    """In the new process: what a worker that was started does."""
    os.setsid()
    from pourday.tui.worker import serve

    serve(fd)
    raise AssertionError("it serves until its line is closed")


class _Passed:
    """A file descriptor that goes along to the process."""

    def __init__(self, fd: int) -> None:
        self.fd = fd

    def __reduce__(self) -> tuple[Any, ...]:
        return _taken, (DupFd(self.fd),)


def _taken(passed: Any) -> int:
    fd: int = passed.detach()
    return fd


def _ran(arguments: list[str], env: dict[str, str], *streams: int) -> NoReturn:
    """In the new process: these streams, this environment, and the program."""
    os.setsid()
    _runs(arguments, env, *streams)


def _started(arguments: list[str], env: dict[str, str], slave: int, before: str) -> NoReturn:
    """In the new process: a session with this terminal, this environment, and the program after what comes before it."""
    from pourday.tui import worker

    os.setsid()
    fcntl.ioctl(slave, termios.TIOCSCTTY, 0)
    spare = SpareWorker()
    usual = worker._started
    worker._started = lambda fd: spare.serves(fd) or usual(fd)  # type: ignore[assignment, return-value]
    exec(before, {})
    _runs(arguments, env, slave, slave, slave)


def _runs(arguments: list[str], env: dict[str, str], *streams: int) -> NoReturn:
    """The program with these as its standard input, output and error."""
    for fd, stream in enumerate(streams):
        os.dup2(stream, fd)
    for stream in {stream for stream in streams if stream > 2}:
        os.close(stream)
    sys.stdin = sys.__stdin__ = open(0, encoding="utf-8", closefd=False)  # noqa: SIM115
    sys.stdout = sys.__stdout__ = open(1, "w", encoding="utf-8", closefd=False, buffering=1)  # noqa: SIM115
    sys.stderr = sys.__stderr__ = open(2, "w", encoding="utf-8", closefd=False, buffering=1)  # noqa: SIM115
    os.environ.clear()
    os.environ.update(env)
    time.tzset()
    sys.argv = ["pourday", *arguments]
    from pourday.cli import main

    main()


class SpareWorker:
    """The first process that answers beside the screens, forked before they begin; it waits for its end of the line.

    As much of `subprocess.Popen` as the program uses. A later one is started as always.
    """

    def __init__(self) -> None:
        self._line, theirs = socket.socketpair()
        self._used = False
        self.pid = os.fork()
        if self.pid == 0:
            self._line.close()
            _waits(theirs)
        theirs.close()

    def serves(self, fd: int) -> SpareWorker | None:
        """Have it answer on this end of a socket pair; None where it does so already."""
        if self._used:
            return None
        self._used = True
        socket.send_fds(self._line, [b"."], [fd])
        self._line.close()
        return self

    def kill(self) -> None:
        with suppress(ProcessLookupError):
            os.kill(self.pid, signal.SIGKILL)

    def wait(self) -> None:
        with suppress(ChildProcessError):
            os.waitpid(self.pid, 0)


def _waits(line: socket.socket) -> NoReturn:
    """In the spare process: away from the terminal, then what a process that was started does."""
    os.setsid()
    nobody = os.open(os.devnull, os.O_RDWR)
    for fd in (0, 1, 2):
        os.dup2(nobody, fd)
    try:
        fds = socket.recv_fds(line, 1, 1)[1]
        if fds:
            from pourday.tui.worker import serve

            serve(fds[0])
    finally:
        os._exit(0)
