"""The terminal: what it can show, and how it can go away (signals, a closed window, a reader that stopped reading)."""

from __future__ import annotations

import os
import select
import signal
import threading
from collections.abc import Callable, Mapping
from types import FrameType
from typing import Literal

GRACE = 0.7
"""Seconds the screen has to end by itself before the process ends without it."""
RESTORE = (
    b"\x1b[?1049l\x1b[?25h\x1b[?1000l\x1b[?1003l\x1b[?1006l\x1b[?2004l\x1b[<u\x1b[0m\x1b]2;\x1b\\\x1b[23;2t"
)
"""Leave the alternate screen, show the cursor, no mouse, no bracketed paste, plain keys and colours, the title of before."""

How = Literal["hangup", "terminated"]
ENDINGS: dict[signal.Signals, How] = {
    signal.SIGHUP: "hangup",
    signal.SIGTERM: "terminated",
    signal.SIGINT: "terminated",
}


def usual_cells(environ: Mapping[str, str]) -> Literal["braille", "blocks"]:
    """What curves are drawn in where nobody has chosen: the fonts of the kernel's own console have no braille."""
    return "blocks" if environ.get("TERM", "").startswith("linux") else "braille"


def on_ending(note: Callable[[How], None], leave: Callable[[int], None]) -> None:
    """Call `note` at once and ask the screen to `leave` with the exit status when the process is told to end.

    Plain signal handlers: they run even while the screen waits for a terminal that stopped reading.
    """

    def ended(number: int, _frame: FrameType | None) -> None:
        status = 128 + number
        note(ENDINGS[signal.Signals(number)])
        leave(status)
        last = threading.Timer(GRACE, _force, (status,))
        last.daemon = True
        last.start()

    for number in ENDINGS:
        signal.signal(number, ended)


def _force(status: int) -> None:
    """End the process now, the terminal put right if it still reads."""
    try:
        os.set_blocking(1, False)
        os.write(1, RESTORE)
    except OSError:
        pass
    os._exit(status)


def is_gone() -> bool:
    """Whether the terminal at standard input has hung up; without asking, a dead one burns the processor."""
    poll = select.poll()
    poll.register(0, select.POLLIN)
    try:
        return any(state & (select.POLLHUP | select.POLLERR | select.POLLNVAL) for _, state in poll.poll(0))
    except OSError:
        return True
