"""What the owner of moulds says of them: one hidden file in the sessions folder. What days say of them is in the records."""

from __future__ import annotations

from pathlib import Path

from pourday.moulds.memory import MouldNote
from pourday.store.disk import DISK, Disk
from pourday.store.table_file import TableFile, document_of
from pourday.text import plain

MOULDS = ".moulds.json"
SCHEMA = 1
"""Version of the file; one of a newer pourday is left alone."""
_NOTES = "moulds"


class MouldNotes:
    """The notes of one sessions folder, read anew whenever their file changed."""

    def __init__(self, folder: Path, disk: Disk = DISK) -> None:
        self._file = TableFile(folder, MOULDS, "moulds", SCHEMA, disk)
        self.remarks = self._file.remarks
        """Whole sentences about what of the file could not be read, and what became of it."""

    def notes(self) -> list[MouldNote]:
        """All of them, in the order they were first kept."""
        return self._file.all(_NOTES, MouldNote)

    def keep(self, name: str, note: MouldNote | None) -> None:
        """Keep a note in the place of an older one of this mould; None forgets it. Raises `Trouble`."""
        key = plain(name).casefold()
        fresh = [] if note is None else [document_of(note)]
        self._file.change(_NOTES, lambda old: plain(str(old.get("name", ""))).casefold() == key, fresh)
