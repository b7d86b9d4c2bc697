"""A log that grows, followed line by line, through being renamed away, begun anew or cut to nothing."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from pourday.errors import Trouble
from pourday.language import tr
from pourday.probes.line_buffer import LineBuffer
from pourday.text import plain

PIECE = 1 << 16
"""Bytes read at once."""


class LogFile:
    """What is added to a file from when it is opened; of one that comes later, all of it."""

    once = False

    def __init__(self, path: str) -> None:
        self._path = Path(path).expanduser()
        self._shown = plain(str(self._path), 120)
        self._fd = -1
        self._file = (0, 0)
        """Device and number of the file that is open,"""
        self._offset = 0
        """and how far it was read."""
        self._from_the_end = True
        self._lines = LineBuffer()

    def open(self, now: float) -> None:  # noqa: ARG002
        try:
            self._begin(at_end=self._from_the_end)
        except OSError as error:
            # What is not there yet is new when it comes.
            self._from_the_end = False
            raise Trouble(
                tr("{shown} cannot be read.", shown=self._shown),
                f"{error.strerror}.",
                tr("It is tried again."),
            ) from None
        self._from_the_end = False

    def _begin(self, *, at_end: bool) -> None:
        """Open the file that stands there now. Raises `OSError`, and `Trouble` for what no log can be."""
        fd = os.open(self._path, os.O_RDONLY | os.O_NONBLOCK | os.O_CLOEXEC)
        status = os.fstat(fd)
        if not stat.S_ISREG(status.st_mode):
            os.close(fd)
            raise Trouble(
                tr("{shown} is no file.", shown=self._shown),
                instead=tr("A pipe is read with: … | pourday resume --probe -."),
            )
        self.close()
        self._fd, self._file = fd, (status.st_dev, status.st_ino)
        self._offset = status.st_size if at_end else 0
        self._lines = LineBuffer()

    def read(self, now: float) -> list[bytes]:  # noqa: ARG002
        try:
            if os.fstat(self._fd).st_size < self._offset:
                self._offset, self._lines = 0, LineBuffer()
            data = os.pread(self._fd, PIECE, self._offset)
            self._offset += len(data)
            if data:
                return self._lines.feed(data)
            there = os.stat(self._path)
            if (there.st_dev, there.st_ino) == self._file:
                return []
            last = self._lines.last()
            self._begin(at_end=False)
            return last
        except FileNotFoundError:
            # Between the old file and the new one there is none for a moment.
            return []
        except OSError as error:
            raise Trouble(
                tr("{shown} cannot be read any more.", shown=self._shown), f"{error.strerror}."
            ) from None

    def close(self) -> None:
        if self._fd >= 0:
            os.close(self._fd)
            self._fd = -1
