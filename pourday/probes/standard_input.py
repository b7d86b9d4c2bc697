"""Readings from standard input, while the terminal stays the keyboard."""

from __future__ import annotations

import os
import select
from typing import ClassVar

from pourday.errors import Trouble
from pourday.language import tr
from pourday.probes.line_buffer import LineBuffer

PIECE = 1 << 16
"""Bytes read at once."""


class StandardInput:
    """The pipe that standard input was when the program began, at another number once the terminal has taken its place."""

    once = True
    fd: ClassVar[int] = 0
    """Where it is read: moved by whoever gives the terminal its place (`keep_terminal`)."""

    def __init__(self) -> None:
        self._lines = LineBuffer()

    def open(self, now: float) -> None:  # noqa: ARG002
        if os.isatty(self.fd):
            raise Trouble(
                tr("Standard input is the keyboard, not a probe."),
                instead=tr("Write it like: read-probe | pourday resume --probe -."),
            )

    def read(self, now: float) -> list[bytes]:  # noqa: ARG002
        try:
            if not select.select([self.fd], [], [], 0)[0]:
                return []
            data = os.read(self.fd, PIECE)
        except (OSError, ValueError):
            data = b""
        if data:
            return self._lines.feed(data)
        last = self._lines.last()
        if last:
            return last
        raise Trouble(tr("Nothing more comes from standard input: what wrote into it has ended."))

    def close(self) -> None:
        """The pipe is not ours to close."""


def keep_terminal() -> None:
    """Make the terminal standard input again, where that is a pipe: the keyboard types there. Raises `Trouble` without one."""
    if os.isatty(0):
        return
    try:
        terminal = os.open("/dev/tty", os.O_RDWR)
    except OSError:
        raise Trouble(
            tr("There is no terminal here to type at."),
            tr("Standard input is the probe's."),
            tr("Start it in a terminal."),
        ) from None
    StandardInput.fd = os.dup(0)
    os.dup2(terminal, 0)
    os.close(terminal)
