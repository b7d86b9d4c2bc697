"""What a file holds that somebody named on the command line, whatever stands there: a pipe and a device too, but never
more of it than asked for, and never without an end."""

from __future__ import annotations

import os
import select
import stat
from pathlib import Path

from pourday.language import tr

PATIENCE = 10.0
"""s for which nothing may come through a pipe before it is given up."""


def read_named(path: Path, most: int, patience: float = PATIENCE) -> bytes:
    """What a file holds, and of one that is larger than `most` bytes the first `most` + 1.

    Raises `OSError` where it cannot be read, and where nothing comes through a pipe for `patience` seconds.
    """
    # A pipe that nobody writes to would not even open, waited for the usual way.
    fd = os.open(path, os.O_RDONLY | os.O_NONBLOCK)
    try:
        waits = not stat.S_ISREG(os.fstat(fd).st_mode)
        data = bytearray()
        while len(data) <= most:
            if waits and not select.select([fd], [], [], patience)[0]:
                raise OSError(None, tr("Nothing came through it for {patience:g} s.", patience=patience))
            part = os.read(fd, min(1 << 20, most + 1 - len(data)))
            if not part:
                break
            data += part
        return bytes(data)
    finally:
        os.close(fd)
