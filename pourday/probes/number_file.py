"""A file that holds one number, as the Linux kernel shows a sensor: 1-Wire and hwmon.

1-Wire (kernel documentation, w1_therm): `w1_slave` is two lines, the first ends in YES where the check sum is right, the second in
`t=` and thousandths of a degree; `temperature` beside it is the number alone. hwmon (kernel documentation, sysfs interface):
`temp1_input` holds thousandths of a degree. A DS18B20 holds 85 °C until its first measurement (data sheet, power-on reset value).
"""

from __future__ import annotations

import re
from pathlib import Path

from pourday.errors import Trouble
from pourday.language import tr
from pourday.text import plain

EVERY = 1.0
"""s between two looks. Chosen: the kernel measures while it is read, which takes a 1-Wire sensor 0.75 s."""
POWER_ON, NEAR = 85_000, 5_000
"""Thousandths of a degree that a sensor shows before it has measured; a true one comes from within this of it."""
_W1 = re.compile(rb"\bt=(-?\d{1,7})\b")
_NAME = re.compile(r"temp\d+_input")


def is_number_file(path: str) -> bool:
    """Whether a path is one of these, by its name."""
    name = Path(path).name
    return name in ("w1_slave", "temperature") or _NAME.fullmatch(name) is not None


class NumberFile:
    """The number of such a file, once a second, as a line in °C; what is no measurement is a line that says so."""

    once = False

    def __init__(self, path: str) -> None:
        self._path = Path(path).expanduser()
        self._shown = plain(str(self._path), 120)
        self._next = 0.0
        self._last: int | None = None
        """Thousandths of a degree of the last measurement."""

    def open(self, now: float) -> None:
        self._look()
        self._next, self._last = now, None

    def read(self, now: float) -> list[bytes]:
        if 0 <= self._next - now <= EVERY:
            return []
        self._next = now + EVERY
        return [self._line(self._look())]

    def _look(self) -> bytes:
        try:
            with self._path.open("rb", buffering=0) as file:
                return file.read(256)
        except OSError as error:
            raise Trouble(
                tr("{shown} cannot be read.", shown=self._shown),
                f"{error.strerror}.",
                tr("Is the sensor connected?"),
            ) from None

    def _line(self, data: bytes) -> bytes:
        """The number as a line in °C."""
        if self._path.name == "w1_slave":
            if b"YES" not in data.split(b"\n")[0]:
                return b"no reading: the check sum is wrong"
            match = _W1.search(data)
            text = match[1] if match else b""
        else:
            text = data.strip()
        try:
            milli = int(text)
        except ValueError:
            return b"no reading: there is no number"
        if milli == POWER_ON and (self._last is None or abs(self._last - milli) > NEAR):
            return b"waiting: the sensor was just switched on"
        self._last = milli
        return f"{milli / 1000:.3f}".encode()

    def close(self) -> None:
        """Nothing is held open between two looks."""
