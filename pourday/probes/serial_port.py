"""A serial port, one line a reading (pySerial, loaded when a port is opened). Its own URLs are understood: `loop://`, `socket://`."""

from __future__ import annotations

from contextlib import suppress
from typing import Any
from urllib.parse import parse_qsl

from pourday.errors import Trouble
from pourday.language import tr
from pourday.probes.line_buffer import LineBuffer
from pourday.text import plain

USUAL_BAUD = 9600
PIECE = 4096
"""Bytes read at once."""


class SerialPort:
    """`/dev/ttyUSB0?baud=9600`: eight bits, no parity, one stop bit, as such devices have it."""

    once = False

    def __init__(self, address: str) -> None:
        self._port, _, query = address.partition("?")
        self._shown = plain(self._port, 80)
        options = dict(parse_qsl(query, keep_blank_values=True))
        try:
            self._baud = int(options.pop("baud", USUAL_BAUD))
        except ValueError:
            self._baud = 0
        if not 50 <= self._baud <= 4_000_000:
            raise Trouble(tr("That is no speed of a serial port."), instead=tr("Write it like ?baud=9600."))
        if options:
            raise Trouble(
                tr("A serial port has no “{iter}”.", iter=plain(next(iter(options)), 30)),
                instead=tr("Write only ?baud=9600 behind it."),
            )
        self._serial: Any = None
        self._lines = LineBuffer()

    def open(self, now: float) -> None:  # noqa: ARG002
        try:
            import serial
        except ImportError:
            raise Trouble(
                tr("A serial probe needs pySerial, which is not installed."),
                instead=tr("Install it with: pip install 'pourday[serial]'."),
            ) from None
        try:
            self._serial = serial.serial_for_url(self._port, baudrate=self._baud, timeout=0)
        except (OSError, ValueError, serial.SerialException) as error:
            raise Trouble(
                tr("The port {shown} cannot be opened.", shown=self._shown),
                _why(error),
                tr("Is it plugged in?"),
            ) from None
        self._lines = LineBuffer()

    def read(self, now: float) -> list[bytes]:  # noqa: ARG002
        import serial

        try:
            data = self._serial.read(PIECE)
        # A port that is pulled out shows as several kinds of error, by driver and moment.
        except (OSError, TypeError, AttributeError, serial.SerialException) as error:
            raise Trouble(
                tr("The port {shown} is gone.", shown=self._shown), _why(error), tr("Is it plugged in?")
            ) from None
        return self._lines.feed(data)

    def close(self) -> None:
        port, self._serial = self._serial, None
        if port is not None:
            with suppress(OSError):
                port.close()

    @property
    def port(self) -> Any:
        """pySerial's own port while it is open."""
        return self._serial


def _why(error: Exception) -> str:
    said = getattr(error, "strerror", None) or str(error)
    return f"{plain(str(said), 120).rstrip('.')}."
