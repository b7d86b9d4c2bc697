"""Small tables changed in memory, to be written in one go. The one module that loads TinyDB."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from tinydb import TinyDB
from tinydb.storages import Storage

from pourday.store.tables import Tables


class _InHand(Storage):
    """TinyDB's storage for tables that were read already and are not yet to be written."""

    def __init__(self, tables: Tables) -> None:
        self.tables = tables

    def read(self) -> Tables:
        return self.tables

    def write(self, data: Tables) -> None:
        self.tables = data


def edited(
    tables: Tables, name: str, drop: Callable[[Mapping[str, Any]], bool], add: Sequence[dict[str, Any]]
) -> Tables:
    """The tables with what `drop` picks taken out of one of them and `add` put in, to be written in one go."""
    hand = _InHand(tables)
    table = TinyDB(storage=lambda: hand).table(name)
    table.remove(lambda document: drop(document))
    table.insert_multiple(add)
    return hand.tables
