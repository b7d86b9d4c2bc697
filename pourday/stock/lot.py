"""A lot on the shelf, as it was bought or made from a heap, and how it is told from others."""

from __future__ import annotations

import re
from typing import Annotated, Literal, get_args

import msgspec

from pourday.errors import Trouble
from pourday.language import tr
from pourday.session.events import Celsius, Kilograms, Name, Text
from pourday.text import plain

Kind = Literal["wax", "scent", "dye", "wick"]
KINDS: tuple[Kind, ...] = get_args(Kind)
StockUnit = Literal["kg", "m", "pieces"]
"""What a lot is measured in: wax, scent and dye by weight, wicks by length or cut ones by number."""
Amount = Annotated[float, msgspec.Meta(ge=0, le=100_000)]
Money = Annotated[float, msgspec.Meta(ge=0, le=1_000_000)]
"""In whatever the person pays with."""
Moment = Annotated[float, msgspec.Meta(ge=0, le=7.3e9)]
"""s since the epoch, UTC."""
Cleaned = Literal["sorted", "heated to 80 °C", "wicks out", "settled", "strained", "dry"]
"""What is done to a heap of old wax, in order."""

_WORD = re.compile(r"[^\W_]+", re.UNICODE)

LotKey = tuple[Kind, str, str]
"""Kind, product and lot as they are compared: small letters, plain."""


class Reclaimed(msgspec.Struct, frozen=True, kw_only=True):
    """What is known of wax that was won from old candles. None and empty: not known."""

    came_from: Text = ""
    """`candle ends`, `what was left of 2026-11-25-a` …"""
    cleaned: tuple[Cleaned, ...] = ()
    """What was done to it; what is not named was not done, or nobody said so."""
    melts_from_c: Celsius | None = None
    melts_to_c: Celsius | None = None
    sets_c: Celsius | None = None
    """Where its cooling curve stood still."""
    scent: Name = ""
    """Empty: unknown, which is a caution for wick and load."""
    colour: Name = ""
    smell: Name = ""
    heat_cycles: Annotated[int, msgspec.Meta(ge=0, le=1_000)] | None = None
    """How often it has been hot, the cleaning counted."""
    heap: Kilograms | None = None
    """kg of the heap that it was won from."""
    session: Name = ""
    """The record in which it was cleaned, where there is one."""


class Delivery(msgspec.Struct, frozen=True, kw_only=True):
    """More of a lot that came since it was counted."""

    amount: Amount
    at: Moment


class StockLot(msgspec.Struct, frozen=True, kw_only=True):
    """One lot: what was there when it was counted, and what came since. What days took is in their records."""

    kind: Kind
    product: Name
    """Of a wax its id, else the name on its bottle or reel."""
    lot: Name = ""
    """As it stands on its label; empty where it has none."""
    unit: StockUnit = "kg"
    counted: Amount
    """What was there,"""
    counted_at: Moment
    """and when: what days that had begun by then took was off the shelf already."""
    deliveries: tuple[Delivery, ...] = ()
    price: Money | None = None
    """For one `unit`, as it was last paid; None where nobody said."""
    pack: Amount | None = None
    """What one pack holds as it is sold; None where nobody said."""
    since: Moment | None = None
    """When the first of it came."""
    use_first: bool = False
    """Before other lots of its product."""
    note: Text = ""
    reclaimed: Reclaimed | None = None
    """Of wax won from old candles; None of what was bought."""

    @property
    def key(self) -> LotKey:
        """What tells this lot from all others: kind, product and lot, as `lot_key` writes them."""
        return lot_key(self.kind, self.product, self.lot)

    @property
    def came(self) -> float:
        """All that was counted and delivered, in `unit`."""
        return self.counted + sum(delivery.amount for delivery in self.deliveries)


def lot_key(kind: Kind, product: str, lot: str = "") -> LotKey:
    """How a lot is told from others, however its letters and signs are written.

    >>> lot_key("wick", "Flat braid, 36 ply", "A-7") == lot_key("wick", "flat braid 36 ply", "a 7")
    True
    """
    return kind, compared(product), compared(lot)


def compared(name: str) -> str:
    """The words of a name, small; of one that has none, its signs."""
    text = plain(name).casefold()
    return " ".join(_WORD.findall(text)) or text


def bare_unit(kind: Kind) -> StockUnit:
    """What is counted in where no lot says: a wick in metres, all else in kilograms."""
    return "m" if kind == "wick" else "kg"


def more(old: StockLot | None, fresh: StockLot) -> StockLot:
    """The lot with what came of it now (`fresh`, `counted` of it at `counted_at`), beside what was there already.

    Raises `Trouble` where the one is weighed and the other is measured.
    """
    if old is None:
        return fresh
    if old.unit != fresh.unit:
        raise Trouble(
            tr(
                "{product} is kept in {kept}, and this is in {told}.",
                product=old.product,
                kept=old.unit,
                told=fresh.unit,
            ),
            instead=tr("Say it in {unit}, or give it a lot of its own.", unit=old.unit),
        )
    return msgspec.structs.replace(
        old,
        deliveries=(*old.deliveries, Delivery(amount=fresh.counted, at=fresh.counted_at)),
        price=old.price if fresh.price is None else fresh.price,
        pack=old.pack if fresh.pack is None else fresh.pack,
        use_first=old.use_first or fresh.use_first,
        note=fresh.note or old.note,
        reclaimed=fresh.reclaimed or old.reclaimed,
    )


def counted(old: StockLot, amount: float, now: float) -> StockLot:
    """The lot as it was counted now, whatever was reckoned before."""
    return msgspec.structs.replace(old, counted=amount, counted_at=now, deliveries=())
