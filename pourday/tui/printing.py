"""The papers of a screen, written by one key."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from pourday.errors import Trouble

if TYPE_CHECKING:
    from pourday.reports.papers.to_file import Paper
    from pourday.session.candle import CandleState
    from pourday.session.events import Entry
    from pourday.session.state import State

NO_CANDLES: Mapping[str, CandleState] = {}


def written_words(
    sessions: Path,
    papers: Sequence[Paper],
    state: State,
    entries: Sequence[Entry] = (),
    candles: Mapping[str, CandleState] = NO_CANDLES,
) -> str:
    """Where the papers are now, or why there are none, as a sentence."""
    # The templates are loaded with the first paper, not with the screen.
    from pourday.reports.papers.to_file import where_words, write_papers

    try:
        return where_words(write_papers(sessions, papers, state, entries, candles))
    except Trouble as trouble:
        return str(trouble)
