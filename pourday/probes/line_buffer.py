"""Bytes as they come, cut into whole lines; what is far too long for a line is dropped and never kept."""

from __future__ import annotations

LONGEST = 4096
"""Bytes of a line; a megabyte without an end is no reading."""
MOST = 8
"""Lines handed on at once: of a flood the newest."""


class LineBuffer:
    """Holds the beginning of a line until its end comes."""

    def __init__(self) -> None:
        self._begun = b""
        self._too_long = False
        """The line that is coming is dropped up to its end."""

    def feed(self, data: bytes) -> list[bytes]:
        """The lines that are whole with these bytes, without their ends; empty ones are left out."""
        *whole, rest = data.replace(b"\r", b"\n").split(b"\n")
        lines = []
        for line in whole:
            line = self._begun + line
            if not self._too_long and len(line) <= LONGEST and line.strip():
                lines.append(line)
            self._begun, self._too_long = b"", False
        self._begun += rest
        if len(self._begun) > LONGEST:
            self._begun, self._too_long = b"", True
        return lines

    def last(self) -> list[bytes]:
        """What stands there without an end, once nothing more will come."""
        begun, self._begun = self._begun, b""
        too_long, self._too_long = self._too_long, False
        return [begun] if begun.strip() and not too_long else []
