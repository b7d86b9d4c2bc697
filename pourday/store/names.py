"""What a session is called, and what its files are called.

`2026-11-25-a` is the first session begun on that day: short enough to type, sorted by day.
"""

from __future__ import annotations

import re
from pathlib import Path
from string import ascii_lowercase

from pourday.errors import Trouble
from pourday.language import tr
from pourday.store.disk import DISK, Disk
from pourday.text import plain

_ID = re.compile(r"[0-9a-z](?:[0-9a-z]|-(?=[0-9a-z])){0,59}")
JOURNAL = ".journal"
RECORD = ".json"
LOCK = ".lock"
CANDLES = "-candles"
"""Ends the name of the record that tells what became of a session's candles."""

PAPERS = "papers"
"""The folder beside the sessions that papers are written into."""


_OURS = re.compile(
    r"papers|\.library\.json|\.shelf\.json|\.kitchen\.json|\.(memories|stock|moulds)\.json(\.(broken|unpacked)(-\d+)?)?"
    r"|\.pourday-[0-9a-f]{16}\.tmp"
    r"|.+\.(journal|json|lock)|.+\.torn(-\d+)?|.+\.schema-\d+(-\d+)?",
    re.DOTALL,
)
"""What stands in a folder of sessions: papers, tables, temporary files, sessions, locks, what was set aside."""


def is_ours(name: str) -> bool:
    """Whether a file bears a name that this program gives, or reads as a session's."""
    return _OURS.fullmatch(name) is not None


def is_id(text: str) -> bool:
    """Whether this can be the name of a session: small letters, digits, single inner hyphens."""
    return _ID.fullmatch(text) is not None


def checked(session: str) -> str:
    """The name itself. Raises `Trouble` for one that could lead out of the folder or onto a wrong file."""
    if is_id(session):
        return session
    raise Trouble(
        tr("“{session}” is not the name of a session.", session=plain(session, 60)),
        tr("Names have small letters, digits and hyphens, like 2026-11-25-a."),
        tr("`pourday list` shows the names there are."),
    )


def journal_path(folder: Path, session: str) -> Path:
    """Where the journal of a session stands. Raises `Trouble` for what is no name."""
    return folder / f"{checked(session)}{JOURNAL}"


def record_path(folder: Path, session: str) -> Path:
    """Where the finished record of a session stands. Raises `Trouble` for what is no name."""
    return folder / f"{checked(session)}{RECORD}"


def lock_path(folder: Path, session: str) -> Path:
    """Where the lock of a session stands. Raises `Trouble` for what is no name."""
    return folder / f"{checked(session)}{LOCK}"


def candles_of(session: str) -> str:
    """The name of the record about the candles of a session. Raises `Trouble` for what is no name."""
    return f"{checked(session)[: 60 - len(CANDLES)].rstrip('-')}{CANDLES}"


def free_id(folder: Path, day: str, disk: Disk = DISK) -> str:
    """The first name of this day (`2026-11-25`) that no file in the folder bears: -a, -b ... -z, -aa ...

    Raises `OSError` where the folder cannot be read.
    """
    used_ids = {name.partition(".")[0] for name in disk.scan(folder)}
    letters = [*ascii_lowercase, *(a + b for a in ascii_lowercase for b in ascii_lowercase)]
    for letter in letters:
        if (name := f"{day}-{letter}") not in used_ids:
            return checked(name)
    raise Trouble(
        tr("{day} has more sessions than there are names for.", day=day), instead=tr("Use another folder.")
    )
