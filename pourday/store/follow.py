"""Looking on while another program writes a session."""

from __future__ import annotations

import os
from dataclasses import dataclass

from pourday.errors import Trouble
from pourday.session.events import Entry
from pourday.store.disk import DISK, Disk, read_open
from pourday.store.journal import parse_more
from pourday.store.names import RECORD
from pourday.store.reading import StoredSession, read_session
from pourday.text import plain


@dataclass(frozen=True, slots=True)
class News:
    """What came since the last look."""

    entries: tuple[Entry, ...] = ()
    anew: StoredSession | None = None
    """The whole session, where the file was replaced and adding to what was known would be wrong."""
    finished: bool = False


class Follower:
    """Reads what is added to a journal; keeps no file open and locks nothing."""

    def __init__(self, stored: StoredSession, disk: Disk = DISK) -> None:
        self._known, self._disk = stored, disk
        self._last_seq = len(stored.entries)
        self._offset = len(stored.text)
        self._file: tuple[int, int] | None = None

    def news(self) -> News:
        """Entries added since the last call. Raises `Trouble` where the session cannot be read."""
        path = self._known.path
        try:
            fd = self._disk.open(path, os.O_RDONLY)
        except OSError:
            return self._anew()
        try:
            status = self._disk.fstat(fd)
            same = self._file in (None, (status.st_dev, status.st_ino))
            self._file = status.st_dev, status.st_ino
            if not same or status.st_size < self._offset:
                return self._anew()
            if status.st_size == self._offset:
                return News()
            data = read_open(self._disk, fd, self._offset)
        except OSError:
            return self._anew()
        finally:
            self._disk.close(fd)
        name = plain(path.name, 120)
        try:
            entries, end = parse_more(data, 0, self._known.schema, self._last_seq + 1, name)
        except Trouble:
            # Read as a whole, the file either makes sense again or is refused with the right line.
            return self._anew()
        self._offset += end
        self._last_seq += len(entries)
        return News(entries)

    def _anew(self) -> News:
        """The session read whole: its file was replaced, shortened, or makes no sense piece by piece."""
        whole = read_session(self._known.path.parent, self._known.session, self._disk)
        new = whole.entries[self._last_seq :]
        self._known, self._last_seq, self._offset = whole, len(whole.entries), len(whole.text)
        self._file = None
        return News(new, whole, whole.path.suffix == RECORD)
