"""What a command says: on standard output, where errors are said, and into a file that was asked for."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING

from pourday.errors import Trouble
from pourday.language import tr

if TYPE_CHECKING:
    from pourday.store.disk import Disk

Looking = Callable[[str, int, int], None]
"""Told the file that is looked at, how many were before it, and how many there are."""
OK, TROUBLE = 0, 1
"""Exit statuses: well, and something to put right."""
_PATIENCE, _MOVES = 1.0, 0.2
"""s after which a command says what it is at, and s between two such lines."""


@contextmanager
def output() -> Iterator[None]:
    """What is printed inside may be refused: `BrokenPipeError` where its reader went away, else `Trouble`."""
    try:
        yield
    except OSError as error:
        # What is still held back for it goes nowhere, or it would be refused once more at the very end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        if isinstance(error, BrokenPipeError):
            raise
        from pourday.store.disk import because

        raise Trouble(tr("What was to be shown could not be written."), because(error)) from None


def write_bytes(data: bytes) -> None:
    """Put bytes out as they are: data for another program, in whatever alphabet the terminal is."""
    if sys.stdout is not None:
        with output():
            sys.stdout.flush()
            sys.stdout.buffer.write(data)


def say(text: str) -> None:
    """A line to standard output."""
    from pourday.text import steerless

    with output():
        print(steerless(text))


@contextmanager
def moving_line() -> Iterator[Looking]:
    """A line at the terminal that says which file is looked at, once that takes long; gone in the end."""
    import time

    if sys.stderr is None or not sys.stderr.isatty():
        yield lambda _name, _done, _all: None
        return
    due, shown = time.monotonic() + _PATIENCE, False

    def at(name: str, done: int, of: int) -> None:
        nonlocal due, shown
        if time.monotonic() >= due:
            due, shown = time.monotonic() + _MOVES, True
            with suppress(OSError):
                print(
                    "\r\x1b[K" + tr("File {at} of {of}: {name}", at=done + 1, of=of, name=name[:40]),
                    end="",
                    file=sys.stderr,
                    flush=True,
                )

    try:
        yield at
    finally:
        if shown:
            with suppress(OSError):
                print("\r\x1b[K", end="", file=sys.stderr, flush=True)


def flush() -> None:
    """Have what was said so far seen at once."""
    if sys.stdout is not None:
        with output():
            sys.stdout.flush()


def complain(text: str) -> None:
    """Say what is wrong where errors are said."""
    from pourday.text import steerless

    text = steerless(text)
    with suppress(OSError):  # Where even this cannot be said, the exit status still says it.
        print(text, file=sys.stderr)


def save_new(path: Path, data: bytes, disk: Disk | None = None) -> None:
    """A new file with these bytes, on disk. Raises `Trouble` where one stands already, or none can be written.

    A kill in between leaves none, an empty one or the whole one, never half of it.
    """
    from pourday.store.atomic import write_atomically
    from pourday.store.disk import DISK, because
    from pourday.text import plain

    disk = disk or DISK
    name = f"“{plain(str(path), 200)}”"
    try:
        # The name is ours once the file is there; what it holds comes in one piece.
        disk.close(disk.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666))
        write_atomically(path, data, disk)
    except FileExistsError:
        raise Trouble(
            tr("There is a file {name} already.", name=name), instead=tr("Give the name of a new one.")
        ) from None
    except OSError as error:
        raise Trouble(
            tr("{name} could not be written.", name=name),
            because(error),
            tr("Give the path of a file in a folder that is there."),
        ) from None
