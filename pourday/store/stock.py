"""The stock of a kitchen: lots as they were counted, one hidden file in the sessions folder.

What days take off them stands in their records alone, so a kill or a lost file costs no more than the counting.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

import msgspec

from pourday.errors import Trouble
from pourday.language import tr
from pourday.stock.line import StockLine, changed, key_of
from pourday.stock.lot import LotKey, StockLot, lot_key, more
from pourday.store.disk import DISK, Disk
from pourday.store.table_file import TableFile, document_of
from pourday.text import plain

STOCK = ".stock.json"
SCHEMA = 1
"""Version of the file; one of a newer pourday is left alone."""
_LOTS = "lots"


class Stock:
    """The lots of one sessions folder, read anew whenever their file changed."""

    def __init__(self, folder: Path, disk: Disk = DISK) -> None:
        self._file = TableFile(folder, STOCK, "stock", SCHEMA, disk)
        self.remarks = self._file.remarks
        """Whole sentences about what of the file could not be read, and what became of it."""

    def lots(self) -> list[StockLot]:
        """All lots, in the order they were first kept."""
        return self._file.all(_LOTS, StockLot)

    def lot(self, key: LotKey) -> StockLot | None:
        """The lot of this key; None where there is none."""
        return next((lot for lot in self.lots() if lot.key == key), None)

    def put(self, lot: StockLot) -> None:
        """Keep a lot, in the place of an older one of the same kind, product and lot. Raises `Trouble`."""
        self.change(lot.key, lambda _: lot)

    def add(self, lot: StockLot) -> None:
        """Put what came (`lot.counted` of it) to what is there of this lot already. Raises `Trouble`."""
        self.change(lot.key, lambda old: more(old, lot))

    def tell(self, line: StockLine, waxes: Mapping[str, str], now: float) -> LotKey:
        """Do what a person's line says at `now`, and about which lot; `waxes` are the names of all waxes by id.

        Raises `Trouble`.
        """
        key = key_of(line, self.lots(), waxes)
        product = next((id_ for id_ in waxes if lot_key("wax", id_)[:2] == key[:2]), line.product)
        self.change(key, lambda old: changed(line, key, old, now, product))
        return key

    def forget(self, key: LotKey) -> None:
        """Forget a lot; nothing happens where there is none of this key. Raises `Trouble`."""
        self.change(key, lambda _: None)

    def change(self, key: LotKey, to: Callable[[StockLot | None], StockLot | None]) -> None:
        """Make another lot of the one of this key (None: there is none; or there is to be none), as one step.

        Raises `Trouble` where nothing could be kept, and for a lot without a product.
        """

        def fresh(old: Sequence[dict[str, Any]]) -> list[dict[str, Any]]:
            lot = to(next((row for row in map(_decoded, old) if row is not None), None))
            if lot is None:
                return []
            if not plain(lot.product):
                raise Trouble(tr("It was not kept."), tr("It has no name."), tr("Say what it is."))
            return [document_of(lot)]

        self._file.change(_LOTS, lambda old: _is(old, key), fresh)


def _is(document: Any, key: LotKey) -> bool:
    """Whether a document is the lot of this key; what cannot be read is none."""
    lot = _decoded(document)
    return lot is not None and lot.key == key


def _decoded(document: Any) -> StockLot | None:
    try:
        return msgspec.convert(document, StockLot)
    except (msgspec.ValidationError, RecursionError):
        return None
