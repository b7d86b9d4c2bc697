"""A program that prints readings, started without a shell: a radio probe, or anything else that has one of its own."""

from __future__ import annotations

import os
import select
import shlex
import signal
import subprocess
from contextlib import suppress

from pourday.errors import Trouble
from pourday.language import tr
from pourday.probes.line_buffer import LineBuffer
from pourday.text import plain

PIECE = 1 << 16
"""Bytes read at once."""
PATIENCE = 0.3
"""s a program has to end once it was told to. Chosen."""


class CommandLines:
    """What a program prints on its standard output. It and what it starts are one group, which ends with the source."""

    once = False

    def __init__(self, command: str) -> None:
        try:
            self._words = shlex.split(command)
        except ValueError:
            raise Trouble(
                tr("The command has a quote that is never closed."), instead=tr("Close it, or leave it out.")
            ) from None
        if not self._words or not self._words[0]:
            raise Trouble(
                tr("After command: no program is named."),
                instead=tr("Write it like command:read-probe --celsius."),
            )
        self._shown = plain(self._words[0], 60)
        self._process: subprocess.Popen[bytes] | None = None
        self._lines = LineBuffer()

    def open(self, now: float) -> None:  # noqa: ARG002
        try:
            self._process = subprocess.Popen(
                self._words,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                start_new_session=True,
            )
        except FileNotFoundError:
            raise Trouble(
                tr("There is no program “{shown}” here.", shown=self._shown),
                instead=tr("Give its whole path."),
            ) from None
        except (OSError, ValueError) as error:
            why = getattr(error, "strerror", None) or str(error)
            raise Trouble(
                tr("“{shown}” cannot be started.", shown=self._shown), f"{plain(str(why), 120)}."
            ) from None
        self._lines = LineBuffer()

    def read(self, now: float) -> list[bytes]:  # noqa: ARG002
        process = self._process
        assert process is not None
        assert process.stdout is not None
        fd = process.stdout.fileno()
        if not select.select([fd], [], [], 0)[0]:
            return []
        data = os.read(fd, PIECE)
        if data:
            return self._lines.feed(data)
        last = self._lines.last()
        if last:
            return last
        with suppress(subprocess.TimeoutExpired):
            process.wait(PATIENCE)
        status = process.poll()
        how = tr("closed its output") if status is None else tr("ended with status {status}", status=status)
        raise Trouble(f"“{self._shown}” {how}.", instead=tr("It is started again in a moment."))

    def close(self) -> None:
        process, self._process = self._process, None
        if process is None:
            return
        for number in (signal.SIGTERM, signal.SIGKILL):
            with suppress(ProcessLookupError, PermissionError):
                os.killpg(process.pid, number)
            with suppress(subprocess.TimeoutExpired):
                process.wait(PATIENCE)
        if process.stdout is not None:
            process.stdout.close()
