"""Where the sessions live."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from pourday.errors import Trouble
from pourday.language import tr
from pourday.store.atomic import sweep
from pourday.store.disk import DISK, Disk, because, make_folders
from pourday.text import plain

VARIABLE = "POURDAY_SESSIONS"


def sessions_folder(argument: str | None, environ: Mapping[str, str], disk: Disk = DISK) -> Path:
    """The folder of the sessions: as asked for, else as the variable says, else the platform's own.

    It is made where it does not exist, durably, and rid of temporary files that a kill left there. A folder that can
    only be read is accepted: sessions can be looked at there. Raises `Trouble` where it cannot be made or
    looked into.
    """
    named = argument if argument is not None else environ.get(VARIABLE) or None
    if argument is not None and not argument.strip():
        raise Trouble(tr("--sessions names no folder."), instead=tr("Give the path of a folder."))
    folder = Path(named) if named else _platform_folder()
    shown = plain(str(folder), 300)
    if "\0" in str(folder):
        raise Trouble(
            tr("The sessions cannot live in {shown}.", shown=shown),
            tr("The name has a character that no name may have."),
        )
    try:
        folder = folder.expanduser().absolute()
        make_folders(disk, folder)
        os.listdir(folder)
    except (OSError, RuntimeError) as error:
        why = _why_not(error)
        raise Trouble(
            tr("The sessions cannot live in {shown}.", shown=shown), why, _instead(argument, named)
        ) from None
    sweep(folder)
    return folder


def _why_not(error: OSError | RuntimeError) -> str:
    """Why a folder cannot be made or looked into: one plain sentence."""
    if isinstance(error, FileNotFoundError):
        return tr("It is not there, and cannot be made there.")
    if isinstance(error, FileExistsError):
        if error.filename and os.path.islink(error.filename):
            return tr("It is a link to a place that is not there.")
        return tr("It is a file, not a folder.")
    return because(error) if isinstance(error, OSError) else f"{error}."


def _instead(argument: str | None, named: str | None) -> str:
    if named and argument is None:
        return tr("Set {variable} to a folder of your own, or name one with --sessions.", variable=VARIABLE)
    return tr("Name a folder of your own with --sessions.")


def _platform_folder() -> Path:
    from platformdirs import user_data_path

    return user_data_path("pourday", appauthor=False) / "sessions"
