"""The papers of a session written as files, each a page that a browser prints."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Literal

from pourday.errors import Trouble
from pourday.language import ntr, tr
from pourday.session.candle import CandleState
from pourday.session.events import Entry
from pourday.session.state import State
from pourday.store.atomic import write_atomically
from pourday.store.disk import DISK, Disk, because, make_folders, read_file
from pourday.store.names import PAPERS
from pourday.text import plain

Paper = Literal["sheet", "record", "slip"]
MOST = 999
"""Versions of one paper."""


def paper_page(
    paper: Paper, state: State, entries: Sequence[Entry], candles: Mapping[str, CandleState]
) -> str:
    """The page as HTML that stands alone; `candles` as in `slip_page`. Raises `Trouble` where the plan cannot be told."""
    from pourday.reports.papers import pages

    if paper == "sheet":
        return pages.sheet_page(state)
    return pages.slip_page(state, candles) if paper == "slip" else pages.record_page(state, entries)


def write_papers(
    sessions: Path,
    papers: Sequence[Paper],
    state: State,
    entries: Sequence[Entry],
    candles: Mapping[str, CandleState],
    disk: Disk = DISK,
) -> list[Path]:
    """Each paper in the folder beside the sessions; where an older one says something else, a new file beside it.

    Raises `Trouble`.
    """
    written = []
    for paper in papers:
        page = paper_page(paper, state, entries, candles).encode("utf-8", "replace")
        try:
            written.append(_written(sessions / PAPERS, f"{state.session}-{paper}", page, disk))
        except OSError as error:
            where = plain(str(sessions / PAPERS), 200)
            raise Trouble(
                tr("The {paper} could not be written into {where}.", paper=paper, where=where),
                because(error),
                tr(
                    "“pourday print {session} {paper} --out FILE” puts it elsewhere.",
                    session=plain(state.session, 60),
                    paper=paper,
                ),
            ) from None
    return written


def _written(folder: Path, name: str, page: bytes, disk: Disk) -> Path:
    """The file with this page: one that is there already, or a new one. Raises `OSError`."""
    make_folders(disk, folder)
    for number in range(1, MOST + 1):
        path = folder / f"{name}{f'-{number}' if number > 1 else ''}.html"
        if not path.exists():
            write_atomically(path, page, disk)
            return path
        if path.is_file() and path.stat().st_size == len(page) and read_file(disk, path) == page:
            return path
    raise OSError(None, tr("It holds too many of them already."))


def where_words(paths: Sequence[Path]) -> str:
    """Where they are, and what to do with them, as a sentence."""
    folder, names = plain(str(paths[0].parent), 200), tr(" and ").join(path.name for path in paths)
    return ntr(
        "{names} is in {folder}: open it in a browser and print.",
        "{names} are in {folder}: open them in a browser and print.",
        len(paths),
        names=names,
        folder=folder,
    )
