"""What goes to the terminal, kept as an asciinema cast, version 2: a header, then a line a piece with its time.

The format: docs.asciinema.org/manual/asciicast/v2: [seconds, "o" for output or "r" for a new size, text]. What is typed is
not kept.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from pourday.errors import Trouble
from pourday.language import tr
from pourday.store.disk import because
from pourday.text import plain


class CastFile:
    """A cast being written; whole after every line, so that a kill leaves one that plays as far as it goes."""

    def __init__(self, path: Path, clock: Callable[[], float], started: float, term: str) -> None:
        """A new file. `clock` gives seconds of any clock that only goes on; `started` are seconds since the epoch.

        Raises `Trouble` where one stands already, or none can be written.
        """
        shown = f"“{plain(str(path), 200)}”"
        try:
            self._file = path.open("x", encoding="utf-8")
        except FileExistsError:
            raise Trouble(
                tr("There is a file {shown} already.", shown=shown), instead=tr("Give the name of a new one.")
            ) from None
        except OSError as error:
            raise Trouble(tr("{shown} could not be written.", shown=shown), because(error)) from None
        self._clock, self._began = clock, clock()
        self._started, self._term = round(started), term
        self._size: tuple[int, int] | None = None

    def sized(self, columns: int, rows: int) -> None:
        """The terminal has this size from now on; the first time is what the header says."""
        if self._size is None:
            head = {"version": 2, "width": columns, "height": rows, "timestamp": self._started}
            self._line({**head, "title": "pourday demo", "env": {"TERM": self._term}})
        elif self._size != (columns, rows):
            self._line([self._time(), "r", f"{columns}x{rows}"])
        self._size = columns, rows

    def wrote(self, text: str) -> None:
        """This went to the terminal; nothing is kept of what comes before its size is known."""
        if self._size is not None and text:
            self._line([self._time(), "o", text])

    def close(self) -> None:
        with suppress(OSError):
            self._file.close()

    def _time(self) -> float:
        return round(self._clock() - self._began, 6)

    def _line(self, what: object) -> None:
        # A full disk ends the cast and nothing else.
        with suppress(OSError, ValueError):
            self._file.write(json.dumps(what, ensure_ascii=False) + "\n")
            self._file.flush()
