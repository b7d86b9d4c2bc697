"""What the commands do that find sessions again and lay them side by side."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING

from pourday.console import moving_line, say, write_bytes
from pourday.language import tr

if TYPE_CHECKING:
    from pourday.shelf.card import DayCard


def list_command(folder: Path, arguments: argparse.Namespace, now: float) -> None:
    """`pourday list [WORDS…]`: a line for each session, or for each that has these words; as JSON or CSV if asked.

    Raises `Trouble` for a time that cannot be understood, and where nothing is found.
    """
    from pourday.shelf.index import read_cards
    from pourday.shelf.listing import list_csv, list_data, list_line, listed, refuse_nothing
    from pourday.shelf.search import understood
    from pourday.store.library import list_sessions

    words = " ".join(arguments.words)
    search = understood(words, now)
    with moving_line() as at:
        cards: dict[str, DayCard] = {}
        for progress in read_cards(folder):
            at(tr("the shelf"), progress.looked_at, progress.of)
            cards |= progress.fresh
        # After the shelf: what had to be read for it is in the index by now.
        summaries = list_sessions(folder, at=at)
    rows = listed(summaries, cards, search)
    if arguments.json:
        say(json.dumps(list_data(rows), indent=1, ensure_ascii=False))
    elif arguments.csv:
        write_bytes(list_csv(rows))
    elif not summaries:
        say(tr("No sessions yet. “pourday” plans one, “pourday demo” shows a whole day."))
    else:
        refuse_nothing(rows, words)
        say("\n".join(list_line(row) for row in rows))


def compare_command(folder: Path, arguments: argparse.Namespace) -> None:
    """`pourday compare A B [C]`: where two or three days differ. Raises `Trouble` where one cannot be read."""
    from pourday.shelf.compare import ComparedDay, compare, compare_data, compare_text
    from pourday.store.candles import read_log
    from pourday.store.reading import read_session

    stored = [read_session(folder, name) for name in arguments.ids]
    days = [ComparedDay(each.state, each.entries, read_log(folder, each.session)) for each in stored]
    comparison = compare(days)
    if arguments.json:
        say(json.dumps(compare_data(comparison), indent=1, ensure_ascii=False))
    else:
        say("\n".join(compare_text(comparison, everything=arguments.all)))


def family_command(folder: Path, arguments: argparse.Namespace) -> None:
    """`pourday family ID`: the days made after each other as a tree. Raises `Trouble` for a day that cannot be read."""
    from pourday.shelf.family import family_data, family_lines, family_of
    from pourday.shelf.index import read_cards

    cards: dict[str, DayCard] = {}
    with moving_line() as at:
        for progress in read_cards(folder):
            at(tr("the shelf"), progress.looked_at, progress.of)
            cards |= progress.fresh
    family = family_of(cards, arguments.id)
    if arguments.json:
        say(json.dumps({"family": family_data(family)}, indent=1, ensure_ascii=False))
    else:
        say("\n".join(f"{branch}{session}  {told}" for branch, session, told in family_lines(family)))
